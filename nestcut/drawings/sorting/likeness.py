"""Whether two outlines are the same shape, or mirror images, wherever they lie and however turned.

Both are walked round in equal steps of arc length; the distances from the centroid are compared at
every relative start by a cyclic correlation, and the best match is checked point by point.
"""

from __future__ import annotations

import math
from enum import StrEnum

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.geometry.polygons import to_polygon
from nestcut.model.shape import Shape

Floats = NDArray[np.float64]

_STEPS = 720
_SETTLINGS = 8
_SIZE_SHARE = 2e-3
_CLOSE_MM, _CLOSE_SHARE = 0.3, 5e-4
"""Largest distance between the edges of like shapes: a pencil line, or a share of their size."""


class Likeness(StrEnum):
    """How one shape relates to another."""

    SAME = "the same"
    MIRRORED = "its mirror image"
    OTHER = "another"


class Sized:
    """What tells most shapes apart at once: area, length of the edges, number of holes."""

    def __init__(self, shape: Shape) -> None:
        polygon = to_polygon(shape)
        self._area, self._length = float(polygon.area), float(polygon.length)
        self._holes = len(polygon.interiors)

    def is_near(self, other: Sized) -> bool:
        """Whether the two may be alike."""
        return (
            self._holes == other._holes
            and math.isclose(self._area, other._area, rel_tol=_SIZE_SHARE)
            and math.isclose(self._length, other._length, rel_tol=_SIZE_SHARE)
        )


def likeness(a: Shape, b: Shape) -> Likeness:
    """Compare two shapes, holes included.  A symmetric shape counts as the same, not mirrored."""
    first, second = to_polygon(a), to_polygon(b)
    if not Sized(a).is_near(Sized(b)):
        return Likeness.OTHER
    if _fits(first, second):
        return Likeness.SAME
    flipped = shapely.transform(second, lambda p: p * np.array((-1.0, 1.0)))
    return Likeness.MIRRORED if _fits(first, flipped) else Likeness.OTHER


def _fits(a: Polygon, b: Polygon) -> bool:
    """Whether b can be turned and moved onto a."""
    close = max(_CLOSE_MM, _CLOSE_SHARE * math.sqrt(a.area))
    pa, pb = _walk(a), _walk(b)
    ra, rb = np.hypot(*pa.T), np.hypot(*pb.T)
    match = np.fft.irfft(np.fft.rfft(ra) * np.conj(np.fft.rfft(rb)), _STEPS)
    worst = float(np.sum(ra * ra) + np.sum(rb * rb))
    order = np.argsort(-match, kind="stable")[:24]
    for shift in order.tolist():
        if worst - 2.0 * float(match[shift]) > _STEPS * (4.0 * close) ** 2 + 1e-6 * worst:
            break
        moved = np.roll(pb, shift, axis=0)
        dot = float(np.sum(pa * moved))
        cross = float(np.sum(moved[:, 0] * pa[:, 1] - moved[:, 1] * pa[:, 0]))
        if _lies_on(a, b, math.atan2(cross, dot), close):
            return True
    return False


def _walk(polygon: Polygon) -> Floats:
    """Points in equal steps round the outer edge, from the centroid. [mm]"""
    ring = shapely.normalize(polygon).exterior
    if not ring.is_ccw:
        ring = ring.reverse()
    at = np.arange(_STEPS) / _STEPS
    points = shapely.get_coordinates(shapely.line_interpolate_point(ring, at, normalized=True))
    around: Floats = points - np.array(polygon.centroid.coords[0])
    return around


def _lies_on(a: Polygon, b: Polygon, turn: float, close: float) -> bool:
    """Settle b onto a (nearest points, best rigid motion, repeated) and measure the distance.

    The settling is the iterative closest point scheme of P. Besl and N. McKay, IEEE Trans. PAMI 14,
    1992; it takes out the half step by which the two walks may be off.
    """
    edge = a.exterior
    points = _spun(_walk(b), turn) + np.array(a.centroid.coords[0])
    whole = _spun(shapely.get_coordinates(b.boundary) - np.array(b.centroid.coords[0]), turn)
    whole += np.array(a.centroid.coords[0])
    for _ in range(_SETTLINGS):
        along = shapely.line_locate_point(edge, shapely.points(points))
        foot = shapely.get_coordinates(shapely.line_interpolate_point(edge, along))
        here, there = points.mean(axis=0), foot.mean(axis=0)
        p, q = points - here, foot - there
        step = math.atan2(
            float(np.sum(p[:, 0] * q[:, 1] - p[:, 1] * q[:, 0])), float(np.sum(p * q))
        )
        points = _spun(p, step) + there
        whole = _spun(whole - here, step) + there
    back = shapely.set_coordinates(shapely.from_wkb(shapely.to_wkb(b.boundary)), whole)
    return _furthest(a.boundary, back) <= close and _furthest(back, a.boundary) <= close


def _spun(points: Floats, turn: float) -> Floats:
    c, s = math.cos(turn), math.sin(turn)
    turned: Floats = points @ np.array(((c, s), (-s, c)))
    return turned


def _furthest(line: BaseGeometry, other: BaseGeometry) -> float:
    """Greatest distance of one line's vertices from another. [mm]"""
    points = shapely.points(shapely.get_coordinates(line))
    return float(np.max(shapely.distance(points, other)))
