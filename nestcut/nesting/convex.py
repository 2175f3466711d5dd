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

COVER_SLACK = 1e-9
"""How far a part may stick out of its polygon, as a share of the polygon's size. [-]"""

MISSING_AREA = 1e-10
"""Area that a dropped part may leave uncovered, as a share of the polygon's area. [-]"""


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
    grown = [_grow(part, corners, limit) for part in merged]
    kept = _drop_needless(grown, MISSING_AREA * polygon.area)
    return tuple(_ring(part) for part in kept)


def _merge(triangles: list[BaseGeometry], limit: BaseGeometry) -> list[BaseGeometry]:
    """Join neighbours whose common hull stays inside, the largest hull first.

    Whether two parts may be joined is worked out once for each pair.
    """
    parts = dict(enumerate(triangles))
    serial = len(parts)
    joined: dict[tuple[int, int], tuple[float, BaseGeometry] | None] = {}
    while True:
        best, best_area = (-1, -1), 0.0
        best_hull: BaseGeometry | None = None
        keys, shapes = list(parts), list(parts.values())
        pairs = shapely.STRtree(shapes).query(shapes, predicate="intersects")
        for a, b in pairs.T.tolist():
            if a >= b:
                continue
            pair = (keys[a], keys[b])
            if pair not in joined:
                joined[pair] = _joined(shapes[a], shapes[b], limit)
            found = joined[pair]
            if found is not None and found[0] > best_area:
                best, (best_area, best_hull) = pair, found
        if best_hull is None:
            return list(parts.values())
        for k in best:
            del parts[k]
        parts[serial] = best_hull
        serial += 1


def _joined(
    a: BaseGeometry, b: BaseGeometry, limit: BaseGeometry
) -> tuple[float, BaseGeometry] | None:
    """Area and shape of the common hull of two parts that make up a convex one, else None."""
    hull = shapely.convex_hull(shapely.union(a, b))
    full = a.area + b.area
    return (hull.area, hull) if hull.area <= full * (1 + 1e-9) and limit.covers(hull) else None


def _grow(part: BaseGeometry, corners: NDArray[np.object_], limit: BaseGeometry) -> BaseGeometry:
    """Take in every corner of the polygon that keeps the hull inside, the nearest first."""
    for k in np.argsort(shapely.distance(part, corners), kind="stable"):
        if part.covers(corners[k]):
            continue
        hull = shapely.convex_hull(shapely.union(part, corners[k]))
        if limit.covers(hull):
            part = hull
    return part


def _drop_needless(parts: list[BaseGeometry], area: float) -> list[BaseGeometry]:
    """Leave out parts that the others cover, the smallest first."""
    kept = sorted(parts, key=lambda p: -p.area)
    for k in range(len(kept) - 1, 0, -1):
        others = kept[:k] + kept[k + 1 :]
        if shapely.difference(kept[k], shapely.union_all(others)).area <= area:
            kept = others
    return kept


def _ring(polygon: BaseGeometry) -> FloatArray:
    """Return a convex polygon's corners counter-clockwise, without those on straight edges."""
    ring = np.asarray(shapely.get_coordinates(shapely.orient_polygons(polygon)))[:-1]
    before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
    a, b = ring - before, after - ring
    turn = a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0]
    scale = np.hypot(*a.T) * np.hypot(*b.T)
    keep = turn > 1e-12 * scale
    return np.ascontiguousarray(ring[keep] if keep.sum() >= 3 else ring, dtype=np.float64)
