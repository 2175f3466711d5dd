"""A sheet's drawing: the outlines and holes on it, line by line where the plan has them."""

from __future__ import annotations

from pathlib import Path

import ezdxf
from ezdxf.entities import Arc as DXFArc
from ezdxf.entities import Circle, DXFEntity, Ellipse, LWPolyline
from ezdxf.entities import Line as DXFLine
from ezdxf.entities import Spline as DXFSpline
from shapely.geometry import LineString, MultiLineString

from nestcut.errors import Finding, Severity, finding
from nestcut.model.plan import Plan, SheetLayout
from nestcut.verify.truth import line_off_mm, placed, region

_LAYERS = {"outline to cut": "outlines", "cut-out": "holes"}
_CHORD_MM = 0.0005
"""How near chords follow what is drawn. [mm]"""
_SAME_MM = 0.002
"""Drawn lines that are no further from the plan's are the plan's: chords on both sides. [mm]"""


def check_sheet(path: Path, layout: SheetLayout, plan: Plan) -> list[Finding]:
    """Compare what a drawing holds with what lies on its sheet."""
    pieces = {p.id: p for p in plan.pieces}
    areas = [placed(region(pieces[p.piece].shape), p) for p in layout.placements]
    wanted = {
        "outlines": [LineString(a.exterior.coords) for a in areas],
        "holes": [LineString(r.coords) for a in areas for r in a.interiors],
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
    """Straight lines, arcs, ellipses and splines; a polyline is taken apart. [mm]"""
    match entity:
        case LWPolyline() if not entity.has_arc:
            points = [(x, y) for x, y in entity.get_points("xy")]
            return [LineString([*points, points[0]] if entity.closed else points)]
        case LWPolyline():
            return [line for part in entity.virtual_entities() for line in _curves(part)]
        case DXFLine():
            return [LineString([(p.x, p.y) for p in (entity.dxf.start, entity.dxf.end)])]
        case DXFArc() | Circle() | Ellipse() | DXFSpline():
            return [LineString([(p.x, p.y) for p in entity.flattening(_CHORD_MM)])]
        case _:
            return []


def _are_same(drawn: list[LineString], wanted: list[LineString]) -> bool:
    """Whether lines cover each other, and are as long: nothing is missing, moved or doubled."""
    made, want = MultiLineString(drawn), MultiLineString(wanted)
    if line_off_mm(made, want, _SAME_MM) > 0.0:
        return False
    return abs(made.length - want.length) <= 1e-4 * want.length + _SAME_MM
