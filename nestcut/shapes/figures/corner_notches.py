"""Notches at corners, open at both edges that meet there: battens let in flush.

A batten lies with its face against one edge; beyond the corner everything as deep as the batten is
taken away, so that no horn stays, whichever way the edges lean.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from nestcut.geometry.curves import (
    end_point,
    evaluate,
    length_mm,
    line_crossings,
    split_many,
    tangent,
)
from nestcut.geometry.pose import reverse_curve
from nestcut.model.curves import Arc, Curve, Line, Point
from nestcut.shapes.figures.outline import Corner, Treatment, closed_outline
from nestcut.tolerances import SAME_LENGTH_MM, SAME_POINT_MM


class Against(StrEnum):
    """Which of the two edges at a corner a batten lies against, as the outline runs."""

    ARRIVING = "arriving"
    """The edge that ends there."""
    LEAVING = "leaving"


@dataclass(frozen=True, slots=True, kw_only=True)
class CornerNotch:
    """A notch at a corner, ``width_mm`` along the edge it lies against, ``depth_mm`` square to it.

    ``name`` is what the corner is called.
    """

    corner: Point
    against: Against
    width_mm: float
    depth_mm: float
    radius_mm: float = 0.0
    name: str = ""


def cut_at_corner(curves: Sequence[Curve], notch: CornerNotch) -> tuple[Curve, ...] | None:
    """Cut a notch into a counter-clockwise outline; None if its corner has no room for it.

    There is none where the corner is cut away already, where the edge is shorter than the notch,
    or where the notch takes more than the edge beyond the corner.
    """
    if notch.against is Against.ARRIVING:
        return _cut(list(curves), notch, 1.0)
    turned = [reverse_curve(c) for c in reversed(curves)]
    cut = _cut(turned, notch, -1.0)
    return None if cut is None else tuple(reverse_curve(c) for c in reversed(cut))


def _cut(curves: list[Curve], notch: CornerNotch, inward: float) -> tuple[Curve, ...] | None:
    """Cut beside the edge that ends at the corner; ``inward`` is 1 with the part on its left."""
    i = next((k for k, c in enumerate(curves) if _is_at(end_point(c), notch.corner)), None)
    if i is None:
        return None
    ring = [*curves[i:], *curves[:i]]
    edge, beyond = ring[0], ring[1]
    length = length_mm(edge)
    if length < notch.width_mm - SAME_LENGTH_MM:
        return None
    end = share_at(edge, max(0.0, length - notch.width_mm), length)
    shoulder = evaluate(edge, end)
    ux, uy = tangent(edge, share_at(edge, length - notch.width_mm / 2.0, length))
    deep = notch.depth_mm * inward
    inner = (shoulder[0] - uy * deep, shoulder[1] + ux * deep)
    ahead = [
        (along, share)
        for share in line_crossings(beyond, inner, (ux, uy))
        if (along := _along(evaluate(beyond, share), inner, (ux, uy))) > SAME_LENGTH_MM
    ]
    if not ahead:
        return None
    share = min(ahead)[1]
    out = evaluate(beyond, share)
    rest = (1.0 - share) * length_mm(beyond)
    radius = min(notch.radius_mm, notch.depth_mm, notch.width_mm)
    treatment = Treatment.ROUND if radius > 0.0 else Treatment.SHARP
    corners = (Corner(shoulder), Corner(inner, treatment, radius), Corner(out))
    # The last line closes the ring and is no part of the notch.
    way = closed_outline(corners)[:-1]
    before = (split_many(edge, (end,))[0],) if end * length > SAME_POINT_MM else ()
    after = (split_many(beyond, (share,))[-1],) if rest > SAME_POINT_MM else ()
    return (*before, *way, *after, *ring[2:])


def _is_at(a: Point, b: Point) -> bool:
    return math.dist(a, b) <= SAME_POINT_MM


def _along(point: Point, start: Point, direction: Point) -> float:
    return (point[0] - start[0]) * direction[0] + (point[1] - start[1]) * direction[1]


def share_at(edge: Curve, along_mm: float, length: float) -> float:
    """Parameter at a length along an edge.

    Parameters
    ----------
    along_mm
        From the edge's start. [mm]
    length
        Of the whole edge. [mm]
    """
    if isinstance(edge, Line | Arc):
        return min(max(along_mm / length, 0.0), 1.0)
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        is_before = 0.0 < middle < 1.0 and length_mm(split_many(edge, (middle,))[0]) < along_mm
        low, high = (middle, high) if is_before else (low, middle)
    return (low + high) / 2.0
