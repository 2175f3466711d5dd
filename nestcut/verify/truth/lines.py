"""Curves evaluated, reversed, mirrored and compared: closed forms, and de Boor's for splines.

A B-spline is evaluated by the recursion of C. de Boor (On calculating with B-splines, 1972), in
homogeneous coordinates where it has weights.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Point, Spline
from nestcut.model.shape import Mark, Ring
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.lengths import ARC_DEG, SAGITTA_MM, SAME_LINE_MM
from nestcut.tolerances.noise import NOISE

Floats = NDArray[np.float64]

_FIRST_CHORDS = 8
_MOST_HALVINGS = 14


def mirrored_point(p: Point) -> Point:
    """Reflect x -> -x. [mm]"""
    return (-p[0], p[1])


def mirrored_curve(curve: Curve) -> Curve:
    """Reflect x -> -x; the direction of running stays. [mm]"""
    match curve:
        case Line(start, end):
            return Line(mirrored_point(start), mirrored_point(end))
        case Arc(centre, radius, start_deg, sweep_deg):
            return Arc(mirrored_point(centre), radius, 180.0 - start_deg, -sweep_deg)
        case EllipticArc(centre, major, minor, start_rad, sweep_rad):
            return EllipticArc(
                mirrored_point(centre),
                mirrored_point(major),
                mirrored_point(minor),
                start_rad,
                sweep_rad,
            )
        case Spline(degree, control, knots, weights):
            return Spline(degree, tuple(mirrored_point(p) for p in control), knots, weights)


def reversed_curve(curve: Curve) -> Curve:
    """Run a curve from its end to its start."""
    match curve:
        case Line(start, end):
            return Line(end, start)
        case Arc(centre, radius, start_deg, sweep_deg):
            return Arc(centre, radius, start_deg + sweep_deg, -sweep_deg)
        case EllipticArc(centre, major, minor, start_rad, sweep_rad):
            return EllipticArc(centre, major, minor, start_rad + sweep_rad, -sweep_rad)
        case Spline(degree, control, knots, weights):
            ends = knots[0] + knots[-1]
            return Spline(
                degree,
                tuple(reversed(control)),
                tuple(ends - k for k in reversed(knots)),
                tuple(reversed(weights)),
            )


def same_curve(a: Curve, b: Curve) -> bool:
    """Whether two curves of one kind are nowhere further apart than :data:`SAME_LINE_MM`.

    By what defines them: points that control a spline bound how far it moves.
    """
    match a, b:
        case Line(), Line():
            return _near(a.start, b.start) and _near(a.end, b.end)
        case Arc(), Arc():
            return (
                _near(a.centre, b.centre)
                and abs(a.radius_mm - b.radius_mm) <= SAME_LINE_MM
                and abs((a.start_deg - b.start_deg + 180.0) % 360.0 - 180.0) <= ARC_DEG
                and abs(a.sweep_deg - b.sweep_deg) <= ARC_DEG
            )
        case EllipticArc(), EllipticArc():
            return (
                _near(a.centre, b.centre)
                and _near(a.major, b.major)
                and _near(a.minor, b.minor)
                and abs(a.start_rad - b.start_rad) <= math.radians(ARC_DEG)
                and abs(a.sweep_rad - b.sweep_rad) <= math.radians(ARC_DEG)
            )
        case Spline(), Spline():
            return (
                a.degree == b.degree
                and len(a.control) == len(b.control)
                and all(map(_near, a.control, b.control))
                and _alike(a.knots, b.knots)
                and _alike(a.weights, b.weights)
            )
        case _:
            return False


def _near(a: Point, b: Point) -> bool:
    return abs(a[0] - b[0]) <= SAME_LINE_MM and abs(a[1] - b[1]) <= SAME_LINE_MM


def _alike(a: tuple[float, ...], b: tuple[float, ...]) -> bool:
    reach = max((abs(x) for x in a), default=1.0) or 1.0
    return len(a) == len(b) and all(abs(x - y) <= NOISE * reach for x, y in zip(a, b, strict=True))


@lru_cache(maxsize=100_000)
def points_of(curve: Curve) -> Floats:
    """Return points on a curve, both ends included, shape (n, 2). [mm]

    Raises
    ------
    ValueError
        If the curve is none: a radius of nothing, knots that don't rise.
    """
    match curve:
        case Line(start, end):
            return np.asarray([start, end], dtype=np.float64)
        case Arc(centre, radius, start_deg, sweep_deg):
            if not radius > 0.0:
                raise ValueError(f"an arc needs a radius, got {radius}")
            angles = _angles(math.radians(start_deg), math.radians(sweep_deg), radius)
            return np.asarray(centre) + radius * np.column_stack([np.cos(angles), np.sin(angles)])
        case EllipticArc(centre, major, minor, start_rad, sweep_rad):
            reach = math.hypot(*major, *minor)
            if not reach > 0.0:
                raise ValueError("an ellipse needs axes")
            t = _angles(start_rad, sweep_rad, reach)
            around: Floats = (
                np.asarray(centre) + np.outer(np.cos(t), major) + np.outer(np.sin(t), minor)
            )
            return around
        case Spline():
            return _spline_points(curve)


def _angles(start: float, sweep: float, reach: float) -> Floats:
    step = 2.0 * math.acos(max(0.0, 1.0 - SAGITTA_MM / reach))
    n = max(1, math.ceil(abs(sweep) / step))
    return start + sweep * np.arange(n + 1) / n


def _spline_points(spline: Spline) -> Floats:
    """Halve the steps between knots until the middles lie on their chords."""
    knots = np.asarray(spline.knots, dtype=np.float64)
    p, n = spline.degree, len(spline.control)
    if p < 1 or n <= p or len(knots) != n + p + 1 or bool(np.any(np.diff(knots) < 0.0)):
        raise ValueError("a spline's knots don't fit its points")
    if spline.weights and (len(spline.weights) != n or min(spline.weights) <= 0.0):
        raise ValueError("a spline's weights don't fit its points")
    spans = np.unique(knots[p : n + 1])
    steps, points = _FIRST_CHORDS, np.zeros((0, 2))
    for _ in range(_MOST_HALVINGS):
        shares = np.arange(2 * steps) / (2 * steps)
        u = np.append((spans[:-1, None] + np.diff(spans)[:, None] * shares).ravel(), spans[-1])
        points = _de_boor(spline, knots, u)
        middles = (points[:-2:2] + points[2::2]) / 2.0
        if float(np.hypot(*(points[1::2] - middles).T).max()) <= SAGITTA_MM:
            break
        steps *= 2
    return points


def _de_boor(spline: Spline, knots: Floats, u: Floats) -> Floats:
    p, n = spline.degree, len(spline.control)
    weights = np.asarray(spline.weights or (1.0,) * n)
    rows = np.column_stack([np.asarray(spline.control) * weights[:, None], weights])
    k = np.clip(np.searchsorted(knots, u, side="right") - 1, p, n - 1)
    d = rows[k[:, None] - p + np.arange(p + 1)]
    for r in range(1, p + 1):
        for j in range(p, r - 1, -1):
            low, high = knots[j + k - p], knots[j + 1 + k - r]
            width = high - low
            a = np.where(width > 0.0, (u - low) / np.where(width > 0.0, width, 1.0), 0.0)[:, None]
            d[:, j] = (1.0 - a) * d[:, j - 1] + a * d[:, j]
    found: Floats = d[:, p, :2] / d[:, p, 2:]
    return found


def widest_gap_mm(ring: Ring) -> float:
    """Widest gap between a ring's curves that follow each other. [mm]"""
    ends = [points_of(c)[[0, -1]] for c in ring.curves]
    pairs = zip(ends, (*ends[1:], *ends[:1]), strict=True)
    return max((math.dist(a[1], b[0]) for a, b in pairs), default=0.0)


@lru_cache(maxsize=20_000)
def ring_line(ring: Ring) -> Floats:
    """Return the points of a ring's true line, the first not repeated. [mm]

    Ends of curves that meet are one point: those of an arc some kilometres in radius, nearly
    straight, miss their neighbours by float noise, and a step back of that size crosses the ring.
    """
    if not ring.curves:
        return np.asarray(ring.points, dtype=np.float64)
    rows = np.concatenate([points_of(c) for c in ring.curves])
    step = np.hypot(*(rows - np.roll(rows, 1, axis=0)).T)
    kept: Floats = rows[step > SAME_POINT_MM]
    return kept if len(kept) >= 3 else rows


def mark_line(mark: Mark) -> Floats:
    """Return the points of a mark's true line. [mm]"""
    if not mark.curves:
        return np.asarray(mark.points, dtype=np.float64)
    return np.concatenate([points_of(c) for c in mark.curves])
