"""FWD and UP arrows, centre lines and names of station lines on a sheet's drawing."""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import replace
from typing import NamedTuple

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from nestcut.model.curves import Point
from nestcut.model.shape import MarkUse
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
from nestcut.papers.sheet.callouts import callout_items, place_beside
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.joint_marks import label_area
from nestcut.papers.sheet.piece_labels import Ground, mark_room, place_name
from nestcut.papers.view import (
    AFT,
    FORWARD,
    Figures,
    PlacedPiece,
    centre_line,
    is_trim_line,
    line_name,
    stance_of,
)

SIZE_MM = 3.2
ARROWS_MM = (6.0, 4.0)
"""Lengths of an arrow with the room before it, the usual one first. [mm on paper]"""
SHORT_MM = 4.0
"""Length of an arrow beside its level word. [mm on paper]"""
STRIP_MM = 3.4
"""How far from its line a name may stand. [mm on paper]"""
BAND_STEP_MM, BAND_SPARE_MM = 0.35, 0.4
"""Bands in which a low place for an arrow is looked for: apart, higher than it. [mm on paper]"""
TIGHT_MM = 0.3
"""Room round an arrow in a low place. [mm on paper]"""
LEAST_MM = 22.0
"""A piece smaller than this either way carries no arrow; its table row tells. [mm on paper]"""


LINE_MM = 1.0
"""Between a line and a name in two rows. [mm on paper]"""
STRETCHES = ((0.0, 0.42), (0.58, 1.0), (0.3, 0.7))
"""Shares of a line that a name with a leader may stand beside: its ends first. [-]"""
APART_MM = (4.0, 0.0)
"""How far what stands beside its piece keeps from other ones, where there is room. [mm on paper]"""


class Arrow(NamedTuple):
    """A piece's direction that has no place yet: its word, and a unit vector."""

    placed: PlacedPiece
    word: str
    way: Point


class LineName(NamedTuple):
    """A name that has no room along its line, which is on paper. [mm]"""

    placed: PlacedPiece
    words: str
    line: LineString


class Waiting(NamedTuple):
    """What is left to write once pieces have their names."""

    arrows: list[Arrow]
    names: list[LineName]


def draw_stances(
    shown: tuple[PlacedPiece, ...],
    frame: SheetFrame,
    window: Polygon,
    figures: Figures,
    board: Ground,
) -> Waiting:
    """Name lines and mark arrows inside the pieces, before their names take what room there is.

    An arrow that leaves no room for the piece's name waits, and so does a line's name without
    room along it. Returns those that wait: :func:`draw_waiting` is for them.

    Parameters
    ----------
    shown
        Pieces of the sheet that the page shows.
    window
        What the page shows of the sheet, on the page. [mm]
    board
        Takes the marks.
    """
    waiting = Waiting([], [])
    for placed in shown:
        items = _names(placed, frame, window, board, waiting.names)
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
        waiting.arrows.extend(later)
        if items:
            board.items.append(Group(placed.piece.id, "stance", tuple(items)))
    return waiting


def draw_waiting(
    waiting: Waiting,
    shown: tuple[PlacedPiece, ...],
    frame: SheetFrame,
    window: Polygon,
    board: Ground,
) -> None:
    """Write what waits where names have left room, else beside its piece: arrows with the number.

    The table has all in words. Beside another piece, or on an offcut, an arrow would be taken for
    that one's: it keeps off offcuts and says whose it is.

    Parameters
    ----------
    waiting
        What :func:`draw_stances` had no room for.
    shown
        Pieces of the sheet that the page shows.
    window
        What the page shows of the sheet, on the page. [mm]
    board
        Takes the marks.
    """
    for placed, words, line in waiting.names:
        others = [frame.shape(p.polygon) for p in shown if p is not placed]
        blocks = _blocks(words)
        stretches = [substring(line, a, b, normalized=True) for a, b in STRETCHES]
        reach = blocks[0].extent(SIZE_MM)[0] + STRIP_MM
        tried = (
            _beside_apart(part.buffer(TIGHT_MM), others, room, board, blocks, (0.0,))
            for part in stretches
            for room in [window.intersection(part.buffer(reach, cap_style="flat"))]
        )
        near = next((t for t in tried if t is not None), None)
        if near is None:
            board.unmarked.append(placed.number)
            continue
        board.taken.append(near[0].box)
        named = (*callout_items(*near), *near[0].texts())
        board.items.append(Group(placed.piece.id, "stance", named))
    for placed, word, way in waiting.arrows:
        whole = frame.shape(placed.polygon)
        others = [frame.shape(p.polygon) for p in shown if p is not placed]
        inside = _arrow(placed, word, way, frame, window, board)
        if inside:
            board.items.append(Group(placed.piece.id, "stance", tuple(inside)))
            continue
        turn, upright, is_turned = _turns(way)
        beside = None
        for told in (f"no. {placed.number} {word}", f"{placed.number} {word}"):
            blocks = _arrow_blocks(told)
            beside = _beside_apart(whole, others, window, board, blocks, (upright,))
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


