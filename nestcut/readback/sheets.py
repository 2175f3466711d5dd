"""A sheet's drawing: the outlines and holes on it, line by line where the plan has them."""

from __future__ import annotations

import math
from pathlib import Path

import ezdxf
from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.lwpolyline import LWPolyline
from shapely.geometry import LineString

from nestcut.errors import Finding, Severity, finding
from nestcut.model.plan import Plan, SheetLayout
from nestcut.model.shape import Ring
from nestcut.tolerances import BULGE_MM, FLATNESS_MM
from nestcut.tolerances.lengths import READ_CHORD_MM, READ_LINE_MM
from nestcut.tolerances.likeness import SAME_LINE_SHARE
from nestcut.verify.truth import line_off_mm, placed, region

_LAYERS = {"outline to cut": "outlines", "cut-out": "holes"}
_POINTS_MM = 2.0 * FLATNESS_MM + BULGE_MM
"""An outline that the plan has as points only (left oversize) may be drawn in arcs. [mm]"""

Row = tuple[float, float, float]
"""A vertex and the bulge of the edge after it."""


def check_sheet(path: Path, layout: SheetLayout, plan: Plan) -> list[Finding]:
    """Compare what a drawing holds with what lies on its sheet."""
    pieces = {p.id: p for p in plan.pieces}
    areas = [placed(region(pieces[p.piece].shape), p) for p in layout.placements]
    shapes = [pieces[p.piece].shape for p in layout.placements]
    wanted = {
        "outlines": [
            (LineString(a.exterior.coords), s.outline) for a, s in zip(areas, shapes, strict=True)
        ],
        "holes": [
            (LineString(line.coords), ring)
            for a, s in zip(areas, shapes, strict=True)
            for line, ring in zip(a.interiors, s.holes, strict=True)
        ],
    }
    drawn = _lines(path)
    return [
        finding("RDB-002", Severity.ERROR, path.name, what=what, sheet=layout.number)
        for layer, what in _LAYERS.items()
        if not _are_same(drawn.get(layer, []), wanted[what])
    ]


def _lines(path: Path) -> dict[str, list[LineString]]:
    """Return what is drawn on each layer, as rows of points on the true curves. [mm]"""
    rows: dict[str, list[LineString]] = {}
    for entity in ezdxf.readfile(path).modelspace():  # type: ignore[attr-defined]
        layer = str(entity.dxf.layer)
        if layer in _LAYERS:
            rows.setdefault(layer, []).extend(_curves(entity))
    return rows


def _curves(entity: DXFEntity) -> list[LineString]:
    """A polyline with its bulges, or a circle, as one row of points. [mm]"""
    match entity:
        case LWPolyline():
            rows = [(float(x), float(y), float(b)) for x, y, b in entity.get_points("xyb")]
            ends = [*rows[1:], rows[0]] if entity.closed else rows[1:]
            points = [p for row, end in zip(rows, ends, strict=False) for p in _edge(row, end)]
            return [LineString([*points, ends[-1][:2]])]
        case Circle():
            points = [(p.x, p.y) for p in entity.flattening(READ_CHORD_MM)]
            return [LineString([*points[:-1], points[0]])]
        case _:
            return []


def _edge(row: Row, end: Row) -> list[tuple[float, float]]:
    """Points of one edge, its end left out: straight, or an arc of sweep 4 atan(bulge). [mm]"""
    (ax, ay, bulge), (bx, by, _) = row, end
    if bulge == 0.0:
        return [(ax, ay)]
    sweep = 4.0 * math.atan(bulge)
    half = math.tan(sweep / 2.0)
    cx = (ax + bx) / 2.0 - (by - ay) / 2.0 / half
    cy = (ay + by) / 2.0 + (bx - ax) / 2.0 / half
    radius, start = math.hypot(ax - cx, ay - cy), math.atan2(ay - cy, ax - cx)
    n = math.ceil(abs(sweep) / (2.0 * math.acos(max(0.0, 1.0 - READ_CHORD_MM / radius))))
    angles = (start + sweep * k / n for k in range(n))
    return [(cx + radius * math.cos(t), cy + radius * math.sin(t)) for t in angles]


def _are_same(drawn: list[LineString], wanted: list[tuple[LineString, Ring]]) -> bool:
    """Whether each line of the plan is drawn just once, and nothing else is."""
    left = list(drawn)
    for line, ring in wanted:
        allowed = READ_LINE_MM if ring.curves else _POINTS_MM
        found = next((d for d in left if _is_drawn(d, line, allowed)), None)
        if found is None:
            return False
        left.remove(found)
    return not left


def _is_drawn(drawn: LineString, line: LineString, allowed_mm: float) -> bool:
    boxes = zip(drawn.bounds, line.bounds, strict=True)
    return (
        all(abs(a - b) <= allowed_mm for a, b in boxes)
        and math.dist(drawn.coords[0], drawn.coords[-1]) <= allowed_mm
        and line_off_mm(drawn, line, allowed_mm) == 0.0
        and abs(drawn.length - line.length) <= SAME_LINE_SHARE * line.length + allowed_mm
    )
