"""Curves and lengths against published data and worked examples.

Monotone interpolation: the radiochemical data RPN 14 of F. N. Fritsch and R. E. Carlson, Monotone
piecewise cubic interpolation, SIAM J. Numer. Anal. 17 (1980) 238-246, table 5.1 (numbers from
memory), on which a plain cubic spline overshoots.  Arcs: trade facts, section 5, worked geometry.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.interpolate import CubicSpline, PchipInterpolator

from nestcut.shapes.fair.fairing import Manner, fair_slopes, spline_slopes, value_at
from nestcut.shapes.hull.spaceline import through

X = np.array([7.99, 8.09, 8.19, 8.7, 9.2, 10.0, 12.0, 15.0, 20.0])
Y = np.array(
    [0.0, 2.76429e-5, 4.37498e-2, 0.169183, 0.469428, 0.943740, 0.998636, 0.999919, 0.999994]
)
AT = np.linspace(X[0], X[-1], 4001)


@pytest.mark.parametrize("manner", [Manner.BATTEN, Manner.BOUNDED])
def test_published_monotone_data_give_a_monotone_curve(manner: Manner) -> None:
    """The plain spline leaves the data's range by five per cent; ours never does."""
    plain = value_at(X, Y, spline_slopes(X, Y), AT)
    ours = value_at(X, Y, fair_slopes(X, Y, manner), AT)

    assert plain.max() > 1.05
    assert np.diff(plain).min() < 0.0
    assert np.diff(ours).min() >= 0.0
    assert ours.max() == pytest.approx(Y[-1])


def test_slopes_obey_the_published_region() -> None:
    """Sufficient condition of the paper: both slopes of a piece within three chord slopes."""
    slopes, chord = fair_slopes(X, Y), np.diff(Y) / np.diff(X)

    assert (slopes >= 0.0).all()
    assert (slopes[:-1] <= 3.0 * chord + 1e-15).all()
    assert (slopes[1:] <= 3.0 * chord + 1e-15).all()


def test_smooth_curve_is_followed_better_than_by_local_slopes() -> None:
    """On a smooth monotone function the curve is as good as the spline, fourth order.

    The local three-point slopes of another library's monotone interpolant are of lower order.
    """

    def errors(count: int) -> tuple[float, float]:
        x = np.linspace(0.0, 2.0, count)
        at = np.linspace(0.0, 2.0, 2001)
        true = np.tanh(at)
        ours = value_at(x, np.tanh(x), fair_slopes(x, np.tanh(x)), at)
        local = PchipInterpolator(x, np.tanh(x))(at)
        return float(np.abs(ours - true).max()), float(np.abs(local - true).max())

    coarse, fine = errors(11), errors(21)
    assert math.log2(coarse[0] / fine[0]) > 3.5
    assert fine[0] < fine[1] / 10.0
    assert np.allclose(CubicSpline(X, Y)(X, 1), spline_slopes(X, Y))


INCH = 25.4
ARCS = [
    pytest.param(4800.0, 300.0, 9750.0, 4849.8, 0.05, id="4800 mm, sag 300"),
    pytest.param(2400.0, 75.0, 9637.5, 2406.2, 0.05, id="2400 mm, sag 75"),
    pytest.param(96 * INCH, 3 * INCH, 385.5 * INCH, 96.25 * INCH, 0.005 * INCH, id="96 in, 3 in"),
    pytest.param(
        192 * INCH, 12 * INCH, 390 * INCH, 193.99 * INCH, 0.005 * INCH, id="192 in, 12 in"
    ),
]


@pytest.mark.parametrize(("chord", "sag", "radius", "length", "digit"), ARCS)
def test_rail_along_a_published_arc(
    chord: float, sag: float, radius: float, length: float, digit: float
) -> None:
    """Nine stations measured on the arc give its length to the printed precision."""
    half = math.asin(chord / 2.0 / radius)
    angle = np.linspace(-half, half, 9)
    line = through(np.column_stack([radius * np.sin(angle), radius * np.cos(angle), np.zeros(9)]))

    assert chord**2 / (8.0 * sag) + sag / 2.0 == pytest.approx(radius)
    assert line.length_mm() == pytest.approx(length, abs=digit)
