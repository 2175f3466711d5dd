"""Fewer vertices on the safe side: the simplified polygon covers the true one."""

from __future__ import annotations

import numpy as np
import shapely
from shapely.geometry import Polygon

from nestcut.nesting.problem import FloatArray


def widen(polygon: Polygon, most: float) -> Polygon:
    """Return a polygon with fewer vertices that covers this one and lies within ``most`` of it.

    Outer corners are cut short by letting their neighbours' edges meet further out, inner corners
    are bridged. Holes get smaller in the same way. Comes back unchanged where nothing is saved or
    where the result would not be simple.

    Parameters
    ----------
    polygon
        Simple polygon, holes allowed.
    most
        Greatest distance of the new outline from the old one. [unit of the coordinates]
    """
    shell = _widen_ring(_ring(polygon.exterior, ccw=True), most)
    holes = [_widen_ring(_ring(h, ccw=False), most) for h in polygon.interiors]
    wide = Polygon(shell, [h for h in holes if len(h) >= 3])
    if not wide.is_valid or wide.is_empty or not wide.buffer(1e-9 * most + 1e-12).covers(polygon):
        return polygon
    return wide


def _ring(ring: shapely.LinearRing, *, ccw: bool) -> list[tuple[float, float]]:
    points = [(float(x), float(y)) for x, y in shapely.get_coordinates(ring)[:-1]]
    return points if bool(shapely.is_ccw(ring)) == ccw else points[::-1]


def _widen_ring(points: list[tuple[float, float]], most: float) -> FloatArray:
    """Drop vertices of a ring whose inside is on the left, never moving it to the left.

    ``slack`` counts what each vertex has already moved, so that the sum keeps to ``most``.
    """
    ring = [(x, y, 0.0) for x, y in points]
    while len(ring) > 3:
        best: tuple[float, int, tuple[float, float, float] | None] | None = None
        for k in range(len(ring)):
            option = _saving(ring, k, most)
            if option is not None and (best is None or option[0] < best[0]):
                best = option
        if best is None:
            break
        away, k, corner = best
        n = len(ring)
        if corner is None:
            before, after = (k - 1) % n, (k + 1) % n
            for side in (before, after):
                x, y, moved = ring[side]
                ring[side] = (x, y, max(moved, away))
            del ring[k]
        else:
            after = (k + 1) % n
            ring[k] = corner
            del ring[after]
    return np.array([(x, y) for x, y, _ in ring])


def _saving(
    ring: list[tuple[float, float, float]], k: int, most: float
) -> tuple[float, int, tuple[float, float, float] | None] | None:
    """Tell how far the outline moves if one vertex is saved at k, and how.

    An inner corner is bridged; an edge k, k+1 between two outer corners gives way to the meeting
    point of its neighbours.
    """
    n = len(ring)
    a, b, c, d = ring[k - 1], ring[k], ring[(k + 1) % n], ring[(k + 2) % n]
    if _cross(a, b, c) <= 0.0:
        away = _distance(b, a, c) + max(a[2], b[2], c[2])
        return (away, k, None) if away <= most else None
    if n < 5 or _cross(b, c, d) <= 0.0:
        return None
    ux, uy, vx, vy = b[0] - a[0], b[1] - a[1], c[0] - d[0], c[1] - d[1]
    turn = ux * vy - uy * vx
    if turn >= -1e-9 * ((ux * ux + uy * uy) * (vx * vx + vy * vy)) ** 0.5:
        return None  # the neighbours meet nowhere ahead
    t = ((d[0] - a[0]) * vy - (d[1] - a[1]) * vx) / turn
    meet = (a[0] + t * ux, a[1] + t * uy, 0.0)
    away = _distance(meet, b, c) + max(b[2], c[2])
    if away > most or t < 1.0:
        return None
    return away, k, (meet[0], meet[1], away)


def _cross(
    a: tuple[float, float, float], b: tuple[float, float, float], c: tuple[float, float, float]
) -> float:
    return (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])


def _distance(
    p: tuple[float, float, float], a: tuple[float, float, float], b: tuple[float, float, float]
) -> float:
    """Distance of p from the line through a and b."""
    dx, dy = b[0] - a[0], b[1] - a[1]
    length = (dx * dx + dy * dy) ** 0.5
    if length == 0.0:
        return 0.0
    return float(abs((p[0] - a[0]) * dy - (p[1] - a[1]) * dx) / length)
