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
from nestcut.geometry.polygons import to_polygon
from nestcut.geometry.usable import whole_area
from nestcut.model.job import Job
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Offcut, SheetLayout, is_within
from nestcut.sheets.layouts import FilledSheet, moved_polygon
from nestcut.sheets.left.cells import Box, Cells
from nestcut.sheets.left.roomiest import roomiest, worth_a_look
from nestcut.sheets.prepare import RESERVE_ID, Group
from nestcut.tolerances import FLATNESS_MM, SAME_LENGTH_MM, VERIFY_MM
from nestcut.tolerances.lengths import PASSED_MM
from nestcut.trade.shop import OFFCUT_MM, OFFCUTS_MOST

LEAST_MM = (OFFCUT_MM.low, OFFCUT_MM.high)
"""Shorter and longer side of the smallest rectangle worth keeping. [mm]"""

_LEASTS = (LEAST_MM, LEAST_MM[::-1])
"""Widths and heights of the smallest rectangles worth keeping. [mm]"""

_TRIED = 3
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


def offcuts_of(group: Group, sheet: FilledSheet) -> tuple[Offcut, ...]:
    """Return upright rectangles left over on a sheet, the largest first; see `rectangles_left`.

    A reserve counts as left over, and one of them holds it: whoever cuts by them keeps it.
    """
    whole = _left_of(group, sheet)
    reserves = [
        moved_polygon(group.piece_of(RESERVE_ID).net, p).bounds
        for p in sheet.lying
        if p.piece == RESERVE_ID
    ]
    return _taken_from(whole, reserves[0] if reserves else None)


def left_on(
    layout: SheetLayout, job: Job, pieces: dict[str, SheetPiece], holding: Box | None = None
) -> tuple[Offcut, ...]:
    """Return the rectangles left over on a sheet of a plan, or on a board taken as one.

    Parameters
    ----------
    layout
        The sheet as it is cut.
    job
        It knows the sheet's stock by name.
    pieces
        All that lie on it, by id.
    holding
        What one of them must hold: it is free. None: nothing. [mm]

    Returns
    -------
    tuple of Offcut
        The largest first, in the sheet's frame. [mm]
    """
    stock = job.stock_named(layout.stock)
    usable = layout.usable(stock)
    gone = [
        Polygon(moved_polygon(to_polygon(pieces[p.piece].shape), p).exterior)
        for p in layout.placements
    ]
    gone += [Polygon(k.points) for k in layout.spent]
    spent = set(layout.spent)
    barred = [Polygon(k.points) for k in usable.barred if k not in spent]
    kerf = job.cutting.on(stock).kerf_mm
    return rectangles_left(whole_area(usable), gone, barred, kerf, holding)


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
    holding: Box | None = None,
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
    holding
        What one of them must hold, taken before the largest where that doesn't; None: nothing. [mm]
    """
    if usable.is_empty:
        return ()
    return _taken_from(_whole(usable, tuple(gone), tuple(barred), kerf_mm), holding)


def _taken_from(whole: _Whole, holding: Box | None = None) -> tuple[Offcut, ...]:
    found = _largest_of(whole, None)
    if holding is None or any(is_within(_offcut(holding), o) for o in found):
        return found
    return _largest_of(whole, holding)


def _largest_of(whole: _Whole, first: Box | None) -> tuple[Offcut, ...]:
    """The largest one after the other, but first of all what reaches about a box, if it is free."""
    raster, k = copy(whole.raster), whole.kerf_mm
    found: list[Offcut] = []
    if first is not None and raster.is_free(first):
        about = _stretched(raster.blocked, first, raster.bounds)
        found.append(_offcut(about))
        raster.take((about[0] - k, about[1] - k, about[2] + k, about[3] + k))
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
        self.cells = Cells.over(blocked, bounds)

    def take(self, box: Box) -> None:
        """Go on with an upright box blocked besides what was."""
        self.blocked = shapely.union(self.blocked, shapely.box(*box))
        self.cells = self.cells.without(box)

    def is_free(self, box: Box) -> bool:
        """Whether nothing blocked enters a box, or only a hair of it."""
        h = VERIFY_MM
        inner = shapely.box(box[0] + h, box[1] + h, box[2] - h, box[3] - h)
        return _bounds_in(self.blocked, inner) is None

    def largest_boxes(self) -> list[Box]:
        """Return what :func:`largest_boxes` says."""
        xs, ys = self.cells.xs.tolist(), self.cells.ys.tolist()
        corners = [
            (xs[j0], ys[i0], xs[j1], ys[i1]) for i0, j0, i1, j1 in _candidates(self.cells.free)
        ]
        return self._pushed_out(corners)

    def largest_useful(self) -> Box | None:
        """Return the largest useful box, none only where there is no room for any."""
        inset = FLATNESS_MM
        leasts = [(w + 2.0 * inset, h + 2.0 * inset) for w, h in _LEASTS]
        roomy = [
            (x0 + inset, y0 + inset, x1 - inset, y1 - inset)
            for x0, y0, x1, y1 in roomiest(self.blocked, self.cells, leasts)[:_TRIED]
        ]
        if roomy:
            return self._pushed_out(roomy)[0]
        if not any(worth_a_look(self.cells, least) for least in _LEASTS):
            return None
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
