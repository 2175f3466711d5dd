"""Ready caps: an arc of given chord and sagitta, and a cap along an invented small boat's sheer."""

from __future__ import annotations

import math

import numpy as np

from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.joints.curved.places import Plank
from nestcut.model.curves import Arc, Line, Point
from nestcut.model.joint import JointRule
from nestcut.model.part import CutFrom, Hands, SheetPart, Turning
from nestcut.model.shape import Ring, Shape
from nestcut.model.stock import BoardLength, BoardStock

PLANKS = tuple(
    Plank(name=f"{w} x {n}", length_mm=n - 20.0, width_mm=float(w), price_minor=price)
    for w, n, price in (
        (195, 2400, 1820.0),
        (195, 3600, 2750.0),
        (220, 2400, 2140.0),
        (220, 3600, 3260.0),
        (245, 2400, 2530.0),
        (245, 3600, 3860.0),
    )
)

BOARD = BoardStock(
    name="18 x 220",
    material="larch",
    thickness_mm=18.0,
    width_mm=220.0,
    end_trim_mm=10.0,
    lengths=(BoardLength(length_mm=2800.0, price_minor=1820),),
)
"""A board that caps are sawn from."""


def arc_cap(
    chord_mm: float = 4800.0, sagitta_mm: float = 300.0, width_mm: float = 45.0, slope: float = 8.0
) -> SheetPart:
    """A band whose middle line is a circular arc over y = 0, ends square to the curve."""
    radius = chord_mm**2 / (8.0 * sagitta_mm) + sagitta_mm / 2.0
    half = math.asin(chord_mm / 2.0 / radius)
    centre = (chord_mm / 2.0, sagitta_mm - radius)
    outer, inner = radius + width_mm / 2.0, radius - width_mm / 2.0

    def at(r: float, angle: float) -> Point:
        return (centre[0] + r * math.sin(angle), centre[1] + r * math.cos(angle))

    low, high = 90.0 - math.degrees(half), 90.0 + math.degrees(half)
    curves = (
        Arc(centre, inner, high, low - high),
        Line(at(inner, half), at(outer, half)),
        Arc(centre, outer, low, high - low),
        Line(at(outer, -half), at(inner, -half)),
    )
    return _cap(ring_from_curves(curves, 0.05, Side.OUTLINE), width_mm, slope)


def sheer_cap(to_x_mm: float, width_mm: float = 140.0) -> SheetPart:
    """A cap inside the sheer of an invented 4.7 m boat, from the transom to a station."""
    xs = np.array([0.0, 900.0, 1800.0, 2700.0, 3400.0, 4000.0, 4400.0])
    ys = np.array([620.0, 728.0, 782.0, 762.0, 668.0, 500.0, 300.0])
    fit = np.polynomial.Polynomial.fit(xs, ys, 5)
    at = np.linspace(0.0, to_x_mm, 240)
    sheer = np.column_stack([at, fit(at)])
    tangent = np.column_stack([np.ones_like(at), fit.deriv()(at)])
    tangent /= np.hypot(tangent[:, 0], tangent[:, 1])[:, None]
    inner = sheer + width_mm * np.column_stack([tangent[:, 1], -tangent[:, 0]])
    points = tuple((float(x), float(y)) for x, y in (*inner, *sheer[::-1]))
    return _cap(Ring(points), width_mm, 8.0)


def cornered_cap(
    first_mm: float, second_mm: float, turn_deg: float, width_mm: float = 120.0
) -> SheetPart:
    """A band of two straight legs that meet at a corner, mitred, the first along x."""
    turn = math.radians(turn_deg)
    along = np.array([math.cos(turn), math.sin(turn)])
    corner = np.array([first_mm, 0.0])
    tip = corner + second_mm * along
    shorter = width_mm * math.tan(turn / 2.0)
    rows = np.array(
        [
            (0.0, 0.0),
            corner,
            tip,
            tip + width_mm * np.array([-along[1], along[0]]),
            (first_mm - shorter, width_mm),
            (0.0, width_mm),
        ]
    )
    return _cap(Ring(tuple((float(x), float(y)) for x, y in rows)), width_mm, 8.0)


def _cap(outline: Ring, width_mm: float, slope: float) -> SheetPart:
    return SheetPart(
        name="cap",
        shape=Shape(outline),
        material="larch",
        thickness_mm=18.0,
        hands=Hands.PAIR,
        cut_from=CutFrom.BOARD,
        turning=Turning.SMALL,
        small_angle_deg=20.0,
        width_along_mm=width_mm,
        joint=JointRule(slope=slope),
    )
