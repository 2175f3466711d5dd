"""A band along a curve: its two long edges, and the line midway between them.

A cap or a covering board is drawn as a closed outline of constant width.  Its long edges are the
two longest stretches of outline without a corner; what joins them are the ends.  The edge that is
followed away from the reference end (the end of least x), material on its left, is the one
measured along; the middle line lies half a width inside it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Fact, Length, fact
from nestcut.geometry.curves import evaluate_many, length_mm
from nestcut.model.curves import Point
from nestcut.model.part import CutFrom, SheetPart
from nestcut.model.shape import Ring
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.noise import DUST

Floats = NDArray[np.float64]

_CORNER_DEG = 25.0
"""A turn sharper than this is a corner of the outline. [deg]"""
_FINE_MM = 1.0
"""About the distance of the points of the true edge by which it is measured. [mm]"""
_STEP_MM = 2.0
"""Distance of the points by which the middle line is measured. [mm]"""
_ABREAST_STEP = 10
"""Every so many points along a band it is looked up what lies abreast on the other edge. [-]"""
_WIDEST_END = 2.5
"""A cut across a band is no longer, in its widths: by a corner it turns at least 25 deg. [-]"""
_FARTHEST_END = 1.25
"""An end reaches no further beyond its corners, in widths: a point has at least 25 deg. [-]"""
_WIDTH_SLACK = 0.1
"""Share by which the drawn width may differ from the width said before it is reported. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class BandLine:
    """The middle line of a band, by points close together.

    Parameters
    ----------
    along_mm
        Distance of each point along the middle line from the reference end, shape (n,). [mm]
    middle, near, far
        The middle line, the edge measured along, the other edge, shape (n, 2). [mm]
    angle_rad
        Direction of the middle line, without jumps, shape (n,). [rad]
    other_angle_rad
        Direction of the other edge as it is drawn, abreast of each point, shape (n,). [rad]
    first_end, last_end
        Outline points of the ends, shape (m, 2). [mm]
    """

    along_mm: Floats
    middle: Floats
    near: Floats
    far: Floats
    angle_rad: Floats
    other_angle_rad: Floats
    first_end: Floats
    last_end: Floats
    width_mm: float

    @property
    def length_mm(self) -> float:
        """Length along the middle line. [mm]"""
        return float(self.along_mm[-1])

    def point(self, at_mm: float) -> Point:
        """Point of the middle line. [mm]"""
        x, y = (float(np.interp(at_mm, self.along_mm, self.middle[:, k])) for k in (0, 1))
        return (x, y)

    def angle(self, at_mm: float) -> float:
        """Direction of the middle line. [rad]"""
        return float(np.interp(at_mm, self.along_mm, self.angle_rad))

    def lean_rad(self, from_mm: float, to_mm: float) -> tuple[float, float]:
        """Return the least and the greatest direction that both edges take in a stretch. [rad]"""
        inside = (self.along_mm > from_mm) & (self.along_mm < to_mm)
        found = []
        for angles in (self.angle_rad, self.other_angle_rad):
            ends = np.interp([from_mm, to_mm], self.along_mm, angles)
            found.append(np.concatenate([ends, angles[inside]]))
        return float(min(f.min() for f in found)), float(max(f.max() for f in found))

    def reach_mm(self, at_mm: float, ahead_mm: float) -> float:
        """Return where along the band the cut square to a point, so far ahead of it, ends. [mm]

        The cut is straight, so on the inner edge it meets the band further from the point than on
        the middle line; ``ahead_mm`` is negative for a cut behind it.
        """
        (x, y), angle = self.point(at_mm), self.angle(at_mm)
        near_by = np.abs(self.along_mm - at_mm) <= 2.0 * abs(ahead_mm) + self.width_mm
        found = []
        for line in (self.near, self.far):
            rows = line[near_by]
            ahead = (rows[:, 0] - x) * math.cos(angle) + (rows[:, 1] - y) * math.sin(angle)
            order = np.argsort(ahead, kind="stable")
            along = self.along_mm[near_by][order]
            found.append(float(np.interp(ahead_mm, ahead[order], along)))
        return min(found) if ahead_mm < 0.0 else max(found)

    def tightest_mm(self) -> float:
        """Least radius of the middle line. [mm]"""
        turn = np.abs(np.diff(self.angle_rad))
        step = np.diff(self.along_mm)
        return float(np.min(step / np.maximum(turn, DUST)))


@lru_cache(maxsize=64)
def band_line(part: SheetPart) -> BandLine | Finding:
    """Return the middle line of a band, or say why the outline is none."""
    width = part.width_along_mm
    if width is None:
        raise ValueError(f"{part.name} is no band along a curve")
    points = _true_points(part.shape.outline)
    corners = _corners(points)
    if len(corners) < 2:
        return _no_band(part, fact("JNT-215"))
    sides = _sides(points, corners)
    lengths = [_length(s) for s in sides]
    first, second = sorted(sorted(range(len(sides)), key=lambda k: -lengths[k])[:2])
    rest = (
        _joined(sides[first + 1 : second], sides[second]),
        _joined([*sides[second + 1 :], *sides[:first]], sides[first]),
    )
    if part.cut_from is CutFrom.BOARD and (beyond := _beyond_mm(rest, width)) > 0.0:
        return _no_band(part, fact("JNT-219", beyond=Length(beyond)))
    edges = (sides[first], sides[second])
    # The edge that is followed from the reference end is the one that runs towards greater x.
    lead = 0 if edges[0][-1, 0] - edges[0][0, 0] >= edges[1][-1, 0] - edges[1][0, 0] else 1
    return _measured(part, width, edges[lead], rest[1 - lead], rest[lead], edges[1 - lead])


