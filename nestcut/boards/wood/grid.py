"""Whole numbers for exact solvers: one unit that all lengths of a problem are multiples of.

Lengths are taken in nanometres first, because every fraction of an inch down to 1/64 is a whole
number of them (1/64 in = 396 875 nm) and so is every millimetre; their greatest common divisor is
the unit.  Where that would be finer than needed, a coarser unit is taken, pieces are rounded
up and stock is rounded down: a solution stays valid, and the unit is stated.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from nestcut.tolerances import NM_PER_MM

MOST_UNITS = 200_000
"""Most units a stock length may count: what a table of this size costs is milliseconds."""


def nm(length_mm: float) -> int:
    """Nearest whole number of nanometres."""
    return round(length_mm * NM_PER_MM)


@dataclass(frozen=True, slots=True)
class Grid:
    """A unit of length, in nanometres."""

    unit_nm: int

    def up(self, length_mm: float) -> int:
        """Return a length in units, rounded up: for what is needed."""
        return -(-nm(length_mm) // self.unit_nm)

    def down(self, length_mm: float) -> int:
        """Return a length in units, rounded down: for what there is."""
        return nm(length_mm) // self.unit_nm

    def to_mm(self, units: int) -> float:
        """Return a number of units as a length. [mm]"""
        return units * self.unit_nm / NM_PER_MM


def common_grid(lengths_mm: Iterable[float], longest_mm: float) -> Grid:
    """Return the coarsest exact grid, or one of ``MOST_UNITS`` units where that is too fine."""
    unit = 0
    for length in lengths_mm:
        unit = math.gcd(unit, nm(length))
    coarse = -(-nm(longest_mm) // MOST_UNITS)
    return Grid(max(1, unit, coarse) if unit < coarse else unit)
