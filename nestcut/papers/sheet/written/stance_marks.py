"""FWD and UP arrows on a sheet's drawing."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.papers.draw import (
    Block,
    BlockLine,
    Group,
    Item,
    Path,
    Pen,
    Placed,
    Text,
    Weight,
    arrow_head,
    place_inside,
    text_width_mm,
)
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.written.callouts import callout_items, place_beside
from nestcut.papers.sheet.written.ground import Ground
from nestcut.papers.sheet.written.line_names import (
    SIZE_MM,
    free_area,
    line_names,
)
from nestcut.papers.sheet.written.piece_labels import place_name
from nestcut.papers.view import (
    Figures,
    PlacedPiece,
    stance_of,
)

ARROWS_MM = (6.0, 4.0)
"""Lengths of an arrow with the room before it, the usual one first. [mm on paper]"""
SHORT_MM = 4.0
"""Length of an arrow beside its level word. [mm on paper]"""
BAND_STEP_MM, BAND_SPARE_MM = 0.35, 0.4
"""Bands in which a low place for an arrow is looked for: apart, higher than it. [mm on paper]"""
TIGHT_MM = 0.3
"""Room round an arrow in a low place. [mm on paper]"""
LEAST_MM = 22.0
"""A piece smaller than this either way carries no arrow; its table row tells. [mm on paper]"""


class Arrow(NamedTuple):
    """A piece's direction that has no place yet: its word, and a unit vector."""

    placed: PlacedPiece
    word: str
    way: Point


def draw_stances(
    shown: tuple[PlacedPiece, ...],
    frame: SheetFrame,
    window: Polygon,
    figures: Figures,
    board: Ground,
) -> tuple[Arrow, ...]:
    """Name lines and mark arrows inside the pieces, before their names take what room there is.

    An arrow that leaves no room for the piece's name waits. Returns those that wait:
    :func:`draw_waiting` is for them.

    Parameters
    ----------
    shown
        Pieces of the sheet that the page shows.
    window
        What the page shows of the sheet, on the page. [mm]
    board
        Takes the marks.
    """
    waiting: list[Arrow] = []
    for placed in shown:
        items = line_names(placed, frame, window, board)
        stance = stance_of(placed)
        before = len(board.taken)
        arrows: list[Item] = []
        later: list[Arrow] = []
        for word, way in (("FWD", stance.forward), ("UP", stance.up)):
            if way is not None and _is_large(placed, frame, window):
                arrow = _arrow(placed, word, way, frame, window, board)
                later += [] if arrow else [Arrow(placed, word, way)]
                arrows += arrow
        if arrows and place_name(placed, frame, window, figures, board) is None:
            del board.taken[before:]
            arrows, told = [], (("FWD", stance.forward), ("UP", stance.up))
            later = [Arrow(placed, word, way) for word, way in told if way is not None]
        items += arrows
        waiting += later
        if items:
            board.items.append(Group(placed.piece.id, "stance", tuple(items)))
    return tuple(waiting)


def draw_waiting(
    waiting: tuple[Arrow, ...],
    shown: tuple[PlacedPiece, ...],
    frame: SheetFrame,
    window: Polygon,
    board: Ground,
) -> None:
    """Mark the other arrows where names have left room, else beside their pieces with the number.

    The table has all in words. Beside another piece, or on an offcut, an arrow would be taken for
    that one's: it keeps off offcuts and says whose it is.

    Parameters
    ----------
    waiting
        Those that :func:`draw_stances` had no room for.
    shown
        Pieces of the sheet that the page shows.
    window
        What the page shows of the sheet, on the page. [mm]
    board
        Takes the marks.
    """
    for placed, word, way in waiting:
        whole = frame.shape(placed.polygon)
        others = [frame.shape(p.polygon) for p in shown if p is not placed]
        inside = _arrow(placed, word, way, frame, window, board)
        if inside:
            board.items.append(Group(placed.piece.id, "stance", tuple(inside)))
            continue
        turn, upright, is_turned = _turns(way)
        barred = [*others, *board.kept]
        beside = None
        for told in (f"no. {placed.number} {word}", f"{placed.number} {word}"):
            blocks = _arrow_blocks(told)
            beside = place_beside(
                whole, barred, board.taken, board.marked, window, blocks, (upright,)
            )
            if beside is not None:
                break
        if beside is None:
            board.unmarked.append(placed.number)
            continue
        label, foot = beside
        board.taken.append(label.box)
        arrow = _arrow_items(label, told, turn, is_backward=is_turned)
        items = (*callout_items(label, foot), *arrow)
        board.items.append(Group(placed.piece.id, "stance", items))


def _is_large(placed: PlacedPiece, frame: SheetFrame, window: Polygon) -> bool:
    whole = frame.shape(placed.polygon)
    return max(_extent(whole)) >= LEAST_MM and window.intersects(whole)


def _turns(way: Point) -> tuple[float, float, bool]:
    """Where an arrow points, how its word is written, and whether the arrow stands before it."""
    turn = math.degrees(math.atan2(way[1], way[0]))
    upright = (turn + 90.0) % 180.0 - 90.0
    upright = upright + 180.0 if upright < -80.0 else upright  # reads from the right
    return turn, upright, abs((turn - upright + 180.0) % 360.0 - 180.0) > 1.0


