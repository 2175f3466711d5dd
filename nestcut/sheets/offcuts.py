"""What is left of a sheet in rectangles worth keeping."""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import MultiPolygon, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.geometry.offset import grown
from nestcut.geometry.usable import whole_area
from nestcut.model.plan import Offcut
from nestcut.sheets.layouts import FilledSheet, moved_polygon
from nestcut.sheets.prepare import RESERVE_ID, Group
from nestcut.sheets.roomiest import Box, Cells, roomiest
from nestcut.tolerances import FLATNESS_MM, SAME_LENGTH_MM, VERIFY_MM
from nestcut.tolerances.lengths import PASSED_MM
from nestcut.trade.shop import OFFCUT_MM, OFFCUTS_MOST

LEAST_MM = (OFFCUT_MM.low, OFFCUT_MM.high)
"""Shorter and longer side of the smallest rectangle worth keeping. [mm]"""

_CELLS = 100
"""Cells along the longer side of the first, coarse search."""

_BLOCK = 5
"""Cells along each side of a block that is looked at as a whole first."""

_TRIED = 6
"""Boxes whose sides are pushed out to choose the largest from."""


def largest_mm2(group: Group, sheet: FilledSheet) -> float:
    """Area of a large useful rectangle that is left of a sheet, 0 if none is seen. [mm2]"""
    found = largest_seen(group, sheet)
    return 0.0 if found is None else area_mm2(found)


def largest_seen(group: Group, sheet: FilledSheet) -> Offcut | None:
    """Return a large useful rectangle that is left of a sheet, None if none is seen.

    The quick way for searches that measure many layouts: the largest that coarse cells show, grown
    to what really limits it.  A larger one may escape, :func:`offcuts_of` finds it.
    """
    useful = [b for b in _left_of(group, sheet).boxes if is_useful(b[2] - b[0], b[3] - b[1])]
    return _offcut(useful[0]) if useful else None


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


def offcuts_of(group: Group, sheet: FilledSheet) -> tuple[Offcut, ...]:
    """Return upright rectangles left over on a sheet, the largest first; see `rectangles_left`.

    A reserve counts as left over.
    """
    return _taken_from(_left_of(group, sheet))


def _left_of(group: Group, sheet: FilledSheet) -> _Whole:
    stock = group.stock_of(sheet.stock)
    pieces = {p.id: p for p in group.pieces}
    gone = [
        Polygon(moved_polygon(pieces[p.piece].net, p).exterior)
        for p in sheet.lying
        if p.piece != RESERVE_ID
    ]
    usable = stock.stock.usable
    barred = [Polygon(k.points) for k in usable.barred]
    return _whole(whole_area(usable), tuple(gone), tuple(barred), stock.kerf_mm)


def rectangles_left(
    usable: Polygon | MultiPolygon,
    gone: Sequence[Polygon],
    barred: Sequence[BaseGeometry],
    kerf_mm: float,
) -> tuple[Offcut, ...]:
    """Return upright rectangles left of a usable area, the largest first.

    They keep the kerf from every piece and from each other.  One after the other the largest is
    taken, to within a hundredth of its area (tests hold them against fine cells), until
    `OFFCUTS_MOST` are found or none is left that is larger than the smallest by a fifth of a
    millimetre on each side; of those some are found as well.

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
    """
    if usable.is_empty:
        return ()
    return _taken_from(_whole(usable, tuple(gone), tuple(barred), kerf_mm))


def _taken_from(whole: _Whole) -> tuple[Offcut, ...]:
    raster, k = whole.raster.copy(), whole.kerf_mm
    found: list[Offcut] = []
    while len(found) < OFFCUTS_MOST.value and (box := raster.largest_useful()) is not None:
        found.append(_offcut(box))
        raster.take((box[0] - k, box[1] - k, box[2] + k, box[3] + k))
    return tuple(sorted(found, key=lambda o: -area_mm2(o)))


def _offcut(box: Box) -> Offcut:
    return Offcut(from_mm=(box[0], box[1]), to_mm=(box[2], box[3]))


