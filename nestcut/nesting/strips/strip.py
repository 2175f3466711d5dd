"""Fixed height, shortest length: how long a strip these items need."""

from __future__ import annotations

import math
from collections.abc import Callable
from copy import deepcopy
from dataclasses import replace

import numpy as np
from shapely.geometry import Polygon

from nestcut.model.plan import StopReason
from nestcut.nesting.problem import Budget, Container, Item, Nest, Problem
from nestcut.nesting.separating.arrays import Arrays, Bin, build
from nestcut.nesting.separating.bottomleft import place_all
from nestcut.nesting.separating.compaction import REACH, shorten
from nestcut.nesting.separating.separation import Purse, Search
from nestcut.nesting.strips.descents import NOTHING, Descent, Found, Steps
from nestcut.nesting.workers import crew, side_by_side
from nestcut.search.settings import Deadline
from nestcut.tolerances.noise import NOISE, SHORTER_SHARE
from nestcut.tolerances.search import WIDEN

STRIP = "strip"
"""Name of the one container of a strip."""

EXPLORE_SHARE = 0.8
"""Share of the budget that goes into finding a good arrangement; the rest squeezes the best one."""

LOOK_SHARE = 0.1
"""Share of the budget after which several workers that look for arrangements go on from the best
layout that one of them found."""

TIDY_ROUNDS = 4
"""Linear programmes in a row that pull the end of the finished strip in."""

MOST_HOLLOWS = 150
"""Hollow corners of one shape beyond which the search takes widened outlines. Two shapes of 500
convex parts have a quarter of a million pairs to be looked at for every place that is tried."""


PULL_IN = 4.0
"""How far items may move then, in such widths: two that touch are two of them apart at most. [-]"""

TIDY_SECONDS = 1.0
"""For them, though the search's own time is up. [s]"""


def pack_strip(
    items: tuple[Item, ...], height: float, budget: Budget, *, simplify: float = 0.0
) -> Nest:
    """Place all items on a strip and use as little of its length as the budget allows.

    Parameters
    ----------
    items
        What to place; every item must fit the height in one of its options.
    height
        Of the strip. [mm]
    budget
        Work, time, seed.
    simplify
        As in :class:`nestcut.nesting.problem.Problem`. [mm]

    Returns
    -------
    A complete layout; ``length`` is the used length from x = 0.
    """
    width = widening(items)
    true = strip_arrays(items, height, simplify)
    if width <= simplify:
        return _search(true.with_tables(), budget)
    nest = _search(strip_arrays(items, height, width).with_tables(), budget)
    return _pulled_in(true, nest, budget)


def widening(items: tuple[Item, ...]) -> float:
    """How far outlines are widened for the search: not at all unless there are intricate ones."""
    if max(map(_hollow_corners, items)) <= MOST_HOLLOWS:
        return 0.0
    return WIDEN * float(np.mean([math.sqrt(Polygon(i.outline).area) for i in items]))


def _hollow_corners(item: Item) -> int:
    """Corners that convex parts must end at: hollow ones of the outline, all those of holes."""
    edges = np.roll(item.outline, -1, axis=0) - item.outline
    after = np.roll(edges, -1, axis=0)
    turns = edges[:, 0] * after[:, 1] - edges[:, 1] * after[:, 0]
    return int((turns < 0.0).sum()) + sum(map(len, item.holes))


def _pulled_in(arrays: Arrays, nest: Nest, budget: Budget) -> Nest:
    """Take back what a search on widened outlines gave away: a layout of the true outlines."""
    true = StripSearch(arrays, replace(budget, passes=0), reach=PULL_IN * WIDEN)
    for p in nest.placements:
        true.search.place(p, 0)
    true.search.refresh()
    if true.search.overlap > 0.0:
        return nest
    true.record()
    true.tidy()
    found = true.nest()
    if found.length >= nest.length:
        return nest
    return replace(nest, placements=found.placements, length=found.length)


def _search(arrays: Arrays, budget: Budget) -> Nest:
    """Search alone, or side by side with others."""
    if budget.workers <= 1:
        return StripSearch(arrays, budget).run(None, EXPLORE_SHARE)
    with crew(budget) as manned:
        return _rounds(arrays, manned)


