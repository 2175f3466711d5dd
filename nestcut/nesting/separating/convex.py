"""Cover a polygon by few large convex parts; they may overlap, and together they are the polygon.

Overlap of two shapes is then overlap of two convex parts, which half-planes decide at any angle.
Large overlapping parts (a cover) tell the depth of an overlap better than the slivers of a
partition: the depth is the greatest over the parts, and a thin part is never deep.
"""

from __future__ import annotations

import heapq
import math
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.nesting.problem import FloatArray
from nestcut.tolerances.noise import COVER_SLACK, DUST, MISSING_AREA, NOISE

MOST_HULLS = 40_000
"""Corners tried for all parts of a polygon together, the nearest to each; a try is some 15 us. [-]
Every corner of a polygon of some 150 corners is tried for every part."""

LEAST_TRIES = 24
"""Corners tried for a part however many parts there are. [-]"""


_LOOKS = (0.5, 0.1, 0.9)
"""How far towards a part it is looked whether a line of sight lies inside. [-]"""


def convex_cover(polygon: Polygon) -> tuple[FloatArray, ...]:
    """Return convex parts whose union is the polygon.

    Parameters
    ----------
    polygon
        Simple polygon, holes allowed.

    Returns
    -------
    Counter-clockwise convex rings, shape (k, 2) each, the largest first. A convex polygon comes
    back as one part, exactly.
    """
    return _cover_of(shapely.to_wkb(polygon))


