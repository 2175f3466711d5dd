"""Bare numbers of pieces: inside them, or beside them in a frame with a leader.

A round frame would look like a round piece, or a hole to be bored.
"""

from __future__ import annotations

import math
from dataclasses import replace
from enum import Enum

import shapely
from shapely.geometry import Point as Spot
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from nestcut.papers.draw import (
    ALONE_STEP,
    Anchor,
    Area,
    Balloon,
    Block,
    BlockLine,
    Disc,
    Fill,
    Group,
    Item,
    Path,
    Pen,
    Placed,
    Text,
    Weight,
    place_balloon,
    place_inside,
    text_width_mm,
)
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.written.ground import WHOLE, Ground, mark_room
from nestcut.papers.view import PlacedPiece

NUMBER_SIZES = (4.0, 3.4, 2.9, 2.5, 2.2)
"""Font sizes tried for bare numbers. [mm on paper]"""
READ_MM = 2.9
"""A number that would have to be smaller inside its piece stands beside it, where there is room.
[mm on paper]"""
FRAMED, FRAME_MM = 3, 0.45
"""So many of these sizes, the largest, have a frame where there's room; its distance from them.
[mm on paper]"""
FRAME_CLEAR_MM = 0.3
"""Such a frame keeps this far off its piece's edges. [mm on paper]"""
BALLOON_MM, SPARE_MM = 2.3, 0.3
"""Radius of the room for a number beside its piece, at least, and what is kept free round it.
[mm on paper]"""
BESIDE_SIZE_MM = 2.7
"""Font size of a number beside its piece. [mm on paper]"""
RIM_MM = 4.2
"""A rim so wide has room for a number with its frame. [mm on paper]"""
INSIDE_MM = 0.8
"""How far inside its piece a leader ends, where the piece is so wide. [mm on paper]"""
FROM_HOLE_MM = 1.5
"""A bare number keeps this far from its piece's holes where it can: a small one reads as a zero.
[mm on paper]"""


class Beside(Enum):
    """Where a number beside its piece may stand."""

    WASTE = "waste that is no other piece's, nor kept"
    ANYWHERE = "wherever no piece is"


def number_block(text: str) -> Block:
    """A bare number: the one thing that may be smaller than words, inside a small piece."""
    line = BlockLine(text, Weight.BOLD)
    return Block((line,), NUMBER_SIZES, least_mm=NUMBER_SIZES[-1], pad_mm=0.25, step=ALONE_STEP)


def has_number_room(placed: PlacedPiece, frame: SheetFrame, board: Ground) -> bool:
    """Whether a piece has room for its number, with a frame round it.

    Parameters
    ----------
    placed
        The piece.
    frame, board
        Where the sheet stands, and what is written on it already.
    """
    whole = frame.shape(placed.polygon)
    taken = [t for t in (*board.taken, *board.marked) if t.intersects(whole)]
    room = whole.difference(shapely.union_all([*taken, mark_room(placed, frame)]))
    block = replace(number_block(str(placed.number)), pad_mm=FRAME_MM + 0.2)
    framed = replace(block, sizes_mm=NUMBER_SIZES[:FRAMED])
    return place_inside(room, (framed,), (0.0,)) is not None


def number_inside(
    placed: PlacedPiece,
    shapes: dict[int, BaseGeometry],
    frame: SheetFrame,
    board: Ground,
    least_mm: float = NUMBER_SIZES[-1],
) -> bool:
    """A bare number in a small piece; the table tells the rest. Whether there was room.

    Parameters
    ----------
    placed, shapes
        The piece; the shape of each piece on paper, by its number. [mm on paper]
    frame, board
        Where the sheet stands, and what is written on it already.
    least_mm
        Smallest font size that may be used. [mm on paper]
    """
    whole = shapes[placed.number]
    free = whole.intersection(frame.paper_window)
    sizes = tuple(s for s in NUMBER_SIZES if s >= least_mm)
    line = (BlockLine(str(placed.number), Weight.BOLD),)
    framed = Block(line, sizes[:FRAMED], least_mm=sizes[-1], pad_mm=FRAME_MM + 0.2, step=ALONE_STEP)
    # none so large without its frame: it would be taken for a name's
    bare = Block(line, sizes[1:], least_mm=sizes[-1], pad_mm=0.25, step=ALONE_STEP)
    taken = [t for t in (*board.taken, *board.marked) if t.intersects(whole)]
    room = free.buffer(0.1).difference(shapely.union_all(taken))
    clear = room.difference(mark_room(placed, frame))
    holes = shapely.union_all([frame.shape(Polygon(h.points)) for h in placed.shape.holes])
    apart = clear.difference(holes.buffer(FROM_HOLE_MM, quad_segs=4))
    areas = (apart, clear, room)
    within = free.buffer(-FRAME_CLEAR_MM)  # a frame on the outline hides where to saw
    tries = [
        *((framed, area.intersection(within), 0.0) for area in areas),
        *((bare, area, 0.0) for area in areas),  # level, however small: turned 9 reads as 6
        *((bare, area, 90.0) for area in areas),
    ]
    inside = next(
        (
            found
            for block, area, angle in tries
            if (found := place_inside(area, (block,), (angle,))) is not None
        ),
        None,
    )
    if inside is None:
        return False
    if inside.angle_deg and _reads_upside_down(placed.number, len(shapes)):
        return False  # beside it then
    if free.area >= WHOLE * whole.area:
        board.keyed.append(placed.number)
    frame_line = _frame_round(inside) if inside.block is framed else ()
    board.items.append(Group(placed.piece.id, "label", (*frame_line, *inside.texts())))
    board.taken.append(inside.box)
    return True


