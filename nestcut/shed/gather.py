"""What a plan leaves over that is worth keeping, once it is cut."""

from __future__ import annotations

from dataclasses import dataclass, replace

from nestcut.model.job import Job
from nestcut.model.plan import BoardLayout, Offcut, Plan, SheetLayout
from nestcut.model.stock import BoardLength, BoardStock, KeepOut, SheetStock
from nestcut.shed.book import NewEntry


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """The smallest rest that goes into the book. [mm]

    Parameters
    ----------
    sides_mm
        Longer and shorter side of an offcut of a sheet.
    board_mm
        Length of a board's clear end.
    """

    sides_mm: tuple[float, float] = (300.0, 150.0)
    board_mm: float = 500.0


def gather_rest(job: Job, plan: Plan, kept: Kept) -> tuple[NewEntry, ...]:
    """Return the offcuts of all sheets and the clear ends of all boards that are large enough.

    An offcut keeps its sheet's grain, faces and measured thickness; a board's end its section.
    """
    sheets = {s.name: s for s in job.sheet_stocks}
    boards = {b.name: b for b in job.board_stocks}
    made: list[NewEntry] = []
    for layout in plan.sheets:
        stock = sheets.get(layout.stock)
        if stock is None:
            continue
        came_from = f"{job.name}, sheet {layout.number}"
        made += [
            NewEntry(stock=_offcut(stock, layout, offcut), came_from=came_from)
            for offcut in layout.offcuts
            if _is_large(offcut, kept)
        ]
    for number, board in enumerate(plan.boards, start=1):
        end = _clear_end(boards[board.stock], board)
        if end.lengths[0].length_mm >= kept.board_mm:
            made.append(NewEntry(stock=end, came_from=f"{job.name}, board {number}"))
    return tuple(made)


def _is_large(offcut: Offcut, kept: Kept) -> bool:
    a = offcut.to_mm[0] - offcut.from_mm[0]
    b = offcut.to_mm[1] - offcut.from_mm[1]
    return max(a, b) >= max(kept.sides_mm) and min(a, b) >= min(kept.sides_mm)


def _offcut(stock: SheetStock, layout: SheetLayout, offcut: Offcut) -> SheetStock:
    """The rectangle as a sheet of its own: its trim is gone with the edges it was cut from."""
    return replace(
        stock,
        length_mm=offcut.to_mm[0] - offcut.from_mm[0],
        width_mm=offcut.to_mm[1] - offcut.from_mm[1],
        thickness_mm=layout.thickness_mm,
        price_minor=0,
        count=1,
        outline=None,
        edge_trim_mm=0.0,
        keep_outs=_seams(stock, offcut),
        seams_mm=(),
        seam_overlap_mm=0.0,
    )


def _seams(stock: SheetStock, offcut: Offcut) -> tuple[KeepOut, ...]:
    """Scarfs of a sheet that was glued up: nobody else's plans know of them, so they are barred."""
    (x0, y0), (x1, y1) = offcut.from_mm, offcut.to_mm
    half = stock.seam_overlap_mm / 2
    bands = ((max(s - half, x0) - x0, min(s + half, x1) - x0) for s in stock.seams_mm)
    return tuple(
        KeepOut(points=((a, 0.0), (b, 0.0), (b, y1 - y0), (a, y1 - y0)), reason="scarf")
        for a, b in bands
        if a < b
    )


def _clear_end(stock: BoardStock, layout: BoardLayout) -> BoardStock:
    """The full-width end that nothing is cut from, end trim and known defects left on it."""
    last = max((c.to_mm for c in layout.cuts), default=0.0)
    known = [b for b in stock.lengths if b.length_mm == layout.length_mm and b.defects]
    defects = tuple(
        replace(d, from_mm=max(d.from_mm - last, 0.0), to_mm=d.to_mm - last)
        for b in known[:1]
        for d in b.defects
        if d.to_mm > last
    )
    length = BoardLength(length_mm=layout.length_mm - last, count=1, defects=defects)
    return replace(stock, lengths=(length,), end_trim_mm=0.0)
