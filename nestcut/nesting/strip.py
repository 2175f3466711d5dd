"""Fixed height, shortest length: how long a strip these items need."""

from __future__ import annotations

from copy import deepcopy
from dataclasses import dataclass, replace

import numpy as np

from nestcut.model.plan import StopReason
from nestcut.nesting.arrays import Arrays, Bin, build
from nestcut.nesting.basins import Basins
from nestcut.nesting.bottomleft import place_all
from nestcut.nesting.compaction import shorten
from nestcut.nesting.problem import Budget, Container, FloatArray, Item, Nest, Problem
from nestcut.nesting.separation import Purse, Search
from nestcut.nesting.workers import crew, side_by_side

STRIP = "strip"
"""Name of the one container of a strip."""

EXPLORE_SHARE = 0.8
"""Share of the budget that goes into finding a good arrangement; the rest squeezes the best one."""

ROUNDS = ((0.4, 1.0, "look"), (EXPLORE_SHARE, 1.0, "look on"), (1.0, 0.0, "squeeze"))
"""Of several workers: share of the budget at a round's end, share of it that looks for
arrangements, name. A round begins with the best layout of the one before, whoever found it."""

TIDY_ROUNDS = 4
"""Linear programmes in a row that pull the end of the finished strip in."""


@dataclass(frozen=True, slots=True)
class Steps:
    """How the length is taken back. Shares of the length; patience in passes.

    A descent ends, and another begins, after ``least_idle`` passes for each item in which it got no
    shorter, but not before these are ``idle_share`` times those in which it did.
    """

    explore: float = 0.01
    explore_patience: int = 250
    explore_least: float = 0.003
    failures: int = 5
    least_idle: int = 400
    idle_share: float = 2.0
    squeeze_first: float = 0.002
    squeeze_last: float = 2e-5
    squeeze_patience: int = 120


def pack_strip(
    items: tuple[Item, ...], height: float, budget: Budget, *, simplify: float = 0.0
) -> Nest:
    """Place all items on a strip and use as little of its length as the budget allows.

    Parameters
    ----------
    items
        What to place; every item must fit the height in one of its options.
    height
        Of the strip.
    budget
        Work, time, seed.
    simplify
        See :class:`nestcut.nesting.problem.Problem`.

    Returns
    -------
    A complete layout; ``length`` is the used length from x = 0.
    """
    arrays = strip_arrays(items, height, simplify).with_tables()
    if budget.workers <= 1:
        return StripSearch(arrays, budget).run(None, EXPLORE_SHARE)
    with crew(budget) as manned:
        return _rounds(arrays, manned)


def _rounds(arrays: Arrays, budget: Budget) -> Nest:
    """Everybody looks for arrangements, twice, then everybody squeezes the best one."""
    best: Nest | None = None
    work = 0
    whole = budget.deadline.seconds or 0.0
    for share, explore, name in ROUNDS:
        spend = replace(
            budget,
            passes=int(budget.passes * share) - work,
            stream=f"{budget.stream}/{name}",
        )
        seconds = budget.deadline.remaining_s() - (1.0 - share) * whole
        nests = side_by_side(_round, (arrays, best, explore), spend, max(0.0, seconds))
        work += max((n.work for n in nests), default=0)
        best = min([n for n in (best, *nests) if n is not None], key=lambda n: n.length)
        budget.progress(best)
    reason = budget.deadline.stop_reason() or StopReason.WORK_DONE
    if best is None:
        search = StripSearch(arrays, replace(budget, passes=0))
        return search.run(None, 0.0)
    return replace(best, work=work, stopped_by=reason)


def _round(arrays: Arrays, start: Nest | None, explore: float, budget: Budget) -> Nest:
    """One worker's round, on arrays of its own: workers may be threads."""
    own = replace(arrays, world=deepcopy(arrays.world))
    return StripSearch(own, budget).run(start, explore)


def bottom_left_strip(items: tuple[Item, ...], height: float) -> Nest:
    """One pass of bottom-left by falling area: what the search is compared with."""
    search = StripSearch(strip_arrays(items, height, 0.0), Budget(passes=0))
    place_all(search.search, (np.inf,))
    return search.nest()


def strip_arrays(items: tuple[Item, ...], height: float, simplify: float) -> Arrays:
    """Compile the items and an ample strip for the kernels."""
    total = sum(float(np.ptp(i.outline, axis=0).max()) for i in items)
    longest = max(float(np.hypot(*np.ptp(i.outline, axis=0))) for i in items)
    length = 2.0 * (total + longest)
    outline = np.array([[0.0, 0.0], [length, 0.0], [length, height], [0.0, height]])
    strip = Container(id=STRIP, outline=outline)
    arrays = build(Problem(items=items, containers=(strip,), simplify=simplify))
    # what counts as touching follows the height here, not the ample length
    return replace(arrays, world=arrays.world._replace(tolerance=1e-9 * height))


@dataclass(frozen=True, slots=True, eq=False)
class Found:
    """A layout without overlaps: its length and poses, shape (n, 5)."""

    length: float
    poses: FloatArray


NOTHING = Found(np.inf, np.empty((0, 5)))
"""Before there is a layout."""


