"""What a plan leaves over that is worth keeping, once it is cut."""

from __future__ import annotations

from dataclasses import dataclass, replace

import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.geometry.polygon import orient

from nestcut.boards import rests_as_sawn, rests_at
from nestcut.geometry.usable import free_area
from nestcut.model.curves import Point
from nestcut.model.job import Job
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import BoardLayout, Plan, SheetLayout
from nestcut.model.stock import NO_SPARE, BoardLength, BoardStock, KeepOut, SheetStock
from nestcut.planfile.write import placed_shape
from nestcut.planning.sawn.blanks import boards_sawn_from
from nestcut.shed.book import NewEntry
from nestcut.sheets.left.offcuts import largest_boxes
from nestcut.trade.boards import KEPT_END_MM
from nestcut.trade.shop import OFFCUT_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """The smallest rest that goes into the book. [mm]

    Parameters
    ----------
    sides_mm
        Longer and shorter side of an offcut of a sheet.
    board_mm
        Length of a board's strip or end.  Usually that from which its page marks an end as kept.
    """

    sides_mm: tuple[float, float] = (OFFCUT_MM.high, OFFCUT_MM.low)
    board_mm: float = KEPT_END_MM.value


def gather_rest(job: Job, plan: Plan, kept: Kept) -> tuple[NewEntry, ...]:
    """Return the offcuts of all sheets and boards that are large enough.

    An offcut has its true outline, and keeps its sheet's grain, faces and measured thickness.  A
    board gives the ends and strips that its page marks as kept, trim taken off.
    """
    sheets = {s.name: s for s in job.sheet_stocks}
    boards = {b.name: b for b in job.board_stocks}
    made: list[NewEntry] = []
    pieces = {p.id: p for p in plan.pieces}
    for layout in plan.sheets:
        stock = sheets.get(layout.stock)
        if stock is None:
            continue
        came_from = f"{job.name}, sheet {layout.number}"
        kerf_mm = job.cutting.on(stock).kerf_mm
        made += [
            NewEntry(stock=offcut, came_from=came_from)
            for offcut in _offcuts(stock, layout, pieces, kerf_mm, kept)
        ]
    sawn = {b.number: b for b in boards_sawn_from(plan)}
    offers = {b.number: _as_sold(boards[b.stock], b) for b in (*plan.boards, *sawn.values())}
    rests = list(rests_as_sawn(job, plan.boards, offers, kept.board_mm))
    for layout in plan.sheets:
        if layout.board in sawn:
            boxes = [
                (o.from_mm[0], o.to_mm[0], o.from_mm[1], o.to_mm[1])
                for o in layout.offcuts
                if o.to_mm[0] - o.from_mm[0] >= kept.board_mm
            ]
            sold, offer = boards[layout.stock], offers[layout.board]
            rests += rests_at(sold, layout.board, boxes, offer)
    made += [
        NewEntry(
            stock=replace(rest.stock, spare=NO_SPARE, supplier=""),
            came_from=f"{job.name}, board {rest.number}",
        )
        for rest in rests
    ]
    return tuple(made)


def _offcuts(
    stock: SheetStock,
    layout: SheetLayout,
    pieces: dict[str, SheetPiece],
    kerf_mm: float,
    kept: Kept,
) -> list[SheetStock]:
    """Everything of a sheet that is worth keeping, with its true outline, the largest first.

    Necks narrower than the smallest rest's shorter side are sawn through and forgotten; what
    remains must hold a rectangle of the smallest rest's sides.
    """
    gone: list[BaseGeometry] = [
        Polygon(placed_shape(pieces[p.piece], p).outline.points) for p in layout.placements
    ]
    gone += [Polygon(k.points) for k in layout.spent]
    left = free_area(stock.usable).difference(
        shapely.union_all([g.buffer(kerf_mm, join_style="mitre") for g in gone])
    )
    half = min(kept.sides_mm) / 2.0 - SAME_OFFCUT_MM
    opened = left.buffer(-half, join_style="mitre").buffer(half, join_style="mitre")
    parts = [
        inner
        for part in shapely.get_parts(opened.intersection(left))
        for inner in shapely.get_parts(_inner(part))
        if isinstance(inner, Polygon) and inner.is_valid and not inner.is_empty
    ]
    found: list[SheetStock] = []
    for part in sorted(parts, key=lambda p: (-p.area, p.bounds)):
        boxes = largest_boxes(shapely.box(*part.bounds).difference(part), part.bounds)
        useful = [b for b in boxes if _is_large(b, kept)]
        if not useful:
            continue
        plain = shapely.box(*useful[0])
        is_plain = plain.area >= PLAIN_SHARE * part.area
        found.append(_offcut(stock, layout, plain if is_plain else part))
    return found


