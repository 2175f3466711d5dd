"""An exact proof that one sheet fewer, or a cheaper purchase, won't do, for small sets.

Only the upright rectangles inside the pieces are looked at (see
:mod:`nestcut.sheets.least.bounds`): if even they can't be laid on so many sheets, neither can the
pieces. CP-SAT decides: which rectangle lies on which sheet, in which quarter turn, where. Lengths
are micrometres, here rectangles rounded down and sheets up, so that rounding can't make the proof
false.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from itertools import combinations, islice, pairwise, product
from typing import Any

from nestcut.facts import fact
from nestcut.search.settings import Deadline
from nestcut.search.solver import solver_for
from nestcut.sheets.least.facts import SCALE, Facts
from nestcut.tolerances import UM_PER_MM
from nestcut.tolerances.noise import NOISE

PROOF_REASON = fact("SHT-116")
"""What the plan says of such a bound."""

CHEAPER_REASON = fact("SHT-119")
"""What it says where several kinds of sheet were looked at."""

WORTH_TRYING = 0.85
"""Share of the sheets that the rectangles must weigh for a proof to be likely at all. [-]"""

MOST_PIECES = 40
"""Larger sets are left to the other bounds."""


MOST_MIXED = 12
"""Pieces of which purchases of several kinds of sheet are tried. [-]"""

MOST_PURCHASES = 12
"""Purchases that are tried; where there are more, nothing is proven. [-]"""


def nothing_costs_less(facts: Facts, cost: float, work: float, deadline: Deadline) -> bool:
    """Whether it is proven that no purchase of several kinds of sheet for less holds the pieces.

    Every purchase to which nothing can be added for less than ``cost`` is tried; parameters
    otherwise as of :func:`cannot_do_with`.

    Parameters
    ----------
    cost
        Of the plan that is to be proven. [as prices are]
    work
        For the solver, in all. [deterministic seconds]
    deadline
        Cuts the attempt short; then nothing is proven.
    """
    if len(facts.class_of) > MOST_MIXED:
        return False
    tried = list(islice(_purchases(facts, cost), MOST_PURCHASES + 1))
    if not 0 < len(tried) <= MOST_PURCHASES:
        return False
    return all(_is_ruled_out(facts, kinds, work / len(tried), deadline) for kinds in tried)


def _purchases(facts: Facts, cost: float) -> Iterator[tuple[int, ...]]:
    """Yield the kinds of all sheets of each largest purchase that costs less."""
    n = len(facts.class_of)
    stocks = facts.group.stocks
    most = [n if s.stock.count is None else min(n, s.stock.count) for s in stocks]
    free = [k for k, s in enumerate(stocks) if s.cost <= 0.0 for _ in range(most[k])]
    paid = [k for k, s in enumerate(stocks) if s.cost > 0.0]
    fits = [math.ceil(cost / stocks[k].cost - NOISE) - 1 for k in paid]
    for counts in product(*(range(min(most[k], f) + 1) for k, f in zip(paid, fits, strict=True))):
        left = cost - sum(c * stocks[k].cost for c, k in zip(counts, paid, strict=True))
        could = [
            k
            for c, k in zip(counts, paid, strict=True)
            if c < most[k] and stocks[k].cost < left - NOISE
        ]
        if left > NOISE and not could:
            yield (*free, *(k for c, k in zip(counts, paid, strict=True) for _ in range(c)))


def cannot_do_with(facts: Facts, sheets: int, work: float, deadline: Deadline) -> bool:
    """Whether it is proven that the group's pieces don't go on so many sheets of its one kind.

    Parameters
    ----------
    facts
        What is known of the group's pieces; only for a group with one kind of sheet.
    sheets
        How many.
    work
        For the solver. [deterministic seconds]
    deadline
        Cuts the attempt short; then nothing is proven.

    Returns
    -------
    bool
        False also where nothing could be decided.
    """
    if sheets <= 0 or len(facts.group.stocks) != 1 or len(facts.class_of) > MOST_PIECES:
        return False
    if max(0, *map(facts.total, facts.weight_rows[0]), 0) < WORTH_TRYING * sheets * SCALE:
        return False
    return _is_ruled_out(facts, (0,) * sheets, work, deadline)


def _is_ruled_out(facts: Facts, kinds: Sequence[int], work: float, deadline: Deadline) -> bool:
    """Whether it is proven that the pieces don't go on one sheet of each of these kinds."""
    if not kinds:
        return len(facts.class_of) > 0
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    n, sheets = len(facts.class_of), len(kinds)
    on = [[model.new_bool_var(f"y{i}_{b}") for b in range(sheets)] for i in range(n)]
    for i in range(n):
        model.add_exactly_one(on[i])
    for b, k in enumerate(kinds):
        for row in [facts.area_rows[k], *facts.weight_rows[k]]:
            weights = ((row[c], on[i][b]) for i, c in enumerate(facts.class_of))
            model.add(sum(a * v for a, v in weights) <= SCALE)
        for i, c in enumerate(facts.class_of):
            if not facts.fits[k][c]:
                model.add(on[i][b] == 0)
        for i, j in combinations(range(n), 2):
            if facts.conflicts[k][facts.class_of[i], facts.class_of[j]]:
                model.add_at_most_one([on[i][b], on[j][b]])
    if len(set(kinds)) == 1:
        _break_symmetry(model, on, facts, kinds[0])
    else:
        _order_alike(model, on, facts, kinds)
    _place(model, on, facts, kinds)
    return bool(solver_for(work, deadline).solve(model) == cp_model.INFEASIBLE)


