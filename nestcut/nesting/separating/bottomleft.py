"""One-pass bottom-left placing: the plain method to compare with, and a start for the search."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from nestcut.nesting.kernels.bottomleft import bottom_left
from nestcut.nesting.kernels.world import State, World
from nestcut.nesting.problem import FloatArray, IntArray
from nestcut.nesting.separating.separation import Search
from nestcut.tolerances.noise import NOISE

RUNGS = 48
"""Heights tried besides those that other items suggest."""


class BottomLeft:
    """Places items one by one, remembering which shapes a container had no room for."""

    def __init__(self, search: Search, areas: tuple[float, ...]) -> None:
        self.search = search
        self.refused: set[tuple[int, int, int]] = set()
        world, state = search.arrays.world, search.state
        self.free = [
            area - sum(float(world.size[i]) ** 2 for i in state.members[b, : state.filled[b]])
            for b, area in enumerate(areas)
        ]

    def place(self, i: int, bins: range) -> bool:
        """Put item i into the first of these containers that has room, leftmost, then lowest."""
        search = self.search
        world = search.arrays.world
        area = float(world.size[i]) ** 2
        first = world.option_first
        shape = (search.arrays.figure_of[i], int(world.option_slot[first[i]]))
        spot = np.zeros(4)
        for b in bins:
            if area > self.free[b] * (1.0 + NOISE) or (*shape, b) in self.refused:
                continue
            pair, plane = room_for_planes(world, search.state, b, shape[1])
            if bottom_left(world, search.state, i, b, RUNGS, np.inf, spot, pair, plane):
                option, turn, x, y = (float(v) for v in spot)
                search.put(i, b, int(option), turn, x, y)
                self.free[b] -= area
                return True
            if search.arrays.figure_of.count(shape[0]) > 1:
                self.refused.add((*shape, b))
        return False


def room_for_planes(world: World, state: State, b: int, s: int) -> tuple[IntArray, FloatArray]:
    """Return room for the half-planes of a slot's parts against those that lie in container b.

    Parameters
    ----------
    b, s
        Numbers of the container and of the slot.
    """
    slots = world.slots
    parts, corners = np.diff(slots.first), np.diff(slots.start[slots.first])
    lying = state.slot[state.members[b, : state.filled[b]]]
    if world.obstacle[b] >= 0:
        lying = np.append(lying, world.obstacle[b])
    pairs = parts[s] * parts[lying].sum()
    planes = parts[s] * corners[lying].sum() + corners[s] * parts[lying].sum()
    return np.empty(pairs + 1, dtype=np.int64), np.empty((planes, 3))


def by_area(search: Search) -> list[int]:
    """Items by falling area; equal ones in their order."""
    return [int(i) for i in np.argsort(-search.arrays.world.size, kind="stable")]


def place_all(
    search: Search, areas: tuple[float, ...], order: Sequence[int] | None = None
) -> list[int]:
    """Place every item, first container first; return those without room.

    ``areas`` are the usable areas of the containers; ``order`` is by falling area if None.

    Parameters
    ----------
    areas
        Usable area of each container, shape (containers,). [mm2]
    order
        Numbers of the items, first come, first placed; None: by falling area.
    """
    placing = BottomLeft(search, areas)
    bins = range(search.active)
    return [i for i in order or by_area(search) if not placing.place(i, bins)]
