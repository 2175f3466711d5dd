"""Holes, placed by dimensions from an edge or a centre line."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nestcut.geometry.pose import move_curve
from nestcut.model.curves import Curve, Point
from nestcut.model.pose import Pose
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.outline import Treatment
from nestcut.shapes.figures.plain import CornerRule, circle, ellipse, rectangle


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
