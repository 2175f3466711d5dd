"""Do flat pieces lie where they may: inside, apart, off the knots, with the grain, face up?"""

from __future__ import annotations

import math
from collections.abc import Iterable

from nestcut.errors import Finding
from nestcut.model.curves import Point
from nestcut.model.job import Job
from nestcut.model.part import CutFrom, Faces, Grain, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import BoardLayout, SheetLayout
from nestcut.model.pose import Placement
from nestcut.model.stock import BoardLength, BoardStock, GoodFaces, KeepOut, SheetGrain, SheetStock
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.lengths import TURN_DEG
from nestcut.verify.findings import objection
from nestcut.verify.stock.places import check_places

Stock = SheetStock | BoardStock


def stocks_by_name(job: Job) -> dict[str, Stock]:
    """Return all stock by its name."""
    stocks: dict[str, Stock] = {s.name: s for s in job.board_stocks}
    stocks.update({s.name: s for s in job.sheet_stocks})
    return stocks


def check_numbers(layouts: Iterable[SheetLayout], stocks: dict[str, Stock]) -> list[Finding]:
    """Sheets are numbered from 1 on, and none is bought for nothing."""
    every = tuple(layouts)
    found = [
        objection("VER-045", f"sheet {layout.number}", needs=number)
        for number, layout in enumerate(every, start=1)
        if layout.number != number
    ]
    return found + check_empty(every, "sheet", stocks)


def check_empty(
    layouts: Iterable[SheetLayout | BoardLayout], what: str, stocks: dict[str, Stock]
) -> list[Finding]:
    """No sheet or board is bought for nothing.

    One that lies in the shed for the plan may be left over whole.

    Parameters
    ----------
    what
        ``"sheet"`` or ``"board"``.
    stocks
        What the job has of them, by name.
    """
    found = []
    held = {s.name: _held(s) for s in stocks.values()}
    for layout in layouts:
        if isinstance(layout, SheetLayout):
            is_empty = not layout.placements
        else:
            is_empty = not layout.cuts and not layout.blanks
        if is_empty and not layout.spent:
            held[layout.stock] = held.get(layout.stock, 0) - 1
            if held[layout.stock] >= 0:
                continue
            found.append(objection("VER-046", f"{what} {layout.number}"))
    return found


def _held(stock: Stock) -> int:
    return stock.held if isinstance(stock, SheetStock) else sum(o.held for o in stock.lengths)


def check_layout(job: Job, layout: SheetLayout, pieces: dict[str, SheetPiece]) -> list[Finding]:
    """Check one layout: its sheet can be had, and each of its pieces lies well there.

    Parameters
    ----------
    pieces
        The plan's pieces by their ids.
    """
    stock = stocks_by_name(job).get(layout.stock)
    if stock is None or not _is_stock(layout, stock):
        return [objection("VER-020", f"sheet {layout.number}", stock=layout.stock)]
    known = [p for p in layout.placements if p.piece in pieces]
    found = [
        objection("VER-021", p.piece, sheet=layout.number)
        for p in layout.placements
        if p.piece not in pieces
    ]
    for placement in known:
        found += _check_lie(pieces[placement.piece], placement, layout, stock)
    return found + check_places(job, stock, layout, known, pieces)


def _is_stock(layout: SheetLayout, stock: Stock) -> bool:
    """Whether the layout's sheet is one that can be had: size, outline, trim and keep-outs."""
    if isinstance(stock, BoardStock):
        ends = stock.end_trim_mm
        same = any(is_offer(layout, stock, o) for o in stock.lengths) and layout.outline is None
    else:
        ends = 0.0
        same = (
            abs(layout.length_mm - stock.length_mm) < SAME_LENGTH_MM
            and _same_points(layout.outline or (), stock.outline or ())
            and _same_keep_outs(layout.keep_outs, stock.keep_outs)
        )
    return (
        same
        and abs(layout.width_mm - stock.width_mm) < SAME_LENGTH_MM
        and abs(layout.thickness_mm - stock.thickness_mm) < SAME_LENGTH_MM
        and abs(layout.edge_trim_mm - stock.edge_trim_mm) < SAME_LENGTH_MM
        and abs(layout.end_trim_mm - ends) < SAME_LENGTH_MM
    )


