"""Ways down to shorter and shorter strips, each of which can be left and gone on with."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from nestcut.nesting.problem import FloatArray
from nestcut.nesting.strips.basins import Basins
from nestcut.tolerances.search import EXPLORE, EXPLORE_LEAST, SQUEEZE_FIRST, SQUEEZE_LAST


@dataclass(frozen=True, slots=True)
class Steps:
    """How the length is taken back. Shares of the length; patience in passes.

    How long a step is tried is drawn from ``explore_patience``: items that are many and wound need
    long, others get further with more tries.
    A descent is left, and another begun, after ``least_idle`` passes for each item in which it got
    no shorter, but not before these are ``idle_share`` times those that it took to get there.
    Before that its best layout is squeezed, for ``squeeze_items`` passes for each item.
    """

    explore: float = EXPLORE
    explore_patience: tuple[int, int] = (100, 400)
    explore_least: float = EXPLORE_LEAST
    failures: int = 5
    least_idle: int = 600
    idle_share: float = 1.0
    squeeze_first: float = SQUEEZE_FIRST
    squeeze_last: float = SQUEEZE_LAST
    squeeze_patience: int = 120
    squeeze_items: int = 200


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A layout without overlaps: its length and poses, shape (n, 5)."""

    length: float
    poses: FloatArray


NOTHING = Found(np.inf, np.empty((0, 5)))
"""Before there is a layout."""


@dataclass(slots=True, eq=False)
class Descent:
    """One layout on its way to shorter ones.

    ``best`` is the shortest layout so far, ``spent`` the passes that went into the descent,
    ``found_after`` those of them when ``best`` was found. ``step`` is what is tried next, as a
    share of the length, after so many ``failures``; ``basins`` are the layouts that came near.
    """

    step: float
    best: Found = NOTHING
    spent: int = 0
    found_after: int = 0
    failures: int = 0
    basins: Basins = field(default_factory=Basins)

    @property
    def length(self) -> float:
        """Shortest length so far."""
        return self.best.length

    def keep(self, found: Found) -> None:
        """Take a shorter layout, found just now."""
        self.best, self.found_after = found, self.spent

    def succeed(self, steps: Steps) -> None:
        """Go on from a length that was reached, by a longer step."""
        self.step, self.failures = min(steps.explore, 1.5 * self.step), 0
        self.basins.clear()

    def fail(self, steps: Steps) -> None:
        """Count a length that wasn't reached; after some of them try a shorter step."""
        self.failures += 1
        if self.failures % steps.failures == 0:
            self.step = max(steps.explore_least, 0.6 * self.step)

    def patience(self, steps: Steps, items: int) -> float:
        """Passes that it may go on without getting any shorter."""
        return max(steps.least_idle * items, steps.idle_share * self.found_after)
