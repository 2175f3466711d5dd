"""Rings: the safe side, the stated flatness, exact areas."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Polygon

from nestcut.geometry.curves import evaluate_many
from nestcut.geometry.rings import (
    Side,
    curves_area_mm2,
    mark_from_curves,
    ring_from_curves,
    true_area_mm2,
    true_bounds_mm,
)
from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Spline

WAVY = Spline(
    3,
    ((400, 0), (380, 120), (250, 60), (200, 160), (90, 30), (0, 100)),
    (0, 0, 0, 0, 0.3, 0.7, 1, 1, 1, 1),
)
BOWL: tuple[Curve, ...] = (
    Line((0.0, 0.0), (400.0, 0.0)),
    WAVY,
    Arc((0.0, 80.0), 20.0, 90.0, 180.0),
    EllipticArc((0.0, 30.0), (0.0, 30.0), (12.0, 5.0), 0.0, math.pi),
)
CIRCLE: tuple[Curve, ...] = (Arc((10.0, 20.0), 50.0, 0.0, 360.0),)
SMOOTH = Spline(
    3,
    tuple((60 * math.cos(k * math.pi / 4), 40 * math.sin(k * math.pi / 4)) for k in range(11)),
    tuple(float(k) for k in range(15)),
)
RINGS = {"bowl": BOWL, "circle": CIRCLE, "periodic spline": (SMOOTH,)}


def _true_points(curves: tuple[Curve, ...]) -> np.ndarray:
    return np.concatenate([evaluate_many(c, np.linspace(0, 1, 20_001)) for c in curves])


@pytest.mark.parametrize("name", sorted(RINGS))
@pytest.mark.parametrize("flatness", [1.0, 0.05, 0.002])
@pytest.mark.parametrize("side", list(Side))
def test_polygon_errs_on_the_safe_side_only(name: str, flatness: float, side: Side) -> None:
    ring = ring_from_curves(RINGS[name], flatness, side)
    polygon = Polygon(ring.points)
    assert polygon.is_valid
    true = _true_points(ring.curves)
    if side is Side.OUTLINE:
        assert (shapely.distance(shapely.points(true), polygon) < 1e-7).all()
    else:
        assert not shapely.contains_properly(polygon.buffer(-1e-7), shapely.points(true)).any()
    off = shapely.distance(shapely.points(true), LineString([*ring.points, ring.points[0]]))
    assert off.max() <= flatness * (1 + 1e-9)
    back = shapely.distance(shapely.points(ring.points), LineString([*true, true[0]]))
    assert back.max() <= flatness * (1 + 1e-3)


@pytest.mark.parametrize("side", list(Side))
def test_rings_run_the_right_way_round(side: Side) -> None:
    for curves in RINGS.values():
        ring = ring_from_curves(curves, 0.05, side)
        sign = 1.0 if side is Side.OUTLINE else -1.0
        assert sign * true_area_mm2(ring) > 0
        assert Polygon(ring.points).exterior.is_ccw == (side is Side.OUTLINE)


def test_areas_follow_closed_formulas() -> None:
    assert curves_area_mm2(CIRCLE) == pytest.approx(math.pi * 2500, rel=1e-14)
    segment: tuple[Curve, ...] = (Arc((0, 0), 50, 30, 100),)
    theta = math.radians(100)
    assert curves_area_mm2(segment) == pytest.approx(1250 * (theta - math.sin(theta)), rel=1e-12)
    ellipse: tuple[Curve, ...] = (EllipticArc((1e6, 1e6), (30, 40), (-8, 6), 1, 2 * math.pi),)
    assert curves_area_mm2(ellipse) == pytest.approx(math.pi * 500, rel=1e-12)


def test_circumscribed_circle_is_lean() -> None:
    ring = ring_from_curves(CIRCLE, 0.05, Side.OUTLINE)
    least = math.pi / math.acos(50 / 50.05)
    assert len(ring.points) <= least + 3


def test_bounds_are_those_of_the_true_line() -> None:
    ring = ring_from_curves(CIRCLE, 5.0, Side.OUTLINE)
    assert true_bounds_mm(ring) == pytest.approx((-40, -30, 60, 70))


def test_mark_keeps_curves_and_label() -> None:
    mark = mark_from_curves((Line((0, 0), (5, 0)), Arc((5, 5), 5, 270, 90)), 0.1, "frame 2")
    assert mark.points[0] == pytest.approx((0, 0))
    assert mark.points[-1] == pytest.approx((10, 5))
    assert mark.label == "frame 2"
