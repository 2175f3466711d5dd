"""Fair curves: the spline where nothing bites, no overshoot where it would."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from nestcut.geometry.curves import evaluate
from nestcut.model.curves import Line, Spline
from nestcut.shapes.fair.fairing import Manner, fair_curve, fair_slopes, spline_slopes, value_at
from nestcut.shapes.faults import ShapeFaultError

X = np.array([0.0, 300.0, 700.0, 1500.0, 2100.0, 2600.0])
SMOOTH = 500.0 + 120.0 * np.sin(X / 900.0)


@pytest.mark.parametrize("count", [2, 3, 4, 6])
def test_slopes_are_those_of_the_not_a_knot_spline(count: int) -> None:
    """An independent library's spline has the same slopes."""
    reference = CubicSpline(X[:count], SMOOTH[:count], bc_type="not-a-knot")

    assert spline_slopes(X[:count], SMOOTH[:count]) == pytest.approx(reference(X[:count], 1))


def test_fair_curve_is_the_spline_where_readings_are_smooth() -> None:
    """No limit bites on smooth readings."""
    reference = CubicSpline(X, SMOOTH, bc_type="not-a-knot")
    at = np.linspace(X[0], X[-1], 101)

    assert value_at(X, SMOOTH, fair_slopes(X, SMOOTH), at) == pytest.approx(reference(at), abs=1e-9)


@pytest.mark.parametrize("manner", [Manner.BATTEN, Manner.BOUNDED])
def test_monotone_readings_give_a_monotone_curve(manner: Manner) -> None:
    """A step that makes a plain spline overshoot by tens of millimetres."""
    x = np.arange(8.0) * 200.0
    y = np.array([0.0, 0.0, 1.0, 2.0, 300.0, 302.0, 302.0, 310.0])
    at = np.linspace(0.0, 1400.0, 2001)
    values = value_at(x, y, fair_slopes(x, y, manner), at)
    plain = CubicSpline(x, y)(at)

    assert np.diff(plain).min() < -0.1
    assert np.diff(values).min() >= -1e-9


def test_bounded_manner_stays_within_readings() -> None:
    """With ``bounded`` the greatest offset is a reading."""
    y = np.array([400.0, 480.0, 520.0, 518.0, 450.0, 300.0])
    at = np.linspace(X[0], X[-1], 1001)

    assert value_at(X, y, fair_slopes(X, y), at).max() > 520.5
    assert value_at(X, y, fair_slopes(X, y, Manner.BOUNDED), at).max() == pytest.approx(520.0)


def test_curve_is_exact_and_runs_evenly_in_x() -> None:
    """The B-spline that travels to the DXF equals the piecewise cubic."""
    points = tuple(zip(X.tolist(), SMOOTH.tolist(), strict=True))
    (curve,) = fair_curve(points)
    u = np.linspace(0.0, 1.0, 33)
    at = X[0] + u * (X[-1] - X[0])
    values = value_at(X, SMOOTH, fair_slopes(X, SMOOTH), at)

    assert isinstance(curve, Spline)
    for share, x, y in zip(u.tolist(), at.tolist(), values.tolist(), strict=True):
        assert evaluate(curve, share) == pytest.approx((x, y), abs=1e-9)


def test_knuckle_breaks_the_curve() -> None:
    """Both sides of a knuckle are faired apart; a lone chord is a line."""
    points = tuple(zip(X.tolist(), SMOOTH.tolist(), strict=True))
    curves = fair_curve(points, knuckles=(2100.0,))

    assert [type(c) for c in curves] == [Spline, Line]
    with pytest.raises(ShapeFaultError, match=r"SHP-127.*2000"):
        fair_curve(points, knuckles=(2000.0,))