def _frame_round(number: Placed) -> tuple[Item, ...]:
    """The frame of a number that stands alone, as before a name: ``frame 2`` may be number 1."""
    width, height = (v / 2.0 - 0.2 for v in number.block.extent(number.size_mm))
    corners = ((-width, -height), (width, -height), (width, height), (-width, height))
    return (Area(tuple(number.local(*c) for c in corners), pen=Pen.FRAME),)


def _reads_upside_down(number: int, greatest: int) -> bool:
    """Whether a number that doesn't stand level could be taken for another: 6 for 9, 16 for 91."""
    turned = {"0": "0", "1": "1", "6": "9", "8": "8", "9": "6"}
    figures = str(number)
    if any(f not in turned for f in figures):
        return False
    other = int("".join(turned[f] for f in reversed(figures)))
    return other != number and other <= greatest


def number_outside(
    placed: PlacedPiece,
    shapes: dict[int, BaseGeometry],
    window: Polygon,
    room: Polygon,
    board: Ground,
    where: Beside = Beside.WASTE,
) -> bool:
    """A number in a frame beside a tiny piece, with a leader to it. Whether there was room.

    Parameters
    ----------
    placed, shapes
        The piece; the shape of each piece on paper, by its number. [mm on paper]
    window, room
        What the page shows of the sheet, and where the number may stand, on the page. [mm]
    board
        Takes the number.
    where
        Which places are free for it.
    """
    whole = shapes[placed.number]
    free = whole.intersection(window)
    if not isinstance(free, Polygon) or free.area < WHOLE * whole.area:
        return False
    others = [s for n, s in shapes.items() if n != placed.number]
    barred = others if where is Beside.ANYWHERE else [*filled(others, free), *board.kept]
    radius = max(BALLOON_MM, math.hypot(*_half_frame(placed.number)) - SPARE_MM)
    balloon = _in_own_hole(free, others, board, radius) or place_balloon(
        free, barred, board.taken, room, radius
    )
    if balloon is None:
        return False
    board.keyed.append(placed.number)
    board.items.append(Group(placed.piece.id, "label", _framed_beside(placed.number, balloon)))
    board.taken.append(Spot(balloon.centre).buffer(balloon.radius_mm + SPARE_MM))
    board.taken.append(shapely.LineString([balloon.centre, balloon.foot]).buffer(0.2))
    return True


def filled(others: list[BaseGeometry], piece: Polygon) -> list[BaseGeometry]:
    """Other pieces with their holes: a number there would be theirs, but for what lies in one.

    Parameters
    ----------
    others
        Pieces, on the page. [mm]
    piece
        Whose number it is.
    """
    return [
        Polygon(o.exterior)
        if isinstance(o, Polygon) and o.interiors and not Polygon(o.exterior).contains(piece)
        else o
        for o in others
    ]


def _half_frame(number: int) -> tuple[float, float]:
    """Half the width and height of a number's frame beside its piece. [mm on paper]"""
    wide = text_width_mm(str(number), BESIDE_SIZE_MM, Weight.BOLD)
    return wide / 2.0 + FRAME_MM, BESIDE_SIZE_MM * 0.56


def _framed_beside(number: int, at: Balloon) -> tuple[Item, ...]:
    """A number in its frame, with a leader to its piece."""
    text = str(number)
    x, y = at.centre
    half, high = _half_frame(number)
    corners = (
        (x - half, y - high),
        (x + half, y - high),
        (x + half, y + high),
        (x - half, y + high),
    )
    return (
        Path((at.centre, at.foot), Pen.THIN),
        Disc(at.foot, 0.35, None, Fill.INK),
        Area(corners, pen=Pen.FRAME, fill=Fill.PAPER),
        Text(text, at.centre, BESIDE_SIZE_MM, Weight.BOLD, Anchor.MIDDLE),
    )


def is_rim(piece: BaseGeometry) -> bool:
    """Whether a piece is a ring round waste, its rim about as wide as a figure is high."""
    if not isinstance(piece, Polygon) or not piece.buffer(-RIM_MM / 2.0).is_empty:
        return False
    return any(not Polygon(r).buffer(-BALLOON_MM - 0.5).is_empty for r in piece.interiors)


def _in_own_hole(
    piece: Polygon, others: list[BaseGeometry], board: Ground, radius: float
) -> Balloon | None:
    """Room for a number in the waste inside a ring: nothing else is as near to it."""
    barred = [t for t in (*board.taken, *board.marked, *others) if t.intersects(piece.envelope)]
    for ring in piece.interiors:
        free = Polygon(ring).difference(shapely.union_all(barred)).buffer(-radius - 0.5)
        if free.is_empty:
            continue
        rim = piece.buffer(-INSIDE_MM)
        target = piece if rim.is_empty else rim
        at = nearest_points(free, target)[0]
        foot = nearest_points(at, target)[1]
        return Balloon((float(at.x), float(at.y)), radius, (float(foot.x), float(foot.y)))
    return None
