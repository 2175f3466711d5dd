"""One-pass bottom-left placing: the plain method to compare with, and a start for the search."""

from __future__ import annotations

import numpy as np

from nestcut.nesting.kernels.bottomleft import bottom_left
from nestcut.nesting.separation import Search

RUNGS = 48
"""Heights tried besides those that other items suggest."""


def place_item(search: Search, i: int, bins: range) -> bool:
    """Put item i into the first of these containers that has room, leftmost, then lowest."""
    spot = np.zeros(4)
    world = search.arrays.world
    for b in bins:
        if bottom_left(world, search.state, i, b, RUNGS, np.inf, spot):
            option, turn, x, y = (float(v) for v in spot)
            search.put(i, b, int(option), turn, x, y)
            return True
    return False


def by_area(search: Search) -> list[int]:
    """Items by falling area; equal ones in their order."""
    return [int(i) for i in np.argsort(-search.arrays.world.size, kind="stable")]


def place_all(search: Search) -> list[int]:
    """Place every item by falling area, first container first; return those without room."""
    bins = range(search.active)
    left = [i for i in by_area(search) if not place_item(search, i, bins)]
    search.refresh()
    return left
