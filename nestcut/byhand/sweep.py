"""How far an outline can go straight ahead until one of its corners or edges meets another's.

Everything is held as edges, rows (x0, y0, x1, y1) with the solid to their left.  Where two polygons
meet, a corner of one meets an edge of the other: each corner is sent ahead along the move as a ray.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from nestcut.tolerances.search import (
    SWEEP_ALIKE,
    SWEEP_PARALLEL,
    SWEEP_ROOM_MM,
    SWEEP_TOUCH_MM,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """Where a move ends: the share of it that can be gone, and edges that are touched there.

    ``directions`` are unit vectors along these edges; none, where the whole way is free.
    """

    share: float
    directions: tuple[NDArray[np.float64], ...]


def edges_of(area: BaseGeometry) -> NDArray[np.float64]:
    """Return all edges of an area, the area to their left, shape (n, 4)."""
    rings = [
        shapely.get_coordinates(ring)
        for part in shapely.get_parts(area)
        if isinstance(part, shapely.Polygon) and not part.is_empty
        for whole in [shapely.orient_polygons(part)]
        for ring in (whole.exterior, *whole.interiors)
    ]
    rows = [np.hstack([ring[:-1], ring[1:]]) for ring in rings]
    edges = np.concatenate([*rows, np.empty((0, 4))])
    return edges[np.any(edges[:, :2] != edges[:, 2:], axis=1)]


def grown_edges(area: BaseGeometry, by_mm: float, slack_mm: float) -> NDArray[np.float64]:
    """Return the edges of an area grown by a distance, or more by less than the slack. [mm]

    Round corners become chords; none of them comes nearer than the distance.

    Parameters
    ----------
    area
        One polygon or several. [mm]
    by_mm
        Distance to grow by; 0: not at all. [mm]
    slack_mm
        How much farther the corners of chords may stand out; more than 0. [mm]
    """
    if by_mm <= 0.0:
        return edges_of(area)
    most = slack_mm / 2
    half_turn = math.acos(by_mm / (by_mm + most))
    quarters = max(1, math.ceil(math.pi / 4 / half_turn))
    out = by_mm / math.cos(math.pi / 4 / quarters)
    return edges_of(area.buffer(out, quad_segs=quarters))


def reach(
    moved: NDArray[np.float64],
    standing: NDArray[np.float64],
    step: NDArray[np.float64],
    slack_mm: float,
) -> Contact:
    """Return how far one outline goes until it runs into another.

    Parameters
    ----------
    moved, standing
        Edges of what is moved and of what stands, shape (n, 4). [mm]
    step
        The move, shape (2,). [mm]
    slack_mm
        What lies less than this behind an edge has run into it already.
    """
    far = float(np.hypot(*step))
    if far == 0.0 or not len(standing):
        return Contact(share=1.0, directions=())
    unit = step / far
    hits = [
        _met(moved[:, :2], standing, unit, far, slack_mm),
        _met(standing[:, :2], moved, -unit, far, slack_mm),
    ]
    stops = np.concatenate([h[0] for h in hits])
    if not len(stops):
        return Contact(share=1.0, directions=())
    along = np.concatenate([h[1] for h in hits])
    stop = max(0.0, float(stops.min()))
    near = along[stops <= max(float(stops.min()), 0.0) + SWEEP_TOUCH_MM]
    return Contact(share=min(1.0, stop / far), directions=_different(near))


def _met(
    points: NDArray[np.float64],
    edges: NDArray[np.float64],
    unit: NDArray[np.float64],
    far: float,
    slack_mm: float,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return where points sent along a unit vector stop at edges, and the edges' directions.

    Only edges that are entered count: whoever stands a little too deep may come out.
    """
    ahead, beside = points @ unit, points @ np.array([-unit[1], unit[0]])
    a, b = edges[:, :2], edges[:, 2:]
    beside_a, beside_b = a @ np.array([-unit[1], unit[0]]), b @ np.array([-unit[1], unit[0]])
    # The solid lies to the left of an edge: it is entered where the edge runs against "beside".
    enters = beside_a - beside_b > SWEEP_PARALLEL * np.hypot(*(b - a).T)
    a, b, beside_a, beside_b = a[enters], b[enters], beside_a[enters], beside_b[enters]
    which, edge = np.nonzero(
        (beside[:, None] <= beside_a[None, :]) & (beside[:, None] >= beside_b[None, :])
    )
    ahead_a, ahead_b = a[edge] @ unit, b[edge] @ unit
    drop = beside_a[edge] - beside_b[edge]
    met = ahead_a + (ahead_b - ahead_a) * (beside_a[edge] - beside[which]) / drop - ahead[which]
    along = b[edge] - a[edge]
    length = np.hypot(along[:, 0], along[:, 1])
    along = along / length[:, None]
    room = (
        SWEEP_ROOM_MM * length / drop
    )  # as far along the way as gives that much square to the edge
    counts = (met > -slack_mm * length / drop) & (met <= far + room / 2)
    return (met - room)[counts], along[counts]


def _different(units: NDArray[np.float64]) -> tuple[NDArray[np.float64], ...]:
    """Return directions that aren't the same line."""
    found: list[NDArray[np.float64]] = []
    for unit in units:
        if all(abs(unit[0] * o[1] - unit[1] * o[0]) > SWEEP_ALIKE for o in found):
            found.append(unit)
    return tuple(found)
