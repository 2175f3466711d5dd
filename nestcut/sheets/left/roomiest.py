"""The largest upright boxes of some least size in what is left free, and whether there are any.

Where the low corner of a box of the least sides may lie is what remains when all that is blocked is
widened by that box, mirrored: the Minkowski sum of the two, put together of what each edge sweeps.
A larger box is an upright box of such corners, longer and wider by the least sides.  Cells that
stand free say beforehand where it's worth looking.
"""

from __future__ import annotations

from bisect import bisect
from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.sheets.left.cells import Bools, Box, Cells, Floats, edges_of
from nestcut.tolerances import FLATNESS_MM
from nestcut.tolerances.lengths import NOISE_MM, PASSED_MM

Sides = tuple[float, float]
"""Width and height of a box. [mm]"""

_STEPS = 20
"""Steps into which a region of corners is divided each way, besides at its own corners."""
_NEARLY = 0.85
"""Boxes of so large a share of the largest may outgrow it on finer lines. [-]"""
_FINER = 6
"""Into so many the steps beside a side are divided."""
_LEAST_CELL_MM = 4.0 * PASSED_MM
"""Lines are no nearer to each other. [mm]"""
_MOST_LINES = 20
"""Of more corners than this no lines are drawn through a region."""


def roomiest(blocked: BaseGeometry, cells: Cells, leasts: Iterable[Sides]) -> list[Box]:
    """Return the largest boxes that nothing blocked enters, at least one if there is room for any.

    Parameters
    ----------
    blocked
        What no box may enter; touching is allowed. [mm]
    cells
        The bounds in cells, which may only be called free where nothing blocked touches them.
    leasts
        Least widths and heights: a box must have one of these pairs. [mm]

    Returns
    -------
    list of Box
        Clear of what is blocked but for its flatness, the largest first; empty if there is no room.
    """
    found: list[_InRegion] = []
    best_mm2 = 0.0
    places = ((p, least) for least in leasts for p in worth_a_look(cells, least))
    for place, least in sorted(places, key=lambda p: -_most_mm2(*p)):
        if _most_mm2(place, least) <= best_mm2:
            break
        x0, y0, x1, y1 = place.bounds
        near = blocked.intersection(shapely.box(x0, y0, x1 + least[0], y1 + least[1]))
        corners = place.difference(swept(near.simplify(FLATNESS_MM), least))
        regions = [g for g in shapely.get_parts(corners) if isinstance(g, Polygon) and g.area > 0.0]
        for region in sorted(regions, key=lambda r: -_most_mm2(r, least)):
            if _most_mm2(region, least) > best_mm2:
                found.append(_InRegion.of(region, least))
                best_mm2 = max(best_mm2, found[-1].area_mm2)
    near_best = [f for f in found if f.area_mm2 >= _NEARLY * best_mm2]
    boxes = {box for f in near_best for box in (*f.boxes, *f.finer())}
    return sorted(boxes, key=lambda b: (-area_mm2(b), b))


def area_mm2(box: Box) -> float:
    """Area of a box. [mm2]

    Parameters
    ----------
    box
        Least x and y, greatest x and y. [mm]
    """
    return (box[2] - box[0]) * (box[3] - box[1])


def _most_mm2(corners: Polygon, least: Sides) -> float:
    """Area that no box of low corners in a region exceeds. [mm2]"""
    x0, y0, x1, y1 = corners.bounds
    return area_mm2((x0, y0, x1 + least[0], y1 + least[1]))


def worth_a_look(cells: Cells, least: Sides) -> list[Polygon]:
    """Return areas that hold every low corner of a box: all cells wholly within it are free.

    Parameters
    ----------
    cells
        Those of the bounds that the box must lie in.
    least
        Width and height of the box. [mm]
    """
    free, steps = cells.free, (cells.xs[1] - cells.xs[0], cells.ys[1] - cells.ys[0])
    # of a box that begins anywhere the cells at both ends may be touched by what it touches
    columns, rows = (
        max(0, int(np.ceil(side / step - NOISE_MM)) - 2)
        for side, step in zip(least, steps, strict=True)
    )
    if columns >= free.shape[1] or rows >= free.shape[0]:
        return []
    sums = np.zeros((free.shape[0] + 1, free.shape[1] + 1), dtype=np.int64)
    sums[1:, 1:] = free.cumsum(axis=0).cumsum(axis=1)
    high, wide = sums[rows:] - sums[: len(sums) - rows], columns
    count = high[:, wide:] - high[:, : high.shape[1] - wide]
    begins = count == rows * columns
    begins = begins[1:, 1:]  # a box whose first whole cell this is begins in the cell before it
    # runs of them, row by row
    change = np.diff(np.pad(begins, ((0, 0), (1, 1))).astype(np.int8), axis=1)
    row, at = np.nonzero(change)
    left, right = at[::2], at[1::2]
    boxes = shapely.box(cells.xs[left], cells.ys[row[::2]], cells.xs[right], cells.ys[row[::2] + 1])
    domain = shapely.box(cells.xs[0], cells.ys[0], cells.xs[-1] - least[0], cells.ys[-1] - least[1])
    parts = shapely.get_parts(shapely.union_all(boxes).intersection(domain))
    return [p for p in parts if isinstance(p, Polygon) and not p.is_empty]


