"""Several containers, perhaps of several kinds: place everything at least cost."""

from __future__ import annotations

from dataclasses import replace

from nestcut.model.plan import StopReason
from nestcut.nesting.exact.areas import full_sets
from nestcut.nesting.exact.jigsaw import Jigsaw
from nestcut.nesting.problem import (
    Budget,
    Nest,
    NestPlacement,
    Problem,
)
from nestcut.nesting.separating.arrays import Bin, build
from nestcut.nesting.separating.attempt import Attempt
from nestcut.nesting.separating.bottomleft import place_all
from nestcut.nesting.separating.room import Room, Target
from nestcut.nesting.separating.separation import Purse, Search
from nestcut.nesting.workers import crew, side_by_side
from nestcut.search.streams import stream
from nestcut.tolerances.noise import FULL_SHARE, NOISE

ROUNDS = 4
"""Rounds in which workers search side by side, comparing notes in between."""

TRIES_TO_FILL = 60
"""Instalments spent on putting one container's exact fill together."""

JIGSAW_SHARE = 0.5
"""Share of the budget that may go into matching corners."""

FILL_SHARE = 0.8
"""Share of the budget that may go into exact fills."""

TRIES_TO_ADD = 3
"""Instalments spent on finding room for one more item."""


def first_layout(problem: Problem, budget: Budget) -> Nest:
    """Place by falling area, bottom-left, containers that cost nothing first: one pass.

    Items that no container has room for are listed as unplaced.
    """
    if not problem.items or not problem.containers:
        return Nest(placements=(), unplaced=tuple(i.id for i in problem.items))
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
    if not problem.items or not problem.containers:
        return first_layout(problem, budget)
    if budget.workers <= 1:
        return BinSearch(problem, budget).run(start)
    best = start if start is not None else BinSearch(problem, budget).first()
    budget.progress(best)
    if budget.deadline.stop_reason() is not None:
        return best
    with crew(budget) as manned:
        return _rounds(problem, best, manned)


def _rounds(problem: Problem, best: Nest, budget: Budget) -> Nest:
    """Search side by side, comparing notes between rounds."""
    work = 0
    reason: StopReason | None = None
    for k in range(ROUNDS):
        seconds = budget.deadline.remaining_s() / (ROUNDS - k)
        nests = side_by_side(_one_search, (problem, best), budget.part(k, ROUNDS), seconds)
        work += sum(n.work for n in nests)
        found = min([best, *nests], key=lambda n: (len(n.unplaced), n.cost, len(n.used)))
        if found is not best:
            best = found
            budget.progress(best)
        reason = budget.deadline.stop_reason()
        if any(n.stopped_by is StopReason.PROVEN for n in nests):
            reason = StopReason.PROVEN
        if reason is not None:
            break
    return replace(best, work=work, stopped_by=reason or StopReason.WORK_DONE)


def _one_search(problem: Problem, start: Nest, budget: Budget) -> Nest:
    """One worker's search."""
    return BinSearch(problem, budget).run(start)


def settle(
    problem: Problem,
    containers: tuple[tuple[str, int], ...],
    budget: Budget,
    start: tuple[NestPlacement, ...] = (),
) -> Nest | None:
    """Place all items in exactly these containers (kind, number), from ``start`` where given.

    ``start`` may overlap and may be incomplete. Returns None if the budget runs out first.

    Parameters
    ----------
    containers
        The id and number of each container that is to be used.
    start
        Where items lie to begin with; they may overlap, and may be fewer than all.
    """
    search = BinSearch(problem, budget)
    by_id = {c.id: c for c in problem.containers}
    bins = tuple(Bin(by_id[kind], number) for kind, number in containers)
    if sum(b.container.area for b in bins) < search.area * (1.0 - NOISE):
        return None
    search.arrays = search.arrays.with_tables()
    attempt = search.attempt(bins)
    attempt.begin_at(start)
    while search.purse.left and not attempt.found:
        attempt.go_on(search.purse)
    return attempt.nest(search.purse) if attempt.found else None


