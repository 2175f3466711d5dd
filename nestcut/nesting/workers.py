"""Several searches side by side, each from its own stream of chance; the best one counts.

Any :class:`concurrent.futures.Executor` does: processes started here, or one that is handed in (a
yard's engine, Dask's executor). Which worker finishes first makes no difference: results are
compared by value, then by the worker's number.
"""

from __future__ import annotations

import os
import signal
import time
from collections.abc import Callable, Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor, wait
from contextlib import contextmanager
from dataclasses import dataclass, replace
from multiprocessing import get_context, parent_process
from signal import SIG_IGN, SIGINT
from threading import Thread
from typing import Any

from nestcut.model.plan import StopReason
from nestcut.nesting.problem import Budget, Nest
from nestcut.search.settings import Deadline

LOOK_S = 0.1
"""How often the caller's deadline is looked at while workers are busy. [s]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ticket:
    """A worker's budget in a form that travels between processes."""

    passes: int
    seconds: float | None
    seed: int
    stream: str

    def budget(self) -> Budget:
        """Return the budget; its deadline starts now."""
        return Budget(
            passes=self.passes,
            deadline=Deadline(self.seconds),
            seed=self.seed,
            stream=self.stream,
        )


@contextmanager
def crew(budget: Budget) -> Iterator[Budget]:
    """Give a budget an executor: its own if it has one, else processes for the time being."""
    if budget.executor is not None:
        yield budget
        return
    with hired(budget.workers) as pool:
        yield replace(budget, executor=pool)


@contextmanager
def hired(workers: int) -> Iterator[Executor]:
    """Processes that stay for many searches; each starts when it is first needed.

    They leave Ctrl-C to the process that hired them, and end with it however it ends.
    """
    pool = ProcessPoolExecutor(workers, get_context("spawn"), _take_up_work)
    try:
        yield pool
    finally:
        pool.shutdown(wait=False, cancel_futures=True)


def _take_up_work() -> None:
    signal.signal(SIGINT, SIG_IGN)
    Thread(target=_leave_with_employer, daemon=True).start()


def _leave_with_employer() -> None:
    """End this process once the one that hired it is gone: nobody else would tell it to."""
    employer = parent_process()
    if employer is not None:
        employer.join()
        os._exit(1)


def side_by_side(
    search: Callable[..., Nest],
    arguments: tuple[Any, ...],
    budget: Budget,
    seconds: float = float("inf"),
) -> list[Nest]:
    """Run ``search(*arguments, budget)`` once for each worker and return what came back.

    Parameters
    ----------
    search
        A function of a module (it must be picklable), whose last argument is a Budget.
    arguments
        What the search takes before its budget.
    budget
        Each worker gets all of its passes and time; the streams differ. It has an executor.
    seconds
        Further limit on each worker's time. [s]

    Returns
    -------
    Results in the order of the workers. Fewer, or none, if the caller was interrupted: a
    worker's unfinished result isn't waited for. Where the executor has lost a search, with a
    computer or altogether, it is made up for here: nothing but time is lost.
    """
    remaining = min(seconds, budget.deadline.remaining_s())
    tickets = [
        Ticket(
            passes=budget.passes,
            seconds=None if remaining == float("inf") else remaining,
            seed=budget.seed,
            stream=f"{budget.stream}/worker {k}",
        )
        for k in range(budget.workers)
    ]
    if budget.executor is None:
        raise ValueError("side_by_side needs a budget with an executor: see crew")
    futures = [_submitted(budget.executor, search, arguments, t) for t in tickets]
    _await([f for f in futures if f is not None], budget.deadline)
    found = []
    for future, ticket in zip(futures, tickets, strict=True):
        if future is not None and _has_come(future):
            found.append(future.result())
        elif budget.deadline.stop_reason() is None:
            left = budget.deadline.remaining_s()
            limit = left if ticket.seconds is None else min(left, ticket.seconds)
            again = replace(ticket, seconds=None if limit == float("inf") else limit)
            found.append(_run_ticket(search, arguments, again))
    return found


def _submitted(
    executor: Executor, search: Callable[..., Nest], arguments: tuple[Any, ...], ticket: Ticket
) -> Future[Nest] | None:
    """Hand a search over; None if nobody is there to take it."""
    try:
        return executor.submit(_run_ticket, search, arguments, ticket)
    except (RuntimeError, OSError):  # broken pools and closed clients are among the first
        return None


def _has_come(future: Future[Nest]) -> bool:
    """Whether a search has a result.

    One that failed has none: if that was its own fault it fails here again, and says why.
    """
    return future.done() and not future.cancelled() and future.exception() is None


def _run_ticket(search: Callable[..., Nest], arguments: tuple[Any, ...], ticket: Ticket) -> Nest:
    """Run one search in a worker."""
    return search(*arguments, ticket.budget())


def _await(futures: list[Future[Nest]], deadline: Deadline) -> None:
    """Wait for all workers, or until somebody interrupts."""
    waiting = set(futures)
    while waiting and deadline.stop_reason() is not StopReason.INTERRUPTED:
        # looked at in steps: an executor handed in may keep futures of its own kind
        waiting = {f for f in waiting if not f.done()}
        if waiting and all(isinstance(f, Future) for f in waiting):
            wait(waiting, timeout=LOOK_S)
        elif waiting:
            time.sleep(LOOK_S)
    for f in waiting:
        f.cancel()
