"""Where a thing is drawn: from its own plane, through the blocks it sits in, to the plan view."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Point, Spline
from nestcut.tolerances.noise import DUST, LEAST_DIVISOR, NOISE

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Frame:
    """An affine map of space: ``linear @ p + shift``."""

    linear: Floats
    shift: Floats

    def inside(self, outer: Frame) -> Frame:
        """Return this frame followed by ``outer``."""
        return Frame(outer.linear @ self.linear, outer.linear @ self.shift + outer.shift)

    def point(self, p: tuple[float, ...]) -> Point:
        """Map a point of space and look at it from above."""
        z = p[2] if len(p) > 2 else 0.0
        a, s = self.linear, self.shift
        return (
            float(a[0, 0] * p[0] + a[0, 1] * p[1] + a[0, 2] * z + s[0]),
            float(a[1, 0] * p[0] + a[1, 1] * p[1] + a[1, 2] * z + s[1]),
        )

    def length_scale(self) -> float:
        """By how much lengths in the plan view grow, in the mean. [-]"""
        a = self.linear
        return math.sqrt(abs(float(a[0, 0] * a[1, 1] - a[0, 1] * a[1, 0])))

    def plane(self, extrusion: tuple[float, float, float], elevation: float) -> Plane:
        """Return the map from an object's own plane to the plan view."""
        x, y, z = object_axes(extrusion)
        axes = self.linear @ np.column_stack([x, y])
        origin = self.linear @ (z * elevation) + self.shift
        return Plane(
            (float(axes[0, 0]), float(axes[1, 0])),
            (float(axes[0, 1]), float(axes[1, 1])),
            (float(origin[0]), float(origin[1])),
            is_tilted=bool(
                np.any(np.abs(axes[2]) > NOISE * np.abs(axes).max(initial=LEAST_DIVISOR))
            ),
        )


WORLD = Frame(np.eye(3), np.zeros(3))


def object_axes(extrusion: tuple[float, float, float]) -> tuple[Floats, Floats, Floats]:
    """Axes of an object's own plane by the arbitrary axis rule of the DXF reference."""
    size = math.sqrt(sum(c * c for c in extrusion))
    z = np.array(extrusion) / size if size > 0.0 and math.isfinite(size) else np.array((0, 0, 1.0))
    if abs(z[0]) < 1.0 / 64.0 and abs(z[1]) < 1.0 / 64.0:
        x = np.array((z[2], 0.0, -z[0]))  # world y cross z
    else:
        x = np.array((-z[1], z[0], 0.0))  # world z cross z
    x = x / np.linalg.norm(x)
    return x, np.array(_cross(z, x)), z


def _cross(a: Floats, b: Floats) -> tuple[float, float, float]:
    return (
        float(a[1] * b[2] - a[2] * b[1]),
        float(a[2] * b[0] - a[0] * b[2]),
        float(a[0] * b[1] - a[1] * b[0]),
    )


@dataclass(frozen=True, slots=True)
class Plane:
    """An affine map of the plane: ``x ux + y uy + origin``."""

    ux: Point
    uy: Point
    origin: Point
    is_tilted: bool = False

    def vector(self, v: Point) -> Point:
        """Map a vector."""
        return (v[0] * self.ux[0] + v[1] * self.uy[0], v[0] * self.ux[1] + v[1] * self.uy[1])

    def point(self, p: Point) -> Point:
        """Map a point."""
        x, y = self.vector(p)
        return (x + self.origin[0], y + self.origin[1])

    def curve(self, curve: Curve) -> Curve:
        """Map a curve exactly; a circle may become an ellipse.

        Raises
        ------
        ValueError
            If it is seen edge-on.
        """
        match curve:
            case Line(start, end):
                return Line(self.point(start), self.point(end))
            case Arc(centre, radius, start, sweep):
                if self == _FLAT:
                    return curve
                return around(
                    self.point(centre),
                    self.vector((radius, 0.0)),
                    self.vector((0.0, radius)),
                    math.radians(start),
                    math.radians(sweep),
                )
            case EllipticArc(centre, major, minor, start, sweep):
                return around(
                    self.point(centre), self.vector(major), self.vector(minor), start, sweep
                )
            case Spline(degree, control, knots, weights):
                return Spline(degree, tuple(self.point(p) for p in control), knots, weights)


_FLAT = Plane((1.0, 0.0), (0.0, 1.0), (0.0, 0.0))


def around(centre: Point, first: Point, second: Point, start: float, sweep: float) -> Curve:
    """Return ``centre + first cos t + second sin t`` as an arc if it is one, else an elliptic arc.

    ``first`` and ``second`` may be any two conjugate half diameters; the axes are found.

    Parameters
    ----------
    centre
        Of the ellipse.
    first, second
        Any two conjugate half diameters.
    start, sweep
        Where t begins, and how far it goes; negative: clockwise. [rad]

    Raises
    ------
    ValueError
        If the two are parallel: the curve is seen edge-on.
    """
    a, b = math.hypot(*first), math.hypot(*second)
    flat = first[0] * second[1] - first[1] * second[0]
    skew = first[0] * second[0] + first[1] * second[1]
    if abs(flat) <= DUST * max(a, b) ** 2:
        raise ValueError("seen edge-on")
    if abs(a - b) <= DUST * a and abs(skew) <= DUST * a * b:
        turn = math.degrees(math.atan2(first[1], first[0]))
        sign = math.copysign(1.0, flat)
        begin = (turn + sign * math.degrees(start)) % 360.0
        return Arc(centre, a, begin, sign * math.degrees(sweep))
    if abs(skew) <= DUST * a * b:
        return EllipticArc(centre, first, second, start, sweep)
    turn = math.atan2(2.0 * skew, a * a - b * b) / 2.0
    c, s = math.cos(turn), math.sin(turn)
    major = (first[0] * c + second[0] * s, first[1] * c + second[1] * s)
    minor = (second[0] * c - first[0] * s, second[1] * c - first[1] * s)
    return EllipticArc(centre, major, minor, start - turn, sweep)
