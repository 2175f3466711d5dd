"""What has changed from one plan to the next, for whoever holds the papers of the first."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nestcut.model.plan import BoardCut, Placement, Plan


class Source(StrEnum):
    """What a piece comes from."""

    SHEET = "sheet"
    BOARD = "board"


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """A piece that lies elsewhere; a number of 0: it lay, or lies, nowhere."""

    piece: str
    source: Source
    before: int
    after: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """Stock that has to be bought beyond what the first plan had."""

    stock: str
    length_mm: float
    count: int
    price_minor: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Difference:
    """Old papers against new ones.

    Parameters
    ----------
    shifts
        Pieces that lie elsewhere, by name.
    purchases
        What is to be bought now.
    pages
        Numbers of sheets, and of boards, whose old page no longer holds.
    """

    shifts: tuple[Shift, ...]
    purchases: tuple[Purchase, ...]
    pages: tuple[tuple[Source, int], ...]


def compare_plans(old: Plan, new: Plan) -> Difference:
    """Compare two plans of one job."""
    shifts: list[Shift] = []
    pages: set[tuple[Source, int]] = set()
    for source, before, after in (
        (Source.SHEET, _on_sheets(old), _on_sheets(new)),
        (Source.BOARD, _on_boards(old), _on_boards(new)),
    ):
        for piece in sorted(before.keys() | after.keys()):
            was, now = before.get(piece), after.get(piece)
            if was == now:
                continue
            numbers = (was[0] if was else 0, now[0] if now else 0)
            shifts.append(Shift(piece=piece, source=source, before=numbers[0], after=numbers[1]))
            pages |= {(source, n) for n in numbers if n}
    had = {(b.stock, b.length_mm): b.count for b in old.buy}
    purchases = tuple(
        Purchase(
            stock=b.stock,
            length_mm=b.length_mm,
            count=b.count - had.get((b.stock, b.length_mm), 0),
            price_minor=b.price_minor,
        )
        for b in new.buy
        if b.count > had.get((b.stock, b.length_mm), 0)
    )
    return Difference(shifts=tuple(shifts), purchases=purchases, pages=tuple(sorted(pages)))


def _on_sheets(plan: Plan) -> dict[str, tuple[int, Placement]]:
    return {p.piece: (s.number, p) for s in plan.sheets for p in s.placements}


def _on_boards(plan: Plan) -> dict[str, tuple[int, BoardCut]]:
    return {c.piece: (b.number, c) for b in plan.boards for c in b.cuts}
