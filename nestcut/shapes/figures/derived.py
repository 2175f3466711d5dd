"""Parts that follow from other parts by rule: straps, doublers, cleats, fillet blanks."""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry import LineString, Polygon

from nestcut.geometry.curves import end_point, flatten, start_point
from nestcut.geometry.offset import polygons_of
from nestcut.geometry.polygons import to_polygon
from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Point
from nestcut.model.shape import Shape
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.notches import BoxSide
from nestcut.tolerances import SAME_LENGTH_MM, SAME_POINT_MM

_FACING = {
    BoxSide.BOTTOM: (0.0, -1.0),
    BoxSide.RIGHT: (1.0, 0.0),
    BoxSide.TOP: (0.0, 1.0),
    BoxSide.LEFT: (-1.0, 0.0),
}
_FACES = math.cos(math.radians(50.0))
"""A curve faces a side if its normal lies within 50 degrees of it."""


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeRun:
    """A run of an outline that faces one side, in the direction of the outline."""

    curves: tuple[Curve, ...]
    length_mm: float


def edge_run(shape: Shape, side: BoxSide, flatness_mm: float) -> EdgeRun:
    """Longest run of the outline that faces ``side``, knuckles and curves included.

    Parameters
    ----------
    flatness_mm
        How far its polyline may be from the true line. [mm]

    Raises
    ------
    ShapeFaultError
        If nothing faces it.
    """
    curves = shape.outline.curves or _segments(shape.outline.points)
    fits = [_faces(c, _FACING[side]) for c in curves]
    runs: list[list[Curve]] = []
    n = len(curves)
    first = next((i for i in range(n) if not fits[i - 1] and fits[i]), 0 if all(fits) else None)
    if first is None:
        raise ShapeFaultError("edge", "SHP-118", side=side.value)
    for k in range(n):
        i = (first + k) % n
        if not fits[i]:
            continue
        if k and fits[i - 1]:
            runs[-1].append(curves[i])
        else:
            runs.append([curves[i]])
    lengths = [sum(LineString(flatten(c, flatness_mm)).length for c in run) for run in runs]
    best = max(range(len(runs)), key=lambda k: (lengths[k], -k))
    return EdgeRun(curves=tuple(runs[best]), length_mm=lengths[best])


def strap_along(
    shape: Shape, side: BoxSide, width_mm: float, flatness_mm: float, inset_mm: float = 0.0
) -> Polygon:
    """Strip of a part along one of its edges: a doubler, a strap, a filler of the same curve.

    Parameters
    ----------
    width_mm
        Width, square to the edge. [mm]
    flatness_mm
        How far its polygon may be from the true lines. [mm]
    inset_mm
        How far it stays away from the edge. [mm]
    """
    run = edge_run(shape, side, flatness_mm)
    line = LineString([p for c in run.curves for p in flatten(c, flatness_mm)])
    reach = line.buffer(width_mm + inset_mm, quad_segs=32, cap_style="flat")
    body = to_polygon(shape)
    strip = body.intersection(reach)
    if inset_mm > 0.0:
        strip = strip.difference(line.buffer(inset_mm, quad_segs=32))
    parts = polygons_of(strip)
    if not parts:
        raise ShapeFaultError("width", "SHP-119")
    return parts[0]


def doubler_around(shape: Shape, number: int, margin_mm: float) -> tuple[tuple[Curve, ...], ...]:
    """Outline and hole of a ring around hole ``number`` (from 1) of a part.

    The outline is the hole's parallel, its corners rounded about the hole's corners.

    Parameters
    ----------
    number
        Of the hole, from 1.
    margin_mm
        How wide the ring is. [mm]

    Raises
    ------
    ShapeFaultError
        If the part has no such hole.
    """
    if not 1 <= number <= len(shape.holes):
        raise ShapeFaultError("hole", "SHP-120", number=number, holes=len(shape.holes))
    ring = shape.holes[number - 1]
    hole = ring.curves or _segments(ring.points)
    return _grown(hole, margin_mm), hole


def cleat_length_mm(run: EdgeRun, short_mm: float) -> float:
    """Length of a cleat along an edge, ``short_mm`` kept clear at both ends. [mm]"""
    length = run.length_mm - 2.0 * short_mm
    if length <= SAME_LENGTH_MM:
        raise ShapeFaultError("short", "SHP-121")
    return length


def fillet_legs_mm(radius_mm: float, corner_deg: float = 90.0) -> float:
    """Leg of a straight-faced fillet blank that holds a cove of a radius in a corner. [mm]

    The cove touches both faces r / tan(corner/2) from the corner; a blank with legs as long, its
    face straight between, holds all of it.
    """
    return radius_mm / math.tan(math.radians(corner_deg) / 2.0)


def _segments(points: tuple[Point, ...]) -> tuple[Curve, ...]:
    return tuple(Line(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True))


def _faces(curve: Curve, outward: Point) -> bool:
    """Whether the chord of a counter-clockwise outline's curve faces a direction."""
    (ax, ay), (bx, by) = start_point(curve), end_point(curve)
    size = math.hypot(bx - ax, by - ay)
    if size <= SAME_POINT_MM:
        return False
    return ((by - ay) * outward[0] - (bx - ax) * outward[1]) / size >= _FACES


def _grown(hole: tuple[Curve, ...], margin_mm: float) -> tuple[Curve, ...]:
    """Parallel outside a clockwise hole, true lines and arcs."""
    if len(hole) == 1 and isinstance(hole[0], Arc):
        arc = hole[0]
        return (Arc(arc.centre, arc.radius_mm + margin_mm, arc.start_deg, arc.sweep_deg),)
    shifted = [_shifted(curve, margin_mm) for curve in hole]
    result: list[Curve] = []
    for i, curve in enumerate(shifted):
        result.append(curve)
        following = shifted[(i + 1) % len(shifted)]
        a, b = end_point(curve), start_point(following)
        if math.dist(a, b) <= SAME_POINT_MM * 10.0:
            continue
        corner = end_point(hole[i])
        start = math.degrees(math.atan2(a[1] - corner[1], a[0] - corner[0]))
        stop = math.degrees(math.atan2(b[1] - corner[1], b[0] - corner[0]))
        sweep = -((start - stop) % 360.0)
        if sweep < -180.0:
            raise ShapeFaultError("of", "SHP-123")
        result.append(Arc(corner, margin_mm, start % 360.0, sweep))
    return tuple(result)


def _shifted(curve: Curve, margin_mm: float) -> Curve:
    """Curve shifted to its left: away from a clockwise hole."""
    match curve:
        case Line((ax, ay), (bx, by)):
            size = math.dist((ax, ay), (bx, by))
            nx, ny = -(by - ay) / size * margin_mm, (bx - ax) / size * margin_mm
            return Line((ax + nx, ay + ny), (bx + nx, by + ny))
        case Arc(centre, radius, start, sweep):
            grown = radius - math.copysign(margin_mm, sweep)
            if grown <= 0.0:
                raise ShapeFaultError("margin", "SHP-125")
            return Arc(centre, grown, start, sweep)
        case EllipticArc() | _:
            raise ShapeFaultError("of", "SHP-124")