def _measured(
    part: SheetPart, width: float, edge: Floats, first_end: Floats, last_end: Floats, other: Floats
) -> BandLine | Finding:
    near = _resampled(edge)
    tangent = np.gradient(near, axis=0, edge_order=2)
    tangent /= np.hypot(tangent[:, 0], tangent[:, 1])[:, None]
    inward = np.column_stack([-tangent[:, 1], tangent[:, 0]])
    middle = near + inward * (width / 2.0)
    steps = np.hypot(*np.diff(middle, axis=0).T)
    if bool(np.any(np.sum(np.diff(middle, axis=0) * tangent[:-1], axis=1) <= 0.0)):
        return _no_band(part, fact("JNT-216", width=Length(width)))
    drawn = _mean_distance(near, other)
    if abs(drawn - width) > _WIDTH_SLACK * width:
        return _no_band(part, fact("JNT-217", drawn=Length(drawn), said=Length(width)))
    far = near + inward * width
    angle = np.unwrap(np.arctan2(tangent[:, 1], tangent[:, 0]))
    return BandLine(
        along_mm=np.concatenate([[0.0], np.cumsum(steps)]),
        middle=middle,
        near=near,
        far=far,
        angle_rad=angle,
        other_angle_rad=_directions_abreast(other, far, angle),
        first_end=first_end,
        last_end=last_end,
        width_mm=width,
    )


def _directions_abreast(edge: Floats, points: Floats, like_rad: Floats) -> Floats:
    """Directions of an edge where it is nearest to points, as ``like_rad`` counts turns. [rad]"""
    rows = _resampled(edge)
    step = np.gradient(rows, axis=0, edge_order=2)
    angles = np.unwrap(np.arctan2(step[:, 1], step[:, 0]))
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(rows, axis=0).T))])
    some = np.unique(np.append(np.arange(0, len(points), _ABREAST_STEP), len(points) - 1))
    places = shapely.line_locate_point(shapely.linestrings(rows), shapely.points(points[some]))
    at = np.interp(np.arange(len(points)), some, places)
    found = np.interp(at, along, angles)
    turns: Floats = found - math.pi * np.round((found - like_rad) / math.pi)
    return turns


def _true_points(ring: Ring) -> Floats:
    points: list[Point] = []
    for curve in ring.curves:
        n = max(1, math.ceil(length_mm(curve) / _FINE_MM))
        points += [(x, y) for x, y in evaluate_many(curve, np.arange(n + 1) / n).tolist()]
    rows: Floats = np.asarray(points or ring.points, dtype=np.float64)
    gap = np.hypot(*(rows - np.roll(rows, 1, axis=0)).T)
    kept: Floats = rows[gap > SAME_POINT_MM]
    return kept


def _corners(points: Floats) -> list[int]:
    before = points - np.roll(points, 1, axis=0)
    after = np.roll(points, -1, axis=0) - points
    cross = before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]
    turn = np.abs(np.arctan2(cross, np.sum(before * after, axis=1)))
    return [int(k) for k in np.flatnonzero(turn > math.radians(_CORNER_DEG))]


def _sides(points: Floats, corners: list[int]) -> list[Floats]:
    """Return the stretches between corners, both corners included."""
    n = len(points)
    ends = [*corners[1:], corners[0] + n]
    return [points[np.arange(a, b + 1) % n] for a, b in zip(corners, ends, strict=True)]


def _joined(sides: list[Floats], following: Floats) -> Floats:
    """Return an end as one row of points; a pointed end is the corner itself."""
    return np.concatenate([*sides, following[:1]])


def _beyond_mm(ends: tuple[Floats, Floats], width_mm: float) -> float:
    """Return how far a band goes on beyond a corner of its edges, 0 where it ends there. [mm]

    A leg beyond a corner has long edges of its own, which none of the band's measures follow.
    """
    found = 0.0
    for end in ends:
        across = shapely.linestrings(np.stack([end[0], end[-1]]))
        far = float(shapely.distance(across, shapely.points(end)).max())
        chord = float(shapely.length(across))
        if chord > _WIDEST_END * width_mm or far > _FARTHEST_END * width_mm:
            found = max(found, far, chord)
    return found


def _length(points: Floats) -> float:
    return float(np.sum(np.hypot(*np.diff(points, axis=0).T)))


def _resampled(points: Floats) -> Floats:
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(points, axis=0).T))])
    n = max(8, math.ceil(along[-1] / _STEP_MM))
    at = np.linspace(0.0, along[-1], n + 1)
    return np.column_stack([np.interp(at, along, points[:, k]) for k in (0, 1)])


def _mean_distance(points: Floats, line: Floats) -> float:
    """Mean distance from the inner three quarters of some points to a polyline. [mm]"""
    n = len(points)
    inner = shapely.points(points[n // 8 : n - n // 8 : 8])
    return float(np.mean(shapely.distance(shapely.linestrings(line), inner)))


def _no_band(part: SheetPart, why: Fact) -> Finding:
    return finding("JNT-107", Severity.ERROR, part.name, why=why)
