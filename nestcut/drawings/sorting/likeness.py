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
from nestcut.tolerances.lengths import COPY_MM, LEAST_MM
from nestcut.tolerances.likeness import CLOSE_SHARE, FIRST_TURNS_SHARE, SIZE_SHARE
from nestcut.tolerances.noise import JUDGED_SHARE

Floats = NDArray[np.float64]

_STEPS = 720
_SETTLINGS = 8
_PEAKS, _HOPELESS = 12, 60.0
"""Relative starts that are tried: where the two walks agree better than one step on; times the
allowed distance beyond which settling is given up. [-]"""
_TRIED = 12
"""So many corners to begin at are tried. [-]"""
_CLOSE_MM = 0.3
"""Largest distance between the edges of like shapes, a pencil line; or a share of their size."""


class Likeness(StrEnum):
    """How one shape relates to another."""

    SAME = "the same"
    MIRRORED = "its mirror image"
    OTHER = "another"


class Sized:
    """What tells most shapes apart at once: area, edges' length, holes, moments of the edge."""

    def __init__(self, shape: Shape) -> None:
        polygon = to_polygon(shape)
        self._holes = len(polygon.interiors)
        self._sizes = (float(polygon.area), float(polygon.length), *_moments(polygon))

    @property
    def step(self) -> int:
        """Number of the step of area that it stands on; like shapes stand on it or beside it."""
        return int(math.log(max(self._sizes[0], LEAST_MM)) / SIZE_SHARE)

    def is_near(self, other: Sized) -> bool:
        """Whether the two may be alike."""
        # The first size tells nearly all apart; thousands are compared with thousands.
        if not math.isclose(self._sizes[0], other._sizes[0], rel_tol=SIZE_SHARE):
            return False
        return self._holes == other._holes and all(
            math.isclose(p, q, rel_tol=SIZE_SHARE * (1 + i))
            for i, (p, q) in enumerate(zip(self._sizes, other._sizes, strict=True))
        )


def _moments(polygon: Polygon) -> tuple[float, float]:
    """Principal second moments of the outer edge, taken as a wire: alike however it is turned."""
    points = shapely.get_coordinates(polygon.exterior)
    a, b = points[:-1], points[1:]
    lengths = np.hypot(*(b - a).T)
    whole = float(lengths.sum())
    centre = (lengths[:, None] * (a + b)).sum(axis=0) / (2.0 * whole)
    p, q = a - centre, b - centre

    # exact along each straight edge: the integral of x y is L (2 pa + 2 qb + pb + qa) / 6
    def moment(i: int, j: int) -> float:
        terms = 2.0 * p[:, i] * p[:, j] + 2.0 * q[:, i] * q[:, j]
        terms = terms + p[:, i] * q[:, j] + q[:, i] * p[:, j]
        return float((lengths * terms).sum()) / (6.0 * whole)

    xx, yy, xy = moment(0, 0), moment(1, 1), moment(0, 1)
    half, spread = (xx + yy) / 2.0, math.hypot((xx - yy) / 2.0, xy)
    return half + spread, half - spread


def likeness(a: Shape, b: Shape) -> Likeness:
    """Compare two shapes, holes included.  A symmetric shape counts as the same, not mirrored."""
    first, second = to_polygon(a), to_polygon(b)
    if not Sized(a).is_near(Sized(b)):
        return Likeness.OTHER
    if _is_moved(first, second) or _fits(first, second):
        return Likeness.SAME
    flipped = shapely.transform(second, lambda p: p * np.array((-1.0, 1.0)))
    is_mirrored = _is_moved(first, flipped) or _fits(first, flipped)
    return Likeness.MIRRORED if is_mirrored else Likeness.OTHER


def _is_moved(a: Polygon, b: Polygon) -> bool:
    """Whether b is a copy of a corner by corner, moved and turned, as most repeats are."""
    p, q = _corners(a), _corners(b)
    if len(p) != len(q):
        return False
    dp, dq = np.roll(p, -1) - p, np.roll(q, -1) - q
    turns_p, turns_q = np.roll(dp, -1) * np.conj(dp), np.roll(dq, -1) * np.conj(dq)
    first = np.abs(turns_q - turns_p[0])
    for shift in np.flatnonzero(first <= FIRST_TURNS_SHARE * (1.0 + np.abs(turns_p[0])))[
        :_TRIED
    ].tolist():
        moved = np.roll(q, -shift)
        spin = np.exp(1j * np.angle(np.vdot(moved - moved.mean(), p - p.mean())))
        if np.abs(spin * (moved - moved.mean()) - (p - p.mean())).max() > COPY_MM:
            continue
        holes = [_corners(Polygon(ring)) for ring in b.interiors]
        if not holes:
            return True
        whole = [spin * (h - moved.mean()) + p.mean() for h in holes]
        edge = a.boundary
        points = shapely.points(np.concatenate(whole).view(np.float64).reshape(-1, 2))
        return bool(np.max(shapely.distance(points, edge)) <= COPY_MM)
    return False


def _corners(polygon: Polygon) -> NDArray[np.complex128]:
    """Corners of the outer edge as complex numbers, counter-clockwise. [mm]"""
    ring = polygon.exterior if polygon.exterior.is_ccw else polygon.exterior.reverse()
    xy = shapely.get_coordinates(ring)[:-1]
    corners: NDArray[np.complex128] = xy[:, 0] + 1j * xy[:, 1]
    return corners


def _fits(a: Polygon, b: Polygon) -> bool:
    """Whether b can be turned and moved onto a."""
    close = max(_CLOSE_MM, CLOSE_SHARE * math.sqrt(a.area))
    pa, pb = _walk(a), _walk(b)
    ra, rb = np.hypot(*pa.T), np.hypot(*pb.T)
    match = np.fft.irfft(np.fft.rfft(ra) * np.conj(np.fft.rfft(rb)), _STEPS)
    worst = float(np.sum(ra * ra) + np.sum(rb * rb))
    peaks = np.flatnonzero((match >= np.roll(match, 1)) & (match >= np.roll(match, -1)))
    order = peaks[np.argsort(-match[peaks], kind="stable")][:_PEAKS]
    for shift in order.tolist():
        if worst - 2.0 * float(match[shift]) > _STEPS * (4.0 * close) ** 2 + JUDGED_SHARE * worst:
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
        if float(np.hypot(*(points - foot).T).max()) > _HOPELESS * close:
            return False
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
