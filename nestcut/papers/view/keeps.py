"""Offcuts that are kept: which come off first in one straight cut, and where.

An offcut that reaches over the whole of what is left of its sheet comes off before anything else:
cut later it is nicked by every cut that runs out into it.  Common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import shapely
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.model.job import CuttingRules
from nestcut.model.plan import Offcut, Reserve, SheetLayout, is_within
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.placed import SheetView
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.lengths import EXACT_MM
from nestcut.tolerances.looks import EASED_SHARE
from nestcut.tolerances.noise import NOISE
from nestcut.trade.shop import BREAKS_MM
from nestcut.units import to_step

KEEP = "KEEP"
MOSTLY = 0.7
"""An offcut of which at least this share lies between a piece's arms lies inside it. [-]"""
_SPARE_MM = 1.0
"""How much an offcut may be short of a whole side, on top of trim and blade. [mm]"""


@dataclass(frozen=True, slots=True)
class Keep:
    """One offcut. ``cut_mm`` is where the first cut runs from the corner; None: there's none.

    ``is_across`` says that this cut runs across the sheet, at a distance along it; ``is_beyond``
    that the offcut lies before it, so that the blade runs on the far side of the line.
    ``from_mm`` and ``to_mm`` are its corners as the paper prints them, never outside the offcut but
    for the rounding of the sheet's own edges: its printed size is what lies between them, so that
    figures of cuts and sizes agree to the last step.  ``beside`` are the numbers of pieces that the
    first cut's blade passes nearer than the job's gap.
    """

    name: str
    offcut: Offcut
    from_mm: tuple[float, float]
    to_mm: tuple[float, float]
    cut_mm: float | None = None
    is_across: bool = True
    is_beyond: bool = False
    beside: tuple[int, ...] = ()
    within: tuple[int, ...] = ()
    """Pieces in whose hole, or between whose arms, an offcut lies that falls free."""
    bounded_by: tuple[int, ...] = ()
    """Pieces beside an offcut that falls free, or beside the waste that it hangs together with: it
    does when the last of them is cut."""
    joined: tuple[str, ...] = ()
    """Names of the other offcuts that fall free with it, in one piece with the waste between."""

    @property
    def size_mm(self) -> tuple[float, float]:
        """Length and width of what is left, as figures print them. [mm]"""
        (x0, y0), (x1, y1) = self.from_mm, self.to_mm
        return x1 - x0, y1 - y0

    @property
    def along_mm(self) -> tuple[float, ...]:
        """Places along the sheet that are to be measured. [mm]"""
        if self.cut_mm is not None:
            return (self.cut_mm,) if self.is_across else ()
        return (self.from_mm[0], self.to_mm[0])

    @property
    def across_mm(self) -> tuple[float, ...]:
        """The same across the sheet. [mm]"""
        if self.cut_mm is not None:
            return () if self.is_across else (self.cut_mm,)
        return (self.from_mm[1], self.to_mm[1])


def keeps_of(sheet: SheetView, cutting: CuttingRules, figures: Figures) -> tuple[Keep, ...]:
    """Offcuts in the order in which they come off.

    A first cut stands at the next printed figure away from the pieces: rounded towards them the
    blade would take a hair off the nearest one.
    """
    layout = sheet.layout
    rules = cutting.on(sheet.stock)
    slack = _slack_mm(sheet, rules)
    first, waiting, _ = _first_cuts(sheet, slack)
    count = len(first) + len(waiting)
    names = [KEEP if count == 1 else f"{KEEP} {k}" for k in range(1, count + 1)]
    made: list[Keep] = []
    for k, name in enumerate(names):
        if k >= len(first):
            offcut = waiting[k - len(first)]
            shown = _shown(offcut, layout, figures)
            found_by = _bounded_by(offcut, sheet, slack)
            within = _within(offcut, sheet)
            made.append(Keep(name, offcut, *shown, within=within, bounded_by=found_by))
            continue
        offcut, at_mm, is_across = first[k]
        low, high = _shown(offcut, layout, figures)
        axis = 0 if is_across else 1
        is_beyond = at_mm == offcut.to_mm[axis]
        keep = Keep(
            name, offcut, low, high, (high if is_beyond else low)[axis], is_across, is_beyond
        )
        made.append(
            _eased(replace(keep, beside=_beside(keep, sheet, rules)), sheet, cutting, figures)
        )
    return _joined(tuple(made), sheet, rules.kerf_mm)


def rest_after_keeps(sheet: SheetView, cutting: CuttingRules) -> BaseGeometry:
    """What is left of a sheet when its offcuts that come off first are off. [mm]

    Parameters
    ----------
    cutting
        The job's saws.
    """
    rules = cutting.on(sheet.stock)
    _, _, rest = _first_cuts(sheet, _slack_mm(sheet, rules))
    return Polygon(sheet.outline).intersection(box(*rest))


def _slack_mm(sheet: SheetView, rules: CuttingRules) -> float:
    """How much an offcut may be short of a whole side and yet reach over all of it. [mm]"""
    return sheet.usable.deepest_trim_mm + rules.kerf_mm + rules.gap_mm + _SPARE_MM


