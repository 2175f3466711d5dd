"""Boards bought at least cost, by what lots of pieces come out of each: an integer programme."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nestcut.boards.sawing.lots import LikeStrips, Lots, Numbers, Table, make_table, work_of
from nestcut.boards.sawing.lots import normal_breadths as breadths_of
from nestcut.boards.wood.grid import nm
from nestcut.boards.wood.problem import CuttingProblem, Supply, strip_nm
from nestcut.model.stock import BoardStock
from nestcut.search.settings import Deadline
from nestcut.search.solver import solver_for

MOST_LOTS = 6_000
"""Lots that a table may have."""
MOST_SUMS = 20_000_000
"""Sums that the tables of one question may take."""

_MISSING = 10
"""A piece left out weighs more than so many of the dearest boards."""


@dataclass(frozen=True, slots=True)
class Sawn:
    """A board: its supply, and the number of the lot that it gives."""

    supply: int
    lot: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Chosen:
    """Boards and how many of each, None: nothing below the ceiling was found.

    Parameters
    ----------
    bound
        No way of sawing right through gives every piece for less. [the problem's prices]
    missing
        Pieces that no stock is left for, by kind.
    """

    boards: tuple[tuple[Sawn, int], ...] | None
    bound: float
    missing: tuple[int, ...] = ()


class Sawmill:
    """What comes out of every supply of a problem, for pieces so many of each kind."""

    def __init__(self, problem: CuttingProblem, wanted: tuple[int, ...]) -> None:
        self.problem = problem
        self.lots = Lots(wanted)
        self._tables: dict[tuple[tuple[int | None, ...], int], Table] = {}

    @property
    def is_small(self) -> bool:
        """Whether all its tables can be worked out."""
        if self.lots.n_lots > MOST_LOTS:
            return False
        kerf = nm(self.problem.kerf_mm)
        total = 0
        for kinds, widest in self._asked():
            total += work_of(self.lots, breadths_of(kinds, widest, kerf), kerf)
        return total <= MOST_SUMS

    def _asked(self) -> dict[tuple[tuple[LikeStrips, ...], int], None]:
        return dict.fromkeys(
            (self._kinds(s.stock), breadth_of(s.stock)) for s in self.problem.supplies
        )

    def _kinds(self, stock: BoardStock) -> tuple[LikeStrips, ...]:
        return tuple(LikeStrips(strip_nm(k.section, stock), k.weight) for k in self.problem.kinds)

    def table(self, stock: BoardStock) -> Table:
        """Return the table that serves a stock."""
        kinds, widest = self._kinds(stock), breadth_of(stock)
        key = (tuple(k.breadth for k in kinds), widest)
        if key not in self._tables:
            self._tables[key] = make_table(self.lots, kinds, widest, nm(self.problem.kerf_mm))
        return self._tables[key]

    def capacities(self, supply: Supply) -> tuple[int, ...]:
        """Return what the stretches of a supply hold, a kerf included. [grid units]"""
        grid, kerf = self.problem.grid, self.problem.kerf_mm
        return tuple(grid.down(length + kerf) for _, length in supply.stretches)

    def fitting(self, supply: Supply) -> list[NDArray[np.bool_]]:
        """Say which lots come out of the first stretch of a board, of the first two, and so on."""
        row = self.table(supply.stock).row(breadth_of(supply.stock))
        if row is None:
            return []
        made: list[NDArray[np.bool_]] = []
        for capacity in self.capacities(supply):
            alone = row <= capacity
            made.append(alone if not made else self._both(made[-1], alone))
        return made

    def _both(self, a: NDArray[np.bool_], b: NDArray[np.bool_]) -> NDArray[np.bool_]:
        found = a | b
        for number in np.flatnonzero(~found):
            one = self.lots.within(int(number))
            found[number] = bool((a[one] & b[number - one]).any())
        return found

    def shared_out(self, supply: Supply, number: int) -> tuple[int, ...]:
        """Deal a lot to the stretches of a board."""
        row = self.table(supply.stock).row(breadth_of(supply.stock))
        if row is None:
            raise ValueError("nothing comes out of this board")
        before = self.fitting(supply)[:-1]
        dealt: list[int] = []
        for capacity, made in zip(reversed(self.capacities(supply)), [*reversed(before), None],
                                  strict=True):  # fmt: skip
            if made is None:
                dealt.append(number)
                break
            own = self.lots.within(number)
            good = own[(row[own] <= capacity) & made[number - own]]
            dealt.append(int(good[0]))
            number -= dealt[-1]
        return tuple(reversed(dealt))


def breadth_of(stock: BoardStock) -> int:
    """Return how broad a board is without its trim. [nm]"""
    return nm(stock.width_mm) - 2 * nm(stock.edge_trim_mm)


def largest(lots: Lots, fits: NDArray[np.bool_]) -> Numbers:
    """Return the lots that fit and that no piece can be added to."""
    numbers = np.arange(lots.n_lots, dtype=np.int64)
    is_largest = fits.copy()
    for wanted, step in zip(lots.wanted, lots.steps, strict=True):
        counts = numbers // step % (wanted + 1)
        more = np.minimum(numbers + step, lots.n_lots - 1)
        is_largest &= (counts == wanted) | ~fits[more]
    found: Numbers = np.flatnonzero(is_largest).astype(np.int64)
    return found


def choose_boards(
    mill: Sawmill, limits: tuple[int | None, ...], ceiling: int, work: float, deadline: Deadline
) -> Chosen:
    """Choose boards that cost no more than a ceiling.

    Parameters
    ----------
    limits
        How many of each supply may be used; None: as many as wanted.
    ceiling
        In the problem's prices; a piece left out counts as ``price_of_missing``.
    work
        Deterministic time. [s]
    """
    from ortools.sat.python import cp_model

    problem, lots = mill.problem, mill.lots
    model = cp_model.CpModel()
    total = sum(lots.wanted)
    cover: list[list[cp_model.LinearExprT]] = [[] for _ in lots.wanted]
    uses: list[tuple[int, int, cp_model.IntVar]] = []
    for s, supply in enumerate(problem.supplies):
        limit = total if limits[s] is None else min(total, limits[s] or 0)
        fits = mill.fitting(supply) if limit else []
        if not fits:
            continue
        own = []
        for number in largest(lots, fits[-1]):
            if number:
                use = model.new_int_var(0, limit, "")
                own.append(use)
                uses.append((s, int(number), use))
                for k, n in enumerate(lots.counts(int(number))):
                    if n:
                        cover[k].append(n * use)
        if limit < total:
            model.add(sum(own) <= limit)
    missing = [model.new_int_var(0, n, "") for n in lots.wanted]
    for k, n in enumerate(lots.wanted):
        model.add(sum([*cover[k], missing[k]]) >= n)
    left_out = price_of_missing(problem)
    terms: list[cp_model.LinearExprT] = [problem.supplies[s].price * use for s, _, use in uses]
    terms += [left_out * m for m in missing]
    cost = sum(terms)
    model.add(cost <= ceiling)
    model.minimize(cost)
    solver = solver_for(work, deadline)
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return Chosen(boards=None, bound=float(ceiling + 1))
    bound = max(0.0, float(solver.best_objective_bound))
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return Chosen(boards=None, bound=min(bound, float(ceiling + 1)))
    boards = tuple((Sawn(s, number), n) for s, number, use in uses if (n := solver.value(use)))
    out = tuple(solver.value(m) for m in missing)
    return Chosen(boards=boards, bound=bound, missing=out)


def price_of_missing(problem: CuttingProblem) -> int:
    """Return what a piece left out counts, so that none is by choice."""
    return _MISSING * (1 + max((s.price for s in problem.supplies), default=0))
