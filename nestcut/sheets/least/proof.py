"""An exact proof that one sheet fewer won't do, for small sets.

Only the upright rectangles inside the pieces are looked at (see
:mod:`nestcut.sheets.least.bounds`): if even they can't be laid on so many sheets, neither can the
pieces. CP-SAT decides: which rectangle lies on which sheet, in which quarter turn, where. Lengths
are micrometres, here rectangles rounded down and sheets up, so that rounding can't make the proof
false.
"""

from __future__ import annotations

import math
from itertools import combinations
from typing import Any

from nestcut.facts import fact
from nestcut.search.settings import Deadline
from nestcut.search.solver import solver_for
from nestcut.sheets.least.facts import SCALE, Facts
from nestcut.tolerances import UM_PER_MM

PROOF_REASON = fact("SHT-116")
"""What the plan says of such a bound."""

WORTH_TRYING = 0.85
"""Share of the sheets that the rectangles must weigh for a proof to be likely at all. [-]"""

MOST_PIECES = 40
"""Larger sets are left to the other bounds."""


def cannot_do_with(facts: Facts, sheets: int, work: float, deadline: Deadline) -> bool:
    """Whether it is proven that the group's pieces don't go on so many sheets of its one kind.

    Parameters
    ----------
    facts
        What is known of the group's pieces; only for a group with one kind of sheet.
    sheets
        How many.
    work
        Deterministic time for the solver.
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
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    n = len(facts.class_of)
    on = [[model.new_bool_var(f"y{i}_{b}") for b in range(sheets)] for i in range(n)]
    for i in range(n):
        model.add_exactly_one(on[i])
    for row in [facts.area_rows[0], *facts.weight_rows[0]]:
        for b in range(sheets):
            weights = ((row[c], on[i][b]) for i, c in enumerate(facts.class_of))
            model.add(sum(a * v for a, v in weights) <= SCALE)
    for i, j in combinations(range(n), 2):
        if facts.conflicts[0][facts.class_of[i], facts.class_of[j]]:
            for b in range(sheets):
                model.add_at_most_one([on[i][b], on[j][b]])
    _break_symmetry(model, on, facts)
    _place(model, on, facts)
    return bool(solver_for(work, deadline).solve(model) == cp_model.INFEASIBLE)


def _break_symmetry(model: Any, on: list[list[Any]], facts: Facts) -> None:
    """Sheets are alike: of pieces that share no sheet one each is dealt out, then one by one."""
    sheets = len(on[0])
    clique = [
        i
        for c, m in (facts.cliques[0][0] if facts.cliques[0] else ())
        for i in [i for i, d in enumerate(facts.class_of) if d == c][:m]
    ]
    order = [*clique, *(i for i in range(len(on)) if i not in clique)]
    for place, i in enumerate(order[:sheets]):
        if place < len(clique):
            model.add(on[i][place] == 1)
        else:
            for b in range(place + 1, sheets):
                model.add(on[i][b] == 0)


def _place(model: Any, on: list[list[Any]], facts: Facts) -> None:
    """Lay the rectangles of each sheet apart, each in one of its turns."""
    width, height = (math.ceil(s * UM_PER_MM) for s in facts.boxes[0])
    sheets = len(on[0])
    intervals: list[list[tuple[Any, Any]]] = [[] for _ in range(sheets)]
    for i, c in enumerate(facts.class_of):
        inner = facts.inner[c]
        if not inner.boxes:
            continue
        sides = [
            (math.floor((a + facts.gap_mm) * UM_PER_MM), math.floor((b + facts.gap_mm) * UM_PER_MM))
            for a, b in inner.boxes[0]
        ]
        sides = sorted({s for s in sides if s[0] <= width and s[1] <= height})
        x = model.new_int_var(0, width, f"x{i}")
        y = model.new_int_var(0, height, f"v{i}")
        for b in range(sheets):
            here = (
                [on[i][b]]
                if len(sides) == 1
                else [model.new_bool_var(f"t{i}_{b}_{k}") for k in range(len(sides))]
            )
            if len(sides) > 1:
                model.add(sum(here) == on[i][b])
            for k, (w, h) in enumerate(sides):
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