def _same_points(a: tuple[Point, ...], b: tuple[Point, ...]) -> bool:
    return len(a) == len(b) and all(
        math.dist(p, q) < SAME_LENGTH_MM for p, q in zip(a, b, strict=True)
    )


def _same_keep_outs(a: tuple[KeepOut, ...], b: tuple[KeepOut, ...]) -> bool:
    return len(a) == len(b) and all(
        p.reason == q.reason and _same_points(p.points, q.points) for p, q in zip(a, b, strict=True)
    )


def is_offer(layout: SheetLayout, stock: BoardStock, offer: BoardLength) -> bool:
    """Whether a board is of this length, with each of its defects kept out."""
    across = stock.width_mm
    defects = tuple(
        KeepOut(
            points=(
                (d.from_mm, 0.0),
                (d.to_mm, 0.0),
                (d.to_mm, across),
                (d.from_mm, across),
            ),
            reason=d.reason,
        )
        for d in offer.defects
    )
    return abs(layout.length_mm - offer.length_mm) < SAME_LENGTH_MM and _same_keep_outs(
        layout.keep_outs, defects
    )


def _check_lie(
    piece: SheetPiece,
    placement: Placement,
    layout: SheetLayout,
    stock: SheetStock | BoardStock,
) -> list[Finding]:
    """Material, thickness, face and turn of one placement."""
    found: list[Finding] = []
    wanted = CutFrom.BOARD if isinstance(stock, BoardStock) else CutFrom.SHEET
    if (
        piece.material != stock.material
        or abs(piece.thickness_mm - layout.thickness_mm) > SAME_LENGTH_MM
        or piece.cut_from is not wanted
    ):
        needs = f"{piece.cut_from.value} of {piece.material} {piece.thickness_mm:g} mm"
        found.append(objection("VER-022", piece.id, needs=needs, stock=layout.stock))
    both = isinstance(stock, SheetStock) and stock.good_faces is GoodFaces.BOTH
    if not placement.is_face_up and piece.faces is not Faces.EITHER and not both:
        found.append(objection("VER-023", piece.id))
    if not _may_turn(piece, placement, stock):
        found.append(objection("VER-024", piece.id, turn=f"{placement.turn_deg:g}"))
    return found


def _may_turn(piece: SheetPiece, placement: Placement, stock: SheetStock | BoardStock) -> bool:
    """Whether the turn keeps the piece's grain rule.

    Grain along means that the drawing's x axis lies along the sheet's face grain, to within the
    turning allowed. On a sheet with its grain across, everything is a quarter turn further.
    A piece of a band along a curve has its grain turned by its own angle, the other way face down.
    """
    if piece.turning is Turning.FREE and piece.grain is Grain.ANY:
        return math.isfinite(placement.turn_deg)
    across = isinstance(stock, SheetStock) and stock.grain is SheetGrain.ALONG_WIDTH
    base = {Grain.ALONG: [0.0], Grain.ACROSS: [90.0], Grain.ANY: [0.0, 90.0]}[piece.grain]
    if across:
        base = [b + 90.0 for b in base]
    if piece.grain is Grain.ACROSS or across:
        # A quarter turn either way puts the grain right; which way is the same as a half turn.
        base = [*base, *(b + 180.0 for b in base)]
    if piece.turning is not Turning.NONE:
        base = [*base, *(b + 180.0 for b in base)]
    if piece.turning is Turning.QUARTER:
        base = [*base, *(b + 90.0 for b in base)]
    slack = TURN_DEG
    if piece.turning in {Turning.SMALL, Turning.FREE}:
        slack += piece.small_angle_deg
    own = piece.grain_deg if placement.is_face_up else -piece.grain_deg
    turn = placement.turn_deg + own
    return any(abs((turn - b + 180.0) % 360.0 - 180.0) <= slack for b in base)
