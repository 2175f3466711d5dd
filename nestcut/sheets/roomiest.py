"""The largest upright boxes of some least size in what is left free, and whether there are any.

Where the low corner of a box of the least sides may lie is what remains when all that is blocked is
widened by that box, mirrored: the Minkowski sum of the two, put together of what each edge sweeps.
A larger box is an upright box of such corners, longer and wider by the least sides.  Cells that
stand free say beforehand where it's worth looking.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.tolerances import FLATNESS_MM
from nestcut.tolerances.lengths import NOISE_MM, PASSED_MM

Box = tuple[float, float, float, float]
"""An upright box: least x and y, greatest x and y. [mm]"""

Floats = NDArray[np.float64]
Bools = NDArray[np.bool_]

_STEPS = 20
"""Steps into which a region of corners is divided each way, besides at its own corners."""
_FINER = 6
"""Into so many the steps beside a side are divided."""
_MOST_LINES = 20
"""Of more corners than this no lines are drawn through a region."""


@dataclass(frozen=True, slots=True)
class Cells:
    """Cells over some bounds. ``free``: by row and column, which of them nothing touches."""

    xs: Floats
    ys: Floats
    free: Bools


def roomiest(blocked: BaseGeometry, cells: Cells, least: tuple[float, float]) -> list[Box]:
    """Return large boxes that nothing blocked enters, at least one wherever there is room for any.

    Parameters
    ----------
    blocked
        What no box may enter; touching is allowed. [mm]
    cells
        The bounds in cells, which may only be called free where nothing blocked touches them.
    least
        Least width and height of a box. [mm]

    Returns
    -------
    list of Box
        Clear of what is blocked but for its flatness, in no order; empty if there is no room.
    """
    found: list[Box] = []
    for part in _worth_a_look(cells, least):
        x0, y0, x1, y1 = part.bounds
        near = blocked.intersection(shapely.box(x0, y0, x1 + least[0], y1 + least[1]))
        corners = part.difference(_swept(near.simplify(FLATNESS_MM), least))
        for region in shapely.get_parts(corners):
            if isinstance(region, Polygon) and not region.is_empty:
                found += _largest_in(region, least)
    return found


def _worth_a_look(cells: Cells, least: tuple[float, float]) -> Iterator[Polygon]:
    """Areas that hold every low corner of a box: all cells that lie wholly within it are free."""
    free, steps = cells.free, (cells.xs[1] - cells.xs[0], cells.ys[1] - cells.ys[0])
    # of a box that begins anywhere the cells at both ends may be touched by what it touches
    columns, rows = (
        max(0, int(np.ceil(side / step - NOISE_MM)) - 2)
        for side, step in zip(least, steps, strict=True)
    )
    if columns >= free.shape[1] or rows >= free.shape[0]:
        return
    sums = np.zeros((free.shape[0] + 1, free.shape[1] + 1), dtype=np.int64)
    sums[1:, 1:] = free.cumsum(axis=0).cumsum(axis=1)
    high, wide = sums[rows:] - sums[: len(sums) - rows], columns
    count = high[:, wide:] - high[:, : high.shape[1] - wide]
    begins = count == rows * columns
    begins = begins[1:, 1:]  # a box whose first whole cell this is begins in the cell before it
    boxes = [
        shapely.box(cells.xs[a], cells.ys[i], cells.xs[b], cells.ys[i + 1])
        for i, row in enumerate(begins)
        for a, b in _runs(row)
    ]
    domain = shapely.box(cells.xs[0], cells.ys[0], cells.xs[-1] - least[0], cells.ys[-1] - least[1])
    for part in shapely.get_parts(shapely.union_all(boxes).intersection(domain)):
        if isinstance(part, Polygon) and not part.is_empty:
            yield part


def _runs(row: Bools) -> list[tuple[int, int]]:
    """Where a row is true, from and to."""
    edges = np.flatnonzero(np.diff(np.concatenate([[False], row, [False]]).astype(np.int8)))
    return [(int(a), int(b)) for a, b in edges.reshape(-1, 2)]


def _swept(blocked: BaseGeometry, least: tuple[float, float]) -> BaseGeometry:
    """Where the low corner of a box of the least sides makes it enter what is blocked."""
    rings = shapely.get_rings(shapely.get_parts(blocked))
    points, of = shapely.get_coordinates(rings, return_index=True)
    is_edge = of[1:] == of[:-1]
    edges = np.stack([points[:-1][is_edge], points[1:][is_edge]], axis=1)
    w, h = least
    shifts = np.array([(0.0, 0.0), (-w, 0.0), (0.0, -h), (-w, -h)])
    ends = (edges[:, :, None, :] + shifts[None, None, :, :]).reshape(len(edges), 8, 2)
    return shapely.union_all([blocked, *shapely.convex_hull(shapely.multipoints(ends))])


def _largest_in(region: Polygon, least: tuple[float, float]) -> list[Box]:
    """Return boxes whose low corners fill large boxes of a region, at least one of them.

    Lines through the region's corners find what upright edges limit.  What slanted ones and curves
    do is found by even lines, and by finer ones about the sides of the largest so far.
    """
    w, h = least
    shapely.prepare(region)
    xs, ys = (_lines(region, axis) for axis in (0, 1))
    found = _boxes_between(region, xs, ys, least)
    if not found:
        x, y = region.representative_point().coords[0]
        return [(x, y, x + w, y + h)]
    x0, y0, x1, y1 = found[0]
    nearer = _boxes_between(region, _about(x0, x1, xs), _about(y0, y1, ys), least)
    return [(a, b, c + w, d + h) for a, b, c, d in (*found, *nearer)]


def _lines(region: Polygon, axis: int) -> Floats:
    own = np.unique(shapely.get_coordinates(region)[:, axis].round(6))
    even = np.linspace(own[0], own[-1], _STEPS + 1)
    return np.union1d(even, own) if len(own) <= _MOST_LINES else even


def _about(low: float, high: float, lines: Floats) -> Floats:
    """Finer lines about two of some, as far as the even ones are apart."""
    step = (lines[-1] - lines[0]) / _STEPS
    offs = np.linspace(-step, step, 2 * _FINER + 1)
    return np.unique(np.clip(np.concatenate([low + offs, high + offs]), lines[0], lines[-1]))


def _boxes_between(
    region: Polygon, xs: Floats, ys: Floats, least: tuple[float, float]
) -> list[Box]:
    """Return the largest boxes of a region with their sides on such lines."""
    left, low = np.meshgrid(xs[:-1], ys[:-1])
    right, high = np.meshgrid(xs[1:], ys[1:])
    # a hair inside, as the sides of cells lie along those of the region
    inset = np.minimum(PASSED_MM, np.minimum(right - left, high - low) / 2.0)
    inner = shapely.box(left + inset, low + inset, right - inset, high - inset)
    return _maximal(np.asarray(shapely.covers(region, inner)), xs, ys, least)


def _maximal(free: Bools, xs: Floats, ys: Floats, least: tuple[float, float]) -> list[Box]:
    """Return the three largest boxes of free cells, by their area with the least sides added.

    Row by row the cells that are free downwards make a bar chart; a stack of bars that rise gives
    every box that none contains.
    """
    w, h = least
    x, y = xs.tolist(), ys.tolist()
    columns = free.shape[1]
    bottoms = [0] * (columns + 1)
    best: list[tuple[float, Box]] = []
    for i, row in enumerate(free.tolist()):
        for j in range(columns):
            if not row[j]:
                bottoms[j] = i + 1
        bottoms[columns] = i + 1
        stack: list[tuple[int, int]] = []
        for j, bottom in enumerate(bottoms):
            start = j
            while stack and stack[-1][1] < bottom:
                start, deep = stack.pop()
                area = (x[j] - x[start] + w) * (y[i + 1] - y[deep] + h)
                best.append((area, (x[start], y[deep], x[j], y[i + 1])))
            if bottom <= i and (not stack or stack[-1][1] > bottom):
                stack.append((start, bottom))
        best = sorted(best, reverse=True)[:3]
    return [box for _, box in best]
