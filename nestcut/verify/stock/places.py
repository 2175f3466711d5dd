"""True outlines on one sheet: inside, off the keep-outs, and apart, by the verifier's own rule.

Outlines are rows of points on the true curves; a chord may lie its sagitta inside the true line, so
two of them are off by twice that at most, and a distance must be so much more than the slack
allows.  Where no clearance is asked for (a knife), pieces may touch, and cut no deeper into each
other than the slack.
"""

from __future__ import annotations

import shapely
from shapely import STRtree
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.part import HoleUse
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import SheetLayout
from nestcut.model.pose import Placement
from nestcut.model.stock import BoardStock, SheetStock
from nestcut.tolerances import VERIFY_MM
from nestcut.tolerances.lengths import SAGITTA_MM
from nestcut.verify.findings import exact, objection
from nestcut.verify.truth import covered, depth_mm, placed, region


def clearance_mm(job: Job, stock: SheetStock | BoardStock) -> float:
    """Return what pieces on a stock keep from each other: its own saw's kerf and gap. [mm]"""
    saw = job.cutting if stock.saw is None else stock.saw
    return saw.kerf_mm + saw.gap_mm


def kerf_mm(job: Job, stock: SheetStock | BoardStock) -> float:
    """Return what the saw takes of a stock. [mm]"""
    return job.cutting.kerf_mm if stock.saw is None else stock.saw.kerf_mm


def placed_regions(placements: list[Placement], pieces: dict[str, SheetPiece]) -> list[Polygon]:
    """Return the true shapes where they lie. [mm]"""
    return [placed(region(pieces[p.piece].shape), p) for p in placements]


def check_places(
    job: Job,
    stock: SheetStock | BoardStock,
    layout: SheetLayout,
    placements: list[Placement],
    pieces: dict[str, SheetPiece],
) -> list[Finding]:
    """Check where the pieces of one sheet lie.

    Parameters
    ----------
    placements
        Those of the layout whose pieces are known.
    pieces
        The plan's pieces by their ids.
    """
    areas = placed_regions(placements, pieces)
    found: list[Finding] = []
    for placement, area in zip(placements, areas, strict=True):
        found += _check_inside(layout, placement, area)
    found += _check_apart(clearance_mm(job, stock), layout, placements, areas)
    return found + _check_holes(layout, placements, areas, pieces)


def _check_inside(layout: SheetLayout, placement: Placement, area: Polygon) -> list[Finding]:
    if not area.is_valid:
        return [objection("VER-005", placement.piece)]
    found: list[Finding] = []
    if not is_inside(layout, area):
        found.append(objection("VER-025", placement.piece, sheet=layout.number))
    found += [
        objection("VER-026", placement.piece, sheet=layout.number, reason=kept.reason)
        for kept in layout.barred
        if reaches_in(area, Polygon(kept.points))
    ]
    return found


def is_inside(layout: SheetLayout, area: BaseGeometry) -> bool:
    """Whether an area lies on a sheet, its trim away from every edge, to within the slack."""
    trim = layout.edge_trim_mm
    low, high = layout.end_trim_mm, layout.length_mm - layout.end_trim_mm
    x0, y0, x1, y1 = area.bounds
    if x0 < low - VERIFY_MM or x1 > high + VERIFY_MM:
        return False
    if layout.outline is None:
        return (
            x0 >= trim - VERIFY_MM
            and y0 >= trim - VERIFY_MM
            and x1 <= layout.length_mm - trim + VERIFY_MM
            and y1 <= layout.width_mm - trim + VERIFY_MM
        )
    whole = Polygon(layout.outline)
    if not covered(area, whole, VERIFY_MM):
        return False
    return whole.boundary.distance(area) >= trim - VERIFY_MM


def reaches_in(area: BaseGeometry, kept: BaseGeometry) -> bool:
    """Whether an area reaches into another by more than the slack. [mm]"""
    return bool(area.intersects(kept)) and depth_mm(area.intersection(kept), VERIFY_MM) > 0.0


def is_near(area: BaseGeometry, block: BaseGeometry, kerf: float) -> bool:
    """Whether an area lies nearer to another than a kerf, by more than the slack.

    Parameters
    ----------
    area, block
        Areas. [mm]
    kerf
        What the saw takes between them. [mm]
    """
    limit = kerf - VERIFY_MM
    return reaches_in(area, block) if limit <= 0.0 else bool(shapely.dwithin(area, block, limit))


def _check_apart(
    need: float, layout: SheetLayout, placements: list[Placement], areas: list[Polygon]
) -> list[Finding]:
    found: list[Finding] = []
    tree = STRtree(areas)
    limit = need - VERIFY_MM + 2.0 * SAGITTA_MM
    for first, area in enumerate(areas):
        shapely.prepare(area)
        near = tree.query(box(*area.bounds).buffer(need, join_style="mitre"))
        for second in sorted(int(i) for i in near):
            if second <= first or not _are_too_near(area, areas[second], limit):
                continue
            found.append(
                objection(
                    "VER-027",
                    placements[first].piece,
                    sheet=layout.number,
                    other=placements[second].piece,
                    apart=exact(float(area.distance(areas[second]))),
                    need=exact(need),
                )
            )
    return found


def _are_too_near(a: Polygon, b: Polygon, limit: float) -> bool:
    if limit > 0.0:
        return bool(shapely.dwithin(a, b, limit))
    return reaches_in(a, b)


def _check_holes(
    layout: SheetLayout,
    placements: list[Placement],
    areas: list[Polygon],
    pieces: dict[str, SheetPiece],
) -> list[Finding]:
    """Nothing is cut from a hole whose material is wanted whole."""
    found: list[Finding] = []
    for host, area in zip(placements, areas, strict=True):
        if not area.interiors or pieces[host.piece].hole_use is HoleUse.USE:
            continue
        holes = [Polygon(ring) for ring in area.interiors]
        for guest, other in zip(placements, areas, strict=True):
            if guest is not host and any(hole.intersects(other) for hole in holes):
                found.append(
                    objection("VER-028", guest.piece, sheet=layout.number, host=host.piece)
                )
    return found
