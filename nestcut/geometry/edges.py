"""Edges of an outline: the stretches that face a side, and the stretch near a point.

A part's edge is what a builder would call one: from corner to corner, or all that faces one way.
"""

from __future__ import annotations

import math
from enum import StrEnum
from itertools import pairwise

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon

from nestcut.geometry.polygons import bounds_mm
from nestcut.model.curves import Point
from nestcut.model.shape import Shape
from nestcut.tolerances.lengths import FACING_SLACK_DEG
from nestcut.tolerances.likeness import HULL_SHARE, SHORT_SHARE

CORNER_DEG = 25.0
"""A ring that turns by more than this at a point has a corner there; flattened curves turn by less
from point to point unless they are tighter than a pencil's line. [deg]"""
FACING_DEG = 45.0 + FACING_SLACK_DEG
"""An edge faces a side if its normal is no further off. [deg]"""


class Side(StrEnum):
    """Sides of a part as it is drawn."""

    BOTTOM = "bottom"
    RIGHT = "right"
    TOP = "top"
    LEFT = "left"


_NORMALS = {
    Side.BOTTOM: (0.0, -1.0),
    Side.RIGHT: (1.0, 0.0),
    Side.TOP: (0.0, 1.0),
    Side.LEFT: (-1.0, 0.0),
}


def stretches_facing(shape: Shape, side: Side) -> tuple[tuple[Point, ...], ...]:
    """Return the outer stretches of an outline that face a side, in the outline's direction.

    Notches, limber holes and fillets too short to be edges are left out; a V bottom gives one
    stretch through its knuckle, an edge broken by a notch gives two.
    """
    ring = shape.outline.points
    closed = (*ring, ring[0])
    nx, ny = _NORMALS[side]
    least = math.cos(math.radians(FACING_DEG))
    facing = []
    for a, b in pairwise(closed):
        long = math.dist(a, b)
        facing.append(long > 0.0 and ((b[1] - a[1]) * nx - (b[0] - a[0]) * ny) / long >= least)
    hull = Polygon(ring).convex_hull.boundary
    x0, y0, x1, y1 = bounds_mm(ring)
    near = HULL_SHARE * max(x1 - x0, y1 - y0)
    outer = hull.buffer(near)
    found = [line for line in _joined(ring, facing) if _is_outer(line, outer)]
    longest = max((LineString(line).length for line in found), default=0.0)
    return tuple(line for line in found if LineString(line).length >= SHORT_SHARE * longest)


def stretch_near(shape: Shape, point: Point) -> tuple[tuple[Point, ...], float]:
    """Return the edge nearest to a point, from corner to corner, and how far it is. [mm]

    Holes have edges too. A ring without corners is one edge that ends where it begins.
    """
    here = shapely.Point(point)
    rings = (shape.outline, *shape.holes)
    away = [float(LineString((*r.points, r.points[0])).distance(here)) for r in rings]
    best = int(np.argmin(np.round(away, 6)))
    points = rings[best].points
    n = len(points)
    steps = [float(LineString((points[k], points[(k + 1) % n])).distance(here)) for k in range(n)]
    at = int(np.argmin(np.round(steps, 6)))
    first, last = at, at + 1
    while not _is_corner(points, first) and last - first < n:
        first -= 1
    while not _is_corner(points, last) and last - first < n:
        last += 1
    return tuple(points[k % n] for k in range(first, last + 1)), away[best]


def _is_outer(line: tuple[Point, ...], outer: Polygon) -> bool:
    """Whether a line belongs to the outside: it runs from hull to hull, or along it for the most.

    The first holds for hollow edges, the second for edges broken by a notch; for the sides of a
    notch neither does.
    """
    if all(outer.contains(shapely.Point(p)) for p in (line[0], line[-1])):
        return True
    way = LineString(line)
    return float(way.intersection(outer).length) >= 0.5 * float(way.length)


def _is_corner(points: tuple[Point, ...], at: int) -> bool:
    n = len(points)
    a, b, c = (points[(at + k) % n] for k in (-1, 0, 1))
    one, other = math.atan2(b[1] - a[1], b[0] - a[0]), math.atan2(c[1] - b[1], c[0] - b[0])
    turn = math.degrees(other - one)
    return abs((turn + 180.0) % 360.0 - 180.0) > CORNER_DEG


def _joined(ring: tuple[Point, ...], facing: list[bool]) -> list[tuple[Point, ...]]:
    """Neighbouring edges that face the side as one line each."""
    n = len(ring)
    if all(facing):
        return [(*ring, ring[0])]
    starts = [k for k in range(n) if facing[k] and not facing[k - 1]]
    lines = []
    for start in starts:
        end = start
        while facing[end % n]:
            end += 1
        lines.append(tuple(ring[k % n] for k in range(start, end + 1)))
    return lines
