"""How hard, how long and with what luck to search.

Effort is an amount of work, so a run can be repeated; seconds are a safety net on top of it, and
a plan cut short by them says so.
"""

from __future__ import annotations

import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Protocol

from nestcut.model.plan import StopReason
from nestcut.model.progress import Progress


class Effort(StrEnum):
    """An amount of work."""

    QUICK = "quick"
    NORMAL = "normal"
    THOROUGH = "thorough"


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """What a search may spend.

    Parameters
    ----------
    seed
        Source of all chance.
    effort
        Amount of work.
    seconds
        Wall-clock limit on the whole search; None: none.
    workers
        Processes that search side by side; the result depends on it.
    """

    seed: int = 0
    effort: Effort = Effort.NORMAL
    seconds: float | None = None
    workers: int = 1


class Watcher(Protocol):
    """Who is told how the search goes. Called from the main thread only."""

    def tell(self, progress: Progress) -> None:
        """Take note of where the search stands."""


class Silent:
    """A watcher that isn't interested."""

    def tell(self, progress: Progress) -> None:
        """Do nothing."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """A watcher of one of several jobs alike, done one after the other: shares are of all."""

    watcher: Watcher
    done: int
    of: int

    def tell(self, progress: Progress) -> None:
        """Pass on where the search stands."""
        share = (self.done + progress.share) / self.of
        self.watcher.tell(replace(progress, share=share))


@dataclass(slots=True)
class Deadline:
    """The time that is left, and whether anyone has called a halt.

    ``interrupt`` may be called from a signal handler; solvers ask ``stop_reason`` between steps.
    """

    seconds: float | None = None
    clock: Callable[[], float] = time.monotonic
    _end: float | None = field(init=False, default=None)
    _interrupted_at: float | None = field(init=False, default=None)

    def __post_init__(self) -> None:
        if self.seconds is not None:
            self._end = self.clock() + self.seconds

    def interrupt(self) -> None:
        """Ask every solver to stop at its next step and hand back its best."""
        if self._interrupted_at is None:
            self._interrupted_at = self.clock()

    def remaining_s(self) -> float:
        """Seconds left; infinity without a limit, 0 once interrupted. [s]"""
        if self._interrupted_at is not None:
            return 0.0
        return float("inf") if self._end is None else max(0.0, self._end - self.clock())

    def stop_reason(self) -> StopReason | None:
        """Why to stop now, or None to go on."""
        if self._interrupted_at is not None:
            return StopReason.INTERRUPTED
        if self._end is not None and self.clock() >= self._end:
            return StopReason.TIME_UP
        return None

    def ends_in_s(self, late_s: float) -> float:
        """Seconds until ``late_s`` after the stop, or after the limit; infinity without both. [s]

        Below zero once that has passed.
        """
        ends = [end for end in (self._interrupted_at, self._end) if end is not None]
        return min(ends) + late_s - self.clock() if ends else float("inf")
