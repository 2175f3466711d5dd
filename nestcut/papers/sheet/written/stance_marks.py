"""FWD and UP arrows on a sheet's drawing."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace
from enum import Enum
from typing import NamedTuple

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.papers.draw import (
    ALONE_STEP,
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
from nestcut.papers.sheet.written.ground import Ground
from nestcut.papers.sheet.written.line_names import (
    SIZE_MM,
    free_area,
    line_names,
)
from nestcut.papers.sheet.written.number_labels import has_number_room
from nestcut.papers.sheet.written.piece_labels import place_name
from nestcut.papers.view import (
    Figures,
    PlacedPiece,
    stance_of,
)

ARROWS_MM = (6.0, 4.0)
"""Lengths of an arrow with the room before it, the usual one first. [mm on paper]"""
SHORT_MM, SHORT_ARROW_MM = 4.4, 3.4
"""Room for an arrow beside its level word, and the arrow. [mm on paper]"""
BAND_STEP_MM, BAND_SPARE_MM = 0.35, 0.4
"""Bands in which a low place for an arrow is looked for: apart, higher than it. [mm on paper]"""
TIGHT_MM = 0.3
"""Room round an arrow in a low place. [mm on paper]"""
LEAST_MM = 12.0
"""A piece smaller than this either way carries no arrow; its table row tells. [mm on paper]"""
END_SHARE = 0.3
"""How much of a piece is its end, where an arrow leaves the middle to the name. [-]"""


class Where(Enum):
    """Where in its piece an arrow is tried first."""

    AHEAD = "the end that it points to"
    ASIDE = "either end of the piece's length: its middle is the name's"


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
        told = [
            Arrow(placed, word, way)
            for word, way in (("FWD", stance.forward), ("UP", stance.up))
            if way is not None and _is_large(placed, frame, window)
        ]
        arrows, later = _beside_name(told, frame, window, figures, board)
        waiting += later
        if items or arrows:
            board.items.append(Group(placed.piece.id, "stance", (*items, *arrows)))
    return tuple(waiting)


def _beside_name(
    told: list[Arrow], frame: SheetFrame, window: Polygon, figures: Figures, board: Ground
) -> tuple[list[Item], list[Arrow]]:
    """As many of a piece's arrows as leave room for its name, or for its number where that's all.

    Returns what is drawn, and the arrows that wait.
    """
    if not told:
        return [], []
    placed, before = told[0].placed, len(board.taken)
    best: tuple[int, list[Item], list[Arrow], list[BaseGeometry]] = (0, [], told, [])
    fewer = [[t] for t in told] if len(told) > 1 else []
    for few, where in itertools.product((told, *fewer), Where):
        if best[0] >= len(few):
            break
        items: list[Item] = []
        later = [t for t in told if t not in few]
        for arrow in few:
            made = _arrow(arrow, frame, window, board, where)
            later += [] if made else [arrow]
            items += made
        count = len(told) - len(later)
        if count > best[0] and _leaves_room(placed, before, frame, window, figures, board):
            best = (count, items, later, board.taken[before:])
        del board.taken[before:]
    board.taken += best[3]
    return best[1], best[2]


def _leaves_room(
    placed: PlacedPiece,
    before: int,
    frame: SheetFrame,
    window: Polygon,
    figures: Figures,
    board: Ground,
) -> bool:
    """Whether a piece's name still has room, or, where it had none before, its number."""
    if place_name(placed, frame, window, figures, board) is not None:
        return True
    arrows = board.taken[before:]
    del board.taken[before:]
    had_room = place_name(placed, frame, window, figures, board) is not None
    board.taken += arrows
    return not had_room and has_number_room(placed, frame, board)


def draw_waiting(
    waiting: tuple[Arrow, ...],
    frame: SheetFrame,
    window: Polygon,
    board: Ground,
) -> None:
    """Mark the other arrows where names have left room; else the table's row has them alone.

    Beside its piece an arrow would be taken for the next one's.

    Parameters
    ----------
    waiting
        Those that :func:`draw_stances` had no room for.
    window
        What the page shows of the sheet, on the page. [mm]
    board
        Takes the marks.
    """
    for arrow in waiting:
        inside = _arrow(arrow, frame, window, board, Where.AHEAD)
        if inside:
            board.items.append(Group(arrow.placed.piece.id, "stance", tuple(inside)))
        else:
            board.unmarked.append(arrow.placed.number)


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
    arrow: Arrow, frame: SheetFrame, window: Polygon, board: Ground, where: Where
) -> list[Item]:
    """An arrow with its word inside its piece, as near as can be to the end that it points to."""
    placed, word, way = arrow
    free = free_area(placed, frame, window, board)
    if free.is_empty:
        return []
    turn, upright, is_turned = _turns(way)
    near = _end_first(free, way) if where is Where.AHEAD else _ends(free)
    whose = f"{placed.number} {word}"  # beside a neighbour's edge a bare one is taken for its own
    for area in near:
        found = place_inside(area, _arrow_blocks(whose), (upright,))
        if found is not None:
            board.taken.append(found.box)
            return _arrow_items(found, whose, turn, is_backward=is_turned)
    level = Block((BlockLine(whose, Weight.BOLD),), (SIZE_MM,), SHORT_MM / SIZE_MM, step=ALONE_STEP)
    for area in near:
        found = place_inside(area, (level,), (0.0,))
        if found is not None:
            board.taken.append(found.box)
            return _short_arrow(found, whose, way)
    # a frame's ring is so low beside its height that no coarse look finds the room in it
    tight = replace(level, pad_mm=TIGHT_MM)
    high = tight.extent(SIZE_MM)[1] + BAND_SPARE_MM
    for band in (b for area in near for b in _bands(area, way, high)):
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
    edge = width / 2.0 - found.block.pad_mm
    x, y = found.local(edge - SHORT_ARROW_MM / 2.0, 0.0)
    run = (way[0] * SHORT_ARROW_MM / 2.0, way[1] * SHORT_ARROW_MM / 2.0)
    tip = (x + run[0], y + run[1])
    turn = math.degrees(math.atan2(way[1], way[0]))
    arrow = Path(((x - run[0], y - run[1]), tip), Pen.FRAME)
    return [
        Text(word, found.local(-edge, 0.0), SIZE_MM, Weight.BOLD),
        arrow,
        arrow_head(tip, turn, 1.8),
    ]


def _ends(free: BaseGeometry) -> list[BaseGeometry]:
    """Both ends of an area, the long way."""
    x0, y0, x1, y1 = free.bounds
    if x1 - x0 >= y1 - y0:
        wide = END_SHARE * (x1 - x0)
        boxes = (shapely.box(x1 - wide, y0, x1, y1), shapely.box(x0, y0, x0 + wide, y1))
    else:
        high = END_SHARE * (y1 - y0)
        boxes = (shapely.box(x0, y1 - high, x1, y1), shapely.box(x0, y0, x1, y0 + high))
    return [free.intersection(b) for b in boxes]


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
