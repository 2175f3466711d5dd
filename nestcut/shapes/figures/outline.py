"""Outlines of straight edges whose corners are rounded, chamfered or bitten out.

Corners are given counter-clockwise; the result is a closed run of true lines and arcs.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from nestcut.facts import Spot
from nestcut.model.curves import Arc, Curve, Line, Point
from nestcut.shapes.faults import ShapeFaultError
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.noise import NOISE


class Treatment(StrEnum):
    """What is done to a corner."""

    SHARP = "sharp"
    ROUND = "round"
    """A fillet of the given radius."""
    CHAMFER = "chamfer"
    """Cut off straight, the given length along both edges."""
    BITE = "bite"
    """A circle about the corner is taken out: a limber hole."""


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of an outline; ``size_mm`` is the radius or the set-back of its treatment."""

    at: Point
    treatment: Treatment = Treatment.SHARP
    size_mm: float = 0.0


def closed_outline(corners: tuple[Corner, ...]) -> tuple[Curve, ...]:
    """Join corners by straight edges and treat each corner.

    Raises
    ------
    ShapeFaultError
        If two corners coincide or their treatments need more edge than there is.
    """
    n = len(corners)
    if n < 3:
        raise ShapeFaultError("points", "SHP-128", number=n)
    cuts = [_treated(corners[i - 1], corners[i], corners[(i + 1) % n]) for i in range(n)]
    curves: list[Curve] = []
    for i, (arrive, curve, leave) in enumerate(cuts):
        if curve is not None:
            curves.append(curve)
        following = cuts[(i + 1) % n][0]
        edge = _minus(corners[(i + 1) % n].at, corners[i].at)
        left_over = _minus(following, leave)
        if left_over[0] * edge[0] + left_over[1] * edge[1] < -SAME_POINT_MM * math.hypot(*edge):
            raise ShapeFaultError(
                "corners", "SHP-130", one=Spot(corners[i].at), other=Spot(corners[(i + 1) % n].at)
            )
        if math.hypot(*left_over) > SAME_POINT_MM:
            curves.append(Line(leave, following))
        del arrive
    return tuple(curves)


def _treated(before: Corner, corner: Corner, after: Corner) -> tuple[Point, Curve | None, Point]:
    """Where the outline leaves the edge into the corner, the curve round it, where it goes on."""
    u, v = _unit(corner.at, before.at), _unit(corner.at, after.at)
    if corner.treatment is Treatment.SHARP or corner.size_mm <= 0.0:
        return corner.at, None, corner.at
    turn = math.atan2(v[0] * u[1] - v[1] * u[0], u[0] * v[0] + u[1] * v[1])
    inner = turn if turn > 0.0 else turn + 2.0 * math.pi
    if corner.treatment is Treatment.ROUND:
        half = abs(turn) / 2.0
        if math.pi / 2.0 - half < NOISE:
            return corner.at, None, corner.at
        reach = corner.size_mm / math.tan(half)
    else:
        reach, half = corner.size_mm, 0.0
    arrive, leave = _along(corner.at, u, reach), _along(corner.at, v, reach)
    if corner.treatment is Treatment.CHAMFER:
        return arrive, Line(arrive, leave), leave
    if corner.treatment is Treatment.BITE:
        start = math.degrees(math.atan2(u[1], u[0]))
        return arrive, Arc(corner.at, reach, start % 360.0, -math.degrees(inner)), leave
    middle = _unit((0.0, 0.0), (u[0] + v[0], u[1] + v[1]))
    centre = _along(corner.at, middle, corner.size_mm / math.sin(half))
    start = math.degrees(math.atan2(arrive[1] - centre[1], arrive[0] - centre[0]))
    sweep = math.copysign(math.degrees(math.pi - 2.0 * half), turn)
    return arrive, Arc(centre, corner.size_mm, start % 360.0, sweep), leave


def _minus(a: Point, b: Point) -> Point:
    return (a[0] - b[0], a[1] - b[1])


def _along(p: Point, direction: Point, distance: float) -> Point:
    return (p[0] + direction[0] * distance, p[1] + direction[1] * distance)


def _unit(a: Point, b: Point) -> Point:
    size = math.dist(a, b)
    if size <= SAME_POINT_MM:
        raise ShapeFaultError("points", "SHP-129", at=Spot(a))
    return ((b[0] - a[0]) / size, (b[1] - a[1]) / size)
