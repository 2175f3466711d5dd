"""Weights by rows: how long pieces are where a line along the sheet crosses them.

A line along a sheet crosses pieces in chords that together are no longer than the sheet, so of
chords longer than half of it there is one at most on a line, of those longer than a third two, and
so on: the step functions of :func:`nestcut.sheets.least.conservative.rounded`. Summed over all
lines, the breadth that a piece has beyond each such length is a weight of which a sheet holds its
own breadth. Unlike rectangles inside, this counts long pieces with bent edges for all their
breadth.

Pieces are grown by (almost) half the clearance, the sheet by half. One that may stray from upright
is weighed at closely spaced angles, each time without the rim that half a step moves at most: what
is left lies in the piece at all angles between. (Dual feasible functions applied to lines of a
layout; the idea is Fekete and Schepers' 2004, on chords it is ours.)
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from shapely.affinity import translate
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.nesting.problem import FloatArray, Turns
from nestcut.tolerances.noise import DUST, NOISE

MOST_STEPS = 4
"""Chords beyond a half up to a fifth of the sheet are told apart."""

ANGLES = 31
"""Angles at which a piece that strays is weighed."""

UNDER = 0.98
"""Share of half the clearance by which pieces are grown: safely less than all of it. [-]"""

CORNER_SEGMENTS = 4
"""Chords that a rounded corner's quarter is made of: they lie inside a grown piece."""

RIM = 1.02
"""Factor on what half a step in angle moves a rim by: such chords are 1.9 % short of it. [-]"""


def chord_weights(
    net: Polygon, turns: Turns, clearance_mm: float, box_mm: tuple[float, float]
) -> FloatArray:
    """Weigh a piece by the chords of rows and columns.

    Parameters
    ----------
    net
        The piece, at turn 0. [mm]
    turns
        Quarter turns, and how far it may stray from them.
    clearance_mm
        Between pieces.
    box_mm
        Sides of the box around the usable area.

    Returns
    -------
    Shares of a sheet, shape (2, MOST_STEPS): by rows, by columns; for each k the mean of the
    breadths beyond chords of 1/(k+1), 2/(k+1), ... k/(k+1) of the sheet.
    """
    half = clearance_mm / 2.0
    sides = np.array(box_mm) + clearance_mm
    x0, y0, x1, y1 = net.bounds
    net = translate(net, -(x0 + x1) / 2.0, -(y0 + y1) / 2.0)
    rim = shapely.get_coordinates(net)
    far = float(np.hypot(rim[:, 0], rim[:, 1]).max()) + half
    angles = np.linspace(-turns.span_deg, turns.span_deg, ANGLES if turns.span_deg else 1)
    step = math.radians(turns.span_deg) / (ANGLES - 1)
    edges = _edges(_grown(net, half * UNDER - RIM * far * step))
    least = np.full((2, MOST_STEPS), np.inf)
    for quarter in sorted({t % 180.0 for t in turns.centres_deg}):
        for angle in np.radians(quarter + angles):
            c, s = math.cos(angle), math.sin(angle)
            turned = edges @ np.array([[c, s], [-s, c]])
            rows = _weights(turned, sides[0], sides[1])
            columns = _weights(turned @ np.array([[0.0, 1.0], [-1.0, 0.0]]), sides[1], sides[0])
            least = np.minimum(least, np.array([rows, columns]))
    return least


def _grown(net: Polygon, by: float) -> BaseGeometry:
    """Grow a piece's outline; its holes may hold other pieces and are left out whole."""
    if by <= 0.0:
        return net.buffer(by, quad_segs=CORNER_SEGMENTS)
    holes = [Polygon(ring) for ring in net.interiors]
    return (
        Polygon(net.exterior)
        .buffer(by, quad_segs=CORNER_SEGMENTS)
        .difference(shapely.union_all(holes))
    )


def _edges(shape: BaseGeometry) -> FloatArray:
    """Edges with the piece on their left, from corner to corner, shape (n, 2, 2)."""
    edges = [np.empty((0, 2, 2))]
    for part in shapely.get_parts(shape):
        if isinstance(part, Polygon) and not part.is_empty:
            oriented = shapely.geometry.polygon.orient(part)
            for ring in (oriented.exterior, *oriented.interiors):
                points = shapely.get_coordinates(ring)
                edges.append(np.stack((points[:-1], points[1:]), axis=1))
    return np.vstack(edges)


def _weights(edges: FloatArray, length: float, breadth: float) -> FloatArray:
    """Weigh one pose, given by its edges, by its rows."""
    lengths = [
        np.array([j * length / (k + 1) for j in range(1, k + 1)]) for k in range(1, MOST_STEPS + 1)
    ]
    beyond = _breadth_beyond(edges, np.concatenate(lengths))
    parts = np.split(beyond, np.cumsum([len(x) for x in lengths])[:-1])
    return np.array([float(p.mean()) for p in parts]) / breadth


def _breadth_beyond(edges: FloatArray, lengths: FloatArray) -> FloatArray:
    """Breadth of the rows whose chords together are longer than each length; exact for polygons.

    Between two corners' levels the chords' sum is linear: it is the sum of the rising edges' x
    less that of the falling ones'.
    """
    if not len(edges):
        return np.zeros(len(lengths))
    (x0, y0), (x1, y1) = edges[:, 0].T, edges[:, 1].T
    slanted = y0 != y1
    x0, y0, x1, y1 = x0[slanted], y0[slanted], x1[slanted], y1[slanted]
    levels = np.unique(np.concatenate((y0, y1)))
    low, high = levels[:-1], levels[1:]
    crosses = (np.minimum(y0, y1)[:, None] <= low) & (np.maximum(y0, y1)[:, None] >= high)
    slope = (x1 - x0) / (y1 - y0)
    sign = np.sign(y1 - y0) * crosses.T

    def chord(at: FloatArray) -> FloatArray:
        x = x0 + slope * (at[:, None] - y0)
        return np.asarray((sign * x).sum(axis=1))

    first, last = chord(low), chord(high)
    least, most = np.minimum(first, last), np.maximum(first, last)
    over = most[:, None] - lengths - NOISE * lengths
    share = np.clip(over / np.maximum(most - least, DUST)[:, None], 0.0, 1.0)
    return np.asarray((share * (high - low)[:, None]).sum(axis=0))