def _rounds(arrays: Arrays, budget: Budget) -> Nest:
    """Everybody looks for arrangements, round by round, then everybody squeezes the best one.

    A round begins with the best layout of the one before, whoever found it.
    """
    best: Nest | None = None
    work, share, gain = 0, 0.0, math.inf
    whole = budget.deadline.seconds or 0.0
    while share < 1.0:
        stream = f"{budget.stream}/from {share:.3f}"
        share = _round_end(share, gain)
        spend = replace(budget, passes=int(budget.passes * share) - work, stream=stream)
        seconds = budget.deadline.remaining_s() - (1.0 - share) * whole
        explore = 1.0 if share <= EXPLORE_SHARE else 0.0
        nests = side_by_side(_round, (arrays, best, explore), spend, max(0.0, seconds))
        work += max((n.work for n in nests), default=0)
        reached = math.inf if best is None else best.length
        best = min([*filter(None, [best]), *nests], key=lambda n: n.length, default=None)
        if best is None:
            break
        gain = reached / best.length - 1.0
        budget.progress(best)
    reason = budget.deadline.stop_reason() or StopReason.WORK_DONE
    if best is None:
        search = StripSearch(arrays, replace(budget, passes=0))
        return search.run(None, 0.0)
    return replace(best, work=work, stopped_by=reason)


def _round_end(share: float, gain: float) -> float:
    """Share of the budget at the end of the round that begins at this one.

    ``gain`` is the share of the length that the one before has won. As long as rounds bring
    something the best descent is on its way, and all help with it. Once one has brought nothing,
    the next is longer: others are to have the time to get as far.
    """
    left = EXPLORE_SHARE - share
    if left <= 0.0:
        return 1.0
    step = LOOK_SHARE if gain > SHORTER_SHARE else max(LOOK_SHARE, left / 2.0)
    return EXPLORE_SHARE if left < 1.5 * step else share + step


def _round(arrays: Arrays, start: Nest | None, explore: float, budget: Budget) -> Nest:
    """One worker's round, on arrays of its own: workers may be threads."""
    own = replace(arrays, world=deepcopy(arrays.world))
    return StripSearch(own, budget).run(start, explore)


def bottom_left_strip(items: tuple[Item, ...], height: float) -> Nest:
    """One pass of bottom-left by falling area: what the search is compared with."""
    search = StripSearch(strip_arrays(items, height, widening(items)), Budget(passes=0))
    place_all(search.search, (np.inf,))
    return search.nest()


def strip_arrays(items: tuple[Item, ...], height: float, simplify: float) -> Arrays:
    """Compile the items and an ample strip for the kernels.

    Parameters
    ----------
    height
        Of the strip. [mm]
    simplify
        How far outlines may be widened to have fewer corners, as in :class:`Problem`. [mm]
    """
    total = sum(float(np.ptp(i.outline, axis=0).max()) for i in items)
    longest = max(float(np.hypot(*np.ptp(i.outline, axis=0))) for i in items)
    length = 2.0 * (total + longest)
    outline = np.array([[0.0, 0.0], [length, 0.0], [length, height], [0.0, height]])
    strip = Container(id=STRIP, outline=outline)
    arrays = build(Problem(items=items, containers=(strip,), simplify=simplify))
    # what counts as touching follows the height here, not the ample length
    return replace(arrays, world=arrays.world._replace(tolerance=NOISE * height))


