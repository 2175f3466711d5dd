"""Waste along a sheet's edges that is thinner than the blade: it is planed off, not sawn.

A sheet's edges are those that its first cuts leave: most of what is sawn then lies along them.  An
edge that runs slantwise towards the sheet's own may leave room for the blade at one end and none at
the other, so the whole edge is looked at, and both its ends are told.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from shapely.geometry import LineString, Polygon, box
from shapely.geometry import Point as Spot

from nestcut.model.curves import Point
from nestcut.papers.view import Figures, PlacedPiece, Rest
from nestcut.tolerances.noise import NOISE

LEAST_STRIP_MM = 0.5
"""Nearer the sheet's edge than this an edge is the sheet's own. [mm]"""
LEAST_RUN_MM = 50.0
"""Over a shorter stretch the blade runs out at a corner as it does anywhere. [mm]"""
FACING = math.tan(math.radians(20.0))
"""An edge that rises by more than this doesn't run along the sheet's. [-]"""


@dataclass(frozen=True, slots=True)
class Strip:
    """Waste between an edge of a piece and one of its sheet's, somewhere thinner than the blade.

    ``ends_mm`` is how wide it is at the left or lower end of the piece's edge, and at the other.
    """

    side: str
    ends_mm: tuple[float, float]
    least_mm: float
    is_straight: bool


def thin_strips(placed: PlacedPiece, rest_mm: Rest, kerf_mm: float) -> tuple[Strip, ...]:
    """Strips along the edges of the sheet that leave no room for the blade all along.

    Parameters
    ----------
    placed
        One piece of the sheet.
    rest_mm
        What first cuts leave of the sheet: left, low, right, high. [mm]
    kerf_mm
        What the blade takes. [mm]
    """
    left, low, right, high = rest_mm
    least, most = LEAST_STRIP_MM, kerf_mm - NOISE
    sides = (
        ("left", 0, left, box(left + least, low, left + most, high)),
        ("bottom", 1, low, box(left, low + least, right, low + most)),
        ("right", 0, right, box(right - most, low, right - least, high)),
        ("top", 1, high, box(left, high - most, right, high - least)),
    )
    found = []
    for side, axis, far, near in sides if most > least else ():
        edge = _longest(placed.shape.outline.points, axis, near)
        if edge:
            off = [abs(far - p[axis]) for p in edge]
            off = off if edge[0][1 - axis] <= edge[-1][1 - axis] else off[::-1]
            found.append(Strip(side, (off[0], off[-1]), min(off), _is_straight(edge)))
    return tuple(found)


def _longest(ring: tuple[Point, ...], axis: int, near: Polygon) -> list[Point]:
    """The edge of a ring along a side of the sheet that lies furthest in the strip ``near``."""
    best: list[Point] = []
    most = LEAST_RUN_MM
    for edge in _facing(ring, axis):
        run = LineString(edge).intersection(near).length
        if run >= most:
            best, most = edge, run
    return best


def _facing(ring: tuple[Point, ...], axis: int) -> list[list[Point]]:
    """Stretches of a ring that run along a side of the sheet, each from corner to corner."""
    count = len(ring)
    along = [_runs_along(ring[k - 1], ring[k], axis) for k in range(count)]
    start = along.index(False) if False in along else 0
    edges: list[list[Point]] = []
    is_on = False
    for k in (*range(start, count), *range(start)):
        if along[k]:
            if not is_on:
                edges.append([ring[k - 1]])
            edges[-1].append(ring[k])
        is_on = along[k]
    return edges


def _runs_along(a: Point, b: Point, axis: int) -> bool:
    return abs(b[axis] - a[axis]) <= FACING * abs(b[1 - axis] - a[1 - axis])


def _is_straight(edge: list[Point]) -> bool:
    chord = LineString((edge[0], edge[-1]))
    return max(chord.distance(Spot(p)) for p in edge) < LEAST_STRIP_MM


def strip_words(strip: Strip, figures: Figures) -> str:
    """How wide a strip is: ``left edge: waste 0 mm at its bottom end, 6.5 mm at its top``."""
    names = ("bottom", "top") if strip.side in {"left", "right"} else ("left", "right")
    low, high = (figures.near(v) for v in strip.ends_mm)
    if not strip.is_straight:
        return f"{strip.side} edge: waste down to {figures.near(strip.least_mm)}"
    if low == high:
        return f"{strip.side} edge: waste {low}"
    return f"{strip.side} edge: waste {low} at its {names[0]} end, {high} at its {names[1]}"
