"""A search in a process of its own, so that a stop is kept whatever a solver is at.

The process that was asked only listens: it shows progress, keeps the last proven plan, has its
papers made, and when time is up or someone wants to stop, it asks the search to end, waits a
moment, and goes on without it.  Time for the papers is kept back from the limit.
"""

from __future__ import annotations

import contextlib
import math
import multiprocessing
import os
import platform
import signal
import threading
import time
import traceback
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Protocol

from nestcut.cli.press import Printer
from nestcut.door.findings import InputError, NestcutError, PlanRejectedError, Progress
from nestcut.door.search import Budget, Deadline, StopReason, VerifiedPlan, Watcher
from nestcut.tolerances.search import LATE_S, LISTEN_BEAT_S

GRACE_S = 0.7
"""How long a search that was asked to stop may take to hand over its best. [s]"""
LEAVING_S = 0.2
"""How long a search that is done may take to end by itself. [s]"""
MOST_FOR_PAPERS = 1 / 3
"""Share of the limit that may be kept back for the papers. [-]"""
PAPERS_MARGIN = 1.25
"""Papers of the last plan may take so many times as long as those measured. [-]"""


STDERR = 2
"""Number of the stream for messages (POSIX)."""

_CUT_SHORT = {StopReason.INTERRUPTED, StopReason.TIME_UP}


@dataclass(frozen=True, slots=True, kw_only=True)
class Ended:
    """How a search ended.

    Parameters
    ----------
    best
        The last proven plan; None: there is none.
    fault
        What went wrong; None: nothing.
    """

    best: VerifiedPlan | None
    fault: Exception | None = None


class SearchDiedError(NestcutError):
    """The process that searched is gone without a word: killed, or out of memory."""


@dataclass(frozen=True, slots=True)
class Post:
    """What a task works with: how long, who is told, and who takes each plan that is proven."""

    deadline: Deadline
    watcher: Watcher
    on_proven: Callable[[VerifiedPlan], None]


class Task(Protocol):
    """A search that is done aside; the other process gets it whole."""

    @property
    def budget(self) -> Budget:
        """How hard and how long to search."""

    def run(self, post: Post) -> VerifiedPlan:
        """Search, and return the best; what it needs is loaded here, in the other process."""


@dataclass(slots=True)
class _Heard:
    """What the search has said so far."""

    best: VerifiedPlan | None = None
    fault: Exception | None = None
    is_done: bool = False
    stopped_s: float | None = field(default=None)
    reason: StopReason | None = None


def search_aside(
    task: Task,
    deadline: Deadline,
    watcher: Watcher,
    press: Printer,
) -> Ended:
    """Do a search in another process.

    Parameters
    ----------
    deadline
        Watched here; it may be interrupted from a signal handler at any moment.
    watcher
        Told here how it goes.
    press
        Makes papers of the best so far meanwhile.
    """
    # On Linux the process is a copy of this one, which costs nothing; elsewhere it loads anew.
    budget = task.budget
    mine, theirs = multiprocessing.Pipe()
    limit = None
    if budget.seconds is not None:
        limit = max(0.0, deadline.remaining_s() - _reserve_s(budget, press))
    process = _process((task, limit, theirs))
    process.start()
    theirs.close()
    heard = _Heard()
    try:
        _listen(_Ear(mine, process, budget, deadline, watcher, press), heard)
    finally:
        _end(process, heard)
        mine.close()
    reason = heard.reason or deadline.stop_reason()
    best = heard.best
    if best is not None and best.plan.stopped_by in _CUT_SHORT:
        # The search only knows that it was asked to stop; why is known here.
        why = reason or StopReason.TIME_UP
        best = replace(best, plan=replace(best.plan, stopped_by=why))
    if not heard.is_done and heard.fault is None and reason is None:
        return Ended(best=best, fault=SearchDiedError("the search ended without a word"))
    return Ended(best=best, fault=heard.fault)


def _process(
    matter: tuple[Task, float | None, Connection],
) -> BaseProcess:
    if platform.system() == "Linux":
        return multiprocessing.get_context("fork").Process(target=_search, args=matter)
    return multiprocessing.get_context("spawn").Process(target=_search, args=matter)


@dataclass(frozen=True, slots=True)
class _Ear:
    """What the listening process works with."""

    pipe: Connection
    process: BaseProcess
    budget: Budget
    deadline: Deadline
    watcher: Watcher
    press: Printer

    def stop_reason(self) -> StopReason | None:
        """Why the search is to end now: the papers have to be made within the limit as well."""
        reason = self.deadline.stop_reason()
        if reason is None and self.deadline.remaining_s() <= _reserve_s(self.budget, self.press):
            return StopReason.TIME_UP
        return reason


def _reserve_s(budget: Budget, press: Printer) -> float:
    """Time that is kept back for the papers. [s]"""
    if budget.seconds is None:
        return 0.0
    return min(PAPERS_MARGIN * press.takes_s, MOST_FOR_PAPERS * budget.seconds)


