"""The least that any plan must buy: a proven lower bound for one material.

Every plan puts each piece on one sheet of some kind.  A small integer model asks how cheaply that
can be done if only necessary conditions have to hold, so its optimum (or any bound on it that the
solver proves) is a bound for every plan, whatever shapes, turns and arrangements it uses:

area
    Pieces keep the clearance c from each other, so the pieces grown by c/2 are disjoint, and a
    piece inside the usable area, grown, lies inside that area widened by c/2.  Hence the grown
    areas on the sheets of a kind sum up to at most the number of such sheets times the widened
    area.  The areas used here are those of pieces grown by slightly less (so that no rounding of
    the geometry library can make them too large), less what other pieces may take of their holes.
rectangles inside
    Let R be an upright rectangle inside a piece, for a piece that may only lie in quarter turns.
    Wherever the piece lies, its R lies upright.  (A piece that may stray a few degrees holds an
    upright rectangle of one size at every such angle, see
    :func:`nestcut.sheets.least.facts.sides_at_any_angle`.)  Two of them, in different pieces, are
    at least c apart, so their gap in x or in y is at least ``c / sqrt 2``: grown by half of that on
    each side they don't overlap, and they lie in the box around the usable area grown alike.
    Dual feasible functions (:mod:`nestcut.sheets.least.conservative`) then say how much they
    weigh at least.
chords
    A line along the sheet crosses grown pieces in chords that together are no longer than the
    sheet; dual feasible functions of these, summed over all lines, are weights too
    (:mod:`nestcut.sheets.least.chords`).
no two share a sheet
    If two such rectangles fit neither side by side nor one above the other in the box, in any of
    their turns, no sheet holds both pieces: upright boxes that don't overlap are apart in x or in
    y. Of a set in which that holds for all pairs, each sheet takes one at most.
a piece fits
    A piece whose rectangle is larger than the box in all turns isn't on that kind at all.

The same argument holds for pieces that turn freely with a disc instead of the rectangle: discs of
radius r and s in a box W x H have centres at most ``hypot(W - r - s, H - r - s)`` apart, and need
``r + s + c``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import Enum

from nestcut.facts import Fact, Names, fact
from nestcut.search.settings import Deadline
from nestcut.search.solver import solver_for
from nestcut.sheets.least.facts import SCALE, Clique, Facts
from nestcut.sheets.prepare import PreparedStock
from nestcut.tolerances.noise import NOISE, SOLVER_SLACK

_MOST_NAMES = 8
"""Pieces that are named as a reason."""

_WORK = 4.0
"""Deterministic time that the model may take."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeastBuy:
    """A proven bound.

    ``cost`` is the least cost in the group's own measure, ``sheets`` the least number of sheets
    that cost something; ``reason`` says what proves it.
    """

    cost: float
    sheets: int
    reason: Fact


def least_buy(facts: Facts, deadline: Deadline) -> LeastBuy | None:
    """Return a proven bound on what the group costs; None if the stock can't hold the pieces.

    The reserve rectangle, where one is wanted, counts as a piece. A deadline that cuts the model
    short leaves a bound that is lower, not false.
    """
    reasons = (_by_area(facts), fact("SHT-112"), fact("SHT-113"))
    kinds = range(len(facts.group.stocks))
    least: LeastBuy | None = None
    for level, reason in enumerate(reasons):
        rows = [[facts.area_rows[k], *(facts.weight_rows[k] if level > 0 else ())] for k in kinds]
        sets: list[list[Clique]] = list(facts.cliques) if level > 1 else [[] for _ in kinds]
        found = (
            _one_kind(facts, rows, sets)
            if len(kinds) == 1
            else _all_kinds(facts, rows, sets, deadline)
        )
        if found is None:
            return None
        cost, count = found
        if least is None or cost > least.cost + NOISE or count > least.sheets:
            least = LeastBuy(cost=cost, sheets=count, reason=reason)
    apart = _apart(facts) if len(kinds) == 1 else ()
    # what is kept in reserve may be among them, but is no piece that a reader could look up
    is_named = facts.group.reserve not in apart
    if least is not None and least.sheets > 1 and len(apart) >= least.sheets and is_named:
        code = "SHT-115" if len(apart) > _MOST_NAMES else "SHT-114"
        return replace(least, reason=fact(code, names=Names(apart[:_MOST_NAMES])))
    return least


