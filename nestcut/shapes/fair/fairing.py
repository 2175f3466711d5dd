"""Fair curves through readings: y over x, without overshoot between monotone points.

Slopes at the points are those of the twice continuously differentiable cubic spline with
not-a-knot ends (C. de Boor, A Practical Guide to Splines, 1978, chapter IV).  They are then
limited so that no cubic piece turns back between monotone points: at most three times the smaller
of the neighbouring chord slopes, and never against them.  F. N. Fritsch and R. E. Carlson,
Monotone piecewise cubic interpolation, SIAM J. Numer. Anal. 17 (1980) 238-246, show that this
suffices; J. M. Hyman, Accurate monotonicity preserving cubic interpolation, SIAM J. Sci. Stat.
Comput. 4 (1983) 645-654, limits spline slopes so.  Where no limit bites, the curve is the spline
itself, fourth order accurate.
"""

from __future__ import annotations

import itertools
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from nestcut.facts import Length
from nestcut.model.curves import Curve, Line, Point, Spline
from nestcut.shapes.faults import ShapeFaultError
from nestcut.tolerances import SAME_LENGTH_MM

Floats = NDArray[np.float64]

_BITE = 3.0
"""Largest slope in chord slopes that keeps a cubic piece monotone (Fritsch and Carlson 1980)."""


class Manner(StrEnum):
    """How a curve runs between readings."""

    BATTEN = "batten"
    """As fair as the readings let it be; the greatest offset may lie between two stations."""
    BOUNDED = "bounded"
    """Never beyond the readings: flat at every greatest and least one."""
    STRAIGHT = "straight"
    """Straight from reading to reading."""


def spline_slopes(x: Floats, y: Floats) -> Floats:
    """Slopes of the C2 cubic spline with not-a-knot ends, at the points. [-]

    Two points give a line, three a parabola.
    """
    n = len(x)
    h, chord = np.diff(x), np.diff(y) / np.diff(x)
    if n == 2:
        return np.repeat(chord, 2)
    if n == 3:
        bend = (chord[1] - chord[0]) / (x[2] - x[0])
        return np.array([chord[0] - bend * h[0], chord[0] + bend * h[0], chord[1] + bend * h[1]])
    matrix, right = np.zeros((n, n)), np.zeros(n)
    for i in range(1, n - 1):
        matrix[i, i - 1 : i + 2] = (
            1.0 / h[i - 1],
            2.0 / h[i - 1] + 2.0 / h[i],
            1.0 / h[i],
        )
        right[i] = 3.0 * (chord[i - 1] / h[i - 1] + chord[i] / h[i])
    for row, i in ((0, 0), (n - 1, n - 3)):
        a, b = 1.0 / h[i] ** 2, 1.0 / h[i + 1] ** 2
        matrix[row, i : i + 3] = (a, a - b, -b)
        right[row] = 2.0 * (chord[i] * a - chord[i + 1] * b)
    return np.asarray(np.linalg.solve(matrix, right), dtype=np.float64)


def fair_slopes(x: Floats, y: Floats, manner: Manner = Manner.BATTEN) -> Floats:
    """Slopes at the points, limited against overshoot. [-]

    Parameters
    ----------
    x, y
        The points, x rising, shape (n,). [mm]
    """
    chord = np.diff(y) / np.diff(x)
    slopes = spline_slopes(x, y)
    left, right = np.append(chord[:1], chord), np.append(chord, chord[-1:])
    most = _BITE * np.minimum(np.abs(left), np.abs(right))
    limited = np.clip(slopes, -most, most)
    rises, falls = (left > 0) & (right > 0), (left < 0) & (right < 0)
    limited = np.where(rises, np.maximum(limited, 0.0), limited)
    limited = np.where(falls, np.minimum(limited, 0.0), limited)
    if manner is Manner.BOUNDED:
        limited = np.where(rises | falls, limited, 0.0)
    return limited


def value_at(x: Floats, y: Floats, slopes: Floats, at: Floats) -> Floats:
    """Values of the piecewise cubic with these slopes. [mm]

    Parameters
    ----------
    x, y
        The points, x rising, shape (n,). [mm]
    slopes
        At the points, shape (n,).
    at
        Where to evaluate, shape (m,); beyond the ends the outer cubics go on. [mm]
    """
    i = np.clip(np.searchsorted(x, at, side="right") - 1, 0, len(x) - 2)
    h = x[i + 1] - x[i]
    t = (at - x[i]) / h
    s = 1.0 - t
    return np.asarray(
        s * s * (1.0 + 2.0 * t) * y[i]
        + t * t * (1.0 + 2.0 * s) * y[i + 1]
        + s * s * t * h * slopes[i]
        - s * t * t * h * slopes[i + 1]
    )


def fair_curve(
    points: tuple[Point, ...],
    knuckles: tuple[float, ...] = (),
    manner: Manner = Manner.BATTEN,
) -> tuple[Curve, ...]:
    """Curve through points of rising x, broken at knuckles.

    Parameters
    ----------
    points
        Readings (x, y), x rising. [mm]
    knuckles
        The x of readings where the curve may turn sharply. [mm]
    manner
        How it runs in between.

    Returns
    -------
    tuple of Curve
        One line or cubic spline a stretch between knuckles, left to right; exact, since a cubic
        over x is a Bezier curve with control points a third of the way apart.

    Raises
    ------
    ShapeFaultError
        If x doesn't rise, or a knuckle is no reading.
    """
    xs = [p[0] for p in points]
    if len(points) < 2 or any(b - a <= SAME_LENGTH_MM for a, b in itertools.pairwise(xs)):
        raise ShapeFaultError("stations", "SHP-126")
    breaks = [0, *sorted(_reading_at(xs, k) for k in knuckles), len(points) - 1]
    runs = [points[a : b + 1] for a, b in itertools.pairwise(breaks) if b > a]
    curves: list[Curve] = []
    for run in runs:
        if manner is Manner.STRAIGHT or len(run) == 2:
            curves += [Line(a, b) for a, b in itertools.pairwise(run)]
        else:
            curves.append(_cubic(run, manner))
    return tuple(curves)


def _reading_at(xs: list[float], place: float) -> int:
    nearest = min(range(len(xs)), key=lambda i: abs(xs[i] - place))
    if abs(xs[nearest] - place) > 0.5:
        raise ShapeFaultError(
            "knuckles", "SHP-127", place=Length(place), nearest=Length(xs[nearest])
        )
    return nearest


def _cubic(run: tuple[Point, ...], manner: Manner) -> Spline:
    x, y = (np.array([p[k] for p in run]) for k in (0, 1))
    slopes = fair_slopes(x, y, manner)
    control: list[Point] = [run[0]]
    for i, h in enumerate(np.diff(x).tolist()):
        control += [
            (float(x[i] + h / 3.0), float(y[i] + slopes[i] * h / 3.0)),
            (float(x[i + 1] - h / 3.0), float(y[i + 1] - slopes[i + 1] * h / 3.0)),
            run[i + 1],
        ]
    inner = [float(v) for v in x[1:-1] for _ in range(3)]
    knots = (*[run[0][0]] * 4, *inner, *[run[-1][0]] * 4)
    return Spline(3, tuple(control), knots)
