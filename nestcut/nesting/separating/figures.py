"""Distinct shapes among the items, and the turns and lies each may take."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from nestcut.geometry.pose import cos_sin
from nestcut.geometry.simplify import covering
from nestcut.model.pose import Lie
from nestcut.nesting.problem import FloatArray, Item
from nestcut.nesting.separating.convex import convex_cover
from nestcut.tolerances import ANGLE_DEG

SQUARE_EDGES = 8
"""Longest edges of a turning item's hull that are tried along the container's edges."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One distinct shape: its convex parts about ``centre``, and its area."""

    parts: tuple[FloatArray, ...]
    centre: tuple[float, float]
    area: float


@dataclass(frozen=True, slots=True)
class Option:
    """An item's lie in a turn that may be anything from ``low_deg`` to ``high_deg``."""

    lie: Lie
    turn_deg: float
    figure: int
    low_deg: float
    high_deg: float


def figures_of(items: tuple[Item, ...], simplify: float) -> tuple[list[Figure], list[int]]:
    """Return the distinct shapes and each item's shape."""
    found: dict[bytes, int] = {}
    figures: list[Figure] = []
    which = []
    for item in items:
        key = b"|".join(np.ascontiguousarray(r).tobytes() for r in (item.outline, *item.holes))
        if key not in found:
            found[key] = len(figures)
            figures.append(_figure(item, simplify))
        which.append(found[key])
    return figures, which


def _figure(item: Item, simplify: float) -> Figure:
    polygon = Polygon(item.outline, item.holes)
    if simplify > 0.0:
        polygon = covering(polygon, simplify)
    x0, y0, x1, y1 = polygon.bounds
    centre = ((x0 + x1) / 2, (y0 + y1) / 2)
    parts = tuple(part - np.array(centre) for part in convex_cover(polygon))
    return Figure(parts, centre, float(polygon.area))


def options_of(item: Item, figure: Figure, number: int) -> tuple[Option, ...]:
    """Return an item's options: its turns, and for a turning item those that set edges square.

    Parameters
    ----------
    figure
        The item's figure, for the edges that are to lie square.
    number
        Of the figure, which the options refer to.
    """
    span = item.turns.span_deg
    options = []
    for lie in item.lies:
        for centre in item.turns.centres_deg:
            low, high = centre - span, centre + span
            options.append(Option(lie, centre, number, low, high))
            if span > 0.0:
                options.extend(
                    Option(lie, turn, number, low, high)
                    for turn in _square_turns(figure, lie)
                    for turn in (turn - 360.0 * math.floor((turn - low) / 360.0),)
                    if turn <= high and abs(turn - centre) > ANGLE_DEG
                )
    return tuple(options)


def _square_turns(figure: Figure, lie: Lie) -> list[float]:
    """Turns that lay one of the long edges of the hull along a container's edge. [deg]"""
    parts = rotated(figure.parts, lie, 0.0)
    hull = shapely.orient_polygons(shapely.MultiPoint(np.vstack(parts)).convex_hull)
    ring = shapely.get_coordinates(hull)
    edges = np.diff(ring, axis=0)
    length = np.hypot(edges[:, 0], edges[:, 1])
    longest = np.argsort(-length, kind="stable")[:SQUARE_EDGES]
    turns: list[float] = []
    for k in longest:
        along = math.degrees(math.atan2(edges[k, 1], edges[k, 0]))
        for quarter in (0.0, 90.0, 180.0, 270.0):
            turn = (quarter - along) % 360.0
            if all(abs((turn - t + 180.0) % 360.0 - 180.0) > ANGLE_DEG for t in turns):
                turns.append(turn)
    return turns


def rotated(parts: tuple[FloatArray, ...], lie: Lie, turn_deg: float) -> list[FloatArray]:
    """Reflect and turn convex parts about the origin; they stay counter-clockwise.

    Parameters
    ----------
    parts
        Convex rings, counter-clockwise, each of shape (corners, 2). [mm]
    turn_deg
        Turn after any reflection, counter-clockwise. [deg]
    """
    c, s = cos_sin(turn_deg)
    out = []
    for part in parts:
        ring = part * np.array([-1.0, 1.0]) if lie is Lie.FACE_DOWN else part
        if lie is Lie.FACE_DOWN:
            ring = ring[::-1]
        out.append(
            np.column_stack((ring[:, 0] * c - ring[:, 1] * s, ring[:, 0] * s + ring[:, 1] * c))
        )
    return out
