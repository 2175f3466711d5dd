"""Fewer corners, on the safe side: results cover what they stand for (or lie inside it).

Two moves take a corner away and can only add material: filling a hollow corner (the corner is
left out) and running two edges on until they meet (the edge between them is left out).  Cheapest
first, until the stated deviation is used up.
"""

from __future__ import annotations

import heapq
import math

import numpy as np
from shapely.geometry import LinearRing, Polygon
from shapely.geometry.polygon import orient

from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.noise import DUST, LEAST_DIVISOR

_Corner = tuple[float, float]


def covering(
    polygon: Polygon, deviation_mm: float, enough: int = 0, hollow_mm: float | None = None
) -> Polygon:
    """Return a polygon with fewer corners that covers ``polygon`` and keeps its bounding box.

    Parameters
    ----------
    polygon
        A valid polygon; holes are simplified so that they stay inside the true holes. [mm]
    deviation_mm
        No point of the result is farther from ``polygon``. [mm]
    enough
        Stop as soon as a ring has no more corners than this and the next move isn't free.
    hollow_mm
        The same for what fills hollows, where more may be given away: other pieces seldom lie
        snug in them, and every hollow corner costs the engine a convex part. At least
        ``deviation_mm``; None: as much. [mm]

    Returns
    -------
    Polygon
        Covers ``polygon`` (to within float noise); ``polygon`` itself where nothing can be won.
    """
    hollow = max(deviation_mm, hollow_mm or 0.0)
    rate = deviation_mm / hollow if hollow > 0.0 else 1.0
    outer = _simplified_ring(polygon.exterior, deviation_mm, enough, rate)
    if outer is None:
        return polygon
    box = polygon.bounds
    clipped = _clip_to_box(outer, box)
    holes = []
    for ring in polygon.interiors:
        hole = inside(Polygon(ring), deviation_mm, enough)
        holes.append(hole.exterior.coords[:-1])
    result = Polygon(clipped, holes)
    if not result.is_valid or result.area < polygon.area - SAME_POINT_MM * polygon.length:
        return polygon
    return result


def inside(polygon: Polygon, deviation_mm: float, enough: int = 0) -> Polygon:
    """Return a polygon with fewer corners that lies inside ``polygon``; holes are dropped never.

    Only polygons without holes are simplified; others are handed back as they are.

    Parameters
    ----------
    polygon
        Of any orientation. [mm]
    deviation_mm
        How far the outline may move in. [mm]
    enough
        Stop as soon as the ring has no more corners than this and the next move isn't free.
    """
    if polygon.interiors:
        return polygon
    ring = orient(polygon, -1.0).exterior
    points = _reduce([(x, y) for x, y in ring.coords[:-1]], deviation_mm, enough, 1.0)
    if len(points) < 3:
        return polygon
    result = Polygon(points[::-1])
    return result if result.is_valid and result.area <= polygon.area + SAME_POINT_MM else polygon


def _simplified_ring(
    ring: LinearRing, deviation_mm: float, enough: int, hollow_rate: float
) -> list[_Corner] | None:
    polygon = orient(Polygon(ring), 1.0)
    points = _reduce(
        [(x, y) for x, y in polygon.exterior.coords[:-1]], deviation_mm, enough, hollow_rate
    )
    if len(points) < 3 or not Polygon(points).is_valid:
        return None
    return points


