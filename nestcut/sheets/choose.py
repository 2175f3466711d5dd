"""Choosing among checked sheets: the cheapest set that holds every piece, by CP-SAT.

Each checked sheet is a column and may be cut several times.  Copies of one piece are alike, so a
column counts how many of each it holds; and a sheet stays valid when pieces are taken off it, so
the demand need only be covered.  (Patterns and demands after Gilmore and Gomory 1961, Operations
Research 9:849-859.)
"""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

from nestcut.search.settings import Deadline
from nestcut.search.solver import solver_for
from nestcut.sheets.layouts import FilledSheet
from nestcut.sheets.prepare import Group, PreparedPiece
from nestcut.sheets.standing import Standing

_WORK = 10.0
"""Deterministic time for one choice."""

_MOST_COLUMNS = 4000
_COST_SCALE = 1000

Kind = tuple[str, str, int]
"""Pieces of one kind are alike: part, hand, share."""


def kind_of(piece: PreparedPiece) -> Kind:
    """Return what makes a piece alike to others."""
    if piece.piece is None:
        return (piece.id, "", 0)
    return (piece.piece.part, str(piece.piece.hand or ""), piece.piece.share)


def choose_sheets(standing: Standing, deadline: Deadline) -> tuple[FilledSheet, ...] | None:
    """Return the cheapest choice of pooled sheets that holds all pieces; None if there is none.

    Among equally cheap ones the one with the fewest sheets; the best one found where the deadline
    cuts the choice short.
    """
    from ortools.sat.python import cp_model

    group = standing.group
    kinds = {p.id: kind_of(p) for p in group.pieces}
    demand = Counter(kinds.values())
    columns = list(standing.pool.values())[-_MOST_COLUMNS:]
    held = [Counter(kinds[i] for i in c.ids) for c in columns]
    if any(sum(h[kind] for h in held) == 0 for kind in demand):
        return None
    model = cp_model.CpModel()
    take = [
        model.new_int_var(0, max(-(-demand[kind] // h[kind]) for kind in h), f"s{k}")
        for k, h in enumerate(held)
    ]
    for kind in sorted(demand):
        model.add(sum(h[kind] * take[k] for k, h in enumerate(held) if h[kind]) >= demand[kind])
    for stock in group.stocks:
        if stock.stock.count is not None:
            mine = [take[k] for k, c in enumerate(columns) if c.stock == stock.container.id]
            model.add(sum(mine) <= stock.stock.count)
    whole = [round(group.stock_of(c.stock).cost * _COST_SCALE) for c in columns]
    n = len(kinds) + 1
    model.minimize(sum((w * n + 1) * take[k] for k, w in enumerate(whole)))
    solver = solver_for(_WORK, deadline)
    if solver.solve(model) not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return None
    chosen = [c for k, c in enumerate(columns) for _ in range(solver.value(take[k]))]
    return dealt_out(group, tuple(chosen))


def dealt_out(group: Group, sheets: tuple[FilledSheet, ...]) -> tuple[FilledSheet, ...]:
    """Give the real pieces to the places of the chosen sheets; what is too many is left out.

    Fullest sheets (most pieces) first, so that late sheets empty; empty ones are dropped.
    """
    kinds = {p.id: kind_of(p) for p in group.pieces}
    stacks: dict[Kind, list[str]] = {}
    for piece in sorted(kinds, reverse=True):
        stacks.setdefault(kinds[piece], []).append(piece)
    kept = []
    for sheet in sorted(sheets, key=lambda s: (-len(s.lying), s.stock, s.ids)):
        lying = [
            replace(p, piece=stacks[kinds[p.piece]].pop())
            for p in sheet.lying
            if stacks[kinds[p.piece]]
        ]
        if lying:
            kept.append(
                FilledSheet(stock=sheet.stock, lying=tuple(sorted(lying, key=lambda p: p.piece)))
            )
    return tuple(kept)
