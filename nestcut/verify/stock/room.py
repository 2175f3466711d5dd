"""Is there room for an upright box among areas that are taken?  The verifier's own way: by cells.

Cells that an area's line runs through, or whose middle lies in an area, are touched.  Where whole
cells that aren't touched hold the box, there is room.  Where even the cells that it would surely
cover are touched, there is none.  What is in doubt is looked at by finer cells, down to the finest.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from nestcut.tolerances.lengths import NOISE_MM
from nestcut.verify.truth import Rows

Bools = NDArray[np.bool_]
Box = tuple[float, float, float, float]
"""An upright box: least x and y, greatest x and y. [mm]"""

_FIRST_CELL_MM = 16.0
_FINER = 4.0
"""How many times finer the next cells are."""
_FINEST_CELL_MM = 0.25
"""What is in doubt by cells of this size is taken for no room. [mm]"""
_MOST_CELLS = 2_000_000
"""What would take more cells is looked at in halves."""


@dataclass(frozen=True, slots=True)
class Lines:
    """Lines round areas, one edge a row, the area on their left. [mm]"""

    begin: Rows
    end: Rows

    @staticmethod
    def of(areas: Sequence[BaseGeometry]) -> Lines:
        """Return the lines round areas."""
        turned = shapely.orient_polygons(shapely.get_parts(np.asarray(areas, dtype=object)))
        rings = shapely.get_rings(shapely.get_parts(turned))
        points, of = shapely.get_coordinates(rings, return_index=True)
        same = of[1:] == of[:-1]
        return Lines(points[:-1][same], points[1:][same])

    def within(self, box: Box) -> Lines:
        """Return those that matter for what is in a box: not wholly below, above or beyond it."""
        low, high = np.minimum(self.begin, self.end), np.maximum(self.begin, self.end)
        kept = (high[:, 1] >= box[1]) & (low[:, 1] <= box[3]) & (low[:, 0] <= box[2])
        return Lines(self.begin[kept], self.end[kept])


@dataclass(frozen=True, slots=True)
class Cells:
    """Cells over a box. ``touched``: by row and column."""

    low: tuple[float, float]
    step: tuple[float, float]
    touched: Bools

    @staticmethod
    def over(box: Box, cell_mm: float, lines: Lines) -> Cells:
        """Divide a box into cells of about a size, and find those that are touched.

        Parameters
        ----------
        box
            Least x and y, greatest x and y. [mm]
        cell_mm
            Size of a cell. [mm]
        lines
            Round what touches.
        """
        low, sides = np.array(box[:2]), np.array(box[2:]) - np.array(box[:2])
        count = np.maximum(1, np.ceil(sides / cell_mm - NOISE_MM)).astype(int)
        step, near = sides / count, lines.within(box)
        begin, end = (near.begin - low) / step, (near.end - low) / step
        touched = _run_through(begin, end, count) | _inside(begin, end, count)
        return Cells((box[0], box[1]), (float(step[0]), float(step[1])), touched)

    def holds(self, columns: int, rows: int) -> Bools:
        """Where so many columns and rows of cells begin none of which is touched."""
        columns, rows = max(0, columns), max(0, rows)
        high, wide = self.touched.shape
        if columns > wide or rows > high:
            return np.zeros((0, 0), dtype=np.bool_)
        sums = np.zeros((high + 1, wide + 1), dtype=np.int32)
        np.cumsum(self.touched, axis=0, out=sums[1:, 1:])
        np.cumsum(sums, axis=1, out=sums)
        tall = sums[rows:] - sums[: high + 1 - rows]
        free: Bools = tall[:, columns:] == tall[:, : wide + 1 - columns]
        return free


class Room:
    """What is left free of some bounds.

    Parameters
    ----------
    bounds
        What boxes must lie in. [mm]
    lines
        Round all that they must keep clear of.
    """

    def __init__(self, bounds: Box, lines: Lines) -> None:
        self._bounds, self._lines = bounds, lines
        self._first = Cells.over(bounds, _FIRST_CELL_MM, lines)

    def place_for(self, width_mm: float, height_mm: float) -> Box | None:
        """Return where a box surely has room, None where it has none or hardly any."""
        x0, y0, x1, y1 = self._bounds
        if x1 - x0 < width_mm or y1 - y0 < height_mm:
            return None
        starts = (x0, y0, x1 - width_mm, y1 - height_mm)
        return self._judge(starts, (width_mm, height_mm), _FIRST_CELL_MM, self._first)

    def _look(self, starts: Box, sides: tuple[float, float], cell_mm: float) -> Box | None:
        """As :meth:`place_for`, for boxes whose low corner lies in ``starts``."""
        x0, y0, x1, y1 = starts
        box = (x0, y0, x1 + sides[0], y1 + sides[1])
        most_mm2 = _MOST_CELLS * cell_mm**2
        if sides[0] * sides[1] > most_mm2 / 2.0:
            return None
        if (box[2] - x0) * (box[3] - y0) > most_mm2:
            found = (self._look(half, sides, cell_mm) for half in _in_halves(starts))
            return next((f for f in found if f is not None), None)
        return self._judge(starts, sides, cell_mm, Cells.over(box, cell_mm, self._lines))

    def _judge(
        self, starts: Box, sides: tuple[float, float], cell_mm: float, cells: Cells
    ) -> Box | None:
        """Judge by cells over all that boxes with these low corners may cover."""
        (x0, y0), (dx, dy) = cells.low, cells.step
        columns, rows = (
            int(np.ceil(a / s - NOISE_MM)) for a, s in zip(sides, cells.step, strict=True)
        )
        surely = np.argwhere(cells.holds(columns, rows))
        if len(surely):
            row, column = surely[0].tolist()
            x, y = x0 + column * dx, y0 + row * dy
            return (x, y, x + columns * dx, y + rows * dy)
        # the cells at both ends of a box may be touched by what it touches
        perhaps = np.argwhere(cells.holds(columns - 2, rows - 2))
        if not len(perhaps) or cell_mm <= _FINEST_CELL_MM:
            return None
        (low, left), (high, right) = perhaps.min(axis=0).tolist(), perhaps.max(axis=0).tolist()
        nearer = (
            max(starts[0], x0 + (left - 1) * dx),
            max(starts[1], y0 + (low - 1) * dy),
            min(starts[2], x0 + right * dx),
            min(starts[3], y0 + high * dy),
        )
        if nearer[0] > nearer[2] or nearer[1] > nearer[3]:
            return None
        return self._look(nearer, sides, cell_mm / _FINER)


def _in_halves(box: Box) -> tuple[Box, Box]:
    """Cut a box across its longer side."""
    x0, y0, x1, y1 = box
    x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
    if x1 - x0 >= y1 - y0:
        return (x0, y0, x, y1), (x, y0, x1, y1)
    return (x0, y0, x1, y), (x0, y, x1, y1)


def _run_through(begin: Rows, end: Rows, count: NDArray[np.int_]) -> Bools:
    """Cells that lines run through, by where they cross the lines between cells. [cells]"""
    marked: Bools = np.zeros((count[1], count[0]), dtype=np.bool_)
    edges, shares = [np.arange(len(begin))] * 2, [np.zeros(len(begin)), np.ones(len(begin))]
    for axis in (0, 1):
        a, b = begin[:, axis], end[:, axis]
        first = np.maximum(0, np.ceil(np.minimum(a, b))).astype(int)
        last = np.minimum(count[axis], np.floor(np.maximum(a, b))).astype(int)
        times = np.where(a == b, 0, np.maximum(0, last - first + 1))
        edge = np.repeat(np.arange(len(begin)), times)
        nth = np.arange(len(edge)) - np.repeat(np.cumsum(times) - times, times)
        edges.append(edge)
        shares.append((first[edge] + nth - a[edge]) / (b[edge] - a[edge]))
    edge, share = np.concatenate(edges), np.concatenate(shares)
    order = np.lexsort((share, edge))
    edge, share = edge[order], share[order]
    middle = ((share[1:] + share[:-1]) / 2.0)[edge[1:] == edge[:-1]]
    edge = edge[1:][edge[1:] == edge[:-1]]
    at = np.floor(begin[edge] + middle[:, None] * (end - begin)[edge]).astype(int)
    at = at[((at >= 0) & (at < count)).all(axis=1)]
    marked[at[:, 1], at[:, 0]] = True
    return marked


def _inside(begin: Rows, end: Rows, count: NDArray[np.int_]) -> Bools:
    """Cells whose middle lies in an area: lines to the left of it that rise, less those that fall.

    Where areas lie over each other there are as many more.
    """
    turns = np.zeros((count[1], count[0] + 1), dtype=np.int32)
    low, high = np.minimum(begin[:, 1], end[:, 1]), np.maximum(begin[:, 1], end[:, 1])
    # rows whose middle line, half a cell up, the edge crosses: its lower end counts, not its upper
    first = np.maximum(0, np.ceil(low - 0.5)).astype(int)
    after = np.minimum(count[1], np.ceil(high - 0.5)).astype(int)
    times = np.maximum(0, after - first)
    edge = np.repeat(np.arange(len(begin)), times)
    row = first[edge] + np.arange(len(edge)) - np.repeat(np.cumsum(times) - times, times)
    run = (end - begin)[edge]
    x = begin[edge, 0] + (row + 0.5 - begin[edge, 1]) * run[:, 0] / run[:, 1]
    column = np.clip(np.ceil(x - 0.5), 0, count[0]).astype(int)
    np.add.at(turns, (row, column), np.where(run[:, 1] < 0.0, 1, -1))
    return np.cumsum(turns, axis=1)[:, :-1] > 0