def _listen(ear: _Ear, heard: _Heard) -> None:
    """Take what the search says until it is done, or has been waited for long enough."""
    while True:
        try:
            if ear.pipe.poll(LISTEN_BEAT_S):
                _take(ear.pipe.recv(), heard, ear.watcher)
        except (EOFError, OSError):
            return
        if heard.is_done or heard.fault is not None:
            return
        reason = ear.stop_reason()
        if reason is None:
            ear.press.tend(heard.best)
            if not ear.process.is_alive() and not ear.pipe.poll():
                return
            continue
        heard.reason = heard.reason or reason
        if _is_enough(ear, heard):
            return


def _is_enough(ear: _Ear, heard: _Heard) -> bool:
    """Whether to go on without the search, now that it is to end."""
    left_s = ear.deadline.ends_in_s(LATE_S)
    if heard.best is None:
        # The very first plan is waited for a little longer: there is nothing else to hand over,
        # and once it is there nothing better is waited for: that time is gone.
        heard.stopped_s = -math.inf
        return left_s <= ear.press.lists_s
    is_hasty = left_s < GRACE_S + PAPERS_MARGIN * ear.press.takes_s  # no time for papers anew
    is_stopped = heard.reason is StopReason.INTERRUPTED
    if (is_stopped or is_hasty) and ear.press.expects_s(heard.best) <= left_s:
        return True  # papers of the best so far are worth more than what may still come
    if heard.stopped_s is None:
        heard.stopped_s = time.monotonic()
        with contextlib.suppress(OSError):
            ear.pipe.send("stop")
    # A plan of 1,000 pieces takes most of that time to write.
    return time.monotonic() - heard.stopped_s > max(0.0, GRACE_S - ear.press.lists_s)


def _take(message: object, heard: _Heard, watcher: Watcher) -> None:
    match message:
        case ("told", Progress() as progress):
            watcher.tell(progress)
        case ("proven", VerifiedPlan() as verified):
            heard.best = verified
        case ("done", VerifiedPlan() as verified):
            heard.best, heard.is_done = verified, True
        case ("fault", Exception() as fault):
            heard.fault = fault
        case _:
            raise TypeError("the search said something unknown")


def _end(process: BaseProcess, heard: _Heard) -> None:
    """End the search: at once if it isn't done, as it would take time from what is written now."""
    if heard.is_done:
        process.join(LEAVING_S)
    process.kill()
    process.join()


@dataclass(slots=True)
class _Voice:
    """The watcher in the searching process: passes on what is new, without the plan itself."""

    pipe: Connection
    last: Progress | None = None

    def tell(self, progress: Progress) -> None:
        """Pass on where the search stands; plans go another way, proof and all."""
        bare = replace(progress, plan=None)
        if bare != self.last:
            self.last = bare
            self.pipe.send(("told", bare))


def _search(task: Task, seconds: float | None, pipe: Connection) -> None:
    """Search, and say what comes of it; runs in the other process."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)  # Ctrl-C reaches both; the other one decides
    # Libraries chat on this stream ("No solution exists"); what is wrong goes through the pipe.
    with Path(os.devnull).open("wb") as nowhere:
        os.dup2(nowhere.fileno(), STDERR)
    # A search that is ended leaves semaphores behind; what clears them up needn't say so.
    os.environ["PYTHONWARNINGS"] = "ignore:resource_tracker"
    deadline = Deadline(seconds)
    threading.Thread(target=_hear, args=(pipe, deadline), daemon=True).start()
    post = Post(deadline, _Voice(pipe), lambda verified: pipe.send(("proven", verified)))
    with _gone_quietly():
        try:
            pipe.send(("done", task.run(post)))
        except (InputError, PlanRejectedError) as error:
            pipe.send(("fault", type(error)(error.findings)))
        except BrokenPipeError:
            raise
        except Exception as error:  # a fault of ours, whatever it is, belongs to whoever asked
            pipe.send(("fault", _plain(error)))


def _hear(pipe: Connection, deadline: Deadline) -> None:
    """Stop when asked to, or when whoever asked is gone."""
    with contextlib.suppress(EOFError, OSError):
        pipe.recv()
    deadline.interrupt()


@contextlib.contextmanager
def _gone_quietly() -> Iterator[None]:
    """End without a word when nobody listens any more."""
    with contextlib.suppress(BrokenPipeError):
        yield


class FaultElsewhereError(Exception):
    """A fault of ours in the searching process, by name and words."""

    def __init__(self, name: str, words: str) -> None:
        self.name = name
        super().__init__(name, words)


def _plain(error: Exception) -> FaultElsewhereError:
    """Name an error with the place in the program, as its traceback stays in the other process."""
    *_, last = traceback.extract_tb(error.__traceback__) or [None]
    place = "" if last is None else f" in {Path(last.filename).name}, line {last.lineno}"
    return FaultElsewhereError(f"{type(error).__name__}{place}", str(error))
