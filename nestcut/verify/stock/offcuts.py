"""Rectangles to keep: are they really left over, and as large as they may be?"""

from __future__ import annotations

from collections.abc import Sequence
from math import inf

from shapely import STRtree, dwithin, get_parts
from shapely.affinity import affine_transform
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Free, Offcut, SheetLayout
from nestcut.tolerances import VERIFY_MM
from nestcut.tolerances.lengths import NOISE_MM, SAME_LINE_MM
from nestcut.tolerances.likeness import KERF_SHARE
from nestcut.verify.findings import objection
from nestcut.verify.kinds import FAR_MM
from nestcut.verify.stock.places import is_inside, is_near, kerf_mm, placed_regions, reaches_in
from nestcut.verify.stock.sheets import stocks_by_name
from nestcut.verify.truth import placed, rough

_ROOM_MM = 5.0
"""A rectangle to keep with so much room beside a side was drawn too small. [mm]"""
_LARGER = 1.03
"""So much larger is clearly larger: the search takes the largest to a hundredth of its area. [-]"""
_QUARTER_SEGMENTS = 32
"""Chords in a quarter of what is grown round a corner."""

_TO_X = ((1, 0, 0, 1, 0, 0), (-1, 0, 0, 1, 0, 0), (0, 1, 1, 0, 0, 0), (0, -1, 1, 0, 0, 0))
"""Frames in which one side after the other is the one at the greatest x."""


def check_offcuts(
    job: Job,
    layouts: tuple[SheetLayout, ...],
    pieces: dict[str, SheetPiece],
    reserves: Sequence[Free] = (),
) -> list[Finding]:
    """Check the rectangles to keep on sheets whose layout stands.

    Each is left over, clear of all else by the kerf, and none of its sides can be pushed out.  One
    that holds what is kept in reserve need not be larger for being narrower.

    Parameters
    ----------
    pieces
        The plan's pieces by their ids.
    reserves
        Where something is said to be kept in reserve.
    """
    stocks = stocks_by_name(job)
    found = []
    for layout in layouts:
        stock = stocks[layout.stock]
        kerf = kerf_mm(job, stock)
        noise = KERF_SHARE * max(kerf, layout.edge_trim_mm) + VERIFY_MM
        taken: list[BaseGeometry] = list(placed_regions(list(layout.placements), pieces))
        taken += [Polygon(k.points) for k in layout.spent]  # sawn out as well, kerf and all
        for number, offcut in enumerate(layout.offcuts):
            others = [_area(o) for k, o in enumerate(layout.offcuts) if k != number]
            if not _is_left(layout, offcut, [*taken, *others], kerf):
                found.append(objection("VER-047", f"sheet {layout.number}", number=number + 1))
                continue
            drawn = [*drawn_areas(layout, pieces), *others]
            if _is_too_small(layout, offcut, drawn, kerf, noise) or (
                not holds_any(layout, offcut, reserves)
                and _could_grow(layout, offcut, drawn, kerf, noise)
            ):
                found.append(objection("VER-074", f"sheet {layout.number}", number=number + 1))
    return found


def holds_any(layout: SheetLayout, offcut: Offcut, reserves: Sequence[Free]) -> bool:
    """Whether a rectangle to keep on a sheet holds one that is kept in reserve there."""
    area = _area(offcut).buffer(VERIFY_MM, join_style="mitre")
    return any(
        r.sheet == layout.number and area.covers(box(*r.from_mm, *r.to_mm)) for r in reserves
    )


def _area(offcut: Offcut) -> Polygon:
    return box(*offcut.from_mm, *offcut.to_mm)


def _is_left(layout: SheetLayout, offcut: Offcut, taken: list[BaseGeometry], kerf: float) -> bool:
    (x0, y0), (x1, y1) = offcut.from_mm, offcut.to_mm
    if not (x1 > x0 and y1 > y0):
        return False
    area = box(x0, y0, x1, y1)
    near = STRtree(taken).query(area.buffer(kerf + 1.0, join_style="mitre"))
    return (
        is_inside(layout, area)
        and not any(is_near(area, taken[int(i)], kerf) for i in near)
        and not any(reaches_in(area, Polygon(k.points)) for k in layout.keep_outs)
    )


def drawn_areas(layout: SheetLayout, pieces: dict[str, SheetPiece]) -> list[Polygon]:
    """What is taken, by the points that rectangles are measured on; nothing is left in holes."""
    own = [placed(Polygon(rough(pieces[p.piece].shape).exterior), p) for p in layout.placements]
    return [*own, *(Polygon(k.points) for k in layout.spent)]


