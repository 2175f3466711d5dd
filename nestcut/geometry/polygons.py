"""Shapes as shapely polygons, and the few measures everyone needs."""

from __future__ import annotations

from shapely.geometry import Polygon

from nestcut.model.curves import Point
from nestcut.model.shape import Ring, Shape


def to_polygon(shape: Shape) -> Polygon:
    """Return the flattened shape as a polygon. [mm]"""
    return Polygon(shape.outline.points, [h.points for h in shape.holes])


def ring_area_mm2(points: tuple[Point, ...]) -> float:
    """Signed area of a ring, positive if it runs counter-clockwise (shoelace formula). [mm2]"""
    x0, y0 = points[0]
    total = 0.0
    for (ax, ay), (bx, by) in zip(points, (*points[1:], points[0]), strict=True):
        total += (ax - x0) * (by - y0) - (bx - x0) * (ay - y0)
    return total / 2.0


def bounds_mm(points: tuple[Point, ...]) -> tuple[float, float, float, float]:
    """Return (min x, min y, max x, max y). [mm]"""
    xs = [p[0] for p in points]
    ys = [p[1] for p in points]
    return min(xs), min(ys), max(xs), max(ys)


def to_shape(polygon: Polygon) -> Shape:
    """Return a polygon as a shape of straight edges, outline counter-clockwise, holes clockwise."""
    return Shape(
        Ring(_oriented(polygon.exterior.coords[:-1], sign=1.0)),
        tuple(Ring(_oriented(r.coords[:-1], sign=-1.0)) for r in polygon.interiors),
    )


def _oriented(coords: list[tuple[float, ...]], *, sign: float) -> tuple[Point, ...]:
    points = tuple((float(c[0]), float(c[1])) for c in coords)
    return points if ring_area_mm2(points) * sign > 0 else points[::-1]