def _first_cuts(
    sheet: SheetView, slack_mm: float
) -> tuple[list[tuple[Offcut, float, bool]], list[Offcut], Rest]:
    """Offcuts that one cut takes off before all others, the others, and what is left then.

    The first with where the cut runs, and whether it runs across the sheet.
    """
    layout = sheet.layout
    waiting = sorted(layout.offcuts, key=lambda o: (-_area(o), o.from_mm))
    rest = (0.0, 0.0, layout.length_mm, layout.width_mm)
    first: list[tuple[Offcut, float, bool]] = []
    while layout.outline is None:
        found = next(((o, c) for o in waiting if (c := _cut(o, rest, slack_mm)) is not None), None)
        if found is None:
            break
        offcut, (at, is_across, rest) = found
        waiting.remove(offcut)
        first.append((offcut, at, is_across))
    return first, waiting, rest


def _joined(keeps: tuple[Keep, ...], sheet: SheetView, kerf_mm: float) -> tuple[Keep, ...]:
    """Say of offcuts that fall free what they hang on: other offcuts, and pieces not cut yet."""
    if all(k.cut_mm is not None for k in keeps):
        return keeps
    sawn = [p.polygon.buffer(kerf_mm, join_style="mitre") for p in sheet.placed]
    free = box(*rest_mm(sheet, keeps, kerf_mm)).intersection(Polygon(sheet.outline))
    free = free.difference(shapely.union_all(sawn))
    # what hangs together by a narrow strip alone breaks there, in the hand if not at the saw
    whole = shapely.get_parts(free.buffer(-BREAKS_MM.value / 2.0))
    lies_in = [
        frozenset(k for k, part in enumerate(whole) if part.intersects(box(*o.from_mm, *o.to_mm)))
        for o in (keep.offcut for keep in keeps)
    ]
    made = []
    for keep, own in zip(keeps, lies_in, strict=True):
        others = [
            other
            for other, parts in zip(keeps, lies_in, strict=True)
            if keep.cut_mm is None and other.cut_mm is None and other is not keep and parts & own
        ]
        bounds = {n for k in (keep, *others) for n in k.bounded_by}
        if keep.cut_mm is None:
            hangs = shapely.union_all([whole[k] for k in own])
            near = hangs.buffer(BREAKS_MM.value / 2.0 + kerf_mm + _SPARE_MM)
            bounds |= {p.number for p in sheet.placed if p.polygon.intersects(near)}
        names = tuple(k.name for k in others)
        made.append(replace(keep, joined=names, bounded_by=tuple(sorted(bounds))))
    return tuple(made)


def _eased(keep: Keep, sheet: SheetView, cutting: CuttingRules, figures: Figures) -> Keep:
    """A first cut with the job's gap between its blade and the pieces, where the offcut is large.

    The search measures offcuts to the blade: a saw that wanders would be in the piece.
    """
    step_mm, gap_mm = figures.step_mm, cutting.on(sheet.stock).gap_mm
    by = math.ceil(gap_mm / step_mm - NOISE) * step_mm
    axis = 0 if keep.is_across else 1
    size = keep.size_mm[axis] - by
    if not keep.beside or by > EASED_SHARE * keep.size_mm[axis]:
        return keep
    if cutting.reserve_mm and any(s <= size + by and s > size for s in cutting.reserve_mm):
        return keep  # it might be the reserve, to the last step
    if keep.is_beyond:
        end = _shifted(keep.to_mm, axis, -by)
        moved = replace(keep, cut_mm=end[axis], to_mm=end)
    else:
        end = _shifted(keep.from_mm, axis, by)
        moved = replace(keep, cut_mm=end[axis], from_mm=end)
    return replace(moved, beside=_beside(moved, sheet, cutting.on(sheet.stock)))


def _shifted(corner: tuple[float, float], axis: int, by_mm: float) -> tuple[float, float]:
    x, y = corner
    return (x + by_mm, y) if axis == 0 else (x, y + by_mm)


def _shown(
    offcut: Offcut, layout: SheetLayout, figures: Figures
) -> tuple[tuple[float, float], tuple[float, float]]:
    """An offcut's corners as they are printed: edges of the sheet like its size, others inwards.

    Rounded outwards a cut would take a hair off the nearest piece.
    """

    def steps(v: float, rounded: Callable[[float], int]) -> float:
        return rounded(v / figures.step_mm) * figures.step_mm

    size = (layout.length_mm, layout.width_mm)
    low = tuple(steps(v, lambda s: math.ceil(s - NOISE)) for v in offcut.from_mm)
    high = tuple(
        to_step(v, figures.place_step_mm)
        if far - v < EXACT_MM
        else steps(v, lambda s: math.floor(s + NOISE))
        for v, far in zip(offcut.to_mm, size, strict=True)
    )
    return (low[0], low[1]), (high[0], high[1])


def _within(offcut: Offcut, sheet: SheetView) -> tuple[int, ...]:
    """Numbers of the pieces round most of which a string would also go round the offcut."""
    area = box(*offcut.from_mm, *offcut.to_mm)
    return tuple(
        sorted(
            p.number
            for p in sheet.placed
            if p.polygon.convex_hull.intersection(area).area > MOSTLY * area.area
        )
    )