def _by_area(facts: Facts) -> Fact:
    """Say how many sheets the pieces' area fills, where one kind is on sale."""
    on_sale = [k for k, s in enumerate(facts.group.stocks) if s.stock.is_to_buy]
    if len(on_sale) != 1 or not all(facts.fits[on_sale[0]]):
        return fact("SHT-111")
    filled = facts.total(facts.area_rows[on_sale[0]]) / SCALE
    code = "SHT-117" if len(facts.group.stocks) == 1 else "SHT-118"
    return fact(code, filled=f"{math.floor(100.0 * filled) / 100.0:.2f}")


def _apart(facts: Facts) -> tuple[str, ...]:
    """Names of the most pieces of which no two share a sheet: why so many sheets are needed."""
    clique = max(facts.cliques[0], key=lambda c: sum(m for _, m in c), default=())
    names: list[str] = []
    for wanted, number in clique:
        own = [p.id for p, c in zip(facts.group.pieces, facts.class_of, strict=True) if c == wanted]
        names += sorted(own)[:number]
    return tuple(sorted(names))


def _one_kind(
    facts: Facts, rows: list[list[list[int]]], sets: list[list[Clique]]
) -> tuple[float, int] | None:
    """Least cost and sheets where there is one kind: each row and each set counts by itself."""
    count = max(
        [
            1,
            *(-(-facts.total(row) // SCALE) for row in rows[0]),
            *(sum(m for _, m in clique) for clique in sets[0]),
        ]
    )
    stock = facts.group.stocks[0]
    if not all(facts.fits[0]) or (stock.stock.count is not None and count > stock.stock.count):
        return None
    return count * stock.cost, count if stock.cost > 0.0 else 0


def _all_kinds(
    facts: Facts, rows: list[list[list[int]]], sets: list[list[Clique]], deadline: Deadline
) -> tuple[float, int] | None:
    """Least cost and least sheets over all ways of dealing the pieces to kinds."""
    cost = _solve(facts, rows, sets, _Aim.COST, deadline)
    if cost is None:
        return None
    return cost, math.ceil(_solve(facts, rows, sets, _Aim.SHEETS, deadline) or 0.0)


class _Aim(Enum):
    COST = "cost"
    SHEETS = "sheets"


def _solve(
    facts: Facts,
    rows: list[list[list[int]]],
    sets: list[list[Clique]],
    aim: _Aim,
    deadline: Deadline,
) -> float | None:
    """Proven least cost (or number of costing sheets) under the rows and sets; None: impossible."""
    from ortools.sat.python import cp_model

    group, fits = facts.group, facts.fits
    model = cp_model.CpModel()
    n, kinds = len(group.pieces), len(group.stocks)
    most = [n if s.stock.count is None else min(n, s.stock.count) for s in group.stocks]
    used = [model.new_int_var(0, m, f"n{k}") for k, m in enumerate(most)]
    on = [
        [model.new_int_var(0, m if fits[k][c] else 0, f"y{c}_{k}") for k in range(kinds)]
        for c, m in enumerate(facts.counts)
    ]
    for c, m in enumerate(facts.counts):
        model.add(sum(on[c]) == m)
    for k in range(kinds):
        for row in rows[k]:
            terms = [a * o[k] for a, o in zip(row, on, strict=True) if a]
            model.add(sum(terms) <= SCALE * used[k])
        for clique in sets[k]:
            # one of several alike isn't told apart here, so only whole classes count
            whole_classes = [c for c, m in clique if m == facts.counts[c]]
            model.add(sum(on[c][k] for c in whole_classes) <= used[k])
    whole = [_whole_cost(s) for s in group.stocks]
    if aim is _Aim.COST:
        model.minimize(sum(c * used[k] for k, c in enumerate(whole)))
    else:
        model.minimize(sum(used[k] for k, c in enumerate(whole) if c > 0))
    solver = solver_for(_WORK, deadline)
    status = solver.solve(model)
    bound = max(0.0, solver.best_objective_bound)
    # cut short the moment it knows that nothing is possible, it says so by its bound alone
    if status == cp_model.INFEASIBLE or not math.isfinite(bound):
        return None
    if aim is _Aim.SHEETS:
        return math.ceil(bound - SOLVER_SLACK)
    return math.ceil(bound - SOLVER_SLACK) / _COST_SCALE


_COST_SCALE = 1000


def _whole_cost(stock: PreparedStock) -> int:
    return math.floor(stock.cost * _COST_SCALE + SOLVER_SLACK)