def _inner(part: Polygon) -> BaseGeometry:
    """A part drawn a little inside with fewer corners; straight edges stay straight."""
    inset = SAME_OFFCUT_MM + BOOK_STEP_MM
    return part.buffer(-inset, join_style="mitre").simplify(SAME_OFFCUT_MM)


BOOK_STEP_MM = 0.1
"""Books hold lengths to a tenth; corners lie on the same steps. [mm]"""


SAME_OFFCUT_MM = 0.5
"""Outlines of offcuts are drawn so far inside what is left, and their corners simplified. [mm]"""
PLAIN_SHARE = 0.97
"""An offcut of which a rectangle is so large a share is kept as that rectangle. [-]"""


def _is_large(box: tuple[float, float, float, float], kept: Kept) -> bool:
    sides = sorted((box[2] - box[0], box[3] - box[1]))
    wanted = sorted(kept.sides_mm)
    return all(a >= b - 2.0 * SAME_OFFCUT_MM for a, b in zip(sides, wanted, strict=True))


def _offcut(stock: SheetStock, layout: SheetLayout, part: Polygon) -> SheetStock:
    """A part of a sheet as a sheet of its own: its trim is gone with the edges it was cut from."""
    moved = shapely.set_precision(
        affinity.translate(part, -part.bounds[0], -part.bounds[1]), BOOK_STEP_MM
    )
    whole = max(
        (p for p in shapely.get_parts(moved) if isinstance(p, Polygon)), key=lambda p: p.area
    )
    part = affinity.translate(whole, part.bounds[0], part.bounds[1])
    x0, y0, x1, y1 = part.bounds
    is_box = whole.equals(shapely.box(*whole.bounds))
    holes = tuple(
        KeepOut(points=tuple((x - x0, y - y0) for x, y in ring.coords[:-1]), reason="cut")
        for ring in part.interiors
    )
    corners = orient(part, 1.0).exterior.coords[:-1]
    return stock.rest(
        length_mm=_step(x1 - x0),
        width_mm=_step(y1 - y0),
        thickness_mm=layout.thickness_mm,
        outline=None if is_box else tuple((_step(x - x0), _step(y - y0)) for x, y in corners),
        keep_outs=(*holes, *_seams(stock, (x0, y0), (x1, y1))),
    )


def _step(length_mm: float) -> float:
    """A length that lies on a step but for the last digits of a sum. [mm]"""
    return round(length_mm, 1)


def _seams(stock: SheetStock, low: Point, high: Point) -> tuple[KeepOut, ...]:
    """Scarfs of a sheet that was glued up: nobody else's plans know of them, so they are barred."""
    (x0, y0), (x1, y1) = low, high
    bands = ((max(a, x0) - x0, min(b, x1) - x0) for a, b in stock.seam_bands_mm)
    return tuple(
        KeepOut(points=((a, 0.0), (b, 0.0), (b, y1 - y0), (a, y1 - y0)), reason="scarf")
        for a, b in bands
        if a < b
    )


def _as_sold(stock: BoardStock, layout: BoardLayout) -> BoardLength:
    """What a board was sold as; where several have its length, the one with defects."""
    same = [o for o in stock.lengths if o.length_mm == layout.length_mm]
    return max(same, key=lambda o: len(o.defects))