def swept(blocked: BaseGeometry, least: Sides) -> BaseGeometry:
    """Where the low corner of a box of the least sides makes it enter what is blocked."""
    begin, end = edges_of(blocked)
    is_left = (begin[:, :1] < end[:, :1]) | (
        (begin[:, :1] == end[:, :1]) & (begin[:, 1:] < end[:, 1:])
    )
    left, right = np.where(is_left, begin, end), np.where(is_left, end, begin)
    # six corners: those of the box at both ends, but for the two that lie inside
    both, across, along = (
        np.array(c) for c in ((-least[0], -least[1]), (0.0, -least[1]), (-least[0], 0.0))
    )
    up = [left + both, left + across, right + across, right, right + along, left + along]
    down = [left + both, right + both, right + across, right, left, left + along]
    rises = (left[:, 1] <= right[:, 1])[:, None, None]
    corners = np.where(rises, np.stack(up, axis=1), np.stack(down, axis=1))
    return shapely.union_all([blocked, *np.asarray(shapely.polygons(corners))])


@dataclass(frozen=True, slots=True)
class _InRegion:
    """The largest boxes whose low corners lie in one region, the largest first.

    Lines through the region's corners find what upright edges limit.  What slanted ones and curves
    do is found by even lines, and by finer ones about the sides of the largest so far.
    """

    region: Polygon
    least: Sides
    lines: tuple[Floats, Floats]
    boxes: list[Box]

    @staticmethod
    def of(region: Polygon, least: Sides) -> _InRegion:
        lines = (_lines(region, 0), _lines(region, 1))
        boxes = _boxes_between(region, lines, least)
        if not boxes:
            x, y = region.representative_point().coords[0]
            boxes = [(x, y, x + least[0], y + least[1])]
        return _InRegion(region, least, lines, boxes)

    @property
    def area_mm2(self) -> float:
        return area_mm2(self.boxes[0])

    def finer(self) -> list[Box]:
        """Return such boxes with their sides on finer lines."""
        x0, y0, x1, y1 = self.boxes[0]
        xs, ys = self.lines
        lines = _about(x0, x1 - self.least[0], xs), _about(y0, y1 - self.least[1], ys)
        return _boxes_between(self.region, lines, self.least)


def _lines(region: Polygon, axis: int) -> Floats:
    own = np.unique(shapely.get_coordinates(region)[:, axis].round(6))
    even = np.linspace(own[0], own[-1], _STEPS + 1)
    return _apart(own, even) if len(own) <= _MOST_LINES else even


def _about(low: float, high: float, lines: Floats) -> Floats:
    """Finer lines about two of some, as far as the even ones are apart."""
    step = (lines[-1] - lines[0]) / _STEPS
    offs = np.linspace(-step, step, 2 * _FINER + 1)
    fine = np.clip(np.concatenate([low + offs, high + offs]), lines[0], lines[-1])
    return _apart(np.array((low, high)), fine)


def _apart(first: Floats, more: Floats) -> Floats:
    """Lines that rise, none nearer to the next than cells can be told free by.

    A cell is told free to a hair at each side: of one that is no wider an edge could run through it
    unseen.  ``first`` are taken before ``more``.
    """
    lines: list[float] = []
    for line in (*np.unique(first).tolist(), *np.unique(more).tolist()):
        at = bisect(lines, line)
        if all(abs(line - other) > _LEAST_CELL_MM for other in lines[max(0, at - 1) : at + 1]):
            lines.insert(at, line)
    return np.array(lines)


def _boxes_between(region: Polygon, lines: tuple[Floats, Floats], least: Sides) -> list[Box]:
    """Return the largest boxes whose low corners fill cells of a region between such lines."""
    xs, ys = lines
    found = _maximal(Cells.within(region, xs, ys).free, xs, ys, least)
    return [(x0, y0, x1 + least[0], y1 + least[1]) for x0, y0, x1, y1 in found]


def _maximal(free: Bools, xs: Floats, ys: Floats, least: Sides) -> list[Box]:
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
