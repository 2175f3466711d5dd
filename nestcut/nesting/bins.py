"""Several containers, perhaps of several kinds: place everything at least cost."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from nestcut.model.plan import StopReason
from nestcut.nesting.arrays import Arrays, Bin, build
from nestcut.nesting.bottomleft import by_area, place_all, place_item
from nestcut.nesting.problem import (
    Budget,
    Container,
    FloatArray,
    Item,
    Nest,
    NestPlacement,
    Problem,
)
from nestcut.nesting.separation import Purse, Search

PATIENCE = 150
"""Passes without headway after which a set of containers is left for another try. [-]"""

POOL = 6
"""Least bad layouts kept for each set of containers."""


def usable_area(container: Container) -> float:
    """Area of a container that items may cover."""
    blocked = shapely.union_all([Polygon(b) for b in container.blocked])
    return float(Polygon(container.outline).difference(blocked).area)


def first_layout(problem: Problem, budget: Budget) -> Nest:
    """Place by falling area, bottom-left, containers that cost nothing first: one pass.

    Items that no container has room for are listed as unplaced.
    """
    return BinSearch(problem, budget).first()


def pack_bins(problem: Problem, budget: Budget, start: Nest | None = None) -> Nest:
    """Place all items at least cost of containers.

    Parameters
    ----------
    problem
        Items and containers.
    budget
        Work, time, seed.
    start
        A valid layout to improve on (of the same problem); None: the one-pass layout.

    Returns
    -------
    The best layout found. Items that fit nowhere are unplaced; ``stopped_by`` is PROVEN where the
    cost meets the area bound.
    """
    return BinSearch(problem, budget).run(start)


def fits(
    items: tuple[Item, ...], container: Container, budget: Budget, *, simplify: float = 0.0
) -> Nest | None:
    """Place all of these items in one container, or return None if the budget runs out first."""
    problem = Problem(items=items, containers=(replace(container, count=1),), simplify=simplify)
    return settle(problem, ((container.id, 0),), budget)


def settle(
    problem: Problem,
    containers: tuple[tuple[str, int], ...],
    budget: Budget,
    start: tuple[NestPlacement, ...] = (),
) -> Nest | None:
    """Place all items in exactly these containers (kind, number), from ``start`` where given.

    ``start`` may overlap and may be incomplete. Returns None if the budget runs out first.
    """
    search = BinSearch(problem, budget)
    by_id = {c.id: c for c in problem.containers}
    bins = tuple(Bin(by_id[kind], number) for kind, number in containers)
    if sum(usable_area(b.container) for b in bins) < search.area * (1.0 - 1e-9):
        return None
    attempt = search.attempt(bins)
    attempt.begin_at(start)
    while search.purse.left and not attempt.found:
        attempt.go_on(search.purse)
    return attempt.nest(search.purse) if attempt.found else None


@dataclass(frozen=True, slots=True)
class Target:
    """A set of containers to try, as the instances to keep of the present one and those to add."""

    keep: tuple[Bin, ...]
    add: tuple[Bin, ...]
    cost: float
    area: float


class Attempt:
    """Trying to place everything in one set of containers, in instalments."""

    def __init__(self, arrays: Arrays, bins: tuple[Bin, ...], seed: int, name: str) -> None:
        self.bins = bins
        self.search = Search(arrays.on(bins), bins, seed, name)
        self.found = False
        self.pool: list[tuple[float, int, FloatArray]] = []
        self.serial = 0
        self.began = False
        self.poses: FloatArray = np.empty((0, 5))

    def begin_at(self, placements: tuple[NestPlacement, ...]) -> None:
        """Start from placements (those in containers of this set count); place the rest."""
        search = self.search
        index = {(b.container.id, b.number): k for k, b in enumerate(self.bins)}
        for p in placements:
            b = index.get((p.container, p.number), -1)
            if b >= 0:
                search.place(p, b)
        for i in by_area(search):
            if search.state.where[i] < 0 and not place_item(search, i, range(len(self.bins))):
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


class BinSearch:
    """One search for a cheap set of containers."""

    def __init__(self, problem: Problem, budget: Budget) -> None:
        self.problem = problem
        self.budget = budget
        self.purse = Purse.of(budget)
        self.arrays = build(problem)
        self.area = sum(self.arrays.area(i) for i in range(len(problem.items)))
        self.areas = {c.id: usable_area(c) for c in problem.containers}
        self.serial = 0

    def attempt(self, bins: tuple[Bin, ...]) -> Attempt:
        """Open an attempt with its own stream of chance."""
        self.serial += 1
        name = f"{self.budget.stream}/{self.serial}"
        return Attempt(self.arrays, bins, self.budget.seed, name)

    def all_bins(self) -> tuple[Bin, ...]:
        """Every container instance that could be of use, the cheapest by area first."""
        n = len(self.problem.items)
        most = [n if c.count is None else min(n, c.count) for c in self.problem.containers]
        order = sorted(
            range(len(most)),
            key=lambda k: (
                self.problem.containers[k].cost
                / max(1e-300, self.areas[self.problem.containers[k].id]),
                k,
            ),
        )
        return tuple(
            Bin(self.problem.containers[k], number) for k in order for number in range(most[k])
        )

    def first(self) -> Nest:
        """One pass of bottom-left."""
        bins = self.all_bins()
        search = Search(self.arrays.on(bins), bins, self.budget.seed, self.budget.stream)
        left = place_all(search)
        return self.finish(
            Nest(
                placements=search.placements(),
                unplaced=tuple(self.problem.items[i].id for i in sorted(left)),
                work=self.purse.spent,
            )
        )

    def finish(self, nest: Nest) -> Nest:
        """Return the nest with its cost worked out."""
        cost = {c.id: c.cost for c in self.problem.containers}
        return replace(nest, cost=sum(cost[kind] for kind, _ in nest.used), work=self.purse.spent)

    def run(self, start: Nest | None) -> Nest:
        """Improve until the budget is gone or nothing cheaper can exist."""
        best = self.finish(start) if start is not None else self.first()
        self.budget.progress(best)
        if best.unplaced:
            # what fits nowhere can't be helped here; go on with the rest
            best = self._without_room(best)
        open_targets: dict[tuple[tuple[str, int], ...], Attempt] = {}
        while True:
            targets = self.targets(best)
            if not targets:
                return replace(best, stopped_by=StopReason.PROVEN, work=self.purse.spent)
            if not self.purse.left:
                return replace(best, stopped_by=self.purse.stopped_by(), work=self.purse.spent)
            better = self.round(best, targets, open_targets)
            if better is not None:
                best = better
                open_targets.clear()
                self.budget.progress(best)

    def _without_room(self, best: Nest) -> Nest:
        return best

    def round(
        self,
        best: Nest,
        targets: list[Target],
        attempts: dict[tuple[tuple[str, int], ...], Attempt],
    ) -> Nest | None:
        """Give each target an instalment, the roomiest first; return the first success."""
        for target in targets:
            bins = target.keep + target.add
            key = tuple(sorted((b.container.id, b.number) for b in bins))
            if key not in attempts:
                attempts[key] = self.attempt(bins)
                attempts[key].begin_at(best.placements)
            attempt = attempts[key]
            if not attempt.found:
                attempt.go_on(self.purse)
            if attempt.found:
                return self.finish(attempt.nest(self.purse))
            if not self.purse.left:
                return None
        return None

    def targets(self, best: Nest) -> list[Target]:
        """Sets of containers near the present one that would cost less and have the area."""
        by_id = {c.id: c for c in self.problem.containers}
        used = [Bin(by_id[kind], number) for kind, number in best.used]
        taken = {(b.container.id, b.number) for b in used}
        fill = self.fill(best)
        adds: list[tuple[Bin, ...]] = [()]
        for container in self.problem.containers:
            free = (k for k in range(len(used) + 1) if (container.id, k) not in taken)
            number = next(free)
            if container.count is None or number < container.count:
                adds.append((Bin(container, number),))
        targets = []
        for add in adds:
            for drop in self.drops(used, fill, add):
                keep = tuple(b for b in used if b not in drop)
                bins = keep + add
                cost = sum(b.container.cost for b in bins)
                area = sum(self.areas[b.container.id] for b in bins)
                fewer = cost == best.cost and len(bins) < len(used)
                if (cost < best.cost or fewer) and area >= self.area * (1.0 - 1e-9):
                    targets.append(Target(keep, add, cost, area))
        # one target for each multiset of kinds: the one that drops the emptiest
        chosen: dict[tuple[str, ...], Target] = {}
        for target in targets:
            kinds = tuple(sorted(b.container.id for b in target.keep + target.add))
            chosen.setdefault(kinds, target)
        return sorted(chosen.values(), key=lambda t: (-t.area, t.cost))[:4]

    def drops(
        self, used: list[Bin], fill: dict[tuple[str, int], float], add: tuple[Bin, ...]
    ) -> list[tuple[Bin, ...]]:
        """Return what could be given up: one container, or two for one; the emptiest first."""
        order = sorted(used, key=lambda b: (fill[(b.container.id, b.number)], -b.container.cost))
        ones = [(b,) for b in order]
        if not add:
            return list(ones)
        few = order[:6]
        twos = [(a, b) for k, a in enumerate(few) for b in few[k + 1 :]]
        return [d for d in [*ones, *twos] if all(b.container.id != add[0].container.id for b in d)]

    def fill(self, nest: Nest) -> dict[tuple[str, int], float]:
        """Area placed in each container."""
        area = {item.id: self.arrays.area(i) for i, item in enumerate(self.problem.items)}
        fill: dict[tuple[str, int], float] = {}
        for p in nest.placements:
            key = (p.container, p.number)
            fill[key] = fill.get(key, 0.0) + area[p.item]
        return fill
