"""Papers made beside the search, so that they are there when someone wants to stop.

Drawing and printing takes seconds.  A process of its own makes the papers of the best plan so far
while the search goes on, and again whenever a better plan has stood for a while: what a stop finds
ready is only moved into its place.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import platform
import signal
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import Enum
from multiprocessing.process import BaseProcess
from pathlib import Path
from types import TracebackType
from typing import Protocol, Self

from nestcut.door.job import Job
from nestcut.door.lengths import LengthStyle
from nestcut.door.papers import PRINTERS, Paper, load, make_papers
from nestcut.door.search import StopReason, VerifiedPlan
from nestcut.tolerances.search import (
    LATE_S,
    LISTS_PER_PIECE_S,
    PAPERS_PER_PIECE_S,
    PRESS_BEAT_S,
)

_SETTLE_S = 0.5
"""A plan is printed once it has stood so long: others often follow at once. [s]"""
_REST = 3.0
"""Printing again waits so many times as long as the last printing took. [-]"""
_GUESS_S, _GUESS_PER_PIECE_S = 0.3, PAPERS_PER_PIECE_S
"""Time for papers before any were made (beach boat, 98 pieces: 3.2 s of processor time). [s]"""


class _State(Enum):
    NONE = "none"
    RUNNING = "running"
    READY = "ready"
    FAILED = "failed"


@dataclass(slots=True)
class _Print:
    """One printing: of which plan, where to, and how far it is."""

    verified: VerifiedPlan
    place: Path
    process: BaseProcess
    begun_s: float
    state: _State = _State.RUNNING


class Printer(Protocol):
    """Who makes papers while a search goes on."""

    takes_s: float
    """How long papers take. [s]"""
    lists_s: float
    """How long plan.json and the lists take, without papers. [s]"""

    def tend(self, best: VerifiedPlan | None) -> None:
        """Look how the printing goes, and begin another where that is due."""

    def expects_s(self, verified: VerifiedPlan) -> float:
        """How long the papers of a plan will take from now on. [s]"""


class NoPapers:
    """A printer for searches whose plans nobody prints at once."""

    takes_s = 0.0
    lists_s = 0.0

    def tend(self, best: VerifiedPlan | None) -> None:
        """Print nothing."""

    def expects_s(self, verified: VerifiedPlan) -> float:
        """Take no time."""
        del verified
        return 0.0


class Press:
    """Makes papers of one plan at a time; the last finished ones are kept.

    Parameters
    ----------
    job
        Tells how many pieces there may be.
    paper, style
        As of :func:`nestcut.door.papers.make_papers`.
    make
        What makes the papers of a plan in a folder.
    """

    def __init__(
        self,
        job: Job,
        paper: Paper,
        style: LengthStyle,
        make: Callable[[VerifiedPlan, Path, Paper, LengthStyle], None] = make_papers,
    ) -> None:
        self._matter = make, paper, style
        self._folder = tempfile.TemporaryDirectory(prefix="nestcut-papers-")
        self._n = 0
        self._print: _Print | None = None
        self._seen: VerifiedPlan | None = None
        self._seen_s = 0.0
        self._rest_until_s = 0.0
        self.takes_s = _GUESS_S + _GUESS_PER_PIECE_S * n_parts(job)
        """How long papers take: guessed at first, then measured. [s]"""
        self.lists_s = LISTS_PER_PIECE_S * n_parts(job)
        self._cold = list(PRINTERS)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        del kind, error, trace
        self._end()
        self._folder.cleanup()

    def tend(self, best: VerifiedPlan | None) -> None:
        """Look how the printing goes, and begin another where a better plan has stood a while."""
        if self._cold:
            load(self._cold.pop(0))
            return
        self._look()
        now = time.monotonic()
        if best is not self._seen:
            self._seen, self._seen_s = best, now
        is_busy = self._print is not None and self._print.state is _State.RUNNING
        if best is None or is_busy or now < max(self._seen_s + _SETTLE_S, self._rest_until_s):
            return
        if self._print is None or not is_same(self._print.verified, best):
            self._begin(best)

    def is_at(self, verified: VerifiedPlan) -> bool:
        """Whether papers of a plan are ready or being made."""
        self._look()
        own = self._print
        return (
            own is not None
            and own.state in {_State.READY, _State.RUNNING}
            and is_same(own.verified, verified)
        )

    def expects_s(self, verified: VerifiedPlan) -> float:
        """How long the papers of a plan will take from now on; 0 where they are ready. [s]"""
        if not self.is_at(verified) or self._print is None:
            return self.takes_s
        if self._print.state is _State.READY:
            return 0.0
        return max(0.1, self.takes_s - (time.monotonic() - self._print.begun_s))

    def finish(self, verified: VerifiedPlan, left_s: Callable[[], float]) -> Path | None:
        """Make the papers of a plan, or wait for them, as long as there is time.

        Past a stop or the limit, only what may be expected to be done in time is waited for; what
        isn't is ended, as lists are still to be written, and quickly.

        Parameters
        ----------
        left_s
            Says how much time is left; asked again and again, as someone may want to stop. [s]

        Returns
        -------
        Path or None
            The folder with the papers; None: there was no time, or they can't be made.
        """
        if not self.is_at(verified):
            if self._is_too_late(verified, left_s()):
                self._give_up()
                return None
            self._begin(verified)
        while self._print is not None and self._print.state is _State.RUNNING:
            if self._is_too_late(verified, left_s()):
                self._give_up()
                return None
            self._print.process.join(PRESS_BEAT_S)
            self._look()
        own = self._print
        return own.place if own is not None and own.state is _State.READY else None

    def _give_up(self) -> None:
        """End what is being printed; a printing that failed is still known as that."""
        if self._print is not None and self._print.state is _State.RUNNING:
            self._end()

    def _is_too_late(self, verified: VerifiedPlan, left_s: float) -> bool:
        return left_s <= 0.0 or self.expects_s(verified) > left_s <= LATE_S

    @property
    def has_failed(self) -> bool:
        """Whether the last printing came to nothing: a fault of ours, or no room for it."""
        return self._print is not None and self._print.state is _State.FAILED

    def _begin(self, verified: VerifiedPlan) -> None:
        self._end()
        self._n += 1
        place = Path(self._folder.name) / str(self._n)
        # On Linux the process is a copy of this one, which costs nothing; elsewhere it loads anew.
        kind = "fork" if platform.system() == "Linux" else "spawn"
        context = multiprocessing.get_context(kind)
        process: BaseProcess = context.Process(  # type: ignore[attr-defined]
            target=_make, args=(self._matter, verified, place)
        )
        process.start()
        self._print = _Print(verified, place, process, time.monotonic())

    def _look(self) -> None:
        own = self._print
        if own is None or own.state is not _State.RUNNING or own.process.is_alive():
            return
        now = time.monotonic()
        own.state = _State.READY if own.process.exitcode == 0 else _State.FAILED
        if own.state is _State.READY:
            self.takes_s = now - own.begun_s
            self._rest_until_s = now + _REST * self.takes_s

    def _end(self) -> None:
        if self._print is not None and self._print.process.is_alive():
            self._print.process.kill()
            self._print.process.join()
        self._print = None


def _make(
    matter: tuple[Callable[[VerifiedPlan, Path, Paper, LengthStyle], None], Paper, LengthStyle],
    verified: VerifiedPlan,
    place: Path,
) -> None:
    """Make papers; runs in the other process, whose exit status tells how it went."""
    for number in (signal.SIGINT, signal.SIGTERM):
        signal.signal(number, signal.SIG_IGN)  # Ctrl-C reaches both; the other one decides
    make, paper, style = matter
    place.mkdir()
    # What fails here is told by whoever makes the papers again, in the process that was asked.
    with contextlib.redirect_stderr(None):
        make(verified, place, paper, style)


def n_parts(job: Job) -> int:
    """How many parts a job asks for, copies counted. [-]"""
    return sum(p.count for p in job.sheet_parts) + sum(r.count for r in job.rail_parts)


def is_same(one: VerifiedPlan, other: VerifiedPlan) -> bool:
    """Whether two plans have the same papers: who cut the search short is on none of them."""
    return one is other or _unstopped(one) == _unstopped(other)


def _unstopped(verified: VerifiedPlan) -> VerifiedPlan:
    plan = verified.plan
    if plan.stopped_by is not StopReason.TIME_UP:
        return verified
    return replace(verified, plan=replace(plan, stopped_by=StopReason.INTERRUPTED))
