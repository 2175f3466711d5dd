"""The likeliest set of loads that holds every item and costs less.

A linear programme over a few loads, to which those are added that its prices call for; one
load after the other is fixed where it has most of one, and the programme is solved again for what
is left. (Covering by patterns and columns found by prices: Gilmore and Gomory 1961, Operations
Research 9:849-859. That patterns are known by odds only, and are tried before they count, is ours.)
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from nestcut.nesting.loads.odds import Odds
from nestcut.nesting.problem import Container, FloatArray, IntArray

LESS = 1e-6
"""Share of the present cost that has to be saved where prices have no common measure. [-]"""

MEASURE = 10_000
"""Parts of a unit of cost in which a common measure of prices is looked for."""

MISSING = 300.0
"""What an item without a place counts for, as large as a container's mean load. [nats]"""

AT_ONCE, ROUNDS = 40, 12
"""Loads added to the linear programme in one round, and rounds before it is good enough."""

NOISE = 0.3
"""Standard deviation of the doubt that chance adds, so that choices differ. [-]"""


@dataclass(frozen=True, slots=True, eq=False)
class Shelf:
    """One kind of container with the loads it may take."""

    container: Container
    odds: Odds


def likeliest(
    shelves: tuple[Shelf, ...],
    demand: IntArray,
    share: FloatArray,
    below: float,
    rng: np.random.Generator,
) -> list[tuple[int, int]]:
    """Choose loads that together hold the demand, or most of it, at a cost below ``below``.

    Parameters
    ----------
    shelves
        What is known and guessed of each kind of container.
    demand, share
        Number of items and area of one by kind; this as a share of the largest container's.
    below
        Present cost.
    rng
        Chance, so that choices differ.

    Returns
    -------
    (number of the shelf, number of the load) for each container.
    """
    master = _Master(shelves, demand, share, below, rng)
    left = demand.copy()
    chosen: list[tuple[int, int]] = []
    while (left > 0).any():
        fixed = master.fix(master.solve(), rng)
        if fixed is None:
            break
        chosen.append(master.where(fixed))
        left -= master.loads[fixed]
    doubts = [s.odds.doubt() for s in shelves]
    for g in np.flatnonzero(left > 0).tolist():  # the largest first
        while left[g] > 0 and _make_room(shelves, doubts, chosen, left, g):
            pass
    return chosen


def _make_room(
    shelves: tuple[Shelf, ...],
    doubts: list[FloatArray],
    chosen: list[tuple[int, int]],
    left: IntArray,
    g: int,
) -> bool:
    """Add one item of kind g to that chosen load which then is the likeliest, less what is over."""
    place, other, least = -1, -1, np.inf
    for at, (s, k) in enumerate(chosen):
        load = shelves[s].odds.loads[k]
        more = load - np.minimum(load, np.maximum(0, -left))
        more[g] += 1
        found = shelves[s].odds.number.get(more.tobytes(), -1)
        if found >= 0 and doubts[s][found] - doubts[s][k] < least:
            place, other, least = at, found, float(doubts[s][found] - doubts[s][k])
    if place < 0:
        return False
    s, k = chosen[place]
    left += shelves[s].odds.loads[k] - shelves[s].odds.loads[other]
    chosen[place] = (s, other)
    return True


def next_below(below: float, prices: list[float]) -> float:
    """Return the most that containers at these prices can come to together and be less."""
    parts = [round(price * MEASURE) for price in (*prices, below)]
    exact = all(
        abs(part - price * MEASURE) < LESS * part or part == price == 0
        for part, price in zip(parts, (*prices, below), strict=True)
    )
    if not exact:
        return below * (1.0 - LESS)
    return below - math.gcd(*parts[:-1]) / MEASURE * (1.0 - LESS)


