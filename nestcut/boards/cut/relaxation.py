"""The pattern relaxation: column generation, and a bound that holds whatever the solver did.

Gilmore and Gomory (1961, 1963) choose cutting patterns by a linear programme whose prices tell
which pattern is worth adding.  Here a pattern fills one bin (a stretch of a strip), and rips say
how many bins a board gives::

    least   sum price z
    so that sum_p n(p, i) y(p)          >= demand(i)    for every kind i     worth(i)
            sum_r strips(r, b) z(r)     >= sum_p y(p)   for every bin b      rent(b)
            sum_r z(r)                  <= limit(s)     for every supply s

Any worths give a bound (Farley 1990): let each bin's rent be its most valuable filling; then a
board costs less than the rents it earns at most by a factor, and shrinking all worths by that
factor makes them a proof.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from nestcut.boards.cut.fill import Filler
from nestcut.boards.wood.problem import CuttingProblem
from nestcut.search.settings import Deadline
from nestcut.tolerances.noise import NOISE, REDUCED_COST_SLACK

COARSE_UNITS = 5_000
"""Units that a bin counts in a first, rough search for patterns: fast, and valid all the same."""

Pattern = tuple[tuple[int, int], ...]
"""(kind, how many) in order of kinds."""


@dataclass(frozen=True, slots=True)
class Column:
    """A pattern for a bin."""

    place: int
    pattern: Pattern


@dataclass(slots=True)
class Relaxed:
    """A solution of the relaxation: how often each column and rip is used.

    Where there is none its value is infinite, and nothing is used.
    """

    value: float
    columns: dict[int, float]
    rips: dict[int, float]
    missing: float = 0.0
    """Pieces that nothing was left for. [-]"""


@dataclass(frozen=True, slots=True)
class Proof:
    """Worths of kinds and rents of bins that prove a bound.

    Every pattern is worth at most its bin's rent; the difference is what using it costs on top of
    the bound.
    """

    bound: float
    worths: list[float]
    rents: list[float]


class PatternProgramme:
    """The linear programme with the columns found so far; ``bound`` is what it has proven."""

    def __init__(self, problem: CuttingProblem, deadline: Deadline) -> None:
        from ortools.linear_solver import pywraplp

        self.problem = problem
        self.deadline = deadline
        self.columns: list[Column] = []
        self.proof: Proof | None = None
        self.rounds = 0
        self._known: set[Column] = set()
        self._filler = Filler()
        self._solver = pywraplp.Solver.CreateSolver("GLOP")
        lp = self._solver
        infinity = lp.infinity()
        self._demand = [lp.Constraint(float(k.demand), infinity) for k in problem.kinds]
        self._rent = [lp.Constraint(0.0, infinity) for _ in problem.bins]
        self._limit = {
            s: lp.Constraint(0.0, float(supply.limit))
            for s, supply in enumerate(problem.supplies)
            if supply.limit is not None
        }
        self._objective = lp.Objective()
        self._objective.SetMinimization()
        self.missing_price = self._price_of_missing()
        self._missing = []
        for constraint in self._demand:
            slack = lp.NumVar(0.0, infinity, "")
            constraint.SetCoefficient(slack, 1.0)
            self._objective.SetCoefficient(slack, self.missing_price)
            self._missing.append(slack)
        self._rips = []
        self.bins_of_rip: list[list[tuple[int, int]]] = []
        for rip in problem.rips:
            z = lp.NumVar(0.0, infinity, "")
            self._objective.SetCoefficient(z, float(problem.supplies[rip.supply].price))
            if rip.supply in self._limit:
                self._limit[rip.supply].SetCoefficient(z, 1.0)
            strips = dict(rip.strips)
            served = [
                (b, strips[place.strip_nm])
                for b, place in enumerate(problem.bins)
                if place.supply == rip.supply and place.strip_nm in strips
            ]
            for b, n in served:
                self._rent[b].SetCoefficient(z, float(n))
            self._rips.append(z)
            self.bins_of_rip.append(served)
        self.kinds_of_bin = [
            [i for i in range(len(problem.kinds)) if problem.fits(i, place)]
            for place in problem.bins
        ]
        self._is_fine = max((b.capacity for b in problem.bins), default=0) > 4 * COARSE_UNITS
        self._uses: list[Any] = []

    def _price_of_missing(self) -> float:
        """Return a price of leaving a piece out that no plan would pay by choice."""
        dearest = max((s.price for s in self.problem.supplies), default=0)
        return 10.0 * (dearest + 1)

    def add(self, column: Column) -> bool:
        """Add a column; False if it is known."""
        if column in self._known:
            return False
        self._known.add(column)
        self.columns.append(column)
        y = self._solver.NumVar(0.0, self._solver.infinity(), "")
        self._rent[column.place].SetCoefficient(y, -1.0)
        for kind, n in column.pattern:
            self._demand[kind].SetCoefficient(y, float(n))
        self._uses.append(y)
        return True

    def seed(self, columns: Iterable[Column]) -> None:
        """Start from some patterns, and from one as full as can be around every kind."""
        for column in columns:
            self.add(column)
        kinds = self.problem.kinds
        for b, place in enumerate(self.problem.bins):
            own = self.kinds_of_bin[b]
            unit = max(1, place.capacity // COARSE_UNITS)
            weights = [-(-kinds[i].weight // unit) for i in own]
            for k, i in enumerate(own):
                most = [kinds[a].demand - (a == i) for a in own]
                room = place.capacity // unit - weights[k]
                _, counts = self._filler.fill(room, weights, [float(w) for w in weights], most)
                counts[k] = counts.get(k, 0) + 1
                self.add(Column(b, tuple((own[a], n) for a, n in sorted(counts.items()))))

    def solve(self, demand: list[int], taken: dict[int, int] | None = None) -> Relaxed:
        """Price out all columns for this demand and return the solution.

        ``taken`` says how many of each bin are filled already.  With the problem's own demand,
        ``bound`` is raised to what was proven.
        """
        for constraint, n in zip(self._demand, demand, strict=True):
            constraint.SetBounds(float(n), self._solver.infinity())
        for b, constraint in enumerate(self._rent):
            constraint.SetBounds(float((taken or {}).get(b, 0)), self._solver.infinity())
        whole = all(n == k.demand for n, k in zip(demand, self.problem.kinds, strict=True))
        while True:
            if self._solver.Solve() != self._solver.OPTIMAL:
                return Relaxed(value=math.inf, columns={}, rips={})  # more is taken than there is
            self.rounds += 1
            worths = [max(0.0, c.dual_value()) for c in self._demand]
            rents = [max(0.0, c.dual_value()) for c in self._rent]
            fresh: list[Column] = []
            if self._is_fine:
                _, patterns = self._fill_bins(worths, demand, COARSE_UNITS)
                fresh = self._better(patterns, worths, rents)
            if not fresh:
                values, patterns = self._fill_bins(worths, demand, None)
                if whole:
                    self._keep(self._proven(worths, values))
                fresh = self._better(patterns, worths, rents)
            if not fresh or self.deadline.stop_reason() is not None:
                relaxed = self._read()
                for column in fresh:
                    self.add(column)
                return relaxed
            for column in fresh:
                self.add(column)

    def _keep(self, proof: Proof) -> None:
        if self.proof is None or proof.bound > self.proof.bound:
            self.proof = proof

    @property
    def bound(self) -> float:
        """What no plan can cost less than."""
        return 0.0 if self.proof is None else max(0.0, self.proof.bound)

    def _fill_bins(
        self, worths: list[float], demand: list[int], units: int | None
    ) -> tuple[list[float], list[Pattern]]:
        """Fill every bin as well as possible; returns the values and the patterns.

        With ``units`` given, lengths are rounded up to that many units a bin: only nearly as well.
        """
        problem = self.problem
        values: list[float] = []
        patterns: list[Pattern] = []
        done: dict[tuple[int, tuple[int, ...]], tuple[float, Pattern]] = {}
        for b, place in enumerate(problem.bins):
            kinds = self.kinds_of_bin[b]
            key = (place.capacity, tuple(kinds))
            if key not in done:
                unit = 1 if units is None else max(1, place.capacity // units)
                value, counts = self._filler.fill(
                    place.capacity // unit,
                    [-(-problem.kinds[i].weight // unit) for i in kinds],
                    [worths[i] for i in kinds],
                    [demand[i] for i in kinds],
                )
                done[key] = value, tuple((kinds[a], n) for a, n in sorted(counts.items()))
            values.append(done[key][0])
            patterns.append(done[key][1])
        return values, patterns

    def _better(
        self, patterns: list[Pattern], worths: list[float], rents: list[float]
    ) -> list[Column]:
        """Return the patterns that are new and worth more than their bin's rent."""
        fresh: list[Column] = []
        for b, pattern in enumerate(patterns):
            value = sum(worths[i] * n for i, n in pattern)
            column = Column(b, pattern)
            if pattern and value > rents[b] + REDUCED_COST_SLACK * max(1.0, rents[b]):
                fresh += [column] * (column not in self._known)
        return fresh

    def _proven(self, worths: list[float], values: list[float]) -> Proof:
        """Return the bound that these worths prove, given each bin's best value."""
        problem = self.problem
        shrink = 1.0
        earned = [sum(n * values[b] for b, n in served) for served in self.bins_of_rip]
        for r, rip in enumerate(problem.rips):
            supply = problem.supplies[rip.supply]
            if supply.limit is None and earned[r] > supply.price:
                shrink = min(shrink, supply.price / earned[r])
        worths = [min(shrink * w, self.missing_price) for w in worths]
        total = sum(w * k.demand for w, k in zip(worths, problem.kinds, strict=True))
        surplus: dict[int, float] = {}
        for r, rip in enumerate(problem.rips):
            supply = problem.supplies[rip.supply]
            if supply.limit is not None:
                gain = max(0.0, shrink * earned[r] - supply.price)
                surplus[rip.supply] = max(surplus.get(rip.supply, 0.0), gain)
        total -= sum((problem.supplies[s].limit or 0) * gain for s, gain in surplus.items())
        return Proof(bound=total, worths=worths, rents=[shrink * v for v in values])

    def _read(self) -> Relaxed:
        used = {a: y.solution_value() for a, y in enumerate(self._uses)}
        rips = {r: z.solution_value() for r, z in enumerate(self._rips)}
        return Relaxed(
            value=self._objective.Value(),
            columns={a: v for a, v in used.items() if v > NOISE},
            rips={r: v for r, v in rips.items() if v > NOISE},
            missing=sum(m.solution_value() for m in self._missing),
        )
