"""The size of a piece as a tape finds it on what was cut: one function for all papers.

It's the smallest rectangle round the piece, long side first.  A piece alike on both sides of its
centre line is measured along that and square to it, and one of a joined part along the base line
that it is marked out from: the smallest rectangle might lie askew there, and nobody could check it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely import affinity
from shapely.geometry import Polygon

from nestcut.geometry.polygons import bounds_mm
from nestcut.model.curves import Point
from nestcut.model.shape import Shape
from nestcut.tolerances.lengths import ALIKE_MM

LEAST_GAIN_MM = 0.5
"""A rectangle that saves less on a side than a pencil line isn't worth turning the tape for."""
SQUARE_SHARE = 1.1
"""A piece not longer than this many times its width has no long side that anyone sees. [-]"""
SIZE_WORDS = (
    "Sizes are over all, long side first: joined panels' pieces along the line they are marked out "
    "from, curves from boards as they lie, others along their centre line or in the smallest "
    "rectangle"
)


@dataclass(frozen=True, slots=True)
class TapeSize:
    """Long and short side of a piece, and which way the long one runs in its own frame."""

    long_mm: float
    short_mm: float
    way: Point

    @property
    def is_long(self) -> bool:
        """Whether one side is longer to the eye."""
        return self.long_mm > SQUARE_SHARE * self.short_mm


def tape_size(shape: Shape) -> TapeSize:
    """Size of a piece over all, allowance and overlaps included."""
    own = level_size(shape)
    if any(fold_axis(shape, is_level=level) is not None for level in (True, False)):
        return own
    frame = Polygon(shape.outline.points).minimum_rotated_rectangle
    if not isinstance(frame, Polygon):
        return own
    corners = list(frame.exterior.coords)
    sides = [(math.dist(corners[k], corners[k + 1]), k) for k in (0, 1)]
    (long, k), (short, _) = sorted(sides, reverse=True)
    if long * short > (
        own.long_mm - LEAST_GAIN_MM
    ) * own.short_mm and long * short > own.long_mm * (own.short_mm - LEAST_GAIN_MM):
        return own
    (ax, ay), (bx, by) = corners[k], corners[k + 1]
    return TapeSize(long, short, ((bx - ax) / long, (by - ay) / long))


def level_size(shape: Shape) -> TapeSize:
    """Size along and across the lines of its own frame."""
    wide, high = size_of(shape)
    return TapeSize(wide, high, (1.0, 0.0)) if wide >= high else TapeSize(high, wide, (0.0, 1.0))


def size_along(shape: Shape, way: Point) -> TapeSize:
    """Size along and across a line of its own frame; ``way``: the line's direction."""
    across = (-way[1], way[0])
    points = shape.outline.points
    along_mm, across_mm = (
        max(spots) - min(spots)
        for spots in ([x * wx + y * wy for x, y in points] for wx, wy in (way, across))
    )
    if along_mm >= across_mm:
        return TapeSize(along_mm, across_mm, way)
    return TapeSize(across_mm, along_mm, across)


def size_of(shape: Shape) -> tuple[float, float]:
    """Length and width of a shape over all, along x and y of its own frame. [mm]"""
    x0, y0, x1, y1 = bounds_mm(shape.outline.points)
    return x1 - x0, y1 - y0


def fold_axis(shape: Shape, *, is_level: bool) -> tuple[Point, Point] | None:
    """Line along which a shape can be folded on itself."""
    whole = Polygon(shape.outline.points)
    x0, y0, x1, y1 = whole.bounds
    middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    factors = (1.0, -1.0) if is_level else (-1.0, 1.0)
    folded = affinity.scale(whole, *factors, origin=middle)
    if whole.symmetric_difference(folded).area > ALIKE_MM * whole.length:
        return None
    if is_level:
        return (x0, middle[1]), (x1, middle[1])
    return (middle[0], y0), (middle[0], y1)