def _reduce(
    points: list[_Corner], deviation_mm: float, enough: int, hollow_rate: float
) -> list[_Corner]:
    """Greedy removal of corners of a ring whose material lies on its left; cheapest move first.

    ``hollow_rate`` (at most 1) is what a millimetre of filling a hollow counts. A corner's spent
    deviation is kept in such counts; a count stands for at most ``1 / hollow_rate`` mm.
    """
    n = len(points)
    at: list[_Corner] = list(points)
    before = [(i - 1) % n for i in range(n)]
    after = [(i + 1) % n for i in range(n)]
    spent = [0.0] * n
    alive = [True] * n
    stamp = [0] * n
    left = n
    heap: list[tuple[float, int, int, int]] = []

    def push(i: int) -> None:
        cost = _cost(at, before, after, spent, i, hollow_rate)
        if cost is not None and cost <= deviation_mm:
            heapq.heappush(heap, (cost, i, stamp[i], left))

    for i in range(n):
        push(i)
    while heap and left > 3:
        cost, i, mark, _ = heapq.heappop(heap)
        if not alive[i] or stamp[i] != mark:
            continue
        if left <= enough and cost > SAME_POINT_MM:
            break
        j = after[i]
        a, b = before[i], after[j]
        changed = {before[a], a, j}
        if _turn(at[a], at[i], at[j]) <= 0.0:  # hollow or straight: leave the corner out
            spent[a] = max(spent[a], cost)
            spent[j] = max(spent[j], cost)
        else:
            at[j] = _meeting(at[a], at[i], at[j], at[b]) or at[j]
            spent[j] = cost
            changed.add(b)
        after[a], before[j] = j, a
        alive[i] = False
        left -= 1
        for k in sorted(changed):
            stamp[k] += 1
            push(k)
    return [at[i] for i in range(n) if alive[i]]


def _cost(
    at: list[_Corner],
    before: list[int],
    after: list[int],
    spent: list[float],
    i: int,
    hollow_rate: float,
) -> float | None:
    """Deviation once corner i (hollow) or the edge from i (both ends convex) is left out."""
    a, j = before[i], after[i]
    b = after[j]
    if a in (j, b):
        return None
    if _turn(at[a], at[i], at[j]) <= 0.0:
        return spent[i] + hollow_rate * _distance_to_line(at[i], at[a], at[j])
    if _turn(at[i], at[j], at[b]) <= 0.0:
        return None
    meet = _meeting(at[a], at[i], at[j], at[b])
    if meet is None:
        return None
    return max(spent[i], spent[j]) + _distance_to_line(meet, at[i], at[j])


def _turn(a: _Corner, b: _Corner, c: _Corner) -> float:
    """Twice the signed area of a, b, c: positive for a left turn, exactly 0 if nearly straight."""
    cross = (b[0] - a[0]) * (c[1] - b[1]) - (b[1] - a[1]) * (c[0] - b[0])
    reach = math.dist(a, b) + math.dist(b, c)
    return 0.0 if abs(cross) < DUST * reach * reach else cross


def _distance_to_line(p: _Corner, a: _Corner, b: _Corner) -> float:
    length = math.dist(a, b)
    if length == 0.0:
        return math.dist(p, a)
    return abs((b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])) / length


def _meeting(a: _Corner, i: _Corner, j: _Corner, b: _Corner) -> _Corner | None:
    """Where a-i run on past i meets b-j run on past j; None if they don't meet in front."""
    ux, uy = i[0] - a[0], i[1] - a[1]
    vx, vy = j[0] - b[0], j[1] - b[1]
    det = uy * vx - ux * vy
    if abs(det) < DUST * (math.hypot(ux, uy) * math.hypot(vx, vy) + LEAST_DIVISOR):
        return None
    dx, dy = b[0] - i[0], b[1] - i[1]
    t = (dy * vx - dx * vy) / det
    s = (ux * dy - uy * dx) / det
    if t < 0.0 or s < 1.0 - DUST:
        return None
    return (i[0] + t * ux, i[1] + t * uy)


def _clip_to_box(points: list[_Corner], box: tuple[float, float, float, float]) -> list[_Corner]:
    """Cut a ring back to an upright box (Sutherland and Hodgman 1974), four half-planes in turn."""
    ring = np.asarray(points, dtype=np.float64)
    for axis, bound, sign in (
        (0, box[0], 1.0),
        (1, box[1], 1.0),
        (0, box[2], -1.0),
        (1, box[3], -1.0),
    ):
        depth = sign * (ring[:, axis] - bound)
        if (depth >= 0.0).all():
            continue
        kept: list[np.ndarray] = []
        m = len(ring)
        for k in range(m):
            p, q, dp, dq = ring[k], ring[(k + 1) % m], depth[k], depth[(k + 1) % m]
            if dp >= 0.0:
                kept.append(p)
            if (dp >= 0.0) != (dq >= 0.0):
                cut = p + (q - p) * (dp / (dp - dq))
                cut[axis] = bound
                kept.append(cut)
        ring = np.asarray(kept)
    return [(float(x), float(y)) for x, y in ring]
