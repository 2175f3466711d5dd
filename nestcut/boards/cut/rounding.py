"""Whole numbers of patterns: diving through the relaxation, then an exact choice of patterns.

Dives (``cut/dives``) give plans.  What remains between value and bound is settled
exactly where it can be: a plan better than the best found can only use patterns that cost less
than that gap on top of the bound (reduced-cost fixing), so all of those are listed and a
branch-and-bound (SCIP, through OR-Tools) chooses among them: it either finds the better plan or
proves that there is none.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from nestcut.boards.cut.choice import Cover, choose_patterns
from nestcut.boards.cut.dives import dive
from nestcut.boards.cut.firstfit import first_fit
from nestcut.boards.cut.listing import Listed, list_patterns
from nestcut.boards.cut.prices import Sums
from nestcut.boards.cut.relaxation import Column, Pattern, PatternProgramme
from nestcut.boards.cut.rips import Used, choose_rips
from nestcut.boards.wood.problem import CuttingProblem
from nestcut.model.plan import StopReason
from nestcut.search.settings import Deadline, Settings
from nestcut.search.streams import stream
from nestcut.search.work import WORK
from nestcut.tolerances.noise import SOLVER_SLACK

DIVES_FIRST = 2
"""Dives before an exact choice is tried for the first time."""

MOST_SEEDED = 1_000
"""Kinds for which a full pattern each is made before the first prices are known."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What was found for a cutting problem.

    Parameters
    ----------
    used
        Patterns and rips, and what is left out.
    cost
        In the problem's prices; pieces left out aren't counted.
    bound
        What no plan that cuts every piece can cost less than.
    """

    used: Used
    cost: int
    bound: int
    stopped_by: StopReason


def solve_cutting(problem: CuttingProblem, settings: Settings, deadline: Deadline) -> Answer:
    """Find the cheapest boards and patterns that give every piece."""
    programme = PatternProgramme(problem, deadline)
    demand = [k.demand for k in problem.kinds]
    sums = Sums(problem)
    search = _Search(programme, settings, deadline, sums)
    first = first_fit(problem)
    search.offer_if(first)
    if len(problem.kinds) <= MOST_SEEDED and deadline.stop_reason() is None:
        programme.seed(() if first is None else (column for column, _ in first.patterns))
    root = programme.solve(demand)
    search.raise_bound(programme.bound)
    if root.missing > SOLVER_SLACK:
        search.choose(tuple(programme.columns))
    for number in range(WORK[settings.effort].dives):
        if number == DIVES_FIRST:
            search.settle()
        if search.is_done():
            break
        luck = stream(settings.seed, "dive", problem.name, number) if number else None
        search.dive(luck)
    search.close()
    return search.answer()


class _Search:
    """The best plan so far, the bound, and the ways to bring them together."""

    def __init__(
        self, programme: PatternProgramme, settings: Settings, deadline: Deadline, sums: Sums
    ) -> None:
        self.programme = programme
        self.problem = programme.problem
        self.settings = settings
        self.deadline = deadline
        self.sums = sums
        self.bound = 0
        self.best: Used | None = None
        self.cost = 0
        self.is_settled = False

    def raise_bound(self, value: float) -> None:
        """Take note of a proven bound; totals that prices can't make are passed over."""
        self.bound = max(self.bound, self.sums.up(value))

    def is_done(self) -> bool:
        """Whether nothing better is possible or time is up."""
        proven = self.best is not None and not self.best.missing and self.cost <= self.bound
        return proven or self.is_settled or self.deadline.stop_reason() is not None

    def offer(self, used: Used) -> None:
        """Keep a plan if it leaves out fewer pieces, or costs less."""
        cost = sum(
            self.problem.supplies[self.problem.rips[r].supply].price * n for r, n in used.rips
        )
        left = sum(n for _, n in used.missing)
        if self.best is None or (left, cost) < (sum(n for _, n in self.best.missing), self.cost):
            self.best, self.cost = used, cost

    def offer_if(self, used: Used | None) -> None:
        """Keep a plan, where there is one."""
        if used is not None:
            self.offer(used)

    def dive(self, luck: np.random.Generator | None) -> None:
        """Dive for a plan better than the best."""
        target = math.inf
        if self.best is not None and not self.best.missing:
            target = float(self.sums.next_below(self.cost))
        fixed = dive(self.programme, target, luck, self.deadline)
        if fixed is not None:
            self.offer_if(choose_rips(self.problem, fixed, self.deadline))
        if self.best is None:
            self.choose(tuple(self.programme.columns))

    def choose(self, columns: tuple[Column, ...], cover: Cover = Cover.AT_LEAST) -> bool:
        """Choose among these patterns exactly; True if that was carried through."""
        ceiling = None
        if self.best is not None and not self.best.missing:
            ceiling = self.sums.next_below(self.cost)
        choice = choose_patterns(
            self.programme,
            columns,
            cover,
            ceiling,
            self.bound,
            WORK[self.settings.effort].nodes,
            self.deadline,
        )
        if choice.used is not None:
            self.offer(choice.used)
        return choice.is_exact

    def settle(self) -> bool:
        """List every pattern that a better plan could use and choose; False if there are too many.

        Repeated while that finds better plans; in the end nothing better is possible.
        """
        while not self.is_done():
            listed = self._listed()
            if listed is None or not listed.is_complete:
                return False
            cost = self.cost
            if self.choose(listed.columns, Cover.EXACTLY):
                self.bound = max(self.bound, self.cost)
                self.is_settled = True
            elif self.cost == cost:
                return False
        return True

    def close(self) -> None:
        """Bring value and bound together: exactly if possible, else among the patterns known."""
        while not self.settle() and not self.is_done():
            listed = self._listed()
            if listed is None:
                return
            known = dict.fromkeys(listed.columns)
            known.update(dict.fromkeys(self.programme.columns))
            cost = self.cost
            self.choose(tuple(known))
            if self.cost == cost:
                return

    def _listed(self) -> Listed | None:
        """List patterns for a plan better than the best; None where there is none to improve."""
        proof = self.programme.proof
        if self.best is None or self.best.missing or proof is None:
            return None
        ceiling = self.sums.next_below(self.cost)
        limit = WORK[self.settings.effort].patterns
        return list_patterns(self.programme, proof, ceiling - proof.bound, limit)

    def answer(self) -> Answer:
        """Return what was found."""
        stopped = self.deadline.stop_reason()
        used = self.best
        if used is None:
            missing = tuple((i, k.demand) for i, k in enumerate(self.problem.kinds))
            used = Used(patterns=(), rips=(), missing=missing)
        proven = not used.missing and self.bound >= self.cost
        if stopped is None:
            stopped = StopReason.WORK_DONE
        return Answer(
            used=used,
            cost=self.cost,
            bound=min(self.bound, self.cost) if not used.missing else self.bound,
            stopped_by=StopReason.PROVEN if proven or self.is_settled else stopped,
        )


__all__ = ["Answer", "Pattern", "solve_cutting"]