class BinSearch:
    """One search for a cheap set of containers."""

    def __init__(self, problem: Problem, budget: Budget) -> None:
        self.problem = problem
        self.budget = budget
        self.purse = Purse.of(budget)
        self.arrays = build(problem)
        self.areas = {c.id: c.area for c in problem.containers}
        self.room = Room(
            problem, self.areas, {p.id: self.arrays.area(i) for i, p in enumerate(problem.items)}
        )
        self.area = self.room.wanted
        self.serial = 0

    def attempt(self, bins: tuple[Bin, ...]) -> Attempt:
        """Open an attempt with its own stream of chance."""
        self.serial += 1
        name = f"{self.budget.stream}/{self.serial}"
        return Attempt(self.arrays, bins, self.budget.seed, name)

    def all_bins(self) -> tuple[Bin, ...]:
        """Every container instance that could be of use, the cheapest by area first."""
        n = len(self.problem.items)
        return tuple(
            Bin(kind, number)
            for kind in self.room.by_price()
            for number in range(n if kind.count is None else min(n, kind.count))
        )

    def first(self) -> Nest:
        """One pass of bottom-left."""
        bins = self.all_bins()
        search = Search(self.arrays.on(bins), bins, self.budget.seed, self.budget.stream)
        left = place_all(search, tuple(self.areas[b.container.id] for b in bins))
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
        self.arrays = self.arrays.with_tables()
        if best.unplaced:
            best = self.place_more(best)
        if best.unplaced:
            return self.with_the_placed(best)
        full = self.fill_exactly(best)
        if full is not None:
            self.budget.progress(full)
            return full
        open_targets: dict[tuple[tuple[str, int], ...], Attempt] = {}
        while True:
            if best.cost <= self.room.cost_bound() * (1.0 + NOISE) and best.cost > 0.0:
                return replace(best, stopped_by=StopReason.PROVEN, work=self.purse.spent)
            targets = self.room.targets(best)
            if not targets:
                return replace(best, work=self.purse.spent)
            if not self.purse.left:
                return replace(best, stopped_by=self.purse.stopped_by(), work=self.purse.spent)
            better = self.round(best, targets, open_targets)
            if better is not None:
                best = better
                open_targets.clear()
                self.budget.progress(best)

    def fill_exactly(self, best: Nest) -> Nest | None:
        """Try to fill equal containers to the last bit, where less than that can't be enough."""
        kinds = self.problem.containers
        area = self.areas[kinds[0].id]
        count = round(self.area / area)
        if len(kinds) > 1 or abs(self.area - count * area) > FULL_SHARE * area or not count:
            return None
        if len(best.used) <= count:
            return None
        whole = self.put_together(count)
        if whole is not None:
            return whole
        items = self.problem.items
        sets = full_sets([self.room.item_areas[i.id] for i in items], area, self.budget.deadline)
        if sets is None:
            return None
        placements: list[NestPlacement] = []
        for number, chosen in enumerate(sets):
            inner = self.among({items[k].id for k in chosen})
            inner.arrays = inner.arrays.with_tables()
            inner.serial = TRIES_TO_FILL * number
            attempt = inner.attempt((Bin(kinds[0], number),))
            attempt.begin_at(())
            for _ in range(TRIES_TO_FILL):
                if not attempt.found and self.purse.gone() < FILL_SHARE:
                    attempt.go_on(self.purse)
            if not attempt.found:
                return None
            placements.extend(attempt.nest(self.purse).placements)
        full = self.finish(Nest(placements=tuple(placements)))
        return replace(full, stopped_by=StopReason.PROVEN)

    def put_together(self, count: int) -> Nest | None:
        """Try to fill so many equal containers by matching corners, as a jigsaw puzzle."""
        kind = self.problem.containers[0]
        if kind.blocked:
            return None
        rng = stream(self.budget.seed, self.budget.stream, "jigsaw")
        jigsaw = Jigsaw(self.problem.items, kind.outline, count, rng)
        nodes = int(JIGSAW_SHARE * self.purse.left)
        solved = jigsaw.solve(nodes, lambda: self.purse.gone() >= JIGSAW_SHARE)
        self.purse.spent += jigsaw.nodes
        if not solved:
            return None
        attempt = self.attempt(tuple(Bin(kind, k) for k in range(count)))
        attempt.begin_at(jigsaw.placements(kind.id))
        if not attempt.found:
            # a hair's breadth of rounding is left
            attempt.go_on(self.purse)
        if not attempt.found:
            return None
        return replace(self.finish(attempt.nest(self.purse)), stopped_by=StopReason.PROVEN)

    def place_more(self, best: Nest) -> Nest:
        """Try to find room for unplaced items in the stock there is, the smallest first."""
        by_id = {item.id: i for i, item in enumerate(self.problem.items)}
        waiting = sorted(best.unplaced, key=lambda name: (self.arrays.area(by_id[name]), name))
        for name in waiting:
            if not self.purse.left:
                break
            placed = {p.item for p in best.placements} | {name}
            inner = self.among(placed)
            inner.arrays = inner.arrays.with_tables()
            bins = inner.all_bins()
            if not inner.fits_alone(name) or inner.area > sum(
                self.areas[b.container.id] for b in bins
            ):
                continue
            attempt = inner.attempt(bins)
            attempt.begin_at(best.placements)
            for _ in range(TRIES_TO_ADD):
                if not attempt.found:
                    attempt.go_on(self.purse)
            if attempt.found:
                nest = attempt.nest(self.purse)
                rest = tuple(u for u in best.unplaced if u != name)
                best = self.finish(replace(nest, unplaced=rest))
                self.budget.progress(best)
        return best

    def with_the_placed(self, best: Nest) -> Nest:
        """Go on with the items that have a place."""
        if not best.placements:
            return replace(best, stopped_by=self.purse.stopped_by())
        inner = self.among({p.item for p in best.placements})
        report, rest = self.budget.progress, best.unplaced
        inner.budget = replace(
            self.budget, progress=lambda nest: report(replace(nest, unplaced=rest))
        )
        return replace(inner.run(replace(best, unplaced=())), unplaced=rest)

    def among(self, names: set[str]) -> BinSearch:
        """Return a search with these items only, on the same purse."""
        items = tuple(i for i in self.problem.items if i.id in names)
        inner = BinSearch(replace(self.problem, items=items), self.budget)
        inner.purse = self.purse
        return inner

    def fits_alone(self, name: str) -> bool:
        """Whether an item has room in one of the containers while that is empty."""
        item = next(i for i in self.problem.items if i.id == name)
        alone = replace(self.problem, items=(item,))
        return not BinSearch(alone, replace(self.budget, passes=0)).first().unplaced

    def round(
        self,
        best: Nest,
        targets: list[Target],
        attempts: dict[tuple[tuple[str, int], ...], Attempt],
    ) -> Nest | None:
        """Give each target an instalment, the roomiest first; return the first success.

        Parameters
        ----------
        attempts
            What has been tried, by the sorted ids and numbers of its containers; new ones are put
            in.
        """
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
