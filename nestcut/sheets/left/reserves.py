"""Where a finished plan keeps the rectangle free that its job wants in reserve.

The search lays it down like a piece that may be left out.  Whoever makes a plan of layouts - the
search, a plan continued, a hand - asks here once they stand, whatever became of the search's own
place: a rectangle that lies within one that is kept, else anywhere beside the pieces, else on a
whole sheet to hand that nothing is cut from.  On a sheet that is cut from, one of the rectangles to
keep holds it, so that whoever cuts by the papers doesn't cut through it.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Severity, finding
from nestcut.facts import Length, Size, fact
from nestcut.geometry.offset import grown, polygons_of
from nestcut.geometry.polygons import to_polygon
from nestcut.geometry.usable import whole_area
from nestcut.model.held import with_held
from nestcut.model.job import Job
from nestcut.model.part import CutFrom
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Free, Offcut, Plan, Reserve, SheetLayout, is_within
from nestcut.model.stock import SheetStock
from nestcut.sheets.layouts import moved_polygon
from nestcut.sheets.left.cells import Box, Cells
from nestcut.sheets.left.offcuts import area_mm2, left_on
from nestcut.sheets.left.roomiest import Sides, swept, worth_a_look
from nestcut.sheets.prepare import group_name
from nestcut.tolerances.lengths import PASSED_MM

GIVEN_UP = "SHT-003"
"""Code of the finding that says so on papers and screens."""

_WON = "SHT-101"
"""Code of the note that tells what the search won over one pass, with its largest offcut."""

_ROUND = 4
"""Decimals of a place that are kept: a tenth of a micrometre."""


def with_reserves(job: Job, plan: Plan) -> Plan:
    """Return a plan that says where it keeps the job's rectangle free, or that it doesn't.

    Parameters
    ----------
    job
        What the plan is of; what the plan holds in the shed is added to its stock.
    plan
        One whose layouts are done.
    """
    findings = tuple(f for f in plan.findings if f.code != GIVEN_UP)
    size_mm = job.cutting.reserve_mm
    if size_mm is None:
        return replace(plan, reserves=(), findings=findings)
    held = with_held(job, plan.held)
    kinds = sorted(
        {(p.material, p.thickness_mm) for p in plan.pieces if p.cut_from is CutFrom.SHEET}
    )
    plan = replace(plan, findings=findings, reserves=())
    for kind in kinds:
        plan = _with_reserve(held, plan, kind, size_mm)
    return plan


def _with_reserve(job: Job, plan: Plan, kind: tuple[str, float], size_mm: Sides) -> Plan:
    """Say what becomes of it in one kind of sheets, and let what is kept of its sheet hold it."""
    reserve = _reserve(job, plan, kind, size_mm)
    told = replace(plan, reserves=(*plan.reserves, reserve))
    free = reserve.free
    if free is None:
        name = _name(job, reserve)
        return replace(
            told,
            findings=(*plan.findings, finding(GIVEN_UP, Severity.WARNING, name)),
            # a bound counts the reserve: where none is kept it would claim too much
            bounds=tuple(b for b in plan.bounds if b.name != name),
        )
    own = Offcut(from_mm=free.from_mm, to_mm=free.to_mm)
    layout = next((s for s in plan.sheets if s.number == free.sheet), None)
    if layout is None or any(is_within(own, o) for o in layout.offcuts):
        return told
    pieces = {p.id: p for p in plan.pieces}
    now = replace(layout, offcuts=left_on(layout, job, pieces, (*free.from_mm, *free.to_mm)))
    name = _name(job, reserve)
    return replace(
        told,
        sheets=tuple(now if s is layout else s for s in plan.sheets),
        # how large its largest offcut was is another figure now
        notes=tuple(n for n in plan.notes if (n.code, dict(n.values).get("name")) != (_WON, name)),
    )


def _name(job: Job, reserve: Reserve) -> str:
    """What its kind of sheets is called."""
    kind = (reserve.material, reserve.thickness_mm)
    return group_name(_stocks(job, kind), *kind)


def _stocks(job: Job, kind: tuple[str, float]) -> list[SheetStock]:
    return [s for s in job.sheet_stocks if (s.material, s.thickness_mm) == kind]


def _reserve(job: Job, plan: Plan, kind: tuple[str, float], size_mm: Sides) -> Reserve:
    material, thickness_mm = kind
    for free in _places(job, plan, kind, size_mm):
        return Reserve(material=material, thickness_mm=thickness_mm, free=free)
    why = fact("SHT-120", material=material, thickness=Length(thickness_mm), size=Size(size_mm))
    return Reserve(material=material, thickness_mm=thickness_mm, given_up=why)


def _places(job: Job, plan: Plan, kind: tuple[str, float], size_mm: Sides) -> Iterator[Free]:
    """Yield places, the best first: each is looked for only where none before it is taken."""
    stocks = {s.name: s for s in _stocks(job, kind)}
    pieces = {p.id: p for p in plan.pieces}
    own = [s for s in plan.sheets if s.stock in stocks]
    ways = tuple(dict.fromkeys((size_mm, size_mm[::-1])))
    grounds = {s.number: _Ground.of(job, s, stocks[s.stock], pieces) for s in own}
    kept = [(area_mm2(o), s, (*o.from_mm, *o.to_mm)) for s in own for o in s.offcuts]
    for _, layout, box in sorted(kept, key=lambda k: (k[0], k[1].number, k[2])):
        yield from grounds[layout.number].places(layout, ways, box)
    for layout in own:
        yield from grounds[layout.number].places(layout, ways)
    used = Counter(s.stock for s in plan.sheets)
    for stock in stocks.values():
        if (stock.count or 0) + stock.held > used[stock.name]:
            layout = _bare(stock)
            yield from _Ground.of(job, layout, stock, pieces).places(layout, ways)


def _bare(stock: SheetStock) -> SheetLayout:
    """A sheet that nothing is cut from."""
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


@dataclass(frozen=True, slots=True)
class _Ground:
    """What can be used of one sheet, and what nothing may be laid over. [mm]"""

    usable: Polygon | MultiPolygon
    blocked: BaseGeometry

    @staticmethod
    def of(
        job: Job, layout: SheetLayout, stock: SheetStock, pieces: dict[str, SheetPiece]
    ) -> _Ground:
        usable = layout.usable(stock)
        reach = job.cutting.on(stock).clearance_mm
        # nothing is left in holes: what falls out of them is in pieces before anyone needs it
        lying = [
            Polygon(moved_polygon(to_polygon(pieces[p.piece].shape), p).exterior)
            for p in layout.placements
        ]
        gone = [grown(a, reach) for a in (*lying, *(Polygon(k.points) for k in layout.spent))]
        area = whole_area(usable)
        return _Ground(
            area,
            shapely.union_all(
                [
                    *gone,
                    *(Polygon(k.points) for k in usable.barred),
                    shapely.box(*area.bounds).difference(area),
                ]
            )
            if not area.is_empty
            else Polygon(),
        )

    def places(
        self, layout: SheetLayout, ways: Sequence[Sides], within: Box | None = None
    ) -> Iterator[Free]:
        """Yield where a rectangle of one of these lengths and widths lies free on the sheet."""
        if self.usable.is_empty:
            return
        bounds = self.usable.bounds if within is None else within
        for sides in ways:
            corner = _low_corner(self.blocked, bounds, sides)
            if corner is not None:
                x, y = (round(c, _ROUND) + 0.0 for c in corner)
                yield Free(
                    stock=layout.stock,
                    sheet=layout.number,
                    from_mm=(x, y),
                    to_mm=(x + sides[0], y + sides[1]),
                )


def _low_corner(blocked: BaseGeometry, bounds: Box, sides: Sides) -> tuple[float, float] | None:
    """Return the leftmost, then lowest corner from which a box lies clear of what is blocked.

    A box that fits to a hair is let fit: it may reach over by half of what the verifier grants.
    """
    hair = PASSED_MM
    least = (sides[0] - 2.0 * hair, sides[1] - 2.0 * hair)
    x0, y0, x1, y1 = bounds
    if x1 - x0 <= least[0] or y1 - y0 <= least[1]:
        return None
    near = blocked.intersection(shapely.box(*bounds))
    own = shapely.union_all(polygons_of(near))
    cells = Cells.over(own, bounds)
    corners: list[tuple[float, float]] = []
    for place in worth_a_look(cells, least):
        ax, ay, bx, by = place.bounds
        about = shapely.box(ax, ay, bx + least[0], by + least[1])
        free = place.difference(swept(own.intersection(about), least))
        points = shapely.get_coordinates([g for g in polygons_of(free) if g.area > 0.0])
        if len(points):
            first = points[np.lexsort((points[:, 1], points[:, 0]))[0]]
            corners.append((float(first[0]), float(first[1])))
    if not corners:
        return None
    x, y = min(corners)
    whole = shapely.box(x, y, x + sides[0], y + sides[1])
    is_clear = shapely.box(*bounds).covers(whole) and whole.intersection(own).area == 0.0
    return (x, y) if is_clear else (x - hair, y - hair)
