"""What is left of a sheet in rectangles worth keeping."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.geometry.offset import grown
from nestcut.model.plan import Offcut
from nestcut.sheets.layouts import FilledSheet, moved_polygon
from nestcut.sheets.prepare import RESERVE_ID, Group
from nestcut.tolerances import SAME_LENGTH_MM, VERIFY_MM
from nestcut.tolerances.lengths import PASSED_MM
from nestcut.trade.shop import OFFCUT_MM

LEAST_MM = (OFFCUT_MM.low, OFFCUT_MM.high)
"""Shorter and longer side of the smallest rectangle worth keeping. [mm]"""

_CELLS = 100
"""Cells along the longer side of the first, coarse search."""

_BLOCK = 5
"""Cells along each side of a block that is looked at as a whole first."""

_MOST = 4
"""Rectangles reported for one sheet."""


def largest_mm2(group: Group, sheet: FilledSheet) -> float:
    """Area of the largest useful rectangle that is left of a sheet, 0 if there is none. [mm2]"""
    found = offcuts_of(group, sheet, most=1)
    return area_mm2(found[0]) if found else 0.0


def area_mm2(offcut: Offcut) -> float:
    """Area of an offcut. [mm2]"""
    return (offcut.to_mm[0] - offcut.from_mm[0]) * (offcut.to_mm[1] - offcut.from_mm[1])


def is_within(offcut: Offcut, other: Offcut) -> bool:
    """Whether a rectangle lies within another, as far as anyone can measure."""
    return all(
        inner >= outer - VERIFY_MM
        for inner, outer in zip(offcut.from_mm, other.from_mm, strict=True)
    ) and all(
        inner <= outer + VERIFY_MM for inner, outer in zip(offcut.to_mm, other.to_mm, strict=True)
    )


def offcuts_of(group: Group, sheet: FilledSheet, most: int = _MOST) -> tuple[Offcut, ...]:
    """Return upright rectangles left over on a sheet, the largest first.

    They keep the kerf from every piece and from each other, lie in the usable area and clear of
    keep-outs.  Each is the largest that a coarse raster shows, then grown to what really limits
    it; a slightly larger one may escape. A reserve counts as left over.

    Parameters
    ----------
    most
        How many rectangles at most.
    """
    stock = group.stock_of(sheet.stock)
    pieces = {p.id: p for p in group.pieces}
    gone = [
        Polygon(moved_polygon(pieces[p.piece].net, p).exterior)
        for p in sheet.lying
        if p.piece != RESERVE_ID
    ]
    barred = stock.usable.difference(stock.free)
    return rectangles_left(stock.usable, gone, [barred], stock.kerf_mm, most)


def rectangles_left(
    usable: Polygon,
    gone: Sequence[Polygon],
    barred: Sequence[BaseGeometry],
    kerf_mm: float,
    most: int = _MOST,
) -> tuple[Offcut, ...]:
    """Return upright rectangles left of a usable area, the largest first.

    Parameters
    ----------
    usable
        The area. [mm]
    gone
        What is sawn out, without the kerf round it.
    barred
        What is not to be touched.
    kerf_mm
        Kept between offcuts, and between them and all else. [mm]
    most
        How many at most.
    """
    if usable.is_empty:
        return ()
    first = _whole(usable, tuple(gone), tuple(barred), kerf_mm)
    taken, raster = list(first.taken), first.raster.copy()
    found: list[Offcut] = []
    boxes = first.boxes
    while len(found) < most:
        if found:
            boxes = raster.largest_boxes()
        useful = [b for b in boxes if is_useful(b[2] - b[0], b[3] - b[1])]
        if not useful:
            break
        box = useful[0]
        found.append(Offcut(from_mm=(box[0], box[1]), to_mm=(box[2], box[3])))
        if len(found) < most:
            k = kerf_mm
            taken.append(shapely.box(box[0] - k, box[1] - k, box[2] + k, box[3] + k))
            raster.take(shapely.union_all(taken), taken[-1].bounds)
    return tuple(sorted(found, key=lambda o: -area_mm2(o)))


def is_useful(width_mm: float, height_mm: float) -> bool:
    """Whether a rectangle is big enough to keep."""
    return (
        min(width_mm, height_mm) >= LEAST_MM[0] - SAME_LENGTH_MM
        and max(width_mm, height_mm) >= LEAST_MM[1] - SAME_LENGTH_MM
    )


_Box = tuple[float, float, float, float]


def largest_boxes(blocked: BaseGeometry, bounds: _Box) -> list[_Box]:
    """Return up to three large upright boxes within the bounds that nothing blocked enters.

    Exactly clear of ``blocked``; that they are the largest isn't promised.
    """
    return _Raster(blocked, bounds).largest_boxes()


class _Raster:
    """Square cells over some bounds, and which of them nothing blocked touches."""

    def __init__(self, blocked: BaseGeometry, bounds: _Box) -> None:
        self.blocked, self.bounds = blocked, bounds
        self.xs, self.ys = _lines(bounds)
        self.free = _free(blocked, self.xs, self.ys)

    def copy(self) -> _Raster:
        """Return one that may be taken from."""
        other = copy(self)
        other.free = self.free.copy()
        return other

    def take(self, blocked: BaseGeometry, box: _Box) -> None:
        """Go on with more blocked: an upright box besides what was."""
        self.blocked = blocked
        columns = (self.xs[1:] >= box[0]) & (self.xs[:-1] <= box[2])
        rows = (self.ys[1:] >= box[1]) & (self.ys[:-1] <= box[3])
        self.free &= ~(rows[:, None] & columns)

    def largest_boxes(self) -> list[_Box]:
        """Return what :func:`largest_boxes` says."""
        corners = [
            (float(self.xs[j0]), float(self.ys[i0]), float(self.xs[j1]), float(self.ys[i1]))
            for i0, j0, i1, j1 in _candidates(self.free)
        ]
        found = {_stretched(self.blocked, box, self.bounds) for box in corners}
        return sorted(found, key=lambda b: (-_area(b), b))


@dataclass(frozen=True, slots=True)
class _Whole:
    """A sheet before any offcut is taken from it, and the largest boxes of it."""

    taken: tuple[BaseGeometry, ...]
    raster: _Raster
    boxes: list[_Box]


@lru_cache(maxsize=64)
def _whole(
    usable: Polygon, gone: tuple[Polygon, ...], barred: tuple[BaseGeometry, ...], kerf_mm: float
) -> _Whole:
    """Kept, as a sheet is asked for its largest rectangle first and for all of them later."""
    bounds = usable.bounds
    taken = (
        *(grown(g, kerf_mm) for g in gone),
        shapely.box(*bounds).difference(usable),
        *barred,
    )
    raster = _Raster(shapely.union_all(taken), bounds)
    return _Whole(taken, raster, raster.largest_boxes())


def _lines(bounds: _Box) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return the edges of the cells over some bounds, in x and in y."""
    x0, y0, x1, y1 = bounds
    step = max(x1 - x0, y1 - y0) / _CELLS
    nx, ny = max(1, int((x1 - x0) / step)), max(1, int((y1 - y0) / step))
    return np.linspace(x0, x1, nx + 1), np.linspace(y0, y1, ny + 1)