def is_useful(width_mm: float, height_mm: float) -> bool:
    """Whether a rectangle is big enough to keep."""
    return (
        min(width_mm, height_mm) >= LEAST_MM[0] - SAME_LENGTH_MM
        and max(width_mm, height_mm) >= LEAST_MM[1] - SAME_LENGTH_MM
    )


def largest_boxes(blocked: BaseGeometry, bounds: Box) -> list[Box]:
    """Return up to three large upright boxes within the bounds that nothing blocked enters.

    Exactly clear of ``blocked``; that they are the largest isn't promised.
    """
    return _Raster(blocked, bounds).largest_boxes()


class _Raster:
    """Square cells over some bounds, and which of them nothing blocked touches."""

    def __init__(self, blocked: BaseGeometry, bounds: Box) -> None:
        self.blocked, self.bounds = blocked, bounds
        self.xs, self.ys = _lines(bounds)
        self.free = _free(blocked, self.xs, self.ys)

    def copy(self) -> _Raster:
        """Return one that may be taken from."""
        other = copy(self)
        other.free = self.free.copy()
        return other

    def take(self, box: Box) -> None:
        """Go on with an upright box blocked besides what was."""
        self.blocked = shapely.union(self.blocked, shapely.box(*box))
        columns = (self.xs[1:] >= box[0]) & (self.xs[:-1] <= box[2])
        rows = (self.ys[1:] >= box[1]) & (self.ys[:-1] <= box[3])
        self.free &= ~(rows[:, None] & columns)

    def largest_boxes(self) -> list[Box]:
        """Return what :func:`largest_boxes` says."""
        corners = [
            (float(self.xs[j0]), float(self.ys[i0]), float(self.xs[j1]), float(self.ys[i1]))
            for i0, j0, i1, j1 in _candidates(self.free)
        ]
        return self._pushed_out(corners)

    def largest_useful(self) -> Box | None:
        """Return the largest useful box, none only where there is no room for any."""
        cells, inset = Cells(self.xs, self.ys, self.free), FLATNESS_MM
        roomy = [
            (x0 + inset, y0 + inset, x1 - inset, y1 - inset)
            for least in (LEAST_MM, LEAST_MM[::-1])
            for x0, y0, x1, y1 in roomiest(
                self.blocked, cells, (least[0] + 2.0 * inset, least[1] + 2.0 * inset)
            )
        ]
        roomy = sorted(set(roomy), key=lambda b: (-_area(b), b))[:_TRIED]
        if roomy:
            return self._pushed_out(roomy)[0]
        # what fits to a hair is seen by cells that end where it does
        fitting = [b for b in self.largest_boxes() if is_useful(b[2] - b[0], b[3] - b[1])]
        return fitting[0] if fitting else None

    def _pushed_out(self, boxes: list[Box]) -> list[Box]:
        """The boxes with their sides pushed out, the largest first."""
        found = {_stretched(self.blocked, box, self.bounds) for box in boxes}
        return sorted(found, key=lambda b: (-_area(b), b))


@dataclass(frozen=True, slots=True)
class _Whole:
    """A sheet before any offcut is taken from it, and the largest boxes of it."""

    raster: _Raster
    boxes: list[Box]
    kerf_mm: float


@lru_cache(maxsize=64)
def _whole(
    usable: Polygon | MultiPolygon,
    gone: tuple[Polygon, ...],
    barred: tuple[BaseGeometry, ...],
    kerf_mm: float,
) -> _Whole:
    """Kept, as a sheet is asked for a large rectangle first and for all of them later."""
    bounds = usable.bounds
    taken = (
        *(grown(g, kerf_mm) for g in gone),
        shapely.box(*bounds).difference(usable),
        *barred,
    )
    raster = _Raster(shapely.union_all(taken), bounds)
    return _Whole(raster, raster.largest_boxes(), kerf_mm)


def _lines(bounds: Box) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
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


def _area(box: Box) -> float:
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


def _bounds_in(blocked: BaseGeometry, area: Polygon) -> Box | None:
    """Bounds of what is blocked in an area; what only touches it blocks nothing."""
    hits = [g for g in shapely.get_parts(shapely.intersection(blocked, area)) if g.area > 0.0]
    return shapely.union_all(hits).bounds if hits else None


def _stretched(blocked: BaseGeometry, box: Box, bounds: Box) -> Box:
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
