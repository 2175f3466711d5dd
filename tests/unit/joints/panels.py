"""Ready panels for the joint tests: a plain board, a side panel with every kind of curve."""

from __future__ import annotations

import math
from dataclasses import replace

from nestcut.geometry.rings import Side, mark_from_curves, ring_from_curves
from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Point, Spline
from nestcut.model.joint import JointRule
from nestcut.model.part import Hands, SheetPart
from nestcut.model.shape import Ring, Shape

FLATNESS_MM = 0.05


def outline_of(*curves: Curve) -> Ring:
    return ring_from_curves(curves, FLATNESS_MM, Side.OUTLINE)


def polygon_outline(*points: Point) -> Ring:
    return outline_of(*(Line(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True)))


def round_hole(x: float, y: float, radius_mm: float) -> Ring:
    return ring_from_curves((Arc((x, y), radius_mm, 0.0, -360.0),), FLATNESS_MM, Side.HOLE)


def plain_panel(length_mm: float = 4000.0, width_mm: float = 600.0) -> SheetPart:
    """A rectangle from the origin, without curves, a pair."""
    points = ((0.0, 0.0), (length_mm, 0.0), (length_mm, width_mm), (0.0, width_mm))
    return SheetPart(
        name="panel",
        shape=Shape(Ring(points)),
        material="ply",
        thickness_mm=6.0,
        hands=Hands.PAIR,
        joint=JointRule(),
    )


def curved_panel() -> SheetPart:
    """A side panel from x = 100: spline below, elliptic stem, arc sheer, a hole and a mark."""
    chine = Spline(
        3,
        ((100.0, 40.0), (1200.0, -60.0), (2600.0, 30.0), (3600.0, 10.0), (4600.0, 260.0)),
        (0.0, 0.0, 0.0, 0.0, 0.5, 1.0, 1.0, 1.0, 1.0),
    )
    stem = EllipticArc((4600.0, 460.0), (120.0, 0.0), (0.0, 200.0), -math.pi / 2.0, math.pi)
    radius, middle = 9000.0, 2350.0
    low = 660.0 + math.sqrt(radius**2 - (4600.0 - middle) ** 2)
    first = math.degrees(math.atan2(660.0 - low, 4600.0 - middle))
    sheer = Arc((middle, low), radius, first, -180.0 - 2.0 * first)
    outline = outline_of(chine, stem, sheer, Line((100.0, 660.0), (100.0, 40.0)))
    mark = mark_from_curves((Line((500.0, 200.0), (4300.0, 330.0)),), FLATNESS_MM, "stringer")
    shape = Shape(outline, (round_hole(3000.0, 230.0, 70.0),), (mark,))
    return replace(plain_panel(), shape=shape)