def _free(
    blocked: BaseGeometry, xs: NDArray[np.float64], ys: NDArray[np.float64]
) -> NDArray[np.bool_]:
    """Say which cells nothing blocked touches: blocks of cells first, then those in doubt."""
    shapely.prepare(blocked)
    columns, rows = range(0, len(xs) - 1, _BLOCK), range(0, len(ys) - 1, _BLOCK)
    left, low = np.meshgrid(xs[:-1:_BLOCK], ys[:-1:_BLOCK])
    right = xs[[min(j + _BLOCK, len(xs) - 1) for j in columns]]
    high = ys[[min(i + _BLOCK, len(ys) - 1) for i in rows]]
    blocks = shapely.box(left, low, *np.meshgrid(right, high))
    is_free = ~np.asarray(shapely.intersects(blocked, blocks))
    is_full = np.asarray(shapely.contains_properly(blocked, blocks))
    size = (len(ys) - 1, len(xs) - 1)
    free: NDArray[np.bool_] = _spread(is_free, size)
    doubtful = _spread(~is_free & ~is_full, size)
    i, j = np.nonzero(doubtful)
    cells = shapely.box(xs[j], ys[i], xs[j + 1], ys[i + 1])
    free[i, j] = ~np.asarray(shapely.intersects(blocked, cells))
    return free


