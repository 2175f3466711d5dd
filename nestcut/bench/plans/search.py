"""A search in a process of its own: the page stays awake, stop keeps the best."""

from __future__ import annotations

import contextlib
import multiprocessing
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from enum import StrEnum
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import Any

from nestcut import door
from nestcut.bench import shown


class Stage(StrEnum):
    """What a search is at."""

    IDLE = "idle"
    RUNNING = "running"
    DONE = "done"
    FAILED = "failed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What is searched for; ``label`` is how the page calls the result."""

    label: str
    effort: str
    joints: str
    seconds: float | None
    seed: int = 0
    workers: int = 1
    plan: str = ""
    """Text of the plan whose pinned pieces stay; empty: a whole new plan is searched."""
    pins: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    """Names of stock that a whole new plan does without."""
    goes_on: bool = False
    """Whether ``plan`` is of the job as it was, and what is cut of it stays."""
    spoilt: str = ""
    """Piece that has to be made again, with everything else as the plan has it."""


@dataclass(slots=True)
class Search:
    """The one search that runs for a job, and the results so far.

    Parameters
    ----------
    notify
        Called after every change, from any thread.
    """

    notify: Callable[[], None]
    stage: Stage = Stage.IDLE
    told: dict[str, Any] = field(default_factory=dict)
    """Where the search stands, as the page shows it."""
    glance: dict[str, Any] = field(default_factory=dict)
    """The best plan so far, small."""
    result: str = ""
    faults: list[dict[str, object]] = field(default_factory=list)
    wish: Wish | None = None
    started_s: float = 0.0
    _process: BaseProcess | None = None
    _pipe: Connection | None = None

    def begin(self, job: Path, wish: Wish, done: Callable[[str, Wish], None]) -> None:
        """Start searching; ``done`` gets the text of the proven plan.

        Parameters
        ----------
        job
            The job file; the search reads it in a process of its own.
        done
            Called from another thread with the text of the proven plan and the wish.
        """
        self.stop_at_once()
        context = multiprocessing.get_context("spawn")
        self._pipe, theirs = context.Pipe()
        self._process = context.Process(target=_search, args=(str(job), wish, theirs), daemon=False)
        self.stage, self.told, self.glance, self.faults = Stage.RUNNING, {}, {}, []
        self.wish = wish
        self.started_s = time.monotonic()
        self._process.start()
        theirs.close()
        threading.Thread(target=self._listen, args=(self._pipe, wish, done), daemon=True).start()
        self.notify()

    def stop(self) -> None:
        """Ask the search to stop and to hand over its best."""
        if self._pipe is not None and self.stage is Stage.RUNNING:
            with contextlib.suppress(OSError):
                self._pipe.send("stop")

    def stop_at_once(self) -> None:
        """End the process, whatever it has."""
        if self._process is not None and self._process.is_alive():
            self._process.terminate()
            self._process.join(5)
        self._process = None
        if self.stage is Stage.RUNNING:
            self.stage = Stage.IDLE

    def _listen(self, pipe: Connection, wish: Wish, done: Callable[[str, Wish], None]) -> None:
        try:
            while True:
                kind, matter = pipe.recv()
                if kind == "told":
                    self.told = matter  # whoever listens looks often enough by himself
                    continue
                if kind == "glance":
                    self.glance = matter
                    continue
                if kind == "plan":
                    done(matter, wish)  # the plan is kept before anyone is told that it's there
                    self.stage, self.result = Stage.DONE, matter
                else:
                    self.stage, self.faults = Stage.FAILED, matter
                self.notify()
        except (EOFError, OSError):
            if pipe is self._pipe and self.stage is Stage.RUNNING:
                self.stage = Stage.IDLE
                self.notify()


@dataclass(slots=True)
class _Teller:
    """A watcher that sends what it is told through a pipe: figures at most ten times a second.

    Layouts go with every better plan, as small pictures.
    """

    pipe: Connection
    job: door.Job
    last_s: float = 0.0

    def tell(self, progress: door.Progress) -> None:
        """Pass on where the search stands."""
        if progress.plan is not None:
            self.pipe.send(("glance", shown.glance(self.job, progress.plan)))
        now = time.monotonic()
        if progress.plan is None and now - self.last_s < 0.1:
            return
        self.last_s = now
        self.pipe.send(("told", shown.progress_view(self.job, progress)))


def _search(job_file: str, wish: Wish, pipe: Connection) -> None:
    """Plan a job in this process; what comes of it goes through the pipe."""
    stop = door.Deadline(wish.seconds)

    def hear() -> None:
        # The page's server being gone is a reason to stop as well.
        with contextlib.suppress(EOFError, OSError):
            pipe.recv()
        stop.interrupt()

    threading.Thread(target=hear, daemon=True).start()
    try:
        job = door.read_job(job_file)
        budget = door.Budget(
            effort=door.Effort(wish.effort),
            seconds=wish.seconds,
            seed=wish.seed,
            workers=wish.workers,
            joints=door.JointPreference(wish.joints),
        )
        watcher = _Teller(pipe, job)
        if not wish.plan:
            done = door.plan_without(job, wish.without, budget, watcher=watcher, stop=stop)
        elif wish.spoilt or wish.goes_on:
            old = door.take_up_text(wish.plan, job)
            events = door.Events(spoilt=frozenset({wish.spoilt} - {""}))
            done = door.continue_plan(
                old.job, old.plan, events, budget, watcher=watcher, stop=stop, was=old.was
            )
        else:
            plan = door.parse_plan(wish.plan, job)
            done = door.plan_rest(job, plan, wish.pins, budget, watcher=watcher, stop=stop)
        pipe.send(("plan", door.plan_text(done)))
    except door.InputError as error:
        speech = door.Speech()
        pipe.send(("fault", [door.finding_record(f, speech) for f in error.findings]))
    except door.PlanRejectedError as error:
        speech = door.Speech()
        pipe.send(("fault", [door.finding_record(f, speech) for f in error.findings]))
    pipe.close()
