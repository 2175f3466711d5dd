"""Waste along a sheet's edges that is thinner than the blade: it is planed off, not sawn.

A sheet's edges are those that its first cuts leave: most of what is sawn then lies along them.  An
edge that runs slantwise towards the sheet's own may leave room for the blade at one end and none at
the other; there it is no different.
"""

from __future__ import annotations

import math

from shapely.geometry import LineString, Polygon, box

from nestcut.model.curves import Point
from nestcut.papers.view import Keep, PlacedPiece, Rest, SheetView, rest_mm
from nestcut.tolerances.noise import NOISE

LEAST_STRIP_MM = 0.5
"""Nearer the sheet's edge than this an edge is the sheet's own. [mm]"""
LEAST_RUN_MM = 15.0
"""Over a shorter stretch a corner touches the strip, no edge. [mm]"""
FACING = math.tan(math.radians(20.0))
"""An edge that rises by more than this doesn't run along the sheet's. [-]"""

SIDES = ("left", "bottom", "right", "top")


def thin_sides(placed: PlacedPiece, rest: Rest, kerf_mm: float) -> tuple[str, ...]:
    """Sides with strips along the edges of the sheet that leave no room for the blade all along.

    Parameters
    ----------
    placed
        One piece of the sheet.
    rest
        What first cuts leave of the sheet: left, low, right, high. [mm]
    kerf_mm
        What the blade takes. [mm]
    """
    left, low, right, high = rest
    least, most = LEAST_STRIP_MM, kerf_mm - NOISE
    strips = (
        (0, box(left + least, low, left + most, high)),
        (1, box(left, low + least, right, low + most)),
        (0, box(right - most, low, right - least, high)),
        (1, box(left, high - most, right, high - least)),
    )
    if most <= least:
        return ()
    ring = placed.shape.outline.points
    return tuple(
        side for side, (axis, near) in zip(SIDES, strips, strict=True) if _runs_in(ring, axis, near)
    )


def _runs_in(ring: tuple[Point, ...], axis: int, near: Polygon) -> bool:
    """Whether an edge of a ring along a side of the sheet runs in the strip ``near``."""
    return any(
        LineString(edge).intersection(near).length >= LEAST_RUN_MM for edge in _facing(ring, axis)
    )


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


def thin_beside(
    sheet: SheetView, keeps: tuple[Keep, ...], kerf_mm: float
) -> tuple[tuple[int, ...], tuple[int, ...]]:
    """Numbers of the pieces by an edge with waste that is thinner than the blade.

    First those by the sheet's own edges, then those by edges that first cuts leave.

    Parameters
    ----------
    kerf_mm
        What the blade takes. [mm]
    """
    if sheet.layout.outline is not None:
        return (), ()
    rest = rest_mm(sheet, keeps, kerf_mm)
    whole = (0.0, 0.0, sheet.layout.length_mm, sheet.layout.width_mm)
    own = {side for side, a, b in zip(SIDES, rest, whole, strict=True) if a == b}
    found = [(p.number, set(thin_sides(p, rest, kerf_mm))) for p in sheet.placed]
    return (
        tuple(sorted(number for number, sides in found if sides & own)),
        tuple(sorted(number for number, sides in found if sides - own)),
    )
