"""Rails and caps from a measured sheer: true lengths, and bands along a curve.

A rail bent round the sheer is as long as the line in space, not as the boat.  A cap is a band of
given width laid flat on the sheer; where the sheer rises, the plank bends up with it, so its true
shape has the rise rolled out: a cylinder across the boat, laid flat exactly.  The inner edge keeps
the band's width from the outer one, measured square to it (parallel curve).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from nestcut.facts import Length
from nestcut.geometry.curves import end_point, start_point
from nestcut.geometry.pose import reverse_curve
from nestcut.model.curves import Curve, Line
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.hull.spaceline import SpaceLine, plane_splines, through

Floats = NDArray[np.float64]

_PIECES = 6
"""Pieces that a span of the line is divided into for its parallel."""


class Lay(StrEnum):
    """On which side of the line a band lies."""

    INSIDE = "inside"
    """Towards the centre line of the boat."""
    OUTSIDE = "outside"
    CENTRED = "centred"


class Rise(StrEnum):
    """What is done about the height of the line."""

    ROLLED_OUT = "rolled out"
    """True shape of a plank that bends up with the sheer."""
    PLAN = "plan"
    """As seen from above: a cap that lies level."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Band:
    """A band along a curve, port, seen from above: x forward, y to port.

    Parameters
    ----------
    outline
        Closed run of curves: outer edge, end, inner edge back, start.
    outer, inner
        The two edges in the plane, both running forward.
    width_mm
        Width, square to the line. [mm]
    line_length_mm
        Length of the line it follows. [mm]
    least_radius_mm
        Smallest radius of the outer edge. [mm]
    """

    outline: tuple[Curve, ...]
    outer: SpaceLine
    inner: SpaceLine
    width_mm: float
    line_length_mm: float
    least_radius_mm: float


def flat_line(line: SpaceLine, rise: Rise) -> SpaceLine:
    """Line in the plane that a band follows, with the rise rolled out or left out."""
    if rise is Rise.PLAN:
        return through(line.points[:, :2], line.knuckles)
    along = np.empty(len(line.t))
    along[0] = line.points[0, 0]
    for i in range(len(line.t) - 1):
        half = (line.t[i + 1] - line.t[i]) / 2.0
        nodes, weights = np.polynomial.legendre.leggauss(8)
        speed = line.direction(line.t[i] + half * (1.0 + nodes))
        along[i + 1] = along[i] + half * float(np.hypot(speed[:, 0], speed[:, 2]) @ weights)
    return through(np.column_stack([along, line.points[:, 1]]), line.knuckles)


def band_along(
    line: SpaceLine,
    width_mm: float,
    lay: Lay = Lay.INSIDE,
    span: tuple[float, float] | None = None,
) -> Band:
    """Band of a given width along a line in the plane (see :func:`flat_line`).

    Parameters
    ----------
    line
        Runs forward, offsets y positive to port.
    width_mm
        Square to the line. [mm]
    span
        Parameters where the band begins and ends; None: from end to end. [mm]

    Raises
    ------
    ShapeFaultError
        If the line bends more sharply than the band is wide, or has knuckles.
    """
    if line.knuckles:
        raise ShapeFaultError("knuckles", "SHP-106")
    shifts = {Lay.INSIDE: (0.0, -width_mm), Lay.OUTSIDE: (width_mm, 0.0)}
    outward, inward = shifts.get(lay, (width_mm / 2.0, -width_mm / 2.0))
    start, stop = (0.0, line.end) if span is None else span
    cuts = np.unique(np.concatenate([line.t[(line.t > start) & (line.t < stop)], [start, stop]]))
    share = np.arange(_PIECES) / _PIECES
    t = np.append((cuts[:-1, None] + np.diff(cuts)[:, None] * share).ravel(), stop)
    outer, inner = (_parallel(line, t, shift) for shift in (outward, inward))
    curves: list[Curve] = list(plane_splines(outer))
    back = [reverse_curve(c) for c in reversed(plane_splines(inner))]
    ends = (
        end_point(curves[-1]),
        start_point(back[0]),
        end_point(back[-1]),
        start_point(curves[0]),
    )
    run = (*curves, Line(ends[0], ends[1]), *back, Line(ends[2], ends[3]))
    return Band(
        outline=run,
        outer=outer,
        inner=inner,
        width_mm=width_mm,
        line_length_mm=line.length_mm(start, stop),
        least_radius_mm=_least_radius_mm(outer),
    )


def _parallel(line: SpaceLine, t: Floats, shift_mm: float) -> SpaceLine:
    """Parallel curve at a distance to port, as a cubic with the exact points and directions.

    The derivative of a parallel is the line's own times (1 - shift x curvature), so the cubics
    meet its points, directions and speeds; in between they are fourth order accurate.
    """
    direction, bend = line.direction(t), line.bend(t)
    speed = np.linalg.norm(direction, axis=1)
    normal = np.column_stack([-direction[:, 1], direction[:, 0]]) / speed[:, None]
    turning = (direction[:, 0] * bend[:, 1] - direction[:, 1] * bend[:, 0]) / speed**3
    shrink = 1.0 - shift_mm * turning
    if np.any(shrink <= 0.0):
        raise ShapeFaultError(
            "width",
            "SHP-107",
            radius=Length(1.0 / float(np.abs(turning).max())),
            width=Length(abs(shift_mm)),
        )
    points = line.at(t) + shift_mm * normal
    slopes = direction * shrink[:, None]
    return SpaceLine(t=t - t[0], points=points, leave=slopes[:-1], arrive=slopes[1:])


def _least_radius_mm(line: SpaceLine) -> float:
    t = np.linspace(0.0, line.end, 16 * len(line.t))
    direction, bend = line.direction(t), line.bend(t)
    turning = direction[:, 0] * bend[:, 1] - direction[:, 1] * bend[:, 0]
    size = np.linalg.norm(direction, axis=1) ** 3
    most = float(np.max(np.abs(turning) / size))
    return 1.0 / most if most > 0.0 else math.inf
