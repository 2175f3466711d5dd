"""How a sheet's page is followed, in a few sentences: only what this page asks for.

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
from nestcut.model.stock import BoardStock
from nestcut.papers.view import Figures, PlacedPiece, SheetView, has_unsaid_face, stance_of
from nestcut.tolerances.noise import NOISE

TOLD_MM = 12.0
"""A sheet that lacks as much is none of that size: no more needs to be said. [mm]"""
AT_EDGE_MM = 0.5
"""A piece that comes so near the sheet's edge ends at it. [mm]"""
FEW = 4
"""So many pieces are named by their numbers, more are counted. [-]"""
_SIDES = ("on the right", "at the top")


def how_words(
    sheet: SheetView, thin: Sequence[int] = (), by_cuts: Sequence[int] = (), lack: str = ""
) -> str:
    """In which order to measure, mark, pencil faces and saw.

    Parameters
    ----------
    thin
        Numbers of the pieces by an edge with waste that is thinner than the blade.
    by_cuts
        The same by the edge that a first cut leaves.
    lack
        What the sheet may lack of its size, in words.
    """
    edges = (("sheet's edge by", thin), ("first cut by", by_cuts))
    where = ", ".join(f"{at} {', '.join(map(str, those))}" for at, those in edges if those)
    what = "board" if isinstance(sheet.stock, BoardStock) else "sheet"
    told = (
        f"Measure the {what} from its black corner.{' ' if lack else ''}{lack}",
        "Figures: straight edges, in brackets whose; others: marking-out.pdf.",
        _face_words(sheet),
        _unsaid_words(sheet),
        "Mark all, then saw in the table's order; where waste gets thinner than the blade"
        f"{f' ({where})' if where else ''}, stop and plane it off.",
    )
    return " ".join(t for t in told if t)


def _face_words(sheet: SheetView) -> str:
    """What to pencil on the faces in sight, and which may look either way."""
    told = [p for p in sheet.placed if p.is_face_told]
    up, down = (_numbers([p for p in told if p.is_face_up is is_up]) for is_up in (True, False))
    is_open = any(not stance_of(p).seen and not has_unsaid_face(p) for p in sheet.placed)
    if sheet.has_back:
        if not told:
            return "Pencil GOOD on the face you see. No piece here minds which face is good."
        good = f"BACK on {down}, GOOD on all others" if down else "GOOD on all"
        said = "; where no row says which way it looks, that is open"
        left = said if is_open else ""
        return f"Pencil on the face you see: {good}{left}."
    pairs = (("GOOD", up), ("BACK", down))
    each = ", ".join(f"{word} on {those}" for word, those in pairs if those)
    others = [p for p in sheet.placed if not p.is_face_told]
    named = any(stance_of(p).seen for p in others)
    if not each:
        pencil = "pencil the one that a row says you see; else " if named else ""
        return f"Both faces are good: {pencil}either may show."
    rest = "; of the others either may show" if others else ""
    if named:
        rest = ", on others what their row calls it, if anything"
    return f"Pencil on the face you see: {each}{rest}."


def _unsaid_words(sheet: SheetView) -> str:
    """Handed pieces of which the job doesn't say where their good face looks in the boat."""
    asked = _numbers([p for p in sheet.placed if has_unsaid_face(p)])
    words = (
        f"For {asked} nobody said whether GOOD looks in or out: pencil it, ask before fitting; "
        "port and starboard come out alike."
    )
    return words if asked else ""


def _numbers(placed: Sequence[PlacedPiece]) -> str:
    return ", ".join(str(p.number) for p in placed)


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
    if not sheet.placed:  # all that was cut from it is spoilt
        return ""
    size = (sheet.layout.length_mm, sheet.layout.width_mm)
    found = [_lack(sheet, axis, far, figures) for axis, far in enumerate(size)]
    told = [_words(lack, figures) for lack in found if lack is not None]
    if not told:
        return ""
    return f"It may lack {', '.join(told)}; if it lacks more, plan again with its size."


def _lack(sheet: SheetView, axis: int, far_mm: float, figures: Figures) -> _Lack | None:
    rooms = [(far_mm - _reach_mm(p, axis), p) for p in sheet.placed]
    least = min(room for room, _ in rooms)
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
