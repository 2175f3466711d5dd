"""How much a sheet may be short of its size at its far edges before a piece suffers.

Sheets come a little under size and out of square: whoever measures one learns here whether it will
still do, before anything is marked.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry import Polygon, box

from nestcut.geometry.polygons import bounds_mm
from nestcut.geometry.pose import move_shape
from nestcut.papers.view import Figures, PlacedPiece, SheetView
from nestcut.tolerances.noise import NOISE

TOLD_MM = 12.0
"""A sheet that lacks as much is none of that size: no more needs to be said. [mm]"""
AT_EDGE_MM = 0.5
"""A piece that comes so near the sheet's edge ends at it. [mm]"""
FEW = 4
"""So many pieces are named by their numbers, more are counted. [-]"""
_SIDES = ("on the right", "at the top")


@dataclass(frozen=True, slots=True)
class _Lack:
    """What may be missing at one far edge, whose pieces suffer then, and whether trim goes."""

    side: str
    room_mm: float
    whose: tuple[PlacedPiece, ...]
    is_trim: bool


def lack_words(sheet: SheetView, figures: Figures) -> str:
    """What the sheet may lack on the right and at the top, as it is drawn; empty if enough."""
    if sheet.layout.outline is not None:
        return _odd_words(sheet)
    size = (sheet.layout.length_mm, sheet.layout.width_mm)
    found = [_lack(sheet, axis, far, figures) for axis, far in enumerate(size)]
    told = [_words(lack, figures) for lack in found if lack is not None]
    if not told:
        return ""
    return f"It may lack {', '.join(told)}."


def _lack(sheet: SheetView, axis: int, far_mm: float, figures: Figures) -> _Lack | None:
    rooms = [(far_mm - _reach_mm(p, axis), p) for p in sheet.placed]
    least = min((room for room, _ in rooms), default=math.inf)
    step = figures.place_step_mm
    shown = max(0.0, math.floor(least / step + NOISE) * step)
    if shown >= TOLD_MM:
        return None
    whose = tuple(p for room, p in rooms if room < least + step)
    is_trim = any(far_mm - p.box_mm[2 + axis] < shown - step / 2.0 for p in whose)
    return _Lack(_SIDES[axis], shown, whose, is_trim)


def _reach_mm(placed: PlacedPiece, axis: int) -> float:
    """How far the finished piece reaches: what is left on to trim may go missing. [mm]"""
    net = move_shape(placed.piece.net, placed.placement)
    return min(placed.box_mm[2 + axis], bounds_mm(net.outline.points)[2 + axis])


def _words(lack: _Lack, figures: Figures) -> str:
    much = "nothing" if lack.room_mm <= 0.0 else f"{figures.place(lack.room_mm)}{figures.tail}"
    trim = ", trim counted" if lack.is_trim else ""
    return f"{much} {lack.side} ({_who(lack.whose)}{trim})"


def _odd_words(sheet: SheetView) -> str:
    """Pieces that end at the far edges of a sheet that is no rectangle."""
    x0, y0 = (min(p[k] for p in sheet.outline) for k in (0, 1))
    edge = Polygon(sheet.outline).exterior
    x1, y1 = edge.bounds[2:]
    measured_from = box(x0 - 1.0, y0 - 1.0, x1, y0 + AT_EDGE_MM).union(
        box(x0 - 1.0, y0 - 1.0, x0 + AT_EDGE_MM, y1)
    )
    far = edge.difference(measured_from)
    reach = [p for p in sheet.placed if p.polygon.distance(far) < AT_EDGE_MM]
    if not reach:
        return ""
    verb = "reaches" if len(reach) == 1 else "reach"
    return f"The sheet must be as large as said: {_who(reach)} {verb} its far edges."


def _who(placed: Sequence[PlacedPiece]) -> str:
    if len(placed) > FEW:
        return f"{len(placed)} pieces"
    return ", ".join(str(p.number) for p in placed)
