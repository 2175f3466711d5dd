"""Choose the likeliest loads, try them, learn, choose again: until they all can be laid out."""

from __future__ import annotations

from collections import Counter

import numpy as np

from nestcut.nesting.arrays import Arrays, Bin, placement
from nestcut.nesting.loads.choice import Shelf, likeliest
from nestcut.nesting.loads.kinds import kinds_of, loads_within
from nestcut.nesting.loads.odds import Odds
from nestcut.nesting.loads.trial import Trial
from nestcut.nesting.problem import Budget, FloatArray, IntArray, Nest, NestPlacement
from nestcut.nesting.separation import Purse
from nestcut.search.streams import stream

MOST_LOADS = 100_000
"""Loads beyond which they aren't listed: choosing among more takes longer than it brings."""

TRIES = 6
"""Times that a load is thrown into its container before it counts as failed."""

HOPE = 0.08
"""How far above the mean of the present containers loads are thought as likely as not. [-]"""


class LoadSearch:
    """A search by loads for one problem; what it has learned stays for cheaper goals.

    It is open where all loads can be listed. ``spent`` are the passes that it has taken.
    """

    def __init__(self, arrays: Arrays, areas: dict[str, float], budget: Budget) -> None:
        self.arrays = arrays
        self.areas = areas
        self.budget = budget
        self.kinds = kinds_of(arrays)
        self.kind_of = {i: k for k, alike in enumerate(self.kinds.items) for i in alike}
        self.share = self.kinds.area / max(areas.values())
        self.rng = stream(budget.seed, budget.stream, "loads")
        self.layouts: list[FloatArray] = []
        self.shelves: tuple[Shelf, ...] = ()
        self.trials: list[Trial] = []
        self.spent = 0

    @property
    def is_open(self) -> bool:
        """Whether there is anything to choose among."""
        return bool(self.shelves)

    def open(self, best: Nest) -> None:
        """List the loads of each kind of container, and know those of a layout."""
        if best.cost <= 0.0:
            return
        shelves = []
        fill = self.kinds.area @ self.kinds.demand / sum(self.areas[kind] for kind, _ in best.used)
        for container in self.arrays.problem.containers:
            area = self.areas[container.id]
            loads = loads_within(self.kinds, area, MOST_LOADS)
            if loads is None:
                return
            if not len(loads):
                continue
            odds = Odds(loads, self.kinds.area, area, float(fill) + HOPE)
            shelves.append(Shelf(container, odds))
            name = f"{self.budget.stream}/loads {container.id}"
            self.trials.append(Trial(self.arrays, Bin(container, 0), self.budget.seed, name))
        self.shelves = tuple(shelves)
        self.learn_from(best)

    def learn_from(self, best: Nest) -> None:
        """Know the loads of a layout's containers."""
        for s, shelf in enumerate(self.shelves):
            search = self.trials[s].search
            for used in best.used:
                if used[0] == shelf.container.id:
                    self.trials[s].empty()
                    for p in best.placements:
                        if (p.container, p.number) == used:
                            search.place(p, 0)
                    self.keep(s, search.poses())

    def keep(self, s: int, poses: FloatArray) -> None:
        """Keep a container's layout."""
        held = self.count(np.flatnonzero(poses[:, 0] >= 0).tolist())
        self.shelves[s].odds.know(held, len(self.layouts))
        self.layouts.append(poses)

    def count(self, items: list[int]) -> IntArray:
        """How many of each kind these items are."""
        tally = Counter(self.kind_of[i] for i in items)
        return np.array([tally[k] for k in range(len(self.kinds.items))], dtype=np.int64)

    def go_on(self, below: float, purse: Purse) -> Nest:
        """Make one choice at a cost below this, and try what isn't known of it.

        Returns
        -------
        Its layout: of loads that failed as near as they came, with overlaps; items that the choice
        has no place for are unplaced.
        """
        choice = likeliest(self.shelves, self.kinds.demand, self.share, below, self.rng)
        before = purse.spent
        purse.spent += 1
        found: dict[tuple[int, int], FloatArray] = {}
        for s, k in sorted(set(choice)):
            odds = self.shelves[s].odds
            if odds.known[k] >= 0:
                found[s, k] = self.layouts[int(odds.known[k])]
                continue
            items = tuple(i for g, n in enumerate(odds.loads[k]) for i in self.kinds.items[g][:n])
            laid = self.trials[s].lay_out(items, TRIES, purse)
            found[s, k] = laid.poses
            if laid.is_sound:
                odds.hit(k)
                self.keep(s, laid.poses)
            else:
                odds.miss(k)
        self.spent += purse.spent - before
        return self.nest([(s, found[s, k]) for s, k in choice])

    def nest(self, layouts: list[tuple[int, FloatArray]]) -> Nest:
        """Deal the items out to layouts, (shelf, poses) each; what is too many stays out."""
        stacks = [list(alike) for alike in self.kinds.items]
        numbers: Counter[str] = Counter()
        placements: list[NestPlacement] = []
        for s, poses in layouts:
            shelf = self.shelves[s]
            target = Bin(shelf.container, numbers[shelf.container.id])
            numbers[shelf.container.id] += 1
            search = self.trials[s].search
            self.trials[s].empty()
            for lying in np.flatnonzero(poses[:, 0] >= 0).tolist():
                stack = stacks[self.kind_of[lying]]
                if not stack:
                    continue
                i = stack.pop()
                first = self.arrays.world.option_first
                option = int(first[i] + poses[lying, 1] - first[lying])
                turn, x, y = (float(v) for v in poses[lying, 2:5])
                search.put(i, 0, option, turn, x, y)
                placements.append(placement(self.arrays, search.state, i, (target,)))
        left = sorted(self.arrays.problem.items[i].id for stack in stacks for i in stack)
        return Nest(placements=tuple(placements), unplaced=tuple(left))
