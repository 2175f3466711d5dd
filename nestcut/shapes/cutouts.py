"""Notches in straight edges and holes, placed by dimensions from an edge or a centre line."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from nestcut.geometry.curves import end_point, start_point
from nestcut.geometry.pose import Pose, move_curve
from nestcut.model.curves import Curve, Line, Point
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.outline import Corner, Treatment, closed_outline
from nestcut.shapes.plain import CornerRule, circle, ellipse, rectangle
from nestcut.tolerances import SAME_LENGTH_MM, SAME_POINT_MM

_Place = Callable[[float, float], Point]


class BoxSide(StrEnum):
    """A side of a part as it is drawn."""

    BOTTOM = "bottom"
    RIGHT = "right"
    TOP = "top"
    LEFT = "left"


_RUNS: dict[BoxSide, Point] = {
    BoxSide.BOTTOM: (1.0, 0.0),
    BoxSide.RIGHT: (0.0, 1.0),
    BoxSide.TOP: (-1.0, 0.0),
    BoxSide.LEFT: (0.0, -1.0),
}
"""Which way a counter-clockwise outline runs along each side."""


class HoleForm(StrEnum):
    """Form of a hole."""

    ROUND = "round"
    RECTANGLE = "rectangle"
    SLOT = "slot"
    """A rectangle with half-round ends."""
    ELLIPSE = "ellipse"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A hole about ``centre``; ``length_mm`` lies along x before it is turned by ``turn_deg``.

    A round hole's diameter is its length.
    """

    form: HoleForm
    centre: Point
    length_mm: float
    width_mm: float = 0.0
    radius_mm: float = 0.0
    turn_deg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch:
    """A notch in the longest straight edge that faces ``side``.

    ``along_mm`` is the notch's middle, measured along the edge from its left or lower end.  The
    bottom corners get ``radius_mm``; a notch as wide as two radii is half round at its bottom.
    """

    side: BoxSide
    along_mm: float
    width_mm: float
    depth_mm: float
    radius_mm: float = 0.0


def hole_curves(hole: Hole) -> tuple[Curve, ...]:
    """Outline of a hole, counter-clockwise."""
    length, width = hole.length_mm, hole.width_mm
    if hole.form is HoleForm.ROUND:
        return circle(length, hole.centre)
    if hole.form is HoleForm.ELLIPSE:
        curves = ellipse(length, width, (0.0, 0.0))
    else:
        if hole.form is HoleForm.SLOT and length < width:
            raise ShapeFaultError("length", "a slot is longer than wide.", "Swap the two.")
        radius = width / 2.0 if hole.form is HoleForm.SLOT else hole.radius_mm
        rules = (CornerRule(treatment=Treatment.ROUND, size_mm=radius),) if radius > 0.0 else ()
        shift = Pose(shift_mm=(-length / 2.0, -width / 2.0))
        curves = tuple(move_curve(c, shift) for c in rectangle(length, width, rules))
    return tuple(move_curve(c, Pose(turn_deg=hole.turn_deg, shift_mm=hole.centre)) for c in curves)


def edge_length_mm(curves: tuple[Curve, ...], side: BoxSide) -> float:
    """Length of the edge that a notch in ``side`` would be cut into. [mm]"""
    edge = curves[_edge_index(curves, side)]
    return math.dist(start_point(edge), end_point(edge))


def with_notch(curves: tuple[Curve, ...], notch: Notch) -> tuple[Curve, ...]:
    """Cut a notch into a counter-clockwise outline.

    Raises
    ------
    ShapeFaultError
        If no straight edge faces that side, or the notch leaves the edge.
    """
    index = _edge_index(curves, notch.side)
    edge = curves[index]
    start, end = start_point(edge), end_point(edge)
    length = math.dist(start, end)
    runs_backwards = notch.side in {BoxSide.TOP, BoxSide.LEFT}
    middle = length - notch.along_mm if runs_backwards else notch.along_mm
    first, last = middle - notch.width_mm / 2.0, middle + notch.width_mm / 2.0
    if first < -SAME_LENGTH_MM or last > length + SAME_LENGTH_MM:
        raise ShapeFaultError(
            "at",
            f"the notch reaches past the {notch.side} edge, which is {length:.1f} mm long.",
            "Move it along the edge, or make it narrower.",
        )
    ux, uy = (end[0] - start[0]) / length, (end[1] - start[1]) / length

    def place(along: float, depth: float) -> Point:
        return (start[0] + ux * along - uy * depth, start[1] + uy * along + ux * depth)

    bite = _bite(place, first, last, notch)
    run = [Line(start, place(first, 0.0)), *bite, Line(place(last, 0.0), end)]
    kept = [c for c in run if not isinstance(c, Line) or math.dist(c.start, c.end) > SAME_POINT_MM]
    return (*curves[:index], *kept, *curves[index + 1 :])


def _bite(place: _Place, first: float, last: float, notch: Notch) -> list[Curve]:
    """Way into the notch, along its bottom and out again."""
    radius = min(notch.radius_mm, notch.width_mm / 2.0, notch.depth_mm)
    treatment = Treatment.ROUND if radius > 0.0 else Treatment.SHARP
    corners = (
        Corner(place(first, 0.0)),
        Corner(place(first, notch.depth_mm), treatment, radius),
        Corner(place(last, notch.depth_mm), treatment, radius),
        Corner(place(last, 0.0)),
    )
    ring = closed_outline(corners)
    # The last line closes the ring along the edge and is no part of the notch.
    return list(ring[:-1])


def _edge_index(curves: tuple[Curve, ...], side: BoxSide) -> int:
    run = _RUNS[side]
    best, length = -1, 0.0
    for i, curve in enumerate(curves):
        if not isinstance(curve, Line):
            continue
        dx, dy = curve.end[0] - curve.start[0], curve.end[1] - curve.start[1]
        size = math.hypot(dx, dy)
        along = dx * run[0] + dy * run[1]
        faces = along > math.cos(math.radians(45.0)) * size - SAME_LENGTH_MM
        if faces and size > length + SAME_LENGTH_MM:
            best, length = i, size
    if best < 0:
        raise ShapeFaultError(
            "side",
            f"no straight edge faces the {side}.",
            "Notches go into straight edges; use a hole or give the outline as points.",
        )
    return best
