"""The rectangle that a job wants kept free: is it free where the plan says, or really given up?

Every kind of sheets that something is cut from has one word about it.  A place is proven like a
piece's: on the sheet, as large as the job asks and upright either way, off what is barred, kerf and
gap away from every true outline, and within a KEEP, as who cuts by the papers keeps nothing else.
One that is given up is refused where such a rectangle has room for sure, with a millimetre or two
to spare each way, on a sheet that is cut from or on a whole one to hand.  What isn't proven: that a
search which gave it up had to (another layout might have room), and that there is no place where
it fits with less to spare, such as between round corners.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

import numpy as np
import shapely
from shapely.geometry import Polygon, box

from nestcut.errors import Finding
from nestcut.facts import Length, Size, Spot, fact
from nestcut.model.job import Job
from nestcut.model.part import CutFrom
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Free, Plan, Reserve, SheetLayout
from nestcut.model.stock import SheetStock
from nestcut.tolerances import VERIFY_MM
from nestcut.tolerances.lengths import MISSED_MM, SAGITTA_MM
from nestcut.tolerances.likeness import KERF_SHARE
from nestcut.verify.findings import objection
from nestcut.verify.stock.offcuts import drawn_areas, off_the_sheet
from nestcut.verify.stock.places import (
    clearance_mm,
    is_inside,
    is_near,
    placed_regions,
    reaches_in,
)
from nestcut.verify.stock.room import Lines, Room

_GIVEN_UP = "SHT-003"
"""The finding that says on every paper that it is given up."""
_Kind = tuple[str, float]
"""Material and thickness. [-, mm]"""


def check_reserves(job: Job, plan: Plan) -> list[Finding]:
    """Check what a plan whose layouts stand says of the rectangle that its job wants kept free.

    Parameters
    ----------
    job
        With what the plan holds in the shed.
    """
    size = job.cutting.reserve_mm
    cut = {(p.material, p.thickness_mm) for p in plan.pieces if p.cut_from is CutFrom.SHEET}
    wanted = Counter(cut if size is not None else ())
    told = Counter((r.material, r.thickness_mm) for r in plan.reserves)
    found = [
        objection("VER-076", _named(job, kind), has=told[kind], needs=wanted[kind])
        for kind in sorted(told | wanted)
        if told[kind] != wanted[kind]
    ]
    if found or size is None:
        return found
    for reserve in plan.reserves:
        if reserve.free is not None:
            what = _wrong(job, plan, reserve, reserve.free, size)
            if what:
                found.append(objection("VER-077", _name(job, reserve), what=what))
        else:
            found += _room_left(job, plan, reserve, size)
    return found + _check_said(job, plan, size)


def _kind(reserve: Reserve) -> _Kind:
    return reserve.material, reserve.thickness_mm


def _name(job: Job, reserve: Reserve) -> str:
    return _named(job, _kind(reserve))


def _named(job: Job, kind: _Kind) -> str:
    """What the sheets of a kind are called: by their own name where one alone is sold."""
    sold = sorted({s.name for s in _stocks(job, kind) if s.count is None})
    return sold[0] if len(sold) == 1 else f"{kind[0]} {kind[1]:g} mm"


def _stocks(job: Job, kind: _Kind) -> list[SheetStock]:
    return [s for s in job.sheet_stocks if (s.material, s.thickness_mm) == kind]


def _wrong(job: Job, plan: Plan, reserve: Reserve, free: Free, size: tuple[float, float]) -> str:
    """What is wrong with a place; nothing where it is free."""
    stock = next((s for s in _stocks(job, _kind(reserve)) if s.name == free.stock), None)
    layout = None if stock is None else _layout_of(plan, stock, free.sheet)
    if stock is None or layout is None:
        return "there is no such sheet"
    (x0, y0), (x1, y1) = free.from_mm, free.to_mm
    sides = (x1 - x0, y1 - y0)
    ways = (size, size[::-1])
    if not any(max(abs(a - b) for a, b in zip(sides, w, strict=True)) <= VERIFY_MM for w in ways):
        return "it isn't as large as the job asks"
    area = box(x0, y0, x1, y1)
    if not is_inside(layout, area):
        return "it leaves its sheet, or the sheet's trim"
    if any(reaches_in(area, Polygon(k.points)) for k in layout.keep_outs):
        return "nothing is to be cut there"
    if free.sheet and not any(
        box(*o.from_mm, *o.to_mm).buffer(VERIFY_MM, join_style="mitre").covers(area)
        for o in layout.offcuts
    ):
        return "no KEEP holds it"
    return _too_near(area, layout, clearance_mm(job, stock), {p.id: p for p in plan.pieces})


def _layout_of(plan: Plan, stock: SheetStock, number: int) -> SheetLayout | None:
    """The sheet of a number, or a whole one to hand; None where there is none of this stock."""
    if number == 0:
        return _whole(stock) if _is_left(stock, plan) else None
    return next((s for s in plan.sheets if (s.number, s.stock) == (number, stock.name)), None)


def _too_near(
    area: Polygon, layout: SheetLayout, need: float, pieces: dict[str, SheetPiece]
) -> str:
    """What lies nearer than kerf and gap allow; nothing, if nothing does."""
    if any(is_near(area, Polygon(k.points), need) for k in layout.spent):
        return "something was sawn out there"
    # chords may lie inside the true line, by their sagitta
    near = need + 2.0 * SAGITTA_MM if need > 0.0 else need
    regions = placed_regions(list(layout.placements), pieces)
    for placement, region in zip(layout.placements, regions, strict=True):
        if is_near(area, Polygon(region.exterior), near):
            return f"{placement.piece} lies there, or nearer than kerf and gap allow"
    return ""


def _is_left(stock: SheetStock, plan: Plan) -> bool:
    """Whether one to hand is left that nothing is cut from."""
    lying = stock.held + (0 if stock.count is None else stock.count)
    return sum(s.stock == stock.name for s in plan.sheets) < lying


def _whole(stock: SheetStock) -> SheetLayout:
    return SheetLayout(
        stock=stock.name,
        number=0,
        length_mm=stock.length_mm,
        width_mm=stock.width_mm,
        thickness_mm=stock.thickness_mm,
        outline=stock.outline,
        edge_trim_mm=stock.edge_trim_mm,
        keep_outs=stock.keep_outs,
        placements=(),
    )


def _room_left(
    job: Job, plan: Plan, reserve: Reserve, size: tuple[float, float]
) -> Iterator[Finding]:
    """Yield a place that there surely is for a rectangle that is said to have none."""
    stocks = {s.name: s for s in _stocks(job, _kind(reserve))}
    pieces = {p.id: p for p in plan.pieces}
    layouts = [s for s in plan.sheets if s.stock in stocks]
    layouts += [_whole(s) for s in stocks.values() if _is_left(s, plan)]
    for layout in layouts:
        at = _room_on(layout, clearance_mm(job, stocks[layout.stock]), size, pieces)
        if at is not None:
            name = f"sheet {layout.number}" if layout.number else layout.stock
            yield objection("VER-078", name, size=Size(size), at=Spot(at))
            return


def _room_on(
    layout: SheetLayout,
    need: float,
    size: tuple[float, float],
    pieces: dict[str, SheetPiece],
) -> tuple[float, float] | None:
    """Return where the rectangle, somewhat larger, has room for sure; as in check_missing."""
    margin = MISSED_MM + 2.0 * (KERF_SHARE * max(need, layout.edge_trim_mm) + VERIFY_MM)
    gone = np.asarray(drawn_areas(layout, pieces), dtype=object)
    blocks = [
        *shapely.buffer(gone, need, join_style="mitre"),
        *(Polygon(k.points) for k in layout.keep_outs),
        *(off_the_sheet(layout) if layout.outline is not None else ()),
    ]
    trim = layout.edge_trim_mm
    sheet = (trim, trim, layout.length_mm - trim, layout.width_mm - trim)
    room = Room(sheet, Lines.of(blocks))
    for along, across in dict.fromkeys((size, size[::-1])):
        place = room.place_for(along + margin, across + margin)
        if place is not None:
            return place[:2]
    return None


def _check_said(job: Job, plan: Plan, size: tuple[float, float]) -> list[Finding]:
    """What is given up is said where everyone reads it, and why; what is kept isn't."""
    said = Counter(f.where for f in plan.findings if f.code == _GIVEN_UP)
    given_up = [r for r in plan.reserves if r.free is None]
    names = Counter(_name(job, r) for r in given_up)
    found = [
        objection("VER-079", name) for name in sorted(said | names) if said[name] != names[name]
    ]
    for r in plan.reserves:
        why = None
        if r.free is None:
            thick = Length(r.thickness_mm)
            why = fact("SHT-120", material=r.material, thickness=thick, size=Size(size))
        if r.given_up != why:
            found.append(objection("VER-079", _name(job, r)))
    return list(dict.fromkeys(found))