def _beside_apart(
    whose: BaseGeometry,
    others: Sequence[BaseGeometry],
    window: Polygon,
    board: Ground,
    blocks: Sequence[Block],
    angles: tuple[float, ...],
) -> tuple[Placed, Point] | None:
    """Room beside something, where it can be so far from other pieces that it is not theirs."""
    for apart in APART_MM:
        barred = [o.buffer(apart, quad_segs=2) if apart else o for o in (*others, *board.kept)]
        found = place_beside(whose, barred, board.taken, board.marked, window, blocks, angles)
        if found is not None:
            return found
    return None


def draw_centre_lines(
    shown: tuple[PlacedPiece, ...], frame: SheetFrame, window: Polygon, board: Ground
) -> None:
    """Draw the centre lines of pieces that have one; names keep off them.

    Parameters
    ----------
    shown
        Pieces of the sheet that the page shows.
    window
        What the page shows of the sheet, on the page. [mm]
    board
        Takes the lines.
    """
    for placed in shown:
        items = _centre(placed, frame, window, board)
        if items:
            board.items.append(Group(placed.piece.id, "stance", tuple(items)))


def _free(placed: PlacedPiece, frame: SheetFrame, window: Polygon, board: Ground) -> BaseGeometry:
    """Where a piece may be written on."""
    whole = frame.shape(placed.polygon)
    barred = [label_area(placed, end, frame.scale, frame.origin) for end in placed.ends]
    barred += [t for t in (*board.taken, *board.marked) if t.intersects(whole)]
    barred.append(mark_room(placed, frame))
    return whole.intersection(window).buffer(-0.4).difference(shapely.union_all(barred))


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
    free = _free(placed, frame, window, board)
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


def _centre(placed: PlacedPiece, frame: SheetFrame, window: Polygon, board: Ground) -> list[Item]:
    """A piece's centre line with its name."""
    ends = centre_line(placed)
    if ends is None:
        return []
    body = frame.shape(placed.polygon).intersection(window)
    line = frame.shape(LineString(ends)).intersection(body)
    items: list[Item] = [
        Path(tuple((float(x), float(y)) for x, y in part.coords), Pen.MARK)
        for part in shapely.get_parts(line)
        if isinstance(part, LineString) and part.length > 0.0
    ]
    board.marked.append(line.buffer(0.4, quad_segs=2))
    named, left = _beside("CL", line, placed, frame, window, board)
    if left is not None:
        board.unmarked.append(placed.number)
    return [*items, *named]


def _names(
    placed: PlacedPiece,
    frame: SheetFrame,
    window: Polygon,
    board: Ground,
    waiting: list[LineName],
) -> list[Item]:
    """Names of station and other lines beside them, where they have room; else they wait."""
    items: list[Item] = []
    for mark in placed.shape.marks:
        if mark.label and len(mark.points) > 1 and not is_trim_line(mark):
            line = frame.shape(LineString(mark.points)).intersection(window)
            if mark.use is not MarkUse.JOINT and not line.is_empty:
                words = line_name(mark.label, placed.part)
                named, left = _beside(words, line, placed, frame, window, board)
                items += named
                waiting += [] if left is None else [LineName(placed, words, left)]
    return items


def _blocks(words: str) -> list[Block]:
    """A line's name in one row, then in two."""
    rows = dict.fromkeys(((words,), tuple(words.rsplit(" ", 1))))
    return [Block(tuple(map(BlockLine, row)), (SIZE_MM,)) for row in rows]


def _sides(words: str, placed: PlacedPiece, line: LineString) -> tuple[float, float]:
    """On which side of a line its name is tried first, 1 to its left: there the frame stands."""
    forward = stance_of(placed).forward
    way = {FORWARD: 1.0, AFT: -1.0}.get(words.rpartition(" ")[2])
    if forward is None or way is None:
        return 1.0, -1.0
    (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
    is_left = (ay - by) * forward[0] * way + (bx - ax) * forward[1] * way > 0.0
    return (1.0, -1.0) if is_left else (-1.0, 1.0)


def _beside(
    words: str,
    line: BaseGeometry,
    placed: PlacedPiece,
    frame: SheetFrame,
    window: Polygon,
    board: Ground,
) -> tuple[list[Item], LineString | None]:
    """Words along a line of a piece, near one of its ends rather than in its middle.

    Returns the line as well where they have no room.
    """
    parts = [p for p in shapely.get_parts(line) if isinstance(p, LineString) and p.length > 2.0]
    if not parts:
        return [], None
    longest = max(parts, key=lambda p: p.length)
    (ax, ay), (bx, by) = longest.coords[0], longest.coords[-1]
    angle = math.degrees(math.atan2(by - ay, bx - ax))
    angle = (angle + 90.0) % 180.0 - 90.0
    angle = angle + 180.0 if angle < -80.0 else angle
    free = _free(placed, frame, window, board)
    sides = _sides(words, placed, longest)
    for block in _blocks(words):
        wide, high = block.extent(SIZE_MM)
        half = max(wide / longest.length, 0.3)
        spans = [(0.0, half), (1.0 - half, 1.0)] if half < 1.0 else []
        stretches = [substring(longest, a, b, normalized=True) for a, b in spans]
        for part, side in itertools.product((*stretches, longest), sides):
            strip = part.buffer(side * max(STRIP_MM + SIZE_MM, high + LINE_MM), single_sided=True)
            found = place_inside(strip.intersection(free), (block,), (round(angle, 3), 0.0))
            if found is not None:
                board.taken.append(found.box)
                return list(found.texts()), None
    return [], longest