def _is_too_small(
    layout: SheetLayout, offcut: Offcut, taken: list[Polygon], kerf: float, noise: float
) -> bool:
    """Whether nothing stands beside one of the rectangle's sides; ``noise``: how surely. [mm]"""
    area = _area(offcut)
    wide = area.buffer(kerf + noise + _ROOM_MM, join_style="mitre")
    blocks = [
        b.buffer(kerf + noise, quad_segs=_QUARTER_SEGMENTS) for b in taken if b.intersects(wide)
    ]
    blocks += [
        b.buffer(noise, quad_segs=_QUARTER_SEGMENTS)
        for b in (*(Polygon(k.points) for k in layout.keep_outs), *off_the_sheet(layout))
        if b.intersects(wide)
    ]
    inner = area.buffer(-2.0 * noise, join_style="mitre")
    return any(
        not any(
            _ends(affine_transform(b, m), *(affine_transform(a, m) for a in (area, inner)))
            for b in blocks
        )
        for m in _TO_X
    )


def _could_grow(
    layout: SheetLayout, offcut: Offcut, taken: list[Polygon], kerf: float, noise: float
) -> bool:
    """Whether the rectangle, a hair narrower, is clearly larger with one of its sides pushed out.

    What touches it beside a side may end that side for all that its round corners can tell; it
    doesn't end that of a narrower one.
    """
    (x0, y0), (x1, y1) = offcut.from_mm, offcut.to_mm
    mm2, hair = (x1 - x0) * (y1 - y0), 2.0 * noise
    bare = [*(Polygon(k.points) for k in layout.keep_outs), *off_the_sheet(layout)]
    if min(x1 - x0, y1 - y0) <= 2.0 * hair:
        return False
    # so far a side must go
    along, across = (
        _LARGER * mm2 / (side - 2.0 * hair) - mm2 / side for side in (y1 - y0, x1 - x0)
    )
    return any(
        not dwithin(taken, way, kerf + noise).any() and not dwithin(bare, way, noise).any()
        for way in (
            box(x0 - along, y0 + hair, x0, y1 - hair),
            box(x1, y0 + hair, x1 + along, y1 - hair),
            box(x0 + hair, y0 - across, x1 - hair, y0),
            box(x0 + hair, y1, x1 - hair, y1 + across),
        )
    )


def off_the_sheet(layout: SheetLayout) -> list[BaseGeometry]:
    """What lies beyond a sheet's edges and its trim."""
    trim, ends = layout.edge_trim_mm, max(layout.edge_trim_mm, layout.end_trim_mm)
    length, width = layout.length_mm, layout.width_mm
    around = box(0.0, 0.0, length, width).buffer(FAR_MM, join_style="mitre")
    inner: BaseGeometry = box(ends, trim, length - ends, width - trim)
    if layout.outline is not None:
        inner = Polygon(layout.outline).buffer(-trim, quad_segs=_QUARTER_SEGMENTS)
        inner = inner.intersection(
            box(layout.end_trim_mm, -FAR_MM, length - layout.end_trim_mm, FAR_MM)
        )
    return [around.difference(inner)]


def _ends(block: BaseGeometry, area: BaseGeometry, inner: BaseGeometry) -> bool:
    """Whether a block lies beyond the side at the greatest x, more than it does beside the area.

    What runs along another side of the area, and no further in, doesn't end it; ``inner`` is the
    area without what a block beyond a side reaches.
    """
    _, y0, x1, y1 = area.bounds
    beyond = _depths(block.intersection(box(x1, y0, x1 + _ROOM_MM, y1)), y0, y1)
    begins, _, ends, _ = inner.bounds
    beside = _depths(block.intersection(box(begins, y0, ends, y1)), y0, y1)
    return any(a > b + SAME_LINE_MM for a, b in zip(beyond, beside, strict=True))


def _depths(inside: BaseGeometry, low: float, high: float) -> tuple[float, float]:
    """How far something reaches in from the low side and from the high one. [mm]"""
    from_low = from_high = 0.0
    for part in get_parts(inside):
        if part.area <= 0.0:
            continue
        _, y0, _, y1 = part.bounds
        is_low, is_high = y0 <= low + NOISE_MM, y1 >= high - NOISE_MM
        if is_low == is_high:
            return (inf, inf)
        from_low = max(from_low, y1 - low) if is_low else from_low
        from_high = max(from_high, high - y0) if is_high else from_high
    return (from_low, from_high)
