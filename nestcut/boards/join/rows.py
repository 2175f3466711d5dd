"""A rail as a row of pieces in an exact model (CP-SAT), and what rows ask of each other."""

from __future__ import annotations

from typing import Any

from nestcut.boards.join.joining import FreeRail


class Row:
    """A rail's joints and pieces as variables."""

    def __init__(self, model: Any, rail: FreeRail, most: int) -> None:
        from ortools.sat.python import cp_model

        self.rail = rail
        domain = cp_model.Domain.from_intervals([list(s) for s in rail.starts])
        self.exists = [model.new_bool_var("") for _ in range(most)]
        self.start = [model.new_int_var_from_domain(domain, "") for _ in range(most)]
        for k in range(most - 1):
            model.add_implication(self.exists[k + 1], self.exists[k])
            model.add(self.start[k + 1] >= self.start[k] + rail.apart).only_enforce_if(
                self.exists[k + 1]
            )
        for n in range(most + 1):
            if n not in rail.numbers:
                chosen = [e.negated() for e in self.exists[:n]]
                beyond = [self.exists[n]] if n < most else []
                model.add_bool_or([*chosen, *beyond])
        self.length: list[Any] = []
        for k in range(most + 1):
            length = model.new_int_var(0, rail.whole, "")
            begin = -rail.allowance if k == 0 else self.start[k - 1]
            end = rail.whole - rail.allowance
            if k < most:
                inner = [self.exists[k]]
                model.add(length == self.start[k] + rail.overlap - begin).only_enforce_if(inner)
                last = [self.exists[k].negated()] + ([self.exists[k - 1]] if k else [])
            else:
                last = [self.exists[k - 1]] if k else []
            model.add(length == end - begin).only_enforce_if(last)
            if k:
                model.add(length == 0).only_enforce_if(self.exists[k - 1].negated())
            self.length.append(length)

    def has_piece(self, k: int) -> Any:
        """Return the literal for piece ``k``; None for the first, which always exists."""
        return None if k == 0 else self.exists[k - 1]


def keep_apart(model: Any, rows: dict[int, Row], stagger: tuple[tuple[int, int, int], ...]) -> None:
    """Keep the middles of coupled rails' joints apart.

    Parameters
    ----------
    model
        CP-SAT model that the constraints are added to.
    rows
        Variables of each rail, by its number; pairs with a rail that has none are passed over.
    stagger
        Rows (i, j, least): middles of joints of rails i and j are this far apart. [grid units]
    """
    for i, j, least in stagger:
        if i not in rows or j not in rows:
            continue
        first, second = rows[i], rows[j]
        offset = first.rail.overlap - second.rail.overlap
        for e, s in zip(first.exists, first.start, strict=True):
            for f, t in zip(second.exists, second.start, strict=True):
                before = model.new_bool_var("")
                apart = 2 * s + offset - 2 * t
                model.add(apart >= 2 * least).only_enforce_if(e, f, before)
                model.add(apart <= -2 * least).only_enforce_if(e, f, before.negated())


def order_alike(
    model: Any, rows: dict[int, Row], stagger: tuple[tuple[int, int, int], ...]
) -> None:
    """Let rails of one part that could change places in a cluster come in order of first joints.

    Parameters
    ----------
    model
        CP-SAT model that the constraints are added to.
    rows
        Variables of each rail, by its number.
    stagger
        Rows (i, j, least) as in :func:`keep_apart`; rails that differ in their partners don't
        change places.
    """
    partners: dict[int, set[int]] = {r: set() for r in rows}
    for i, j, _ in stagger:
        if i in rows and j in rows:
            partners[i].add(j)
            partners[j].add(i)
    last: dict[int, int] = {}
    for r in sorted(rows):
        before = last.get(rows[r].rail.alike)
        last[rows[r].rail.alike] = r
        if before is None or (partners[r] | partners[before]) - {r, before}:
            continue
        first, second = rows[before], rows[r]
        if first.exists and second.exists:
            model.add_implication(first.exists[0], second.exists[0])
            model.add(first.start[0] <= second.start[0]).only_enforce_if(first.exists[0])
