"""Straight edges of a section, after planking is taken off, and the rings that they make."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from nestcut.model.curves import Curve, Point
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.bulkhead import mirrored_ring
from nestcut.shapes.figures.outline import Corner
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.noise import SECTION_PARALLEL

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True, kw_only=True)
class RingWish:
    """Widths of a ring frame along its strakes, and of its beam across the top. [mm]

    ``widths_mm`` has one for all strakes, or one for each from the centre line out; without a beam
    the frame is open on top.
    """

    widths_mm: tuple[float, ...]
    beam_mm: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Edge:
    """An edge of the section: its ends after planking is taken off, and its splay there. [deg]"""

    a: Floats
    b: Floats
    splay_deg: tuple[float, float]


def corners_of(edges: list[Edge], top: float) -> list[Point]:
    """Corners from the bottom's centre to the top, where neighbouring edges meet."""
    first = edges[0]
    corners = [_at_x(first, 0.0)]
    corners += [crossing(one, other) for one, other in pairwise(edges)]
    corners.append(_at_y(edges[-1], top))
    return corners


def _at_x(edge: Edge, x: float) -> Point:
    run = edge.b - edge.a
    return (x, float(edge.a[1] + (x - edge.a[0]) / run[0] * run[1]))


def _at_y(edge: Edge, y: float) -> Point:
    run = edge.b - edge.a
    if abs(run[1]) <= SAME_LENGTH_MM:
        return (float(edge.b[0]), y)
    return (float(edge.a[0] + (y - edge.a[1]) / run[1] * run[0]), y)


def crossing(one: Edge, other: Edge) -> Point:
    """Where two edges meet, carried on; between their ends where they run alike."""
    r, s = one.b - one.a, other.b - other.a
    wide = float(r[0] * s[1] - r[1] * s[0])
    if abs(wide) <= SECTION_PARALLEL * float(np.hypot(*r) * np.hypot(*s)):
        x, y = (one.b + other.a) / 2.0
        return (float(x), float(y))
    gap = other.a - one.a
    share = float(gap[0] * s[1] - gap[1] * s[0]) / wide
    x, y = one.a + share * r
    return (float(x), float(y))


def hollow(
    edges: list[Edge], corners: list[Point], wish: RingWish, *, top: float, camber_mm: float
) -> tuple[list[Point], tuple[Curve, ...]]:
    """Inner edge of a ring frame.

    Parameters
    ----------
    edges
        Of the frame's outline, one a strake, from the centre line up.
    corners
        Of the frame's outline, from the centre line up. [mm]
    top
        Height of the frame's upper edge. [mm]
    camber_mm
        How much higher that edge is in the middle. [mm]

    Returns
    -------
    list of Point
        Inner corners from the centre line up.
    tuple of Curve
        The closed hole of a frame with a beam on top, empty of an open one.

    Raises
    ------
    ShapeFaultError
        If the frame is as wide as the hull, or widths don't go with its strakes.
    """
    widths = wish.widths_mm * len(edges) if len(wish.widths_mm) == 1 else wish.widths_mm
    if len(widths) != len(edges):
        raise ShapeFaultError("width", "SHP-159", number=len(widths), strakes=len(edges))
    moved = [
        _moved(e, a, b, w) for e, (a, b), w in zip(edges, pairwise(corners), widths, strict=True)
    ]
    beam = wish.beam_mm
    if beam is None:
        inner = corners_of(moved, top)
        if inner[0][1] >= top or any(p[0] <= 0.0 for p in inner[1:]):
            raise ShapeFaultError("width", "SHP-057")
        return inner, ()
    end = _under_beam(moved[-1], corners[-1], beam, camber_mm)
    inner = [*corners_of(moved, end[1])[:-1], end]
    if end[1] <= max(p[1] for p in inner[:-1]) or any(p[0] <= 0.0 for p in inner[1:]):
        raise ShapeFaultError("width", "SHP-057")
    rise = top + camber_mm - beam - end[1]
    is_level = abs(inner[0][1] - inner[1][1]) <= SAME_LENGTH_MM
    keel = None if is_level else Corner(inner[0])
    return inner, mirrored_ring([Corner(p) for p in inner[1:]], keel, None, rise)


def _under_beam(edge: Edge, corner: Point, beam_mm: float, camber_mm: float) -> Point:
    """Where the inner side meets the lower edge of a beam that follows the top's camber."""
    half, top = corner
    if camber_mm <= SAME_LENGTH_MM:
        return _at_y(edge, top - beam_mm)
    radius = half * half / (2.0 * camber_mm) + camber_mm / 2.0
    middle, within = top + camber_mm - radius, radius - beam_mm
    low, high = top - beam_mm, top + camber_mm - beam_mm
    for _ in range(70):
        y = (low + high) / 2.0
        x = _at_y(edge, y)[0]
        low, high = (y, high) if x * x + (y - middle) ** 2 < within * within else (low, y)
    return _at_y(edge, (low + high) / 2.0)


def _moved(edge: Edge, a: Point, b: Point, width_mm: float) -> Edge:
    """Parallel of an edge inside it."""
    p, q = np.array(a), np.array(b)
    run = (q - p) / np.hypot(*(q - p))
    shift = np.array([-run[1], run[0]]) * width_mm
    return Edge(p + shift, q + shift, edge.splay_deg)
