"""Areas between true lines, and how far one line strays from another."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import TypeVar

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.model.pose import Placement
from nestcut.model.shape import Shape
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.verify.truth.lines import ring_line

G = TypeVar("G", bound=BaseGeometry)
Rows = NDArray[np.float64]


@lru_cache(maxsize=4_000)
def region(shape: Shape) -> Polygon:
    """Return what lies between a shape's true lines; chords off by the sagitta at most. [mm]"""
    return Polygon(ring_line(shape.outline), [ring_line(h) for h in shape.holes])


@lru_cache(maxsize=4_000)
def rough(shape: Shape) -> Polygon:
    """Return what lies between the flattened lines that a shape carries. [mm]"""
    return Polygon(shape.outline.points, [h.points for h in shape.holes])


def mirrored(geometry: G) -> G:
    """Reflect x -> -x. [mm]"""
    return affinity.scale(geometry, xfact=-1.0, yfact=1.0, origin=(0.0, 0.0))


def placed(area: G, placement: Placement) -> G:
    """Return an area on its sheet: reflected if face down, turned about the origin, shifted."""
    angle = math.radians(placement.turn_deg)
    c, s = math.cos(angle), math.sin(angle)
    flip = 1.0 if placement.is_face_up else -1.0
    matrix = [c * flip, -s, s * flip, c, placement.shift_mm[0], placement.shift_mm[1]]
    return affinity.affine_transform(area, matrix)


def line_off_mm(have: BaseGeometry, want: BaseGeometry, allowed_mm: float) -> float:
    """Return how far two lines stray from each other at corners and middles; 0: not too far. [mm]

    Both ways: what one has beyond the other counts as well as what it lacks.

    Parameters
    ----------
    have, want
        Lines of any number of parts. [mm]
    allowed_mm
        How far they may stray. [mm]
    """
    if have.is_empty or want.is_empty:
        return 0.0 if have.is_empty and want.is_empty else math.inf
    if _corners_off_mm(have, want) <= allowed_mm:
        return 0.0
    worst = 0.0
    for a, b in ((have, want), (want, have)):
        corners = shapely.get_coordinates(shapely.segmentize(a, 20.0))
        points = shapely.points(corners[~_beside(corners, b, allowed_mm)])
        shapely.prepare(b)
        if not bool(np.all(shapely.dwithin(b, points, allowed_mm))):
            worst = max(worst, float(np.max(shapely.distance(b, points))))
    return worst


def _corners_off_mm(have: BaseGeometry, want: BaseGeometry) -> float:
    """Return how far corners of the same number are apart at most; no line strays further. [mm]

    Infinite where two lines haven't the same parts with as many corners each.
    """
    ours, theirs = (shapely.get_num_coordinates(shapely.get_parts(g)) for g in (have, want))
    if not np.array_equal(ours, theirs):
        return math.inf
    apart = shapely.get_coordinates(have) - shapely.get_coordinates(want)
    return float(np.hypot(apart[:, 0], apart[:, 1]).max())


def _beside(corners: Rows, line: BaseGeometry, allowed_mm: float) -> NDArray[np.bool_]:
    """Which corners lie near the point of a line that is as far along it; others may do so too.

    Lines that are the same run beside each other, so that hardly a corner has to be looked for.
    """
    ends = shapely.get_coordinates(line)
    (ours, theirs) = (np.hypot(*np.diff(rows, axis=0).T) for rows in (corners, ends))
    only = shapely.get_geometry(line, 0) if shapely.get_num_geometries(line) == 1 else None
    if not isinstance(only, LineString) or not ours.sum() or not theirs.sum():
        return np.zeros(len(corners), dtype=np.bool_)
    along = np.concatenate(([0.0], np.cumsum(theirs)))
    begin = shapely.line_locate_point(only, shapely.points(corners[0]))
    at = np.concatenate(([0.0], np.cumsum(ours))) * (along[-1] / ours.sum())
    is_near = np.zeros(len(corners), dtype=np.bool_)
    for way in (begin + at, begin - at):  # a mirrored outline runs the other way round
        foot = np.column_stack([np.interp(way % along[-1], along, axis) for axis in ends.T])
        is_near |= np.hypot(*(corners - foot).T) <= allowed_mm
    return is_near


def covered(small: BaseGeometry, large: BaseGeometry, slack_mm: float) -> bool:
    """Whether one area lies in another, or no further outside than a slack. [mm]

    Parameters
    ----------
    small, large
        Areas. [mm]
    slack_mm
        How far the first may stick out. [mm]
    """
    return bool(large.covers(small) or large.buffer(slack_mm, quad_segs=4).covers(small))


def depth_mm(area: BaseGeometry, slack_mm: float) -> float:
    """Return about how wide an area is where it is widest; 0: no wider than a slack. [mm]"""
    if area.is_empty or area.area == 0.0 or area.buffer(-slack_mm / 2.0).is_empty:
        return 0.0
    lumps = [g for g in shapely.get_parts(area).tolist() if isinstance(g, Polygon)]
    return max(2.0 * float(shapely.maximum_inscribed_circle(g).length) for g in lumps)


def stretches(area: BaseGeometry, x: float) -> tuple[tuple[float, float], ...]:
    """Return the stretches (low y, high y) of the upright line at x inside an area. [mm]"""
    _, low, _, high = area.bounds
    cut = area.intersection(LineString([(x, low - 1.0), (x, high + 1.0)]))
    found = [
        (g.bounds[1], g.bounds[3])
        for g in shapely.get_parts(cut).tolist()
        if g.length > SAME_LENGTH_MM
    ]
    return tuple(sorted(found))
