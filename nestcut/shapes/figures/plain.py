"""Plain figures: rectangle, trapezoid, polygon, circle, ellipse.

The frame of each has its origin at the lower left corner of its box (circle and ellipse too), x
along the length.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from nestcut.geometry.polygons import ring_area_mm2
from nestcut.model.curves import Arc, Curve, EllipticArc, Point
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.outline import Corner, Treatment, closed_outline


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerRule:
    """How corners are treated; ``which`` numbers them from 1 as the outline runs, empty: all."""

    treatment: Treatment = Treatment.SHARP
    size_mm: float = 0.0
    which: tuple[int, ...] = ()


def rectangle(
    length_mm: float, width_mm: float, rules: tuple[CornerRule, ...] = ()
) -> tuple[Curve, ...]:
    """Outline of a rectangle; corner 1 is the lower left one.

    Parameters
    ----------
    length_mm, width_mm
        Along x and y. [mm]
    rules
        What is done with corners, by their numbers, counter-clockwise.
    """
    points = ((0.0, 0.0), (length_mm, 0.0), (length_mm, width_mm), (0.0, width_mm))
    return closed_outline(_ruled(points, rules))


def trapezoid(
    bottom_mm: float,
    top_mm: float,
    height_mm: float,
    shift_mm: float | None = None,
    rules: tuple[CornerRule, ...] = (),
) -> tuple[Curve, ...]:
    """Outline of a trapezoid with parallel bottom and top.

    Parameters
    ----------
    bottom_mm, top_mm
        Parallel edges; one may be 0, which gives a triangle. [mm]
    height_mm
        Distance between them. [mm]
    shift_mm
        How far the top's left end lies right of the bottom's; None: centred. [mm]
    """
    if bottom_mm <= 0.0 and top_mm <= 0.0:
        raise ShapeFaultError("top", "SHP-131")
    lean = (bottom_mm - top_mm) / 2.0 if shift_mm is None else shift_mm
    left = min(0.0, lean)
    points = [(-left, 0.0)]
    if bottom_mm > 0.0:
        points.append((bottom_mm - left, 0.0))
    if top_mm > 0.0:
        points.append((lean + top_mm - left, height_mm))
    points.append((lean - left, height_mm))
    return closed_outline(_ruled(tuple(points), rules))


def taper(
    length_mm: float, start_mm: float, end_mm: float, rules: tuple[CornerRule, ...] = ()
) -> tuple[Curve, ...]:
    """Outline of a strip with one straight long edge, ``start_mm`` wide left, ``end_mm`` right.

    Parameters
    ----------
    length_mm
        Along x. [mm]
    start_mm, end_mm
        Widths at the left and right end; one may be 0. [mm]
    rules
        What is done with corners, by their numbers, counter-clockwise.

    Raises
    ------
    ShapeFaultError
        If both ends have no width.
    """
    if start_mm <= 0.0 and end_mm <= 0.0:
        raise ShapeFaultError("end", "SHP-132")
    points = [(0.0, 0.0), (length_mm, 0.0)]
    if end_mm > 0.0:
        points.append((length_mm, end_mm))
    if start_mm > 0.0:
        points.append((0.0, start_mm))
    return closed_outline(_ruled(tuple(points), rules))


def polygon(points: tuple[Point, ...], rules: tuple[CornerRule, ...] = ()) -> tuple[Curve, ...]:
    """Outline through points, in either direction; corner numbers follow the order given."""
    corners = _ruled(points, rules)
    if len(points) >= 3 and ring_area_mm2(points) < 0.0:
        corners = (corners[0], *corners[:0:-1])
    return closed_outline(corners)


def circle(diameter_mm: float, centre: Point | None = None) -> tuple[Curve, ...]:
    """Outline of a circle."""
    radius = diameter_mm / 2.0
    return (Arc(centre or (radius, radius), radius, 0.0, 360.0),)


def ellipse(length_mm: float, width_mm: float, centre: Point | None = None) -> tuple[Curve, ...]:
    """Outline of an ellipse with its axes along x and y.

    Parameters
    ----------
    length_mm, width_mm
        Along x and y. [mm]
    centre
        None: so that it touches both axes from above. [mm]
    """
    a, b = length_mm / 2.0, width_mm / 2.0
    return (EllipticArc(centre or (a, b), (a, 0.0), (0.0, b), 0.0, 2.0 * math.pi),)


def _ruled(points: tuple[Point, ...], rules: tuple[CornerRule, ...]) -> tuple[Corner, ...]:
    corners = [Corner(p) for p in points]
    for rule in rules:
        for number in rule.which or tuple(range(1, len(points) + 1)):
            if not 1 <= number <= len(points):
                raise ShapeFaultError("corners", "SHP-133", number=number, corners=len(points))
            corners[number - 1] = Corner(points[number - 1], rule.treatment, rule.size_mm)
    return tuple(corners)
