"""Notches in edges and holes, placed by dimensions from an edge or a centre line."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from nestcut.facts import Length
from nestcut.geometry.curves import (
    end_point,
    evaluate,
    length_mm,
    line_crossings,
    split_many,
    start_point,
    tangent,
)
from nestcut.geometry.pose import Pose, move_curve
from nestcut.model.curves import Arc, Curve, Line, Point
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.outline import Corner, Treatment, closed_outline
from nestcut.shapes.figures.plain import CornerRule, circle, ellipse, rectangle
from nestcut.tolerances import SAME_LENGTH_MM, SAME_POINT_MM


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
    """A notch in the longest edge that faces ``side``.

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
            raise ShapeFaultError("length", "SHP-117")
        radius = width / 2.0 if hole.form is HoleForm.SLOT else hole.radius_mm
        rules = (CornerRule(treatment=Treatment.ROUND, size_mm=radius),) if radius > 0.0 else ()
        shift = Pose(shift_mm=(-length / 2.0, -width / 2.0))
        curves = tuple(move_curve(c, shift) for c in rectangle(length, width, rules))
    return tuple(move_curve(c, Pose(turn_deg=hole.turn_deg, shift_mm=hole.centre)) for c in curves)


def edge_length_mm(curves: tuple[Curve, ...], side: BoxSide) -> float:
    """Length of the edge that a notch in ``side`` would be cut into. [mm]"""
    return length_mm(curves[_edge_index(curves, side)])


def with_notch(curves: tuple[Curve, ...], notch: Notch) -> tuple[Curve, ...]:
    """Cut a notch into a counter-clockwise outline.

    Its sides run square to the edge at its middle; its bottom is ``depth_mm`` below its lower end.

    Raises
    ------
    ShapeFaultError
        If no edge faces that side, or the notch leaves the edge.
    """
    index = _edge_index(curves, notch.side)
    edge = curves[index]
    length = length_mm(edge)
    runs_backwards = notch.side in {BoxSide.TOP, BoxSide.LEFT}
    middle = length - notch.along_mm if runs_backwards else notch.along_mm
    half = notch.width_mm / 2.0
    if middle < half - SAME_LENGTH_MM or middle > length - half + SAME_LENGTH_MM:
        raise ShapeFaultError("at", "SHP-115", side=notch.side.value, length=Length(length))
    at = _share_at(edge, middle, length)
    origin, (ux, uy) = evaluate(edge, at), tangent(edge, at)

    def place(along: float, depth: float) -> Point:
        return (origin[0] + ux * along - uy * depth, origin[1] + uy * along + ux * depth)

    cuts = [_meeting(edge, place(off, 0.0), (-uy, ux), at, off) for off in (-half, half)]
    if cuts[0] is None or cuts[1] is None:
        raise ShapeFaultError("at", "SHP-115", side=notch.side.value, length=Length(length))
    before = split_many(edge, (cuts[0],))[0] if cuts[0] * length > SAME_POINT_MM else None
    after = split_many(edge, (cuts[1],))[-1] if (1 - cuts[1]) * length > SAME_POINT_MM else None
    ends = (evaluate(edge, cuts[0]), evaluate(edge, cuts[1]))
    sunk = max((origin[0] - x) * uy - (origin[1] - y) * ux for x, y in ends)
    deep = notch.depth_mm + sunk if abs(sunk) > SAME_LENGTH_MM else notch.depth_mm
    bite = _bite(ends, (place(-half, deep), place(half, deep)), notch)
    kept = [c for c in (before, *bite, after) if c is not None]
    return (*curves[:index], *kept, *curves[index + 1 :])


def _share_at(edge: Curve, along_mm: float, length: float) -> float:
    """Parameter at a length along an edge."""
    if isinstance(edge, Line | Arc):
        return min(max(along_mm / length, 0.0), 1.0)
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        is_before = 0.0 < middle < 1.0 and length_mm(split_many(edge, (middle,))[0]) < along_mm
        low, high = (middle, high) if is_before else (low, middle)
    return (low + high) / 2.0


def _meeting(
    edge: Curve, point: Point, direction: Point, middle: float, off_mm: float
) -> float | None:
    """Parameter where a side of the notch meets the edge, before or behind its middle."""
    for end, at in ((start_point(edge), 0.0), (end_point(edge), 1.0)):
        aside = (end[0] - point[0]) * direction[1] - (end[1] - point[1]) * direction[0]
        if abs(aside) <= SAME_LENGTH_MM and (at < middle) == (off_mm < 0.0):
            return at
    found = [u for u in line_crossings(edge, point, direction) if (u < middle) == (off_mm < 0.0)]
    return min(found, key=lambda u: abs(u - middle), default=None)


def _bite(ends: tuple[Point, Point], bottom: tuple[Point, Point], notch: Notch) -> list[Curve]:
    """Way into the notch, along its bottom and out again."""
    radius = min(notch.radius_mm, notch.width_mm / 2.0, notch.depth_mm)
    treatment = Treatment.ROUND if radius > 0.0 else Treatment.SHARP
    corners = (
        Corner(ends[0]),
        Corner(bottom[0], treatment, radius),
        Corner(bottom[1], treatment, radius),
        Corner(ends[1]),
    )
    ring = closed_outline(corners)
    # The last line closes the ring along the edge and is no part of the notch.
    return list(ring[:-1])


def _edge_index(curves: tuple[Curve, ...], side: BoxSide) -> int:
    """Longest edge, straight or curved, whose chord faces a side."""
    run = _RUNS[side]
    best, length = -1, 0.0
    for i, curve in enumerate(curves):
        (ax, ay), (bx, by) = start_point(curve), end_point(curve)
        dx, dy = bx - ax, by - ay
        size = math.hypot(dx, dy)
        along = dx * run[0] + dy * run[1]
        faces = along > math.cos(math.radians(45.0)) * size - SAME_LENGTH_MM
        if faces and size > length + SAME_LENGTH_MM:
            best, length = i, size
    if best < 0:
        raise ShapeFaultError("edge", "SHP-116", side=side.value)
    return best
