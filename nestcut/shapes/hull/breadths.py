"""Bottoms and decks at their full width: an edge line rolled out flat and mirrored.

A flat bottom with rocker and a deck that follows the sheer bend one way only, so their true shape
is the edge's half-breadth over the length along its profile.  A deck cambered to one round for its
whole length bends across instead: half its girth at half-breadth b is R asin(b/R).
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from nestcut.geometry.curves import end_point, start_point
from nestcut.geometry.pose import MIRROR, move_curve, reverse_curve
from nestcut.model.curves import Curve, EllipticArc, Line, Point, Spline
from nestcut.model.pose import Pose
from nestcut.model.shape import Mark
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.hull.band import Rise, flat_line
from nestcut.shapes.hull.spaceline import SpaceLine, piece_of, plane_splines, through
from nestcut.tolerances import SAME_LENGTH_MM

Floats = NDArray[np.float64]
_PER_SPAN = 8
"""Points in each span of a girthed edge."""


def rolled_edge(line: SpaceLine, span: tuple[float, float], camber_mm: float) -> SpaceLine:
    """Edge of a bottom or deck laid flat: length along the profile, and half the width there.

    Parameters
    ----------
    span
        Parameters of the line where it begins and ends. [mm]
    camber_mm
        Rise of the deck across its greatest breadth; 0: flat across. [mm]

    Raises
    ------
    ShapeFaultError
        If the camber is more than half the breadth.
    """
    flat = flat_line(line, Rise.ROLLED_OUT)
    cut = piece_of(flat, *(same_place(line, flat, t) for t in span))
    if camber_mm <= SAME_LENGTH_MM:
        return cut
    half = float(cut.at(np.linspace(0.0, cut.end, 256))[:, 1].max())
    if camber_mm > half:
        raise ShapeFaultError("camber", "SHP-114")
    radius = half * half / (2.0 * camber_mm) + camber_mm / 2.0
    share = np.arange(_PER_SPAN) / _PER_SPAN
    t = np.append((cut.t[:-1, None] + np.diff(cut.t)[:, None] * share).ravel(), cut.end)
    points = cut.at(t)
    points[:, 1] = radius * np.arcsin(np.clip(points[:, 1] / radius, -1.0, 1.0))
    return through(points)


def same_place(line: SpaceLine, flat: SpaceLine, t: float) -> float:
    """Parameter of the flat line at the point that belongs to ``t`` of the line in space.

    Both run between the same stations; in between they are matched by their share of the span.

    Parameters
    ----------
    t
        Parameter of the line in space. [mm]
    """
    i = int(np.clip(np.searchsorted(line.t, t, side="right") - 1, 0, len(line.t) - 2))
    share = (t - line.t[i]) / (line.t[i + 1] - line.t[i])
    return float(flat.t[i] + share * (flat.t[i + 1] - flat.t[i]))


def mirrored_outline(edge: SpaceLine) -> tuple[Curve, ...]:
    """Closed outline of an edge over its centre line and the edge's mirror image below."""
    upper: list[Curve] = [reverse_curve(c) for c in reversed(plane_splines(edge))]
    lower = [mirrored_in_x(c) for c in plane_splines(edge)]
    run: list[Curve] = [*lower]
    a, b = end_point(lower[-1]), start_point(upper[0])
    if math.dist(a, b) > SAME_LENGTH_MM:
        run.append(Line(a, b))
    run += upper
    a, b = end_point(upper[-1]), start_point(lower[0])
    if math.dist(a, b) > SAME_LENGTH_MM:
        run.append(Line(a, b))
    return tuple(run)


def mirrored_in_x(curve: Curve) -> Curve:
    """Mirror image in the x axis."""
    match curve:
        case Line(a, b):
            return Line(_flip(a), _flip(b))
        case Spline():
            return Spline(curve.degree, tuple(_flip(p) for p in curve.control), curve.knots)
        case EllipticArc() | _:
            return move_curve(move_curve(curve, Pose(turn_deg=180.0)), MIRROR)


def cross_mark(edge: SpaceLine, t: float, label: str) -> Mark | None:
    """Station line from edge to edge at a parameter; None where there is no width.

    Parameters
    ----------
    edge
        Half the panel's edge, the centre line along x.
    t
        Its parameter. [mm]
    label
        Of the mark.
    """
    x, y = edge.at(np.array([t]))[0].tolist()
    if abs(y) <= SAME_LENGTH_MM:
        return None
    line = Line((x, -y), (x, y))
    return Mark((line.start, line.end), (line,), label)


def whole_of_half(outline: tuple[Curve, ...]) -> tuple[Curve, ...]:
    """Whole outline of a half that lies on or over the base line y = 0, mirrored about it.

    Raises
    ------
    ShapeFaultError
        If the half reaches below the base line, or none of it lies on it.
    """
    kept = [c for c in outline if not _on_axis(c)]
    if len(kept) == len(outline) or any(
        min(start_point(c)[1], end_point(c)[1]) < -SAME_LENGTH_MM for c in kept
    ):
        raise ShapeFaultError("drawn_half", "SHP-060")
    first = next(
        i
        for i, c in enumerate(outline)
        if _on_axis(c) and not _on_axis(outline[(i + 1) % len(outline)])
    )
    run = [c for c in (*outline[first + 1 :], *outline[: first + 1]) if not _on_axis(c)]
    below = [reverse_curve(mirrored_in_x(c)) for c in reversed(run)]
    return (*run, *below)


def turned_over(ring: tuple[Curve, ...]) -> tuple[Curve, ...]:
    """Mirror image of a closed run of curves about the base line, running the same way round."""
    return tuple(reverse_curve(mirrored_in_x(c)) for c in reversed(ring))


def _on_axis(curve: Curve) -> bool:
    return isinstance(curve, Line) and max(abs(curve.start[1]), abs(curve.end[1])) <= SAME_LENGTH_MM


def _flip(p: Point) -> Point:
    return (p[0], -p[1])