def _arrow(
    placed: PlacedPiece, word: str, way: Point, frame: SheetFrame, window: Polygon, board: Ground
) -> list[Item]:
    """An arrow with its word inside its piece, as near as can be to the end that it points to."""
    free = free_area(placed, frame, window, board)
    turn, upright, is_turned = _turns(way)
    near = [] if free.is_empty else _end_first(free, way)
    whose = f"{placed.number} {word}"  # beside a neighbour's edge a bare one is taken for its own
    for area in near:
        found = place_inside(area, _arrow_blocks(whose), (upright,))
        if found is not None:
            board.taken.append(found.box)
            return _arrow_items(found, whose, turn, is_backward=is_turned)
    level = Block((BlockLine(whose, Weight.BOLD),), (SIZE_MM,), SHORT_MM / SIZE_MM)
    for area in near:
        found = place_inside(area, (level,), (0.0,))
        if found is not None:
            board.taken.append(found.box)
            return _short_arrow(found, whose, way)
    # a frame's ring is so low beside its height that no coarse look finds the room in it
    tight = replace(level, pad_mm=TIGHT_MM)
    for band in _bands(free, way, tight.extent(SIZE_MM)[1] + BAND_SPARE_MM):
        found = place_inside(band, (tight,), (0.0,))
        if found is not None:
            board.taken.append(found.box)
            return _short_arrow(found, whose, way)
    return []


def _bands(free: BaseGeometry, way: Point, high_mm: float) -> list[BaseGeometry]:
    """Level bands of an area, so high, a step apart, those first that lie forward. [mm]"""
    if free.is_empty:
        return []
    x0, y0, x1, y1 = free.bounds
    count = max(1, math.ceil((y1 - y0 - high_mm) / BAND_STEP_MM))
    lows = [y0 + k * BAND_STEP_MM for k in range(count + 1)]
    lows = lows[::-1] if way[1] > 0.0 else lows
    return [free.intersection(shapely.box(x0, low, x1, low + high_mm)) for low in lows]


def _arrow_blocks(word: str) -> list[Block]:
    """A word with room for its arrow, the usual one first."""
    return [Block((BlockLine(word, Weight.BOLD),), (SIZE_MM,), a / SIZE_MM) for a in ARROWS_MM]


def _arrow_items(found: Placed, word: str, turn: float, *, is_backward: bool) -> list[Item]:
    width, _ = found.block.extent(SIZE_MM)
    long = found.block.lead * SIZE_MM
    (text,) = found.texts()
    wide = text_width_mm(word, SIZE_MM, Weight.BOLD)
    left = -width / 2 + 0.6
    if is_backward:  # the arrow before the word
        a, b = found.local(left + long - 1.0, 0.0), found.local(left, 0.0)
        return [text, Path((a, b), Pen.FRAME), arrow_head(b, turn, 2.2)]
    start = found.local(left, 0.0)
    text = type(text)(word, start, SIZE_MM, text.weight, text.anchor, text.angle_deg)
    a, b = found.local(left + wide + 1.0, 0.0), found.local(left + wide + long, 0.0)
    return [text, Path((a, b), Pen.FRAME), arrow_head(b, turn, 2.2)]


def _short_arrow(found: Placed, word: str, way: Point) -> list[Item]:
    """A level word and right of it a short arrow: where a strip is too low for a long one."""
    width, _ = found.block.extent(SIZE_MM)
    at = found.local(-width / 2 + 0.6, 0.0)
    x, y = found.local(width / 2 - SHORT_MM / 2.0, 0.0)
    run = (way[0] * SHORT_MM / 2.0, way[1] * SHORT_MM / 2.0)
    tip = (x + run[0], y + run[1])
    turn = math.degrees(math.atan2(way[1], way[0]))
    arrow = Path(((x - run[0], y - run[1]), tip), Pen.FRAME)
    return [Text(word, at, SIZE_MM, Weight.BOLD), arrow, arrow_head(tip, turn, 1.8)]


def _extent(area: BaseGeometry) -> tuple[float, float]:
    x0, y0, x1, y1 = area.bounds
    return x1 - x0, y1 - y0


def _end_first(free: BaseGeometry, way: Point) -> list[BaseGeometry]:
    """The third of an area that lies forward, then all of it."""
    if free.is_empty:  # its bounds are no numbers
        return [free]
    x0, y0, x1, y1 = free.bounds
    far = max(x1 - x0, y1 - y0)
    corners = [(x, y) for x in (x0, x1) for y in (y0, y1)]
    along = [x * way[0] + y * way[1] for x, y in corners]
    start = max(along) - (max(along) - min(along)) * 0.35
    middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    at = start - (middle[0] * way[0] + middle[1] * way[1])
    foot = (middle[0] + way[0] * at, middle[1] + way[1] * at)
    side = (-way[1] * far * 2.0, way[0] * far * 2.0)
    half = Polygon(
        [
            (foot[0] + side[0], foot[1] + side[1]),
            (foot[0] - side[0], foot[1] - side[1]),
            (foot[0] - side[0] + way[0] * far * 3.0, foot[1] - side[1] + way[1] * far * 3.0),
            (foot[0] + side[0] + way[0] * far * 3.0, foot[1] + side[1] + way[1] * far * 3.0),
        ]
    )
    return [free.intersection(half), free]
