"""Whether a shape can be planned: what the plan's proof will ask, asked early."""

from __future__ import annotations

import shapely
from shapely.geometry import Polygon

from nestcut.facts import Area, Fact, Spot, fact
from nestcut.geometry.curves import flatten
from nestcut.geometry.polygons import to_polygon
from nestcut.model.shape import Ring, Shape
from nestcut.tolerances import AREA_MM2, FLATNESS_MM


def unsound(shape: Shape) -> Fact | None:
    """Return what keeps a shape from being planned, or None for a sound one.

    Looked at twice, as the plan does: the safe polygons that are laid out, and the true curves
    that are sawn, followed by points on them.
    """
    for polygon in (to_polygon(shape), _true_polygon(shape)):
        if polygon is None:
            return fact("DXF-061")
        if not polygon.is_valid:
            return fact("DXF-062", at=Spot(_first_fault(polygon)))
        if polygon.area <= AREA_MM2:
            return fact("DXF-063", area=Area(polygon.area))
    return None


def _true_polygon(shape: Shape) -> Polygon | None:
    outline = _along(shape.outline)
    holes = [_along(hole) for hole in shape.holes]
    if len(outline) < 3 or any(len(h) < 3 for h in holes):
        return None
    return Polygon(outline, holes)


def _along(ring: Ring) -> list[tuple[float, float]]:
    if not ring.curves:
        return list(ring.points)
    return [p for c in ring.curves for p in flatten(c, FLATNESS_MM / 5.0)[:-1]]


def _first_fault(polygon: Polygon) -> tuple[float, float]:
    """Where shapely says that a polygon is at fault; the middle of it where it names no place."""
    said = shapely.is_valid_reason(polygon)
    inside = said[said.find("[") + 1 : said.find("]")].split()
    try:
        return float(inside[0]), float(inside[1])
    except (ValueError, IndexError):
        x0, y0, x1, y1 = polygon.bounds
        return (x0 + x1) / 2.0, (y0 + y1) / 2.0