def _spread(blocks: NDArray[np.bool_], size: tuple[int, int]) -> NDArray[np.bool_]:
    """Give every cell what its block has."""
    cells = blocks.repeat(_BLOCK, axis=0).repeat(_BLOCK, axis=1)
    return np.ascontiguousarray(cells[: size[0], : size[1]])


def _area(box: _Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])


def _candidates(free: NDArray[np.bool_]) -> list[tuple[int, int, int, int]]:
    """Return the three largest maximal rectangles of free cells (row, column, row end, column end).

    Rows are taken one by one as the bottom of a bar chart of free heights, and the largest
    rectangles under the bars are found with a stack.
    """
    rows, columns = free.shape
    heights = [0] * (columns + 1)
    found: list[tuple[int, tuple[int, int, int, int]]] = []
    floor = 0
    for i in range(rows):
        row = free[i].tolist()
        for j in range(columns):
            heights[j] = heights[j] + 1 if row[j] else 0
        stack: list[tuple[int, int]] = []
        for j, h in enumerate(heights):
            start = j
            while stack and stack[-1][1] >= h:
                start, height = stack[-1]
                area = height * (j - start)
                if area > floor:
                    found.append((area, (i + 1 - height, start, i + 1, j)))
                    if len(found) > 60:
                        found = sorted(found, reverse=True)[:3]
                        floor = found[-1][0]
                if height == h:
                    break
                stack.pop()
            else:
                stack.append((start, h))
        heights[columns] = 0
    return [box for _, box in sorted(found, reverse=True)[:3]]


def _bounds_in(blocked: BaseGeometry, area: Polygon) -> _Box | None:
    """Bounds of what is blocked in an area; what only touches it blocks nothing."""
    hits = [g for g in shapely.get_parts(shapely.intersection(blocked, area)) if g.area > 0.0]
    return shapely.union_all(hits).bounds if hits else None


def _stretched(blocked: BaseGeometry, box: _Box, bounds: _Box) -> _Box:
    """Push the sides of a free box outward, one after the other, until something stops them.

    Longer sides first, since pushing them wins most; the order is fixed, so the result is too.
    What reaches a hair into the way of a side, such as what lies along another, doesn't stop it.
    """
    x0, y0, x1, y1 = box
    h = PASSED_MM
    order = "yxYX" if x1 - x0 >= y1 - y0 else "xyXY"
    for side in order:
        if side == "x":
            hit = _bounds_in(blocked, shapely.box(bounds[0], y0 + h, x0, y1 - h))
            x0 = bounds[0] if hit is None else min(x0, hit[2])
        elif side == "X":
            hit = _bounds_in(blocked, shapely.box(x1, y0 + h, bounds[2], y1 - h))
            x1 = bounds[2] if hit is None else max(x1, hit[0])
        elif side == "y":
            hit = _bounds_in(blocked, shapely.box(x0 + h, bounds[1], x1 - h, y0))
            y0 = bounds[1] if hit is None else min(y0, hit[3])
        else:
            hit = _bounds_in(blocked, shapely.box(x0 + h, y1, x1 - h, bounds[3]))
            y1 = bounds[3] if hit is None else max(y1, hit[1])
    return (float(x0), float(y0), float(x1), float(y1))
