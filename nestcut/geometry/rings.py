"""Rings from true curves: flattened on the safe side, measured exactly."""

from __future__ import annotations

from enum import StrEnum

import numpy as np

from nestcut.geometry.curves import (
    bounding_box,
    cover_left,
    end_point,
    flatten,
    start_point,
    swept_area_mm2,
)
from nestcut.geometry.polygons import bounds_mm, ring_area_mm2
from nestcut.geometry.pose import reverse_curve
from nestcut.model.curves import Curve, Point
from nestcut.model.shape import Mark, Ring, Shape
from nestcut.tolerances import SAME_POINT_MM

_STRAIGHT_MM = SAME_POINT_MM / 1000.0
"""A point this near the straight way between its neighbours adds nothing but float noise. [mm]"""


class Side(StrEnum):
    """What a ring is the edge of; material lies on the left of it either way."""

    OUTLINE = "outline"
    HOLE = "hole"


def ring_from_curves(curves: tuple[Curve, ...], flatness_mm: float, side: Side) -> Ring:
    """Return a ring through closed, head-to-tail curves, turned round where needed.

    The polygon never cuts into the material: an outline's covers the true outline, a hole's lies
    inside the true hole.  It is nowhere further from the true line than ``flatness_mm``.

    Parameters
    ----------
    flatness_mm
        How far the polygon may be from the true line. [mm]
    side
        Whether the ring is an outline or a hole.

    Raises
    ------
    ValueError
        If the curves sweep no area, so that no polygon can stand for them.
    """
    area = curves_area_mm2(curves)
    if (area > 0.0) != (side is Side.OUTLINE):
        curves = tuple(reverse_curve(c) for c in reversed(curves))
    points: list[Point] = []
    for curve in curves:
        points += cover_left(curve, flatness_mm)
    return Ring(_thinned(points), curves)


def _thinned(points: list[Point]) -> tuple[Point, ...]:
    """Drop repeated points and those that lie on the straight way between their neighbours.

    Only points that a smooth join leaves behind are straight to within float noise; they would
    double the vertex count of every circumscribed arc.
    """
    ring = np.asarray(points)
    before = ring - np.concatenate([ring[-1:], ring[:-1]])
    ring = ring[np.hypot(before[:, 0], before[:, 1]) > SAME_POINT_MM]
    if len(ring) < 3:
        raise ValueError("a ring needs three points that differ")
    before = ring - np.concatenate([ring[-1:], ring[:-1]])
    after = np.concatenate([before[1:], before[:1]])
    chord = np.hypot(before[:, 0] + after[:, 0], before[:, 1] + after[:, 1])
    turn = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0])
    onward = np.sum(before * after, axis=1) > 0.0
    kept = ring[~((turn <= _STRAIGHT_MM * chord) & onward)]
    return tuple((x, y) for x, y in (kept if len(kept) >= 3 else ring).tolist())


def curves_area_mm2(curves: tuple[Curve, ...]) -> float:
    """Signed area inside closed, head-to-tail curves; counter-clockwise is positive. [mm2]

    Small gaps between ends are bridged straight.
    """
    about = start_point(curves[0])
    total, last = 0.0, about
    for curve in curves:
        first = start_point(curve)
        total += _triangle_mm2(about, last, first) + swept_area_mm2(curve, about)
        last = end_point(curve)
    return total


def _triangle_mm2(o: Point, a: Point, b: Point) -> float:
    return ((a[0] - o[0]) * (b[1] - o[1]) - (a[1] - o[1]) * (b[0] - o[0])) / 2.0


def true_area_mm2(ring: Ring) -> float:
    """Signed area inside the true line of a ring. [mm2]"""
    return curves_area_mm2(ring.curves) if ring.curves else ring_area_mm2(ring.points)


def shape_area_mm2(shape: Shape) -> float:
    """Area of the true shape, holes taken off. [mm2]"""
    return abs(true_area_mm2(shape.outline)) - sum(abs(true_area_mm2(h)) for h in shape.holes)


def true_bounds_mm(ring: Ring) -> tuple[float, float, float, float]:
    """Return (min x, min y, max x, max y) of the true line of a ring. [mm]"""
    if not ring.curves:
        return bounds_mm(ring.points)
    boxes = [bounding_box(c) for c in ring.curves]
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )


def mark_from_curves(curves: tuple[Curve, ...], flatness_mm: float, label: str = "") -> Mark:
    """Return a mark along head-to-tail curves.

    Parameters
    ----------
    flatness_mm
        How far the polyline may be from the true line. [mm]
    label
        Words on the mark; empty: none.
    """
    points: list[Point] = []
    for curve in curves:
        points += flatten(curve, flatness_mm)[1 if points else 0 :]
    return Mark(tuple(points), curves, label)
