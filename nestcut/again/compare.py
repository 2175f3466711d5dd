"""What has changed from one plan to the next, for whoever holds the papers of the first."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nestcut.again.alike import moved_over, rail_shift, shift_between
from nestcut.model.plan import BoardCut, Plan
from nestcut.model.pose import Placement
from nestcut.tolerances import SAME_POINT_MM


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
    """Stock that has to be bought now: the buying list of a plan made again."""

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
    changed
        Pieces of the same name that are cut otherwise now.
    added, gone
        Pieces that the first plan hasn't, or the second.
    renamed
        Old and new name of pieces that lie where they lay.
    """

    shifts: tuple[Shift, ...]
    purchases: tuple[Purchase, ...]
    pages: tuple[tuple[Source, int], ...]
    changed: tuple[str, ...] = ()
    added: tuple[str, ...] = ()
    gone: tuple[str, ...] = ()
    renamed: tuple[tuple[str, str], ...] = ()


Place = tuple[int, Placement | BoardCut]
"""Number of a sheet or board, and what lies there."""


def compare_plans(old: Plan, new: Plan) -> Difference:
    """Compare a plan with the one made again of it, which holds the first one's stock."""
    shifts: list[Shift] = []
    pages: set[tuple[Source, int]] = set()
    changed: list[str] = []
    renamed: dict[str, str] = {}
    for source, before, after in (
        (Source.SHEET, _on_sheets(old), _on_sheets(new)),
        (Source.BOARD, _on_boards(old), _on_boards(new)),
    ):
        for was, now in _renamed(before, after, old, new):
            renamed[was] = now
            pages.add((source, before.pop(was)[0]))
            del after[now]
        for piece in sorted(before.keys() | after.keys()):
            first, second = before.get(piece), after.get(piece)
            stays = False
            if first and second:
                if not _is_alike(piece, piece, old, new):
                    changed.append(piece)
                elif _lies_alike(piece, first, second, old, new):
                    continue
                stays = _spot(first) == _spot(second)
            numbers = (first[0] if first else 0, second[0] if second else 0)
            pages |= {(source, n) for n in numbers if n}
            if not stays:
                shifts.append(
                    Shift(piece=piece, source=source, before=numbers[0], after=numbers[1])
                )
    had = {
        Source.SHEET: len(old.sheets),
        Source.BOARD: max((b.number for b in old.boards), default=0),
    }
    pages |= _both_drawings(pages, old)
    were, are = _ids(old) - renamed.keys(), _ids(new) - set(renamed.values())
    purchases = tuple(
        Purchase(stock=b.stock, length_mm=b.length_mm, count=b.count, price_minor=b.price_minor)
        for b in new.buy
        if b.count
    )
    return Difference(
        shifts=tuple(shifts),
        purchases=purchases,
        pages=tuple(sorted(p for p in pages if p[1] <= had[p[0]])),
        changed=tuple(sorted(changed)),
        added=tuple(sorted(are - were)),
        gone=tuple(sorted(were - are)),
        renamed=tuple(sorted(renamed.items())),
    )


def _both_drawings(pages: set[tuple[Source, int]], old: Plan) -> set[tuple[Source, int]]:
    """Boards with rails and sawn parts are drawn twice, and each drawing shows both."""
    rails = {b.number for b in old.boards}
    both = {s.board: s.number for s in old.sheets if s.board in rails}
    return {
        page
        for board, sheet in both.items()
        if pages & {(Source.BOARD, board), (Source.SHEET, sheet)}
        for page in ((Source.BOARD, board), (Source.SHEET, sheet))
    }


def _lies_alike(piece: str, first: Place, second: Place, old: Plan, new: Plan) -> bool:
    """Whether a piece lies where it lay; its outline may have moved in the drawing."""
    if isinstance(first[1], BoardCut):
        return first == second
    was = next(p for p in old.pieces if p.id == piece)
    now = next(p for p in new.pieces if p.id == piece)
    shift = shift_between(was, now) or (0.0, 0.0)
    moved = _spot((first[0], moved_over(first[1], shift)))
    return all(abs(a - b) < SAME_POINT_MM for a, b in zip(moved, _spot(second), strict=True))


def _ids(plan: Plan) -> set[str]:
    return {p.id for p in plan.pieces} | {p.id for p in plan.rail_pieces}


def _renamed(
    before: dict[str, Place], after: dict[str, Place], old: Plan, new: Plan
) -> list[tuple[str, str]]:
    """Find pieces that lie as before under another name."""
    there = {_spot(p): name for name, p in after.items()}
    were, are = _ids(old), _ids(new)
    return [
        (was, now)
        for was, place in before.items()
        if (now := there.get(_spot(place), was)) != was
        and (was not in are or now not in were)
        and _is_alike(was, now, old, new)
    ]


def _spot(place: Place) -> tuple[float, ...]:
    number, what = place
    if isinstance(what, Placement):
        return (number, what.is_face_up, what.turn_deg, *what.shift_mm)
    return (number, what.from_mm, what.to_mm, what.rip_from_mm, what.rip_to_mm)


def _is_alike(was: str, now: str, old: Plan, new: Plan) -> bool:
    flat, rails = {p.id: p for p in old.pieces}, {p.id: p for p in old.rail_pieces}
    if was in flat:
        other = next((p for p in new.pieces if p.id == now), None)
        return (
            other is not None
            and (other.part, other.hand) == (flat[was].part, flat[was].hand)
            and shift_between(flat[was], other) is not None
        )
    rail = next((p for p in new.rail_pieces if p.id == now), None)
    return (
        rail is not None
        and (rail.part, rail.hand) == (rails[was].part, rails[was].hand)
        and rail_shift(rails[was], rail) is not None
    )


def _on_sheets(plan: Plan) -> dict[str, Place]:
    return {p.piece: (s.number, p) for s in plan.sheets for p in s.placements}


def _on_boards(plan: Plan) -> dict[str, Place]:
    return {c.piece: (b.number, c) for b in plan.boards for c in b.cuts}
