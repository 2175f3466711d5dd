"""Closed polylines with bulges: one for each outline, whatever it is made of.

Lines and arcs stay what they are.  Ellipses, splines and outlines that exist as points only (what
is left oversize) are written as arcs wherever their points lie on one, within
:data:`~nestcut.tolerances.BULGE_MM`; what doesn't is straight from point to point.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

from nestcut.geometry.curves import flatten, split, start_point
from nestcut.model.curves import Arc, Curve, Line, Point
from nestcut.model.shape import Mark, Ring
from nestcut.tolerances import BULGE_MM, FLATNESS_MM
from nestcut.tolerances.lengths import CURVE_ARC_MM, FINE_ARC_MM
from nestcut.tolerances.noise import NOISE

Row = tuple[float, float, float]
"""A vertex and the bulge of the edge after it, tan of a quarter of the arc's sweep."""

_LEAST_POINTS = 4
_MOST_SWEEP_RAD = math.radians(170.0)


def ring_rows(ring: Ring) -> tuple[Row, ...]:
    """Return the vertices of a closed polyline with the bulges of its edges."""
    if ring.curves:
        rows = _of_curves(ring.curves)
        return tuple(rows)
    start = _sharpest(ring.points)
    turned = (*ring.points[start:], *ring.points[:start], ring.points[start])
    return tuple(_of_points(turned))


def mark_rows(mark: Mark) -> tuple[Row, ...]:
    """Return the vertices of a mark's open polyline, its last one included."""
    rows = _of_curves(mark.curves) if mark.curves else _of_points(mark.points)
    return (*rows, (*mark.points[-1], 0.0))


def _of_curves(curves: Sequence[Curve]) -> list[Row]:
    rows: list[Row] = []
    for curve in curves:
        match curve:
            case Line():
                rows.append((*start_point(curve), 0.0))
            case Arc(_, _, _, sweep) if abs(sweep) > math.degrees(_MOST_SWEEP_RAD):
                halves = split(curve, 0.5)
                rows += _of_curves([h for h in halves if isinstance(h, Arc)])
            case Arc(_, _, _, sweep):
                rows.append((*start_point(curve), math.tan(math.radians(sweep) / 4.0)))
            case _:
                rows += _of_points(flatten(curve, FINE_ARC_MM), CURVE_ARC_MM)
    return rows


def _of_points(points: Sequence[Point], within_mm: float = BULGE_MM) -> list[Row]:
    """Arcs where points lie on one, greedily from the start; the last point has no row."""
    rows: list[Row] = []
    k = 0
    while k < len(points) - 1:
        end, bulge = _longest_arc(points, k, within_mm)
        rows.append((*points[k], bulge))
        k = end
    return rows


def _longest_arc(points: Sequence[Point], start: int, within_mm: float) -> tuple[int, float]:
    """The farthest point that an arc from ``start`` reaches, and its bulge; else the next one.

    Steps double while the arc holds and halve after, since a curve has thousands of points.
    """
    best = (start + 1, 0.0)
    end, step = start + _LEAST_POINTS - 1, 1
    is_growing = True
    while step and end < len(points):
        bulge = _bulge(points[start : end + 1], within_mm)
        if bulge is not None:
            best = (end, bulge)
            step = step * 2 if is_growing else step // 2
        else:
            is_growing, step = False, step // 2
        end = best[0] + step if best[1] else len(points)
        if is_growing and end >= len(points):
            is_growing, step = False, max(0, len(points) - 1 - best[0])
            end = best[0] + step
    return best


def _bulge(points: Sequence[Point], within_mm: float) -> float | None:
    """Bulge of the arc through the ends and the middle of some points, if all lie on it."""
    (ax, ay), (bx, by), (cx, cy) = points[0], points[len(points) // 2], points[-1]
    d = 2.0 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    if abs(d) < NOISE:
        return None
    a2, b2, c2 = ax * ax + ay * ay, bx * bx + by * by, cx * cx + cy * cy
    ux = (a2 * (by - cy) + b2 * (cy - ay) + c2 * (ay - by)) / d
    uy = (a2 * (cx - bx) + b2 * (ax - cx) + c2 * (bx - ax)) / d
    radius = math.hypot(ax - ux, ay - uy)
    sign = 1.0 if d > 0.0 else -1.0
    total = 0.0
    for (px, py), (qx, qy) in pairwise(points):
        if abs(math.hypot(qx - ux, qy - uy) - radius) > within_mm:
            return None
        step = math.atan2(
            (px - ux) * (qy - uy) - (py - uy) * (qx - ux),
            (px - ux) * (qx - ux) + (py - uy) * (qy - uy),
        )
        if step * sign <= 0.0 or radius * (1.0 - math.cos(step / 2.0)) > 2.0 * FLATNESS_MM:
            return None  # turns back, or a chord too long to have come from this arc
        total += step
    return None if abs(total) > _MOST_SWEEP_RAD else math.tan(total / 4.0)


def _sharpest(points: Sequence[Point]) -> int:
    """Where a ring of points is opened: its sharpest corner, so that no arc is cut in two."""

    def turn(k: int) -> float:
        (ax, ay), (bx, by), (cx, cy) = points[k - 1], points[k], points[(k + 1) % len(points)]
        ux, uy, vx, vy = bx - ax, by - ay, cx - bx, cy - by
        return abs(math.atan2(ux * vy - uy * vx, ux * vx + uy * vy))

    return max(range(len(points)), key=turn)