def _order_alike(model: Any, on: list[list[Any]], facts: Facts, kinds: Sequence[int]) -> None:
    """Of sheets of one kind the first is the fullest."""
    for b, (k, after) in enumerate(pairwise(kinds)):
        if k == after:
            row = facts.area_rows[k]
            areas = [(row[c], on[i]) for i, c in enumerate(facts.class_of)]
            model.add(sum(a * v[b] for a, v in areas) >= sum(a * v[b + 1] for a, v in areas))


def _break_symmetry(model: Any, on: list[list[Any]], facts: Facts, kind: int) -> None:
    """Sheets are alike: of pieces that share no sheet one each is dealt out, then one by one."""
    sheets = len(on[0])
    clique = [
        i
        for c, m in (facts.cliques[kind][0] if facts.cliques[kind] else ())
        for i in [i for i, d in enumerate(facts.class_of) if d == c][:m]
    ]
    order = [*clique, *(i for i in range(len(on)) if i not in clique)]
    for place, i in enumerate(order[:sheets]):
        if place < len(clique):
            model.add(on[i][place] == 1)
        else:
            for b in range(place + 1, sheets):
                model.add(on[i][b] == 0)


def _place(model: Any, on: list[list[Any]], facts: Facts, kinds: Sequence[int]) -> None:
    """Lay the rectangles of each sheet apart, each in one of its turns."""
    sizes = [tuple(math.ceil(s * UM_PER_MM) for s in facts.boxes[k]) for k in kinds]
    widest, highest = max(s[0] for s in sizes), max(s[1] for s in sizes)
    intervals: list[list[tuple[Any, Any]]] = [[] for _ in kinds]
    for i, c in enumerate(facts.class_of):
        inner = facts.inner[c]
        if not inner.boxes:
            continue
        sides = sorted(
            {
                tuple(math.floor((s + facts.gap_mm) * UM_PER_MM) for s in pair)
                for pair in inner.boxes[0]
            }
        )
        x = model.new_int_var(0, widest, f"x{i}")
        y = model.new_int_var(0, highest, f"v{i}")
        for b, (width, height) in enumerate(sizes):
            able = [s for s in sides if s[0] <= width and s[1] <= height]
            here = (
                [on[i][b]]
                if len(able) == 1
                else [model.new_bool_var(f"t{i}_{b}_{k}") for k in range(len(able))]
            )
            if len(able) != 1:
                model.add(sum(here) == on[i][b])
            for k, (w, h) in enumerate(able):
                intervals[b].append(
                    (
                        model.new_optional_fixed_size_interval_var(x, w, here[k], f"h{i}_{b}_{k}"),
                        model.new_optional_fixed_size_interval_var(y, h, here[k], f"w{i}_{b}_{k}"),
                    )
                )
                model.add(x + w <= width).only_enforce_if(here[k])
                model.add(y + h <= height).only_enforce_if(here[k])
    for pairs in intervals:
        model.add_no_overlap_2d([p[0] for p in pairs], [p[1] for p in pairs])