class _Master:
    """The linear programme, with rows for what is left to hold and to spend."""

    def __init__(
        self,
        shelves: tuple[Shelf, ...],
        demand: IntArray,
        share: FloatArray,
        below: float,
        rng: np.random.Generator,
    ) -> None:
        from ortools.linear_solver import pywraplp

        doubts = [s.odds.doubt() for s in shelves]
        some = [s.odds.worth_a_look(d) for s, d in zip(shelves, doubts, strict=True)]
        sizes = [len(k) for k in some]
        self.number = np.concatenate(some)
        self.loads = np.vstack([s.odds.loads[k] for s, k in zip(shelves, some, strict=True)])
        self.shelf = np.repeat(np.arange(len(shelves)), sizes)
        doubt = np.concatenate([d[k] for d, k in zip(doubts, some, strict=True)])
        self.doubt = doubt * np.exp(NOISE * rng.standard_normal(len(doubt)))
        self.cost = np.repeat([s.container.cost / below for s in shelves], sizes)
        self.left = demand.astype(float)
        self.money = next_below(below, [s.container.cost for s in shelves]) / below
        self.counts = [s.container.count for s in shelves]
        self.solver = pywraplp.Solver.CreateSolver("GLOP")
        infinity = self.solver.infinity()
        self.rows = [self.solver.Constraint(float(d), infinity) for d in demand]
        self.purse = self.solver.Constraint(-infinity, self.money)
        self.limits = [
            self.solver.Constraint(-infinity, infinity if n is None else float(n))
            for n in self.counts
        ]
        self.takes: dict[int, pywraplp.Variable] = {}
        objective = self.solver.Objective()
        for row, area in zip(self.rows, share, strict=True):
            lack = self.solver.NumVar(0.0, infinity, "")
            row.SetCoefficient(lack, 1.0)
            objective.SetCoefficient(lack, MISSING * float(area))
        objective.SetMinimization()
        self.add(np.argsort(self.doubt - self.loads @ (MISSING * share), kind="stable")[:AT_ONCE])

    def where(self, column: int) -> tuple[int, int]:
        """Number of the shelf and of the load there."""
        return int(self.shelf[column]), int(self.number[column])

    def add(self, columns: IntArray) -> None:
        """Let the programme take these loads as well."""
        infinity, objective = self.solver.infinity(), self.solver.Objective()
        for c in columns.tolist():
            take = self.solver.NumVar(0.0, infinity, "")
            for g in np.flatnonzero(self.loads[c]).tolist():
                self.rows[g].SetCoefficient(take, float(self.loads[c, g]))
            self.purse.SetCoefficient(take, float(self.cost[c]))
            self.limits[self.shelf[c]].SetCoefficient(take, 1.0)
            objective.SetCoefficient(take, float(self.doubt[c]))
            self.takes[c] = take

    def solve(self) -> dict[int, float]:
        """Solve, adding loads as long as prices call for them; return how much is taken of each."""
        for _ in range(ROUNDS):
            self.solver.Solve()
            price = np.array([row.dual_value() for row in self.rows])
            limit = np.array([row.dual_value() for row in self.limits])
            reduced = self.doubt - self.loads @ price - self.purse.dual_value() * self.cost
            reduced -= limit[self.shelf]
            reduced[list(self.takes)] = 0.0
            new = np.argpartition(reduced, min(AT_ONCE, len(reduced) - 1))[:AT_ONCE]
            new = np.sort(new[reduced[new] < -1e-6])
            if not len(new):
                break
            self.add(new)
        else:
            self.solver.Solve()
        return {c: take.solution_value() for c, take in self.takes.items()}

    def fix(self, amounts: dict[int, float], rng: np.random.Generator) -> int | None:
        """Take one of a load that there is much of, and set the rows to what is left."""
        some = [c for c, amount in amounts.items() if amount > 1e-6 and self.cost[c] <= self.money]
        if not some:
            return None
        much = np.minimum(1.0, [amounts[c] for c in some])
        best = some[int(rng.choice(len(some), p=much / much.sum()))]
        s = int(self.shelf[best])
        self.money -= self.cost[best]
        self.purse.SetUb(self.money)
        count = self.counts[s]
        if count is not None:
            self.counts[s] = count - 1
            self.limits[s].SetUb(count - 1.0)
        self.left -= self.loads[best]
        for row, left in zip(self.rows, self.left, strict=True):
            row.SetLb(float(max(0.0, left)))
        return best
