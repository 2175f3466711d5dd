"""Layouts whose overlaps could not be solved, kept as places to set out from again."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nestcut.nesting.problem import FloatArray
from nestcut.tolerances.search import SAME_BASIN

MOST = 200
"""Layouts kept."""


WEAR = 1.15
"""Factor on a layout's standing for each search from it that brought nothing. [-]"""

SPREAD = 0.3
"""Standard deviation of a drawn place, as a share of the places. [-]"""


@dataclass(slots=True)
class Basin:
    """The least overlapping layout of a search that failed.

    ``standing`` is its overlap, made worse by every search that came back to it.
    """

    overlap: float
    poses: FloatArray
    standing: float

    def wear(self) -> None:
        """Make it less likely to be drawn."""
        self.standing *= WEAR


class Basins:
    """Layouts of failed searches at one length, drawn with a preference for little overlap.

    A layout that searches keep returning to moves back, or all of them would end there: it has
    little overlap, so it would be drawn again and again. (Pools of infeasible layouts, drawn by
    rank: Gardeyn, Vanden Berghe & Wauters 2025, from memory; the wear is ours.)
    """

    def __init__(self) -> None:
        self.kept: list[Basin] = []
        self.origin: Basin | None = None

    def clear(self) -> None:
        """Forget all: the length has been reached."""
        self.kept.clear()
        self.origin = None

    def add(self, overlap: float, poses: FloatArray) -> None:
        """Take the layout that a search from the one drawn last ended in."""
        found = next(
            (b for b in self.kept if abs(b.overlap - overlap) < SAME_BASIN * overlap), None
        )
        if self.origin is not None and self.origin is not found:
            self.origin.wear()
        if found is None:
            self.kept.append(Basin(overlap, poses, overlap))
        else:
            if overlap < found.overlap:
                found.standing *= overlap / found.overlap
                found.overlap, found.poses = overlap, poses
            found.wear()
        self.kept.sort(key=lambda basin: basin.standing)
        del self.kept[MOST:]

    def draw(self, rng: np.random.Generator) -> FloatArray:
        """Return a kept layout's poses; those of little overlap come up most often."""
        place = int(len(self.kept) * abs(rng.normal(0.0, SPREAD))) % len(self.kept)
        self.origin = self.kept[place]
        return self.origin.poses
