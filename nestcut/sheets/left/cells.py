"""Cells over some bounds, and which of them nothing blocked touches.

Edges are followed band by band of cells: within a band an edge touches the cells between its least
and its greatest x there.  Cells that no edge touches lie inside or outside as their middle does, by
the edges to the left of it.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from nestcut.tolerances.lengths import NOISE_MM, PASSED_MM

Box = tuple[float, float, float, float]
"""An upright box: least x and y, greatest x and y. [mm]"""

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]
Edges = tuple[Floats, Floats]
"""Where edges begin and end, a row each. [mm]"""
_Ints = NDArray[np.intp]

_CELLS = 100
"""Cells along the longer side of some bounds."""


@dataclass(frozen=True, slots=True)
class Cells:
    """Cells over some bounds. ``free``: by row and column, which of them nothing touches."""

    xs: Floats
    ys: Floats
    free: Bools

    @staticmethod
    def over(blocked: BaseGeometry, bounds: Box) -> Cells:
        """Divide some bounds into cells, about square.

        Parameters
        ----------
        blocked
            Polygons that don't overlap, such as a union of them. [mm]
        bounds
            Least x and y, greatest x and y. [mm]
        """
        x0, y0, x1, y1 = bounds
        step = max(x1 - x0, y1 - y0) / _CELLS
        xs = np.linspace(x0, x1, max(1, int((x1 - x0) / step)) + 1)
        ys = np.linspace(y0, y1, max(1, int((y1 - y0) / step)) + 1)
        edges = edges_of(blocked)
        return Cells(xs, ys, ~(_touched(edges, xs, ys, NOISE_MM) | _inside(edges, xs, ys)))

    @staticmethod
    def within(region: BaseGeometry, xs: Floats, ys: Floats) -> Cells:
        """Return the cells between lines, free where they lie in a region, to a hair.

        Parameters
        ----------
        region
            Polygons that don't overlap. [mm]
        xs, ys
            Where the lines are, rising, shapes (n,) and (m,). [mm]
        """
        edges = edges_of(region)
        return Cells(xs, ys, _inside(edges, xs, ys) & ~_touched(edges, xs, ys, -PASSED_MM))

    def without(self, box: Box) -> Cells:
        """Return them with an upright box blocked besides what was.

        Parameters
        ----------
        box
            Least x and y, greatest x and y. [mm]
        """
        columns = (self.xs[1:] >= box[0]) & (self.xs[:-1] <= box[2])
        rows = (self.ys[1:] >= box[1]) & (self.ys[:-1] <= box[3])
        return Cells(self.xs, self.ys, self.free & ~(rows[:, None] & columns))


def edges_of(blocked: BaseGeometry) -> Edges:
    """Return where the edges of polygons begin and end, shapes (n, 2). [mm]"""
    rings = shapely.get_rings(shapely.get_parts(blocked))
    points, of = shapely.get_coordinates(rings, return_index=True)
    same = of[1:] == of[:-1]
    return points[:-1][same], points[1:][same]


def _by_rows(first: _Ints, after: _Ints) -> tuple[_Ints, _Ints]:
    """Return every edge once for each of its rows, and the rows."""
    times = np.maximum(0, after - first)
    edge = np.repeat(np.arange(len(times)), times)
    return edge, first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(times) - times, times)


def _touched(edges: Edges, xs: Floats, ys: Floats, reach_mm: float) -> Bools:
    """Cells that edges come nearer to than ``reach_mm``, along and across."""
    begin, end = edges
    low, high = np.minimum(begin[:, 1], end[:, 1]), np.maximum(begin[:, 1], end[:, 1])
    edge, row = _by_rows(
        np.searchsorted(ys[1:], low - reach_mm), np.searchsorted(ys[:-1], high + reach_mm, "right")
    )
    x, run = begin[edge, 0], (end - begin)[edge]
    level = run[:, 1] == 0.0
    rise = np.where(level, 1.0, run[:, 1])
    a, b = (np.clip((line[row] - begin[edge, 1]) / rise, 0.0, 1.0) for line in (ys[:-1], ys[1:]))
    ends = (x + np.where(level, 0.0, a) * run[:, 0], x + np.where(level, 1.0, b) * run[:, 0])
    left = np.searchsorted(xs[1:], np.minimum(*ends) - reach_mm)
    right = np.searchsorted(xs[:-1], np.maximum(*ends) + reach_mm, "right")
    hit = left < right
    counts = np.zeros((len(ys) - 1, len(xs)), dtype=np.int32)
    np.add.at(counts, (row[hit], left[hit]), 1)
    np.add.at(counts, (row[hit], right[hit]), -1)
    touched: Bools = counts.cumsum(axis=1)[:, :-1] > 0
    return touched


def _inside(edges: Edges, xs: Floats, ys: Floats) -> Bools:
    """Cells whose middle has an odd number of edges to its left."""
    begin, end = edges
    middles_x, middles_y = (xs[1:] + xs[:-1]) / 2.0, (ys[1:] + ys[:-1]) / 2.0
    low, high = np.minimum(begin[:, 1], end[:, 1]), np.maximum(begin[:, 1], end[:, 1])
    edge, row = _by_rows(np.searchsorted(middles_y, low), np.searchsorted(middles_y, high))
    run = (end - begin)[edge]
    x = begin[edge, 0] + (middles_y[row] - begin[edge, 1]) / run[:, 1] * run[:, 0]
    turns = np.zeros((len(ys) - 1, len(xs)), dtype=np.int32)
    np.add.at(turns, (row, np.searchsorted(middles_x, x)), 1)
    inside: Bools = turns.cumsum(axis=1)[:, :-1] % 2 == 1
    return inside
