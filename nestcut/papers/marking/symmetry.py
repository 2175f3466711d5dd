"""Which shapes are plain, round, alike on both sides of a line, or without a hand.

Turned, the mirror image of a shape without a hand lies on it: of such a shape nobody need say that
a piece is the mirror image.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.geometry.polygons import bounds_mm
from nestcut.geometry.pose import MIRROR, move_points, move_shape
from nestcut.model.curves import Point
from nestcut.model.pose import Pose
from nestcut.model.shape import Shape
from nestcut.tolerances.lengths import ALIKE_MM, LEAST_MM
from nestcut.tolerances.looks import CHART_RING_MM, CHART_ROUND_SHARE


def has_no_hand(shape: Shape) -> bool:
    """Whether a shape with its holes and marks is the same on both sides of a line through it."""
    rings = shapely.union_all(
        [_ring(shape.outline.points), *(_ring(h.points) for h in shape.holes)]
    )
    marks = shapely.union_all([LineString(m.points) for m in shape.marks])
    middle = Polygon(shape.outline.points).centroid
    corners = shapely.get_coordinates(shapely.simplify(_ring(shape.outline.points), CHART_RING_MM))
    ends = np.vstack([corners[:-1], (corners[1:] + corners[:-1]) / 2.0])
    about = (float(middle.x), float(middle.y))
    for x, y in ends:
        way = (float(x) - about[0], float(y) - about[1])
        size = math.hypot(*way)
        if size > LEAST_MM and all(
            _is_alike(g, about, (way[0] / size, way[1] / size)) for g in (rings, marks)
        ):
            return True
    return False


def is_plain(shape: Shape) -> bool:
    """Whether an outline is a triangle or a four-sided one: simpler without halves."""
    return len(_without_straights(shape.outline.points).exterior.coords) <= 5


def is_round(shape: Shape) -> bool:
    """Whether an outline is a circle."""
    ring = _without_straights(shape.outline.points)
    x0, y0, x1, y1 = ring.bounds
    round_area = math.pi * (x1 - x0) * (y1 - y0) / 4.0
    return abs(x1 - x0 - y1 + y0) < 0.2 and abs(ring.area / round_area - 1.0) < CHART_ROUND_SHARE


def is_ring(shape: Shape) -> bool:
    """Whether a shape is round about one middle, holes and all."""
    if shape.marks or not is_round(shape):
        return False
    middle = Polygon(shape.outline.points).centroid
    return all(
        is_round(Shape(hole)) and Polygon(hole.points).centroid.distance(middle) < ALIKE_MM
        for hole in shape.holes
    )


def _without_straights(points: tuple[Point, ...]) -> Polygon:
    return Polygon(shapely.simplify(Polygon(points), CHART_RING_MM).exterior)


def centred(shape: Shape, turn_deg: float) -> Pose | None:
    """How a shape lies with its axis of symmetry along x from 0; None if it has none that way.

    Parameters
    ----------
    turn_deg
        By which its axis is turned to x. [deg]
    """
    turned = move_shape(shape, Pose(turn_deg=turn_deg))
    x0, y0, x1, y1 = bounds_mm(turned.outline.points)
    middle = (y0 + y1) / 2.0
    laid = move_shape(turned, Pose(shift_mm=(-x0, -middle)))
    flip = Pose(MIRROR.lie, 180.0)  # x, y -> x, -y

    def apart(a: tuple[Point, ...]) -> float:
        ring = LineString([*a, a[0]])
        other = LineString([*move_points(a, flip), move_points(a[:1], flip)[0]])
        return float(
            max(
                shapely.distance(shapely.points(other.coords), ring).max(),
                shapely.distance(shapely.points(ring.coords), other).max(),
            )
        )

    if apart(laid.outline.points) > ALIKE_MM:
        return None
    holes = sorted(Polygon(h.points).centroid.coords[0] for h in laid.holes)
    if not all(min(math.hypot(x - p, -y - q) for p, q in holes) < ALIKE_MM for x, y in holes):
        return None
    whole = shapely.union_all([Polygon(h.points) for h in laid.holes])
    mirrored = shapely.union_all([Polygon(move_points(h.points, flip)) for h in laid.holes])
    if whole.symmetric_difference(mirrored).area > ALIKE_MM * max(whole.length, 1.0):
        return None
    crossings = LineString([(-1.0, 0.0), (x1 - x0 + 1.0, 0.0)]).intersection(
        Polygon(laid.outline.points)
    )
    if crossings.geom_type != "LineString":
        return None
    shift = (-x0, -middle)
    return Pose(turn_deg=turn_deg, shift_mm=shift)


def has_marks_alike(shape: Shape) -> bool:
    """Whether all marks together are the same on both sides of a centre line along x."""
    if not shape.marks:
        return True
    lines = shapely.union_all([LineString(m.points) for m in shape.marks])
    folded = shapely.transform(lines, lambda at: at * (1.0, -1.0))
    return bool(shapely.hausdorff_distance(lines, folded) < ALIKE_MM)


def _ring(points: tuple[Point, ...]) -> LineString:
    return LineString([*points, points[0]])


def _is_alike(lines: BaseGeometry, about: Point, way: Point) -> bool:
    """Whether lines are the same on both sides of a line; nothing is."""
    if lines.is_empty:
        return True
    c, s = way[0] ** 2 - way[1] ** 2, 2.0 * way[0] * way[1]
    turn = np.array([[c, s], [s, -c]])
    folded = shapely.transform(lines, lambda at: (at - about) @ turn.T + about)
    at, there = shapely.points(shapely.get_coordinates(folded)), lines
    return bool(shapely.distance(at, there).max() < ALIKE_MM)
