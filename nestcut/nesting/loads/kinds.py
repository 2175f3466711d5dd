"""Items that are alike, and the loads that a container has the area for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nestcut.nesting.arrays import Arrays
from nestcut.nesting.problem import FloatArray, IntArray, Item

SLACK = 1e-9
"""Share of the area that rounding may take. [-]"""


@dataclass(frozen=True, slots=True, eq=False)
class Kinds:
    """Items by kind, the largest kind first: their numbers, and the area of one of each kind."""

    items: tuple[tuple[int, ...], ...]
    area: FloatArray

    @property
    def demand(self) -> IntArray:
        """How many there are of each kind."""
        return np.array([len(alike) for alike in self.items], dtype=np.int64)


def kinds_of(arrays: Arrays) -> Kinds:
    """Sort a problem's items by what makes them interchangeable: shape, images and turns."""
    found: dict[tuple[object, ...], list[int]] = {}
    for i, item in enumerate(arrays.problem.items):
        found.setdefault((arrays.figure_of[i], *_freedom(item)), []).append(i)
    alike = sorted(found.values(), key=lambda numbers: (-arrays.area(numbers[0]), numbers))
    return Kinds(
        items=tuple(map(tuple, alike)), area=np.array([arrays.area(some[0]) for some in alike])
    )


def _freedom(item: Item) -> tuple[object, ...]:
    return item.images, item.turns.centres_deg, item.turns.span_deg


def loads_within(kinds: Kinds, area: float, most: int) -> IntArray | None:
    """All loads of up to so much area, shape (loads, kinds): how many of each kind.

    None if there are more than ``most``, which is more than is worth listing.
    """
    loads = np.zeros((1, len(kinds.area)), dtype=np.int64)
    for k, (alike, each) in enumerate(zip(kinds.items, kinds.area, strict=True)):
        grown = [loads]
        for _ in alike:
            more = grown[-1][grown[-1] @ kinds.area + each <= area * (1.0 + SLACK)]
            if not len(more):
                break
            more[:, k] += 1
            grown.append(more)
            if sum(map(len, grown)) > most + 1:
                return None
        loads = np.vstack(grown)
    return loads[1:]  # without the empty one
