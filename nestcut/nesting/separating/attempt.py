"""Trying to place everything in one set of containers, in instalments."""

from __future__ import annotations

import numpy as np

from nestcut.nesting.problem import FloatArray, Nest, NestPlacement
from nestcut.nesting.separating.arrays import Arrays, Bin
from nestcut.nesting.separating.bottomleft import BottomLeft, by_area
from nestcut.nesting.separating.separation import Purse, Search

PATIENCE = 150
"""Passes without headway after which a set of containers is left for another try. [-]"""

POOL = 6
"""Least bad layouts kept for each set of containers."""


class Attempt:
    """Trying to place everything in one set of containers, in instalments."""

    def __init__(self, arrays: Arrays, bins: tuple[Bin, ...], seed: int, name: str) -> None:
        self.bins = bins
        self.areas = tuple(b.container.area for b in bins)
        self.search = Search(arrays.on(bins), bins, seed, name)
        self.found = False
        self.pool: list[tuple[float, int, FloatArray]] = []
        self.serial = 0
        self.poses: FloatArray = np.empty((0, 5))

    def begin_at(self, placements: tuple[NestPlacement, ...]) -> None:
        """Start from placements (those in containers of this set count); place the rest."""
        search = self.search
        index = {(b.container.id, b.number): k for k, b in enumerate(self.bins)}
        for p in placements:
            b = index.get((p.container, p.number), -1)
            if b >= 0:
                search.place(p, b)
        placing = BottomLeft(search, self.areas)
        for i in by_area(search):
            if search.state.where[i] < 0 and not placing.place(i, range(len(self.bins))):
                self.drop_in(i)
        search.refresh()
        self.found = search.overlap == 0.0 and bool((search.state.where >= 0).all())
        self.poses = search.poses()

    def drop_in(self, i: int) -> None:
        """Put item i somewhere, never mind the overlap."""
        search = self.search
        world, rng = search.arrays.world, search.rng
        first = world.option_first
        choices = [
            (b, o) for b in range(len(self.bins)) for o in range(int(first[i]), int(first[i + 1]))
        ]
        rng.shuffle(choices)
        for b, option in choices:
            box = world.slots.box[world.option_slot[option]]
            frame = world.frame[b]
            low, high = frame[:2] - box[:2], frame[2:] - box[2:]
            if (low <= high + world.tolerance).all() or (b, option) == choices[-1]:
                at = rng.uniform(np.minimum(low, high), np.maximum(low, high))
                turn = float(world.option_turn[option])
                search.put(i, b, option, turn, float(at[0]), float(at[1]))
                return

    def go_on(self, purse: Purse) -> None:
        """One more instalment: separate, and shake the layout if that fails."""
        search = self.search
        search.restore(self.poses)
        search.forget()
        if search.separate(purse, 10**9, PATIENCE):
            self.found = True
            self.poses = search.poses()
            return
        n = len(search.arrays.problem.items)
        self.serial += 1
        self.pool.append((float(search.best[n, 0]), self.serial, search.best[:n, :5].copy()))
        self.pool.sort(key=lambda entry: entry[:2])
        del self.pool[POOL:]
        pick = int(len(self.pool) * abs(search.rng.normal(0.0, 0.35))) % len(self.pool)
        search.restore(self.pool[pick][2])
        search.swap_two()
        self.poses = search.poses()

    def nest(self, purse: Purse) -> Nest:
        """Return the layout that was found."""
        self.search.restore(self.poses)
        placements = self.search.placements()
        used = {(p.container, p.number) for p in placements}
        cost = sum(b.container.cost for b in self.bins if (b.container.id, b.number) in used)
        return Nest(placements=placements, cost=cost, work=purse.spent)
