"""Which sets of containers are worth trying: by area and by cost, nothing about shapes."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations

from nestcut.nesting.problem import Container, Nest, Problem
from nestcut.nesting.separating.arrays import Bin
from nestcut.tolerances.noise import LEAST_DIVISOR, NOISE

TARGETS = 4
"""Sets of containers that are tried by turns."""

FEW = 6
"""Emptiest containers of which two are given up for others."""


@dataclass(frozen=True, slots=True)
class Target:
    """A set of containers to try, as the instances to keep of the present one and those to add."""

    keep: tuple[Bin, ...]
    add: tuple[Bin, ...]
    cost: float
    area: float


@dataclass(frozen=True, slots=True)
class Room:
    """Areas of a problem's items and containers.

    ``areas`` are the usable areas of the container kinds, ``item_areas`` those of the items.
    """

    problem: Problem
    areas: dict[str, float]
    item_areas: dict[str, float]

    @property
    def wanted(self) -> float:
        """Area of all items."""
        return sum(self.item_areas.values())

    def by_price(self) -> list[Container]:
        """Container kinds, the cheapest for its area first."""
        return sorted(
            self.problem.containers,
            key=lambda c: (c.cost / max(self.areas[c.id], LEAST_DIVISOR), c.id),
        )

    def cost_bound(self) -> float:
        """Least cost of containers that have the items' area at all."""
        wanted, cost = self.wanted * (1.0 - NOISE), 0.0
        for kind in self.by_price():
            area = self.areas[kind.id]
            most = wanted / max(area, LEAST_DIVISOR)
            taken = most if kind.count is None else min(most, float(kind.count))
            cost += taken * kind.cost
            wanted -= taken * area
            if wanted <= 0.0:
                break
        priced = {c.cost for c in self.problem.containers if c.cost > 0.0}
        if len(priced) == 1:  # so many whole containers
            (price,) = priced
            return math.ceil(cost / price - NOISE) * price
        return cost

    def targets(self, best: Nest) -> list[Target]:
        """Sets of containers near the present one that would cost less and have the area."""
        by_id = {c.id: c for c in self.problem.containers}
        used = [Bin(by_id[kind], number) for kind, number in best.used]
        fill = self.fill(best)
        emptiest = sorted(used, key=lambda b: (fill[(b.container.id, b.number)], -b.container.cost))
        # one target for each multiset of kinds: the one that gives up the emptiest
        chosen: dict[tuple[str, ...], Target] = {}
        for add in self._adds(used):
            for drop in _drops(emptiest, add):
                bins = (*(b for b in used if b not in drop), *add)
                cost = sum(b.container.cost for b in bins)
                area = sum(self.areas[b.container.id] for b in bins)
                fewer = cost == best.cost and len(bins) < len(used)
                if (cost < best.cost or fewer) and area >= self.wanted * (1.0 - NOISE):
                    kinds = tuple(sorted(b.container.id for b in bins))
                    keep = tuple(b for b in used if b not in drop)
                    chosen.setdefault(kinds, Target(keep, add, cost, area))
        return sorted(chosen.values(), key=lambda t: (-t.area, t.cost))[:TARGETS]

    def _adds(self, used: list[Bin]) -> list[tuple[Bin, ...]]:
        """What could be taken instead: nothing, one container more, or two."""
        taken = {(b.container.id, b.number) for b in used}
        more: list[Bin] = []
        for container in self.problem.containers:
            most = len(used) + 2 if container.count is None else container.count
            free = [k for k in range(most) if (container.id, k) not in taken][:2]
            more.extend(Bin(container, k) for k in free)
        return [(), *((b,) for b in more), *combinations(more, 2)]

    def fill(self, nest: Nest) -> dict[tuple[str, int], float]:
        """Area placed in each container."""
        fill: dict[tuple[str, int], float] = {}
        for p in nest.placements:
            key = (p.container, p.number)
            fill[key] = fill.get(key, 0.0) + self.item_areas[p.item]
        return fill


def _drops(emptiest: list[Bin], add: tuple[Bin, ...]) -> Iterator[tuple[Bin, ...]]:
    """What could be given up for ``add``: one container, or two; the emptiest first."""
    new = {b.container.id for b in add}
    few = [b for b in emptiest if b.container.id not in new]
    yield from ((b,) for b in few)
    if add:
        yield from combinations(few[:FEW], 2)
