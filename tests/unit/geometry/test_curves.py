"""True curves against closed formulas and scipy's B-splines."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from scipy.interpolate import BSpline
from scipy.special import ellipe

from nestcut.geometry import curves as cv
from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Spline

QUARTER = math.sqrt(0.5)
NURBS_CIRCLE = Spline(
    2,
    ((1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0)),
    (0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4),
    (1, QUARTER, 1, QUARTER, 1, QUARTER, 1, QUARTER, 1),
)
"""The nine-point circle of The NURBS Book, 2nd ed., example 7.3."""

CUBIC = Spline(
    3,
    ((0, 0), (100, 80), (220, -60), (300, 40), (410, 90), (500, 0)),
    (0, 0, 0, 0, 0.3, 0.7, 1, 1, 1, 1),
)
UNCLAMPED = Spline(
    3, ((0, 0), (10, 20), (30, 25), (50, 0), (60, -20), (90, 5)), tuple(float(k) for k in range(10))
)
ZOO: dict[str, Curve] = {
    "line": Line((1.0, 2.0), (301.0, 402.0)),
    "arc": Arc((10.0, 20.0), 50.0, 300.0, 200.0),
    "arc clockwise": Arc((10.0, 20.0), 50.0, 30.0, -200.0),
    "circle": Arc((10.0, 20.0), 50.0, 90.0, 360.0),
    "ellipse": EllipticArc((5.0, 5.0), (40.0, 30.0), (-6.0, 8.0), 0.3, 2 * math.pi),
    "elliptic arc mirrored": EllipticArc((5.0, 5.0), (40.0, 30.0), (6.0, -8.0), 5.0, 2.5),
    "cubic": CUBIC,
    "unclamped": UNCLAMPED,
    "rational": NURBS_CIRCLE,
}
U = np.linspace(0.0, 1.0, 2001)


@pytest.fixture(params=sorted(ZOO), name="curve")
def _curve(request: pytest.FixtureRequest) -> Curve:
    return ZOO[request.param]


def _gap_mm(polyline: tuple[tuple[float, float], ...], points: np.ndarray) -> float:
    """Greatest distance of points from a polyline."""
    from shapely import LineString, distance
    from shapely import points as to_points

    return float(np.max(distance(LineString(polyline), to_points(points))))


def test_ends_agree_with_evaluation(curve: Curve) -> None:
    assert cv.start_point(curve) == pytest.approx(cv.evaluate(curve, 0.0), abs=1e-9)
    assert cv.end_point(curve) == pytest.approx(cv.evaluate(curve, 1.0), abs=1e-9)


def test_derivative_is_the_slope_of_the_points(curve: Curve) -> None:
    for u in (0.1, 0.37, 0.83):
        ahead, behind = cv.evaluate(curve, u + 1e-6), cv.evaluate(curve, u - 1e-6)
        slope = ((ahead[0] - behind[0]) / 2e-6, (ahead[1] - behind[1]) / 2e-6)
        assert cv.derivative(curve, u) == pytest.approx(slope, rel=1e-5, abs=1e-4)
        assert math.hypot(*cv.tangent(curve, u)) == pytest.approx(1.0)


@pytest.mark.parametrize("sagitta", [5.0, 0.05, 0.001])
def test_flattened_curve_keeps_to_the_sagitta(curve: Curve, sagitta: float) -> None:
    polyline = cv.flatten(curve, sagitta)
    assert polyline[0] == pytest.approx(cv.start_point(curve), abs=1e-9)
    assert polyline[-1] == pytest.approx(cv.end_point(curve), abs=1e-9)
    assert _gap_mm(polyline, cv.evaluate_many(curve, U)) <= sagitta * (1 + 1e-9)


def test_length_is_that_of_a_fine_polyline(curve: Curve) -> None:
    points = cv.evaluate_many(curve, np.linspace(0.0, 1.0, 200_001))
    fine = float(np.sum(np.hypot(*np.diff(points, axis=0).T)))
    assert cv.length_mm(curve) == pytest.approx(fine, rel=1e-8)


def test_box_touches_a_fine_polyline(curve: Curve) -> None:
    points = cv.evaluate_many(curve, np.linspace(0.0, 1.0, 200_001))
    box = cv.bounding_box(curve)
    fine = (*points.min(axis=0), *points.max(axis=0))
    assert box == pytest.approx(fine, abs=1e-6)


def test_halves_are_the_curve(curve: Curve) -> None:
    first, second = cv.split(curve, 0.4)
    whole = cv.evaluate_many(curve, np.array([0.2, 0.7]))
    assert cv.evaluate(first, 0.5) == pytest.approx(tuple(whole[0]), abs=1e-9)
    assert cv.evaluate(second, 0.5) == pytest.approx(tuple(whole[1]), abs=1e-9)
    assert cv.length_mm(first) + cv.length_mm(second) == pytest.approx(cv.length_mm(curve))


def test_pieces_of_many_cuts_follow_each_other(curve: Curve) -> None:
    parts = cv.split_many(curve, (0.6, 0.1, 0.1, 1.0))
    assert len(parts) == 3
    for before, after in pairwise(parts):
        assert cv.end_point(before) == pytest.approx(cv.start_point(after), abs=1e-9)


def test_crossings_lie_on_curve_and_line(curve: Curve) -> None:
    box = cv.bounding_box(curve)
    middle = ((box[0] + box[2]) / 2, (box[1] + box[3]) / 2 + 0.1)
    found = cv.line_crossings(curve, middle, (1.0, 0.02))
    heights = cv.evaluate_many(curve, U) - np.array(middle)
    sides = np.sign(heights @ np.array([-0.02, 1.0]))
    assert len(found) == np.count_nonzero(np.diff(sides[sides != 0]))
    for u in found:
        x, y = cv.evaluate(curve, u)
        assert y - middle[1] == pytest.approx(0.02 * (x - middle[0]), abs=1e-8)


def test_swept_area_is_that_of_a_fine_polyline(curve: Curve) -> None:
    points = cv.evaluate_many(curve, np.linspace(0.0, 1.0, 200_001)) - np.array((7.0, -3.0))
    x, y = points.T
    fine = float(np.sum(x[:-1] * y[1:] - x[1:] * y[:-1])) / 2
    assert cv.swept_area_mm2(curve, (7.0, -3.0)) == pytest.approx(fine, rel=1e-8)


def test_spline_agrees_with_scipy() -> None:
    for spline in (CUBIC, UNCLAMPED):
        other = BSpline(np.array(spline.knots), np.array(spline.control), spline.degree)
        low, high = spline.knots[3], spline.knots[len(spline.control)]
        expected = other(low + U * (high - low))
        assert cv.evaluate_many(spline, U) == pytest.approx(expected, abs=1e-10)


def test_rational_circle_is_a_circle() -> None:
    radius = np.hypot(*cv.evaluate_many(NURBS_CIRCLE, U).T)
    assert radius == pytest.approx(1.0, abs=1e-14)
    assert cv.swept_area_mm2(NURBS_CIRCLE) == pytest.approx(math.pi, rel=1e-14)
    assert cv.length_mm(NURBS_CIRCLE) == pytest.approx(2 * math.pi, rel=1e-13)


def test_length_of_an_ellipse_is_the_complete_integral() -> None:
    """Circumference 4 a E(e^2), NIST Digital Library of Mathematical Functions 19.9.9."""
    ellipse = EllipticArc((0.0, 0.0), (50.0, 0.0), (0.0, 3.0), 1.0, 2 * math.pi)
    assert cv.length_mm(ellipse) == pytest.approx(200.0 * ellipe(1 - (3 / 50) ** 2), rel=1e-12)


def test_double_knots_and_collapsed_control_points_are_borne() -> None:
    spline = Spline(
        3,
        ((0, 0), (0, 0), (10, 0), (10, 0), (10, 0), (20, 10), (20, 20)),
        (0, 0, 0, 0, 1, 1, 1, 2, 2, 2, 2),
    )
    assert cv.end_point(spline) == (20.0, 20.0)
    assert cv.tangent(spline, 0.0) == pytest.approx((1.0, 0.0), abs=1e-6)
    assert len(cv.flatten(spline, 0.01)) > 3


def test_cutting_at_an_end_is_refused() -> None:
    with pytest.raises(ValueError, match="between its ends"):
        cv.split(CUBIC, 1.0)
