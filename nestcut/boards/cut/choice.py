"""An exact choice among listed patterns: the integer programme, by branch and bound."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum
from typing import Any

from nestcut.boards.cut.relaxation import Column, PatternProgramme
from nestcut.boards.cut.rips import Used, choose_rips
from nestcut.errors import SearchError
from nestcut.search.settings import Deadline

_FOREVER_S = 1e6
"""A deadline later than this is none. [s]"""


class Cover(Enum):
    """How often each kind must be cut by the patterns chosen."""

    EXACTLY = "as often as wanted"
    """Right where all patterns that matter are listed, those that are not full included."""
    AT_LEAST = "at least as often"
    """Right for patterns that stand for those with pieces taken out."""


@dataclass(frozen=True, slots=True)
class Choice:
    """The best choice found (None: none), and whether the question was settled."""

    used: Used | None
    is_exact: bool


def choose_patterns(
    programme: PatternProgramme,
    columns: tuple[Column, ...],
    cover: Cover,
    ceiling: int | None,
    floor: int,
    n_nodes: int,
    deadline: Deadline,
) -> Choice:
    """Choose how often to use each pattern at least cost, at most ``ceiling``.

    With a ceiling nothing may be left out; without one, pieces that no stock is left for are.
    ``floor`` is a proven bound: a plan that costs no more ends the search.

    Parameters
    ----------
    ceiling
        Most that a plan may cost [as prices are]; None: no limit.
    floor
        Proven bound on the cost. [as prices are]
    n_nodes
        How many nodes of its tree the solver may look at.
    """
    if ceiling is not None and ceiling < floor:
        return Choice(None, is_exact=True)
    model = _Model(programme, columns, cover)
    model.limit_spending(ceiling, floor)
    if ceiling is None:
        model.let_pieces_out()
    return model.solve(n_nodes, deadline)


class _Model:
    """The integer programme: uses of patterns, boards ripped each way, pieces left out."""

    def __init__(
        self, programme: PatternProgramme, columns: tuple[Column, ...], cover: Cover
    ) -> None:
        from ortools.linear_solver import pywraplp

        self.programme = programme
        self.problem = problem = programme.problem
        self.columns = columns
        self.solver = solver = pywraplp.Solver.CreateSolver("SCIP")
        infinity = solver.infinity()
        self.demand = [
            solver.Constraint(float(k.demand), infinity if cover is Cover.AT_LEAST else k.demand)
            for k in problem.kinds
        ]
        self.rent = [solver.Constraint(0.0, infinity) for _ in problem.bins]
        self.objective = solver.Objective()
        self.objective.SetMinimization()
        self.spending = solver.Constraint(0.0, infinity)
        self.missing: list[Any] = []
        self.plain: dict[int, tuple[float, Any]] = {}
        self._add_rips()
        self.uses = [self._add_use(column) for column in columns]

    def _add_rips(self) -> None:
        problem, solver = self.problem, self.solver
        limits = {
            s: solver.Constraint(0.0, float(supply.limit))
            for s, supply in enumerate(problem.supplies)
            if supply.limit is not None
        }
        for r, rip in enumerate(problem.rips):
            if self._is_plain(r):
                place = self.programme.bins_of_rip[r][0][0]
                self.plain[place] = (
                    float(problem.supplies[rip.supply].price),
                    limits.get(rip.supply),
                )
                continue
            z = solver.IntVar(0.0, solver.infinity(), "")
            price = float(problem.supplies[rip.supply].price)
            self.objective.SetCoefficient(z, price)
            self.spending.SetCoefficient(z, price)
            if rip.supply in limits:
                limits[rip.supply].SetCoefficient(z, 1.0)
            for b, n in self.programme.bins_of_rip[r]:
                self.rent[b].SetCoefficient(z, float(n))

    def _is_plain(self, rip: int) -> bool:
        """Whether a board is one strip with one stretch: its pattern can carry its price."""
        supply = self.problem.rips[rip].supply
        own = [r for r in self.problem.rips if r.supply == supply]
        served = self.programme.bins_of_rip[rip]
        return len(own) == 1 and len(served) == 1 and served[0][1] == 1

    def _add_use(self, column: Column) -> Any:
        most = max(-(-self.problem.kinds[i].demand // n) for i, n in column.pattern)
        y = self.solver.IntVar(0.0, float(most), "")
        if column.place in self.plain:
            price, limit = self.plain[column.place]
            self.objective.SetCoefficient(y, price)
            self.spending.SetCoefficient(y, price)
            if limit is not None:
                limit.SetCoefficient(y, 1.0)
        else:
            self.rent[column.place].SetCoefficient(y, -1.0)
        for i, n in column.pattern:
            self.demand[i].SetCoefficient(y, float(n))
        return y

    def limit_spending(self, ceiling: int | None, floor: int) -> None:
        """Keep the cost between a proven bound and what is worth finding."""
        if ceiling is not None:
            self.spending.SetBounds(float(floor), float(ceiling))
        if ceiling == floor:
            self.objective.Clear()  # any plan at the bound is best: only ask whether there is one

    def let_pieces_out(self) -> None:
        """Allow pieces to be left out, at a price that no plan would pay by choice."""
        for i, kind in enumerate(self.problem.kinds):
            slack = self.solver.IntVar(0.0, float(kind.demand), "")
            self.demand[i].SetCoefficient(slack, 1.0)
            self.objective.SetCoefficient(slack, self.programme.missing_price)
            self.missing.append(slack)

    def solve(self, n_nodes: int, deadline: Deadline) -> Choice:
        """Search; the node limit makes it repeatable, the deadline is a safety net."""
        solver = self.solver
        solver.SetSolverSpecificParametersAsString(f"limits/nodes = {n_nodes}\n")
        seconds = deadline.remaining_s()
        if seconds < _FOREVER_S:
            solver.SetTimeLimit(max(1, int(1000.0 * seconds)))
        status = solver.Solve()
        if status == solver.INFEASIBLE:
            return Choice(None, is_exact=True)
        if status == solver.NOT_SOLVED:
            return Choice(None, is_exact=False)
        if status not in {solver.OPTIMAL, solver.FEASIBLE}:
            raise SearchError(f"choosing patterns ended with status {status}")
        made = self._read(deadline)
        return replace(made, is_exact=made.is_exact and status == solver.OPTIMAL)

    def _read(self, deadline: Deadline) -> Choice:
        out = [round(slack.solution_value()) for slack in self.missing]
        left = [k.demand for k in self.problem.kinds]
        for i, n in enumerate(out):
            left[i] -= n
        uses = [round(y.solution_value()) for y in self.uses]
        chosen = trim_patterns(self.columns, uses, left)
        if any(left):
            raise SearchError("patterns that were chosen don't give the pieces")
        used = choose_rips(self.problem, chosen, deadline)
        if used is None:
            if deadline.stop_reason() is None:
                raise SearchError("patterns that were chosen take more boards than there are")
            return Choice(None, is_exact=False)
        missing = tuple((i, n) for i, n in enumerate(out) if n)
        return Choice(replace(used, missing=missing), is_exact=True)


def trim_patterns(
    columns: tuple[Column, ...], uses: list[int], left: list[int]
) -> dict[Column, int]:
    """Take pieces cut too often out of the patterns; ``left`` is counted down.

    Parameters
    ----------
    uses
        How often each column is used, shape (columns,).
    left
        How many pieces of each kind are still asked for, shape (kinds,). Changed in place.
    """
    chosen: dict[Column, int] = {}
    for column, n in zip(columns, uses, strict=True):
        for _ in range(n):
            pattern = tuple((i, min(m, left[i])) for i, m in column.pattern if left[i])
            if not pattern:
                break
            for i, m in pattern:
                left[i] -= m
            trimmed = Column(column.place, pattern)
            chosen[trimmed] = chosen.get(trimmed, 0) + 1
    return chosen
