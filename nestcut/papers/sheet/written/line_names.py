"""Centre lines, and names of station and other lines on a sheet's drawing."""

from __future__ import annotations

import itertools
import math

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from nestcut.model.shape import MarkUse
from nestcut.papers.draw import Block, BlockLine, Group, Item, Path, Pen, place_inside
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.written.ground import Ground, mark_room
from nestcut.papers.sheet.written.joint_marks import label_area
from nestcut.papers.view import (
    AFT,
    FORWARD,
    PlacedPiece,
    centre_line,
    is_trim_line,
    line_name,
    stance_of,
)

SIZE_MM = 3.2
STRIP_MM = 3.4
"""How far from its line a name may stand. [mm on paper]"""
LINE_MM = 1.0
"""Between a line and a name in two rows. [mm on paper]"""


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


def line_names(
    placed: PlacedPiece,
    frame: SheetFrame,
    window: Polygon,
    board: Ground,
) -> list[Item]:
    """Names of station and other lines beside them, where they have room.

    Parameters
    ----------
    placed
        A piece of the sheet.
    window
        What the page shows of the sheet, on the page. [mm]
    board
        Takes the names, and the piece's number where one has no room.
    """
    items: list[Item] = []
    for mark in placed.shape.marks:
        if mark.label and len(mark.points) > 1 and not is_trim_line(mark):
            line = frame.shape(LineString(mark.points)).intersection(window)
            if mark.use is not MarkUse.JOINT and not line.is_empty:
                words = line_name(mark.label, placed.part)
                items += _beside(words, line, placed, frame, window, board)
    return items


def free_area(
    placed: PlacedPiece, frame: SheetFrame, window: Polygon, board: Ground
) -> BaseGeometry:
    """Where a piece may be written on, on the page.

    Parameters
    ----------
    placed
        A piece of the sheet.
    window
        What the page shows of the sheet, on the page. [mm]
    board
        What is drawn there already.
    """
    whole = frame.shape(placed.polygon)
    barred = [label_area(placed, end, frame.scale, frame.origin) for end in placed.ends]
    barred += [t for t in (*board.taken, *board.marked) if t.intersects(whole)]
    barred.append(mark_room(placed, frame))
    return whole.intersection(window).buffer(-0.4).difference(shapely.union_all(barred))


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
    return [*items, *_beside("CL", line, placed, frame, window, board)]


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
) -> list[Item]:
    """Words along a line of a piece, near one of its ends rather than in its middle."""
    parts = [p for p in shapely.get_parts(line) if isinstance(p, LineString) and p.length > 2.0]
    if not parts:
        return []
    longest = max(parts, key=lambda p: p.length)
    (ax, ay), (bx, by) = longest.coords[0], longest.coords[-1]
    angle = math.degrees(math.atan2(by - ay, bx - ax))
    angle = (angle + 90.0) % 180.0 - 90.0
    angle = angle + 180.0 if angle < -80.0 else angle
    free = free_area(placed, frame, window, board)
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
                return list(found.texts())
    board.unmarked.append(placed.number)
    return []
