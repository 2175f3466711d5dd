"""Cover a polygon by few large convex parts; they may overlap, and together they are the polygon.

Overlap of two shapes is then overlap of two convex parts, which half-planes decide at any angle.
Large overlapping parts (a cover) tell the depth of an overlap better than the slivers of a
partition: the depth is the greatest over the parts, and a thin part is never deep.
"""

from __future__ import annotations

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
    joined = _joined(parts, [(a, b) for a, b in pairs.tolist() if a < b], limit)
    serial = len(parts)
    while joined:
        pair = max(joined, key=lambda p: joined[p][0])
        _, hull = joined[pair]
        for k in pair:
            del parts[k]
        joined = {other: found for other, found in joined.items() if not {*pair} & {*other}}
        near = shapely.intersects(list(parts.values()), hull)
        parts[serial] = hull
        neighbours = [k for k, is_near in zip(parts, near.tolist(), strict=False) if is_near]
        joined |= _joined(parts, [(k, serial) for k in neighbours], limit)
        serial += 1
    return list(parts.values())


def _joined(
    parts: dict[int, BaseGeometry], pairs: list[tuple[int, int]], limit: BaseGeometry
) -> dict[tuple[int, int], tuple[float, BaseGeometry]]:
    """Return area and shape of the common hull of those pairs that make up a convex shape."""
    both = np.array([[parts[a], parts[b]] for a, b in pairs], dtype=object).reshape(-1, 2)
    hulls = _hulls(both)
    areas = np.asarray(shapely.area(hulls))
    may = areas <= shapely.area(both).sum(axis=1) * (1 + NOISE)
    may[may] = shapely.covers(limit, hulls[may])
    return {pairs[k]: (float(areas[k]), hulls[k]) for k in np.flatnonzero(may).tolist()}


def _hulls(pairs: NDArray[np.object_]) -> NDArray[np.object_]:
    """Return the common hull of each pair of shapes."""
    return np.asarray(shapely.convex_hull(shapely.geometrycollections(pairs)))


def _grow(part: BaseGeometry, corners: NDArray[np.object_], limit: BaseGeometry) -> BaseGeometry:
    """Take in every corner of the polygon that keeps the hull inside, the nearest first.

    A corner that can't be taken in at first can't be later, when the part is larger.
    """
    corners = corners[~shapely.covers(part, corners)]
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


def _drop_needless(
    grown: list[BaseGeometry],
    merged: list[BaseGeometry],
    triangles: list[BaseGeometry],
    area: float,
) -> list[BaseGeometry]:
    """Leave out grown parts that the others cover, the smallest first.

    ``merged`` are the parts that they grew from, which don't overlap: where no other part has
    taken in a point of one, it is needed, and nothing has to be cut from anything. Where every
    triangle of a part lies in some other part whole, it is needless, and nothing has to be united.
    Else only the parts that touch it are united, not all.
    """
    order = sorted(range(len(grown)), key=lambda k: -grown[k].area)
    parts = [grown[k] for k in order]
    tree = shapely.STRtree(parts)
    atoms: list[list[int]] = [[] for _ in parts]
    holders = np.zeros(len(triangles), dtype=np.int64)
    for t, k in tree.query(triangles, predicate="covered_by").T.tolist():
        atoms[k].append(t)
        holders[t] += 1
    beside: list[set[int]] = [set() for _ in parts]
    for a, b in tree.query(parts, predicate="intersects").T.tolist():
        beside[a].add(b)
    left = set(range(len(parts)))
    for k in range(len(parts) - 1, 0, -1):
        others = [parts[j] for j in sorted(beside[k] & left - {k})]
        point = merged[order[k]].representative_point()
        if not others or not shapely.covers(others, point).any():
            continue
        in_others = bool((holders[atoms[k]] > 1).all())
        in_others = in_others and _makes_up(parts[k], triangles, atoms[k], area)
        # taking the others away one after another is faster than from their union, but GEOS 3.14
        # was seen to lose a fifteenth of a polygon that way
        if not in_others and shapely.difference(parts[k], shapely.union_all(others)).area > area:
            continue
        left.remove(k)
        holders[atoms[k]] -= 1
    return [parts[k] for k in sorted(left)]


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
