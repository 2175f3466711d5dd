"""Lines in space through measured points: sheer, chine, keel.

Each coordinate is a cubic spline (not-a-knot ends, C. de Boor, A Practical Guide to Splines, 1978,
chapter IV) over accumulated chord length, broken at knuckles.  Fourth order accurate for points of
a smooth line; lengths are integrated by Gauss-Legendre quadrature on each span.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from nestcut.facts import Length
from nestcut.model.curves import Point, Spline
from nestcut.shapes.fair.fairing import spline_slopes
from nestcut.shapes.faults import ShapeFaultError
from nestcut.tolerances import SAME_POINT_MM

Floats = NDArray[np.float64]

_LONGEST_MM = 100_000.0
"""No boat built at home is longer: a slip of the unit. [mm]"""
_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(8)


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class SpaceLine:
    """A piecewise cubic in space.

    Parameters
    ----------
    t
        Accumulated chord length at the points, shape (n,). [mm]
    points
        Shape (n, d), d = 2 or 3. [mm]
    leave, arrive
        Derivatives by t at the start and the end of each span, shape (n - 1, d). [-]
    knuckles
        Numbers of the inner points where the direction may jump.
    """

    t: Floats
    points: Floats
    leave: Floats
    arrive: Floats
    knuckles: tuple[int, ...] = ()

    @property
    def end(self) -> float:
        """Last value of t; the first is 0. [mm]"""
        return float(self.t[-1])

    def _local(self, at: Floats) -> tuple[NDArray[np.int_], Floats, Floats]:
        i = np.clip(np.searchsorted(self.t, at, side="right") - 1, 0, len(self.t) - 2)
        h = self.t[i + 1] - self.t[i]
        return i, (at - self.t[i]) / h, h

    def at(self, t: Floats) -> Floats:
        """Points at the parameters, shape (len(t), d). [mm]"""
        i, u, h = self._local(t)
        u, v, h = u[:, None], 1.0 - u[:, None], h[:, None]
        return np.asarray(
            v * v * (1.0 + 2.0 * u) * self.points[i]
            + u * u * (1.0 + 2.0 * v) * self.points[i + 1]
            + v * v * u * h * self.leave[i]
            - v * u * u * h * self.arrive[i]
        )

    def direction(self, t: Floats) -> Floats:
        """Derivatives by t, shape (len(t), d). [-]"""
        i, u, h = self._local(t)
        u, h = u[:, None], h[:, None]
        rise = (self.points[i + 1] - self.points[i]) / h
        return np.asarray(
            6.0 * u * (1.0 - u) * rise
            + (1.0 - 4.0 * u + 3.0 * u * u) * self.leave[i]
            + (3.0 * u * u - 2.0 * u) * self.arrive[i]
        )

    def bend(self, t: Floats) -> Floats:
        """Second derivatives by t, shape (len(t), d). [1/mm]"""
        i, u, h = self._local(t)
        u, h = u[:, None], h[:, None]
        rise = (self.points[i + 1] - self.points[i]) / h
        return np.asarray(
            (
                (6.0 - 12.0 * u) * rise
                + (6.0 * u - 4.0) * self.leave[i]
                + (6.0 * u - 2.0) * self.arrive[i]
            )
            / h
        )

    def length_mm(self, start: float = 0.0, stop: float | None = None) -> float:
        """Length along the line between two parameters. [mm]"""
        last = self.end if stop is None else stop
        inner = self.t[(self.t > start) & (self.t < last)]
        cuts = np.concatenate([[start], inner, [last]])
        half = np.diff(cuts)[:, None] / 2.0
        at = (cuts[:-1, None] + half * (1.0 + _NODES)).ravel()
        speed = np.linalg.norm(self.direction(at), axis=1).reshape(len(half), -1)
        return float(np.sum(half * speed * _WEIGHTS))

    def where(self, axis: int, value: float) -> float:
        """Parameter at which coordinate ``axis`` first reaches ``value``.

        Raises
        ------
        ShapeFaultError
            If the line doesn't reach it.
        """
        at = np.unique(np.concatenate([self.t, np.linspace(0.0, self.end, 16 * len(self.t))]))
        off = self.at(at)[:, axis] - value
        hits = np.flatnonzero(np.abs(off) <= SAME_POINT_MM)
        changes = np.flatnonzero(off[:-1] * off[1:] < 0.0)
        if len(hits) and (not len(changes) or hits[0] <= changes[0]):
            return float(at[hits[0]])
        if not len(changes):
            raise ShapeFaultError("stations", "SHP-147", at=Length(value))
        low, high = float(at[changes[0]]), float(at[changes[0] + 1])
        rises = off[changes[0]] < 0.0
        for _ in range(80):
            middle = (low + high) / 2.0
            is_before = (self.at(np.array([middle]))[0, axis] < value) == rises
            low, high = (middle, high) if is_before else (low, middle)
        return (low + high) / 2.0


def through(points: Floats, knuckles: tuple[int, ...] = ()) -> SpaceLine:
    """Line through points, broken at the knuckles (numbers of inner points).

    Raises
    ------
    ShapeFaultError
        If there are fewer than two points or two in a row coincide.
    """
    if len(points) and float(np.ptp(points, axis=0).max()) > _LONGEST_MM:
        raise ShapeFaultError("stations", "SHP-145")
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    if len(points) < 2 or np.any(steps <= SAME_POINT_MM):
        raise ShapeFaultError("stations", "SHP-146")
    t = np.concatenate([[0.0], np.cumsum(steps)])
    leave, arrive = np.empty((len(steps), points.shape[1])), np.empty((len(steps), points.shape[1]))
    for a, b in pairwise((0, *sorted(knuckles), len(points) - 1)):
        for k in range(points.shape[1]):
            slopes = spline_slopes(t[a : b + 1], points[a : b + 1, k])
            leave[a:b, k], arrive[a:b, k] = slopes[:-1], slopes[1:]
    return SpaceLine(t=t, points=points, leave=leave, arrive=arrive, knuckles=tuple(knuckles))


def piece_of(line: SpaceLine, start: float, stop: float) -> SpaceLine:
    """The stretch of a line between two parameters; exact, since its pieces are cubics.

    Parameters
    ----------
    start, stop
        Parameters of its ends. [mm]
    """
    if start <= 0.0 and stop >= line.end:
        return line
    inner = [i for i in range(1, len(line.t) - 1) if start < line.t[i] < stop]
    t = np.array([start, *(line.t[i] for i in inner), stop])
    points, speed = line.at(t), line.direction(t)
    before = line.direction(np.nextafter(t, -np.inf))
    leave, arrive = speed[:-1], before[1:]
    sharp = tuple(k for k, i in enumerate(inner, start=1) if i in line.knuckles)
    return SpaceLine(t=t - start, points=points, leave=leave, arrive=arrive, knuckles=sharp)


def plane_splines(line: SpaceLine) -> tuple[Spline, ...]:
    """Exact B-splines of a line in the plane (d = 2), one a run between knuckles."""
    curves: list[Spline] = []
    for a, b in pairwise((0, *sorted(line.knuckles), len(line.points) - 1)):
        control: list[Point] = [_point(line.points[a])]
        for i in range(a, b):
            third = (line.t[i + 1] - line.t[i]) / 3.0
            control += [
                _point(line.points[i] + third * line.leave[i]),
                _point(line.points[i + 1] - third * line.arrive[i]),
                _point(line.points[i + 1]),
            ]
        inner = [float(line.t[i]) for i in range(a + 1, b) for _ in range(3)]
        knots = (*[float(line.t[a])] * 4, *inner, *[float(line.t[b])] * 4)
        curves.append(Spline(3, tuple(control), knots))
    return tuple(curves)


def _point(row: Floats) -> Point:
    x, y = row.tolist()
    return (x, y)