class StripSearch:
    """One search for a short strip.

    ``reach`` is how far an item may move while the end is pulled in, as a share of the mean size.
    """

    def __init__(self, arrays: Arrays, budget: Budget, reach: float = REACH) -> None:
        self.reach = reach
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
        self.found_after = 0
        self.descent = Descent(self.steps.explore)

    def run(self, start: Nest | None, share: float) -> Nest:
        """Bottom-left unless there is a start, explore for a share of the work, then squeeze."""
        if start is None:
            place_all(self.search, (np.inf,))
            self.search.refresh()
        else:
            for p in start.placements:
                self.search.place(p, 0)
            self.search.refresh()
            # it took as long elsewhere; another descent would too
            self.descent.spent = start.found_after
        self.record()
        self.explore(share)
        self.descent = Descent(self.steps.explore, self.best)
        self.squeeze(1.0, lambda: (self.purse.gone() - share) / (1.0 - share))
        self.tidy()
        return self.nest()

    def tidy(self) -> None:
        """Go back to the descent's best layout and let a linear programme pull its end in."""
        self.go_back()
        if self.purse.stopped_by() is StopReason.INTERRUPTED:
            return
        last = self.last_moment()
        for _ in range(TIDY_ROUNDS):
            if last.stop_reason() is not None:
                break
            shifts = shorten(self.arrays.world, self.search.state, 0, 0, last, self.reach)
            if shifts is None:
                break
            self.search.shift_all(shifts)
            if self.search.overlap > 0.0 and not self.search.finish(last):
                break
            before = self.descent.length
            self.record()
            if self.descent.length > before * (1.0 - SHORTER_SHARE):
                break
            self.set_length(self.descent.length)
        self.go_back()

    def last_moment(self) -> Deadline:
        """Return the time to tidy up in: what is left of the search's, and always a little."""
        deadline = self.budget.deadline
        if deadline.seconds is None:
            return deadline
        return Deadline(max(TIDY_SECONDS, deadline.remaining_s()), deadline.clock)

    def go_back(self) -> None:
        """Return to the shortest layout of this descent."""
        self.set_length(self.descent.length)
        self.search.restore(self.descent.best.poses)

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
            self.descent.keep(Found(length, self.search.poses()))
        if length < self.best.length:
            self.best, self.found_after = self.descent.best, self.descent.found_after
            self.budget.progress(self.nest())

    def nest(self) -> Nest:
        """Return the present layout."""
        return Nest(
            placements=self.search.placements(),
            length=self.used_length(),
            work=self.purse.spent,
            found_after=self.found_after,
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
        before = self.purse.spent
        reached = self.search.separate(self.purse, 10**9, patience)
        self.descent.spent += self.purse.spent - before
        return reached

    def explore(self, share: float) -> None:
        """Descend until that brings nothing, then from other layouts too.

        The best descent so far and new ones get as much work each: another beginning may lead
        further down, or the descent may have needed no more than patience.
        """
        champion, n = self.descent, len(self.arrays.problem.items)
        self._descend(champion, share, champion.patience(self.steps, n))
        while self.goes_on(share):
            if self.left(share) < champion.found_after:  # no other would get as far
                self._descend(champion, share, np.inf)
                continue
            other = self.begin_again()
            self._descend(other, share, other.patience(self.steps, n))
            if other.length < champion.length:
                champion = other
            else:
                self._descend(champion, share, other.spent)

    def goes_on(self, share: float) -> bool:
        """Whether there is work left of a share, and something to be won by it."""
        at_bound = self.best.length <= self.bound * (1.0 + NOISE)
        return self.purse.gone() < share and self.purse.left > 0 and not at_bound

    def left(self, share: float) -> float:
        """Estimate the passes that are left of a share, by those that were made so far."""
        gone = max(NOISE, self.purse.gone())
        return self.purse.spent * max(0.0, share - gone) / gone

    def begin_again(self) -> Descent:
        """Set out from another layout: bottom-left in an order of chance."""
        search = self.search
        for i in range(len(self.arrays.problem.items)):
            search.put(i, -1, 0, 0.0, 0.0, 0.0)
        self.set_length(self.ample)
        order = search.rng.permutation(len(self.arrays.problem.items)).tolist()
        place_all(search, (np.inf,), order)
        search.refresh()
        self.descent = Descent(self.steps.explore)
        self.record()
        return self.descent

    def _descend(self, descent: Descent, share: float, idle: float) -> None:
        """Shorten step by step; where it fails, shake one of the layouts that came near.

        Ends with a squeeze, after ``idle`` passes without success (after a success those of the
        descent's patience), or when the share of the work is done.
        """
        steps, n = self.steps, len(self.arrays.problem.items)
        self.descent = descent
        self.go_back()
        last = descent.spent
        while self.goes_on(share):
            length = max(descent.length * (1.0 - descent.step), self.bound)
            low, high = steps.explore_patience
            if self.try_length(length, int(self.search.rng.integers(low, high))):
                self.record()
                # a step from a layout that is still loose would be no step at all
                self.tidy()
                descent.succeed(steps)
                last, idle = descent.spent, descent.patience(steps, n)
                continue
            descent.fail(steps)
            descent.basins.add(float(self.search.best[n, 0]), self.search.best[:n].copy())
            if descent.spent - last > idle:
                break
            self.search.restore(descent.basins.draw(self.search.rng))
            self.search.swap_two()
        begin, size = descent.spent, steps.squeeze_items * n
        self.squeeze(share, lambda: (descent.spent - begin) / size)
        if descent.found_after > begin:
            descent.basins.clear()

    def squeeze(self, share: float, done: Callable[[], float]) -> None:
        """Shorten the best layout by ever smaller steps, until all is done or the work's share."""
        steps = self.steps
        while self.goes_on(share) and (part := done()) < 1.0:
            step = steps.squeeze_first * (steps.squeeze_last / steps.squeeze_first) ** part
            self.go_back()
            length = max(self.bound, self.descent.length * (1.0 - step))
            if self.try_length(length, steps.squeeze_patience):
                self.record()
