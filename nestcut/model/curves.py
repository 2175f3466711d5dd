"""True geometry of outlines: what a drawing really says, before any flattening.

A curve has a direction.  Points are ``(x, y)`` in mm.  Moving, flattening and cutting curves is
the work of :mod:`nestcut.geometry`.
"""

from __future__ import annotations

from dataclasses import dataclass

Point = tuple[float, float]
"""A point or vector ``(x, y)``. [mm]"""


@dataclass(frozen=True, slots=True)
class Line:
    """A straight segment."""

    start: Point
    end: Point


@dataclass(frozen=True, slots=True)
class Arc:
    """A circular arc; a whole circle sweeps 360 or -360 degrees.

    ``sweep_deg`` is positive counter-clockwise.
    """

    centre: Point
    radius_mm: float
    start_deg: float
    sweep_deg: float


@dataclass(frozen=True, slots=True)
class EllipticArc:
    """An arc of an ellipse: ``centre + major cos(t) + minor sin(t)``.

    ``minor`` is the minor axis vector itself (so that mirror images need no special case);
    ``start_rad`` and ``sweep_rad`` are values of the parameter t, not of the polar angle.
    """

    centre: Point
    major: Point
    minor: Point
    start_rad: float
    sweep_rad: float


@dataclass(frozen=True, slots=True)
class Spline:
    """A B-spline, rational where ``weights`` is not empty.

    ``len(knots) == len(control) + degree + 1``; a closed one repeats its first point.
    """

    degree: int
    control: tuple[Point, ...]
    knots: tuple[float, ...]
    weights: tuple[float, ...] = ()


Curve = Line | Arc | EllipticArc | Spline
"""Any piece of a true outline."""