def _bounded_by(offcut: Offcut, sheet: SheetView, slack_mm: float) -> tuple[int, ...]:
    """Numbers of the pieces that lie beside an offcut, no further than a blade and its gap."""
    near = box(*offcut.from_mm, *offcut.to_mm).buffer(slack_mm)
    return tuple(sorted(p.number for p in sheet.placed if p.polygon.intersects(near)))


def rest_mm(sheet: SheetView, keeps: tuple[Keep, ...], kerf_mm: float) -> Rest:
    """What first cuts leave of a sheet, as its page has them: left, low, right, high. [mm]

    Parameters
    ----------
    kerf_mm
        What the blade takes. [mm]
    """
    left, low, right, high = 0.0, 0.0, sheet.layout.length_mm, sheet.layout.width_mm
    for keep in (k for k in keeps if k.cut_mm is not None):
        at = keep.cut_mm or 0.0
        ends = (left, right) if keep.is_across else (low, high)
        ends = (
            (max(ends[0], at + kerf_mm), ends[1])
            if keep.is_beyond
            else (ends[0], min(ends[1], at - kerf_mm))
        )
        if keep.is_across:
            left, right = ends
        else:
            low, high = ends
    return left, low, right, high


def _beside(keep: Keep, sheet: SheetView, rules: CuttingRules) -> tuple[int, ...]:
    """Numbers of the pieces that the blade of a first cut passes nearer than the gap."""
    axis = 0 if keep.is_across else 1
    at = keep.cut_mm or 0.0
    blade = (at, at + rules.kerf_mm) if keep.is_beyond else (at - rules.kerf_mm, at)
    others = (keep.offcut.from_mm[1 - axis], keep.offcut.to_mm[1 - axis])
    found = []
    for placed in sheet.placed:
        own = placed.box_mm
        if own[3 - axis] <= others[0] or own[1 - axis] >= others[1]:
            continue
        off = own[axis] - blade[1] if keep.is_beyond else blade[0] - own[axis + 2]
        if -SAME_LENGTH_MM <= off < rules.gap_mm - SAME_LENGTH_MM:
            found.append(placed.number)
    return tuple(sorted(found))


Rest = tuple[float, float, float, float]


def _cut(offcut: Offcut, rest: Rest, slack: float) -> tuple[float, bool, Rest] | None:
    """Where one cut takes an offcut off the rest, and what is left then."""
    (x0, y0), (x1, y1) = offcut.from_mm, offcut.to_mm
    left, low, right, high = rest
    if y0 <= low + slack and y1 >= high - slack:
        if x1 >= right - slack:
            return x0, True, (left, low, x0, high)
        if x0 <= left + slack:
            return x1, True, (x1, low, right, high)
    if x0 <= left + slack and x1 >= right - slack:
        if y1 >= high - slack:
            return y0, False, (left, low, right, y0)
        if y0 <= low + slack:
            return y1, False, (left, y1, right, high)
    return None


def _area(offcut: Offcut) -> float:
    (x0, y0), (x1, y1) = offcut.from_mm, offcut.to_mm
    return (x1 - x0) * (y1 - y0)


def turn_word(turn: int) -> str:
    """Which of the cuts before all others, counted from 0: ``first cut``."""
    return f"{_TURNS[min(turn, 3)]} cut"


def keep_words(keep: Keep, figures: Figures, turn: int) -> str:
    """What is to be done with an offcut: when it comes off, and where it lies.

    Parameters
    ----------
    turn
        When it is cut off, counted from 0 on this sheet.
    """
    if keep.cut_mm is not None:
        way = "right across" if keep.is_across else "right along"
        before, behind = ("left of", "right of") if keep.is_across else ("below", "above")
        side = behind if keep.is_beyond else before
        words = f"{turn_word(turn)}, {way}, blade {side} {figures.length(keep.cut_mm)}"
        if keep.beside:
            numbers = ", ".join(map(str, keep.beside))
            words += f", along a straightedge: it passes {numbers} nearer than the gap"
        return words
    (x0, y0), (x1, y1) = keep.from_mm, keep.to_mm
    where = f" inside {', '.join(map(str, keep.within))}" if keep.within else ""
    last = max(keep.bounded_by, default=0)
    when = f" when {last} is cut" if last else ""
    when += f", in one piece with {' and '.join(keep.joined)}" if keep.joined else ""
    return (
        f"falls free{where}{when}, leave it whole: "
        f"{figures.place(x0)} to {figures.place(x1)} along, "
        f"{figures.place(y0)} to {figures.place(y1)} across"
    )


def kept_name(keep: Keep, sheet: SheetView, reserves: tuple[Reserve, ...]) -> str:
    """Name an offcut, and say if it holds a rectangle that the job wants in reserve."""
    is_held = any(
        free.sheet == sheet.layout.number and is_within(free, keep.offcut)
        for free in (reserve.free for reserve in reserves)
        if free is not None
    )
    return f"{keep.name}: your reserve" if is_held else keep.name


_TURNS = ("first", "second", "third", "next")