@lru_cache(maxsize=4096)
def _cover_of(wkb: bytes) -> tuple[FloatArray, ...]:
    """Work out a cover once for each polygon: every call of the engine asks for the same ones."""
    polygon = shapely.from_wkb(wkb)
    size = max(polygon.bounds[2] - polygon.bounds[0], polygon.bounds[3] - polygon.bounds[1])
    limit = polygon.buffer(COVER_SLACK * size)
    hull = polygon.convex_hull
    if limit.covers(hull):
        return (_ring(hull),)
    shapely.prepare(limit)
    triangles = [t for t in shapely.constrained_delaunay_triangles(polygon).geoms if t.area > 0]
    merged = _merge(triangles, limit)
    corners = np.asarray(shapely.points(shapely.get_coordinates(polygon)))
    tries = max(LEAST_TRIES, MOST_HULLS // len(merged))
    grown = [_grow(part, _nearest(part, corners, tries), limit) for part in merged]
    kept = _drop_needless(grown, merged, triangles, MISSING_AREA * polygon.area)
    return tuple(_ring(part) for part in kept)


def _nearest(part: BaseGeometry, corners: NDArray[np.object_], most: int) -> NDArray[np.object_]:
    """Return the corners nearest to a part's box, in their own order."""
    if len(corners) <= most:
        return corners
    at, box = shapely.get_coordinates(corners), np.asarray(part.bounds)
    away = np.maximum(0.0, np.maximum(box[:2] - at, at - box[2:]))
    near = np.argsort(np.hypot(*away.T), kind="stable")[:most]
    return corners[np.sort(near)]


def _merge(triangles: list[BaseGeometry], limit: BaseGeometry) -> list[BaseGeometry]:
    """Join neighbours whose common hull stays inside, the largest hull first.

    Whether two parts may be joined is worked out once for each pair.
    """
    parts = dict(enumerate(triangles))
    pairs = shapely.STRtree(triangles).query(triangles, predicate="intersects").T
    waiting: list[_Joined] = []
    _wait(waiting, parts, [(a, b) for a, b in pairs.tolist() if a < b], limit, 0)
    serial = len(parts)
    while waiting:
        _, _, pair, hull = heapq.heappop(waiting)
        if not parts.keys() >= {*pair}:
            continue
        for k in pair:
            del parts[k]
        near = shapely.intersects(list(parts.values()), hull)
        neighbours = [k for k, is_near in zip(parts, near.tolist(), strict=True) if is_near]
        parts[serial] = hull
        _wait(waiting, parts, [(k, serial) for k in neighbours], limit, serial)
        serial += 1
    return list(parts.values())


_Joined = tuple[float, tuple[int, int], tuple[int, int], BaseGeometry]
"""Common hull of two parts: its area, negative so that the largest comes first; which came first
of equal ones; the parts; the hull."""


def _wait(
    waiting: list[_Joined],
    parts: dict[int, BaseGeometry],
    pairs: list[tuple[int, int]],
    limit: BaseGeometry,
    round_: int,
) -> None:
    """Put those pairs among the waiting that make up a convex shape, with their common hulls."""
    both = np.array([[parts[a], parts[b]] for a, b in pairs], dtype=object).reshape(-1, 2)
    hulls = _hulls(both)
    areas = np.asarray(shapely.area(hulls))
    may = areas <= shapely.area(both).sum(axis=1) * (1 + NOISE)
    may[may] = shapely.covers(limit, hulls[may])
    for k in np.flatnonzero(may).tolist():
        heapq.heappush(waiting, (-float(areas[k]), (round_, k), pairs[k], hulls[k]))


def _hulls(pairs: NDArray[np.object_]) -> NDArray[np.object_]:
    """Return the common hull of each pair of shapes."""
    return np.asarray(shapely.convex_hull(shapely.geometrycollections(pairs)))


def _grow(part: BaseGeometry, corners: NDArray[np.object_], limit: BaseGeometry) -> BaseGeometry:
    """Take in every corner of the polygon that keeps the hull inside, the nearest first.

    A corner that can't be taken in at first can't be later, when the part is larger.
    """
    corners = _in_sight(part, corners[~shapely.covers(part, corners)], limit)
    hulls = _hulls(np.column_stack(([part] * len(corners), corners)))
    corners = corners[shapely.covers(limit, hulls)]
    every: BaseGeometry = shapely.convex_hull(shapely.geometrycollections([part, *corners]))
    if limit.covers(every):
        return every
    for k in np.argsort(shapely.distance(part, corners), kind="stable"):
        if part.covers(corners[k]):
            continue
        hull = shapely.convex_hull(shapely.geometrycollections([part, corners[k]]))
        if limit.covers(hull):
            part = hull
    return part


def _in_sight(
    part: BaseGeometry, corners: NDArray[np.object_], limit: BaseGeometry
) -> NDArray[np.object_]:
    """Return the corners whose hull with a part may lie inside, by points that it surely has.

    A look at a point costs a twentieth of one at a hull, and most corners are out of sight.
    """
    own = shapely.get_coordinates(part)[:-1]
    for seen in (own.mean(axis=0, keepdims=True), own):
        at = shapely.get_coordinates(corners)
        for share in _LOOKS:
            x, y = (share * seen[:, None, k] + (1.0 - share) * at[None, :, k] for k in (0, 1))
            is_inside = shapely.intersects_xy(limit, x, y).all(axis=0)
            corners, at = corners[is_inside], at[is_inside]
    return corners


def _drop_needless(
    grown: list[BaseGeometry],
    merged: list[BaseGeometry],
    triangles: list[BaseGeometry],
    area: float,
) -> list[BaseGeometry]:
    """Leave out grown parts that the others cover, the smallest first.

    ``merged`` are the parts that they grew from, which don't overlap: where no other part has
    taken in a point of one, it is needed, and nothing has to be cut from anything; nor where it
    alone has taken in a point of some triangle. Where every triangle of a part lies in some other
    part whole, it is needless, and nothing has to be united. Else only the parts that touch it are
    united, not all.
    """
    order = sorted(range(len(grown)), key=lambda k: -grown[k].area)
    parts = [grown[k] for k in order]
    tree = shapely.STRtree(parts)
    atoms: list[list[int]] = [[] for _ in parts]
    holders = np.zeros(len(triangles), dtype=np.int64)
    for t, k in tree.query(triangles, predicate="covered_by").T.tolist():
        atoms[k].append(t)
        holders[t] += 1
    apart = 2.0 * math.sqrt(area)
    spots = _spots(triangles, apart)
    held: list[list[int]] = [[] for _ in parts]
    times = np.zeros(len(spots), dtype=np.int64)
    for s, k in tree.query(spots, predicate="dwithin", distance=apart).T.tolist():
        held[k].append(s)
        times[s] += 1
    beside: list[set[int]] = [set() for _ in parts]
    for a, b in tree.query(parts, predicate="intersects").T.tolist():
        beside[a].add(b)
    left = set(range(len(parts)))
    for k in range(len(parts) - 1, 0, -1):
        others = [parts[j] for j in sorted(beside[k] & left - {k})]
        point = merged[order[k]].representative_point()
        if not others or not shapely.covers(others, point).any():
            continue
        if (times[held[k]] == 1).any():
            continue
        in_others = bool((holders[atoms[k]] > 1).all())
        in_others = in_others and _makes_up(parts[k], triangles, atoms[k], area)
        # taking the others away one after another is faster than from their union, but GEOS 3.14
        # was seen to lose a fifteenth of a polygon that way
        if not in_others and shapely.difference(parts[k], shapely.union_all(others)).area > area:
            continue
        left.remove(k)
        holders[atoms[k]] -= 1
        times[held[k]] -= 1
    return [parts[k] for k in sorted(left)]


def _spots(triangles: list[BaseGeometry], inset: float) -> NDArray[np.object_]:
    """Return points of triangles where what a part alone takes in is likely to be seen.

    The middle of each triangle, and points by the middles of its sides, so far within.
    """
    corners = shapely.get_coordinates(triangles).reshape(-1, 4, 2)
    middle = corners[:, :3].mean(axis=1, keepdims=True)
    sides = (corners[:, :3] + corners[:, 1:]) / 2.0
    away = middle - sides
    far = np.hypot(away[..., 0], away[..., 1])[..., None]
    near = sides + away * np.minimum(0.5, inset / np.maximum(far, inset))
    return np.asarray(shapely.points(np.concatenate((middle, near), axis=1)), dtype=object).ravel()


def _makes_up(
    part: BaseGeometry, triangles: list[BaseGeometry], atoms: list[int], area: float
) -> bool:
    """Whether the triangles that lie in a part are all of it; they don't overlap."""
    return bool(part.area - shapely.area([triangles[t] for t in atoms]).sum() <= area)


def _ring(polygon: BaseGeometry) -> FloatArray:
    """Return a convex polygon's corners counter-clockwise, without those on straight edges."""
    ring = np.asarray(shapely.get_coordinates(shapely.orient_polygons(polygon)))[:-1]
    before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
    a, b = ring - before, after - ring
    turn = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    scale = np.hypot(*a.T) * np.hypot(*b.T)
    keep = turn > DUST * scale
    return np.ascontiguousarray(ring[keep] if keep.sum() >= 3 else ring, dtype=np.float64)