class StripSearch:
    """One search for a short strip."""

    def __init__(self, arrays: Arrays, budget: Budget) -> None:
        self.arrays = arrays
        strip = arrays.problem.containers[0]
        self.search = Search(arrays, (Bin(strip, 0),), budget.seed, budget.stream)
        self.budget = budget
        self.purse = Purse.of(budget)
        n = len(arrays.problem.items)
        self.bound = sum(arrays.area(i) for i in range(n)) / float(strip.outline[:, 1].max())
        self.steps = Steps()
        self.ample = float(arrays.world.frame[0, 2])
        self.best = NOTHING
        self.descent = NOTHING

    def run(self, start: Nest | None, share: float) -> Nest:
        """Bottom-left unless there is a start, explore for a share of the work, then squeeze."""
        if start is None:
            place_all(self.search, (np.inf,))
            self.search.refresh()
        else:
            for p in start.placements:
                self.search.place(p, 0)
            self.search.refresh()
        self.record()
        self.explore(share)
        self.descent = self.best
        self.squeeze(share)
        self.tidy()
        return self.nest()

    def tidy(self) -> None:
        """Go back to the descent's best layout and let a linear programme pull its end in."""
        self.go_back()
        if self.purse.stopped_by() is StopReason.INTERRUPTED:
            return
        for _ in range(TIDY_ROUNDS):
            shifts = shorten(self.arrays.world, self.search.state, 0, 0)
            if shifts is None:
                break
            self.search.shift_all(shifts)
            if self.search.overlap > 0.0 and not self.search.finish():
                break
            before = self.descent.length
            self.record()
            if self.descent.length > before * (1.0 - 1e-7):
                break
            self.set_length(self.descent.length)
        self.go_back()

    def go_back(self) -> None:
        """Return to the shortest layout of this descent."""
        self.set_length(self.descent.length)
        self.search.restore(self.descent.poses)

    def used_length(self) -> float:
        """Right end of the rightmost item."""
        s = self.search.state
        return float((s.x + self.arrays.world.slots.box[s.slot, 2]).max())

    def set_length(self, length: float) -> None:
        """Move the strip's end."""
        self.arrays.world.frame[0, 2] = length

    def record(self) -> None:
        """Keep the present layout, which has no overlaps, if it is the shortest so far."""
        length = self.used_length()
        if length < self.descent.length:
            self.descent = Found(length, self.search.poses())
        if length < self.best.length:
            self.best = self.descent
            self.budget.progress(self.nest())

    def nest(self) -> Nest:
        """Return the present layout."""
        return Nest(
            placements=self.search.placements(),
            length=self.used_length(),
            work=self.purse.spent,
            stopped_by=self.purse.stopped_by(),
        )

    def close_up(self, length: float) -> None:
        """Push everything beyond a random place back by what the layout is too long.

        So the overlaps to be solved begin now here, now there, not always at the strip's end.
        """
        state = self.search.state
        too_long = self.used_length() - length
        if too_long <= 0.0:
            return
        cut = self.search.rng.uniform(0.0, length)
        state.x[state.x > cut] -= too_long

    def try_length(self, length: float, patience: int) -> bool:
        """Separate the present layout at this length."""
        self.close_up(length)
        self.set_length(length)
        self.search.refresh()
        self.search.forget()
        return self.search.separate(self.purse, 10**9, patience)

    def explore(self, share: float) -> None:
        """Descend from one layout after another."""
        self.descend(share)
        while self.goes_on(share):
            self.begin_again()
            self.descend(share)

    def goes_on(self, share: float) -> bool:
        """Whether there is work left of a share, and something to be won by it."""
        at_bound = self.best.length <= self.bound * (1.0 + 1e-9)
        return self.purse.gone() < share and self.purse.left > 0 and not at_bound

    def begin_again(self) -> None:
        """Set out from another layout: bottom-left in an order of chance."""
        search = self.search
        for i in range(len(self.arrays.problem.items)):
            search.put(i, -1, 0, 0.0, 0.0, 0.0)
        self.set_length(self.ample)
        order = search.rng.permutation(len(self.arrays.problem.items)).tolist()
        place_all(search, (np.inf,), order)
        search.refresh()
        self.descent = NOTHING
        self.record()

    def descend(self, share: float) -> None:
        """Shorten step by step; where it fails, shake one of the layouts that came near.

        Ends when it has been idle for long, or the share of the work is done.
        """
        steps, n = self.steps, len(self.arrays.problem.items)
        step, failures = steps.explore, 0
        length = self.descent.length * (1.0 - step)
        basins = Basins()
        begin = last = self.purse.spent
        while self.goes_on(share):
            if self.try_length(max(length, self.bound), steps.explore_patience):
                self.record()
                # a step from a layout that is still loose would be no step at all
                self.tidy()
                step, failures = min(steps.explore, 1.5 * step), 0
                length = self.descent.length * (1.0 - step)
                basins.clear()
                last = self.purse.spent
                continue
            idle = self.purse.spent - last
            if idle > max(steps.least_idle * n, steps.idle_share * (last - begin)):
                return
            failures += 1
            if failures % steps.failures == 0:
                step = max(steps.explore_least, 0.6 * step)
                length = self.descent.length * (1.0 - step)
            basins.add(float(self.search.best[n, 0]), self.search.best[:n].copy())
            self.search.restore(basins.draw(self.search.rng))
            self.search.swap_two()

    def squeeze(self, share: float) -> None:
        """Shorten the best layout by ever smaller steps."""
        steps = self.steps
        while self.goes_on(1.0):
            gone = (self.purse.gone() - share) / max(1e-9, 1.0 - share)
            gone = min(1.0, max(0.0, gone))
            step = steps.squeeze_first * (steps.squeeze_last / steps.squeeze_first) ** gone
            self.go_back()
            length = max(self.bound, self.descent.length * (1.0 - step))
            if self.try_length(length, steps.squeeze_patience):
                self.record()
