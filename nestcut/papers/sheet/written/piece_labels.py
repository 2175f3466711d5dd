"""Names and numbers of pieces on a sheet's drawing.

A name goes inside its piece where it fits, the largest letters first; else the piece's number does;
else the number stands in a frame beside the piece, with a leader.  A round frame would look like
a round piece, or a hole to be bored.
"""

from __future__ import annotations

from dataclasses import dataclass, field
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
from nestcut.papers.sheet.written.callouts import callout_items, place_beside
from nestcut.papers.sheet.written.joint_marks import label_area
from nestcut.papers.view import Figures, PlacedPiece, shown_name, warnings_for

NAME_SIZES = (6.5, 5.5, 4.8, 4.2, 3.7, 3.2)
SHORT_SIZES = (4.2, 3.7, 3.2)
NUMBER_SIZES = (4.0, 3.4, 2.9, 2.5, 2.2)
"""Font sizes tried for full names, short ones and bare numbers. [mm on paper]"""
READ_MM = 2.9
"""A number that would have to be smaller inside its piece stands beside it, where there is room.
[mm on paper]"""
BOX_SPARE, BOX_GAP = 0.4, 0.35
"""Spare room inside the number's frame, and between it and the name, per font size."""
FRAMED, FRAME_MM = 3, 0.45
"""So many of these sizes, the largest, have a frame where there's room; its distance from them.
[mm on paper]"""
BALLOON_MM = 2.3
"""Radius of the room for a number beside its piece. [mm on paper]"""
BESIDE_SIZE_MM = 2.7
"""Font size of a number beside its piece. [mm on paper]"""
RIM_MM = 4.2
"""A rim so wide has room for a number with its frame. [mm on paper]"""
INSIDE_MM = 0.8
"""How far inside its piece a leader ends, where the piece is so wide. [mm on paper]"""
FROM_HOLE_MM = 1.5
"""A bare number keeps this far from its piece's holes where it can: a small one reads as a zero.
[mm on paper]"""
WHOLE = 0.98
"""A piece of which less than this share is in the window gets a number at most."""


class Beside(Enum):
    """Where a number beside its piece may stand."""

    WASTE = "waste that is no other piece's, nor kept"
    ANYWHERE = "wherever no piece is"


@dataclass
class Ground:
    """What is on the paper so far, while one sheet is drawn: the only record that changes."""

    items: list[Item] = field(default_factory=list)
    taken: list[BaseGeometry] = field(default_factory=list)
    marked: list[BaseGeometry] = field(default_factory=list)
    """Marks inside pieces that writing keeps off and leaders may cross."""
    kept: list[BaseGeometry] = field(default_factory=list)
    """Offcuts: what is written on them is theirs."""
    keyed: list[int] = field(default_factory=list)
    lost: list[int] = field(default_factory=list)
    unmarked: list[int] = field(default_factory=list)
    """Pieces with an arrow, a line or a centre line that has no name here, once for each."""


def label_pieces(
    shown: tuple[PlacedPiece, ...],
    frame: SheetFrame,
    window: Polygon,
    figures: Figures,
    room: Polygon,
    must: frozenset[int],
    board: Ground,
) -> None:
    """Label every piece that is shown; those in ``must`` beside them where nothing else fits.

    Parameters
    ----------
    window
        What the page shows of the sheet, on the page. [mm]
    room
        Where names may stand beside a piece, on the page. [mm]
    must
        Numbers of the pieces that are to be named on this page.
    board
        Takes the names.
    """
    shapes = {p.number: frame.shape(p.polygon) for p in shown}
    late: list[PlacedPiece] = []
    for placed in shown:
        label = place_name(placed, frame, window, figures, board)
        if label is None:
            late.append(placed)
            continue
        board.items.append(
            Group(placed.piece.id, "label", (*_number_box(placed, label), *label.texts()))
        )
        board.taken.append(label.box)
    inside: set[int] = set()
    for placed in late:
        is_asked = placed.number in must
        if (
            is_asked
            and _is_rim(shapes[placed.number])
            and _number_outside(placed, shapes, window, room, board)
        ):
            continue
        if number_inside(placed, shapes, frame, board, READ_MM):
            inside.add(placed.number)
            continue
        if is_asked and _number_outside(placed, shapes, window, room, board):
            continue
        if number_inside(placed, shapes, frame, board):
            inside.add(placed.number)
        elif is_asked and not _number_outside(placed, shapes, window, room, board, Beside.ANYWHERE):
            _lose(placed, shapes, window, board)
    late.sort(key=lambda p: not warnings_for(p))  # what must not be missed goes first
    for placed in late:
        if placed.number in must:
            _name_beside(placed, shapes, window, board, is_numbered_inside=placed.number in inside)


def place_name(
    placed: PlacedPiece, frame: SheetFrame, window: Polygon, figures: Figures, board: Ground
) -> Placed | None:
    """Find room for a piece's name inside it, beside all that is written there already.

    Parameters
    ----------
    window
        What the page shows of the sheet, on the page. [mm]
    board
        What is on the paper so far.
    """
    whole = frame.shape(placed.polygon)
    free = whole.intersection(window)
    if free.area < WHOLE * whole.area:
        return None
    ends = [label_area(placed, end, frame.scale, frame.origin) for end in placed.ends]
    ends += [t for t in (*board.taken, *board.marked) if t.intersects(free)]
    free = free.difference(shapely.union_all(ends)) if ends else free
    free = free.buffer(-0.35)
    blocks = _blocks(placed, figures)
    label = place_inside(free.difference(mark_room(placed, frame)), blocks)
    return label or place_inside(free, blocks)


def _name_beside(
    placed: PlacedPiece,
    shapes: dict[int, BaseGeometry],
    window: Polygon,
    board: Ground,
    *,
    is_numbered_inside: bool,
) -> None:
    """Name and warnings in the waste beside a piece that has room for its number alone.

    The number stands there already, and once: two read as two pieces.  Where it stands beside its
    piece itself, only what must not be missed is added.
    """
    whole = shapes[placed.number]
    if not window.contains(whole):
        return
    name = BlockLine(shown_name(placed), Weight.BOLD)
    warn = tuple(BlockLine(w, Weight.BOLD) for w in warnings_for(placed))
    size = (SHORT_SIZES[-1],)
    blocks = [Block((name, *warn), size)] if is_numbered_inside else []
    blocks += [Block(warn, size)] if warn else []
    others = [s for n, s in shapes.items() if n != placed.number]
    barred = [*(_filled(others, whole) if isinstance(whole, Polygon) else others), *board.kept]
    found = place_beside(whole, barred, board.taken, board.marked, window, blocks, (0.0, 90.0))
    if found is None:
        return
    label, foot = found
    items = (*callout_items(label, foot), *label.texts())
    board.items.append(Group(placed.piece.id, "label", items))
    board.taken.append(label.box)


def number_block(text: str) -> Block:
    """A bare number: the one thing that may be smaller than words, inside a small piece."""
    line = BlockLine(text, Weight.BOLD)
    return Block((line,), NUMBER_SIZES, least_mm=NUMBER_SIZES[-1], pad_mm=0.25, step=ALONE_STEP)


def mark_room(placed: PlacedPiece, frame: SheetFrame) -> BaseGeometry:
    """What the lines marked on a piece take; names keep off them where they can."""
    lines = [
        shapely.LineString(frame.points(m.points)) for m in placed.shape.marks if len(m.points) > 1
    ]
    return shapely.union_all(lines).buffer(0.4, quad_segs=2)


def _blocks(placed: PlacedPiece, figures: Figures) -> tuple[Block, ...]:
    """What to write on a piece, fullest first."""
    name = BlockLine(shown_name(placed), Weight.BOLD)
    size = figures.cut_pair(*placed.size_mm)
    warn = tuple(BlockLine(w, Weight.BOLD, 0.62) for w in warnings_for(placed))
    told = placed.part.bevels if placed.part else ()  # those at their edges are marked there
    bevels = tuple(BlockLine(f"bevel: {b}", share=0.55) for b in told)
    third = (BlockLine(size, share=0.7),)
    lead = _number_width(placed.number) + BOX_GAP
    return (
        Block((name, *third, *warn, *bevels), NAME_SIZES[:-1], lead),
        Block((name, *third, *warn), NAME_SIZES, lead),
        Block((name, *warn), SHORT_SIZES, lead),
        *(Block((*lines, *warn), SHORT_SIZES, lead) for lines in _in_two(placed)),
        *(Block((*lines, *_halves(warn)), SHORT_SIZES, lead) for lines in _in_two(placed) if warn),
    )


def _halves(lines: tuple[BlockLine, ...]) -> tuple[BlockLine, ...]:
    """Warnings in two lines each, for narrow places: CUT AFTER, DRY FIT."""
    found = []
    for line in lines:
        words = line.text.split(" ")
        half = (len(words) + 1) // 2
        both = (" ".join(words[:half]), " ".join(words[half:]))
        found += [BlockLine(t, line.weight, line.share) for t in both]
    return tuple(found)


def _in_two(placed: PlacedPiece) -> tuple[tuple[BlockLine, ...], ...]:
    """The name in two lines, broken where they come out most alike; none if it's one word."""
    words = shown_name(placed).split(" ")
    breaks = [(" ".join(words[:k]), " ".join(words[k:])) for k in range(1, len(words))]
    if not breaks:
        return ()
    best = min(breaks, key=lambda b: max(text_width_mm(t, 1.0, Weight.BOLD) for t in b))
    return (tuple(BlockLine(t, Weight.BOLD) for t in best),)


def _number_width(number: int) -> float:
    """Width of a number's frame per font size."""
    return text_width_mm(str(number), 10.0, Weight.BOLD) / 10.0 + BOX_SPARE


def _number_box(placed: PlacedPiece, label: Placed) -> tuple[Item, ...]:
    """The piece's number in a small frame before its name."""
    width, height = label.block.extent(label.size_mm)
    text = str(placed.number)
    wide = _number_width(placed.number) * label.size_mm
    left = -width / 2 + 0.6
    middle = height / 2 - 0.6 - label.size_mm * 0.65
    half = label.size_mm * 0.56
    corners = (
        label.local(left, middle - half),
        label.local(left + wide, middle - half),
        label.local(left + wide, middle + half),
        label.local(left, middle + half),
    )
    at = label.local(left + wide / 2, middle)
    return (
        Area(corners, pen=Pen.FRAME),
        Text(text, at, label.size_mm, Weight.BOLD, Anchor.MIDDLE, label.angle_deg),
    )


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
    bare = Block(line, sizes, least_mm=sizes[-1], pad_mm=0.25, step=ALONE_STEP)
    taken = [t for t in (*board.taken, *board.marked) if t.intersects(whole)]
    room = free.buffer(0.1).difference(shapely.union_all(taken))
    clear = room.difference(mark_room(placed, frame))
    holes = shapely.union_all([frame.shape(Polygon(h.points)) for h in placed.shape.holes])
    apart = clear.difference(holes.buffer(FROM_HOLE_MM, quad_segs=4))
    inside = next(
        (
            found
            for angle in (0.0, 90.0)  # level, however small: turned it reads as another, 9 as 6
            for block in ((framed, bare) if angle == 0.0 else (bare,))
            for area in (apart, clear, room)
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


def _number_outside(
    placed: PlacedPiece,
    shapes: dict[int, BaseGeometry],
    window: Polygon,
    room: Polygon,
    board: Ground,
    where: Beside = Beside.WASTE,
) -> bool:
    """A number in a frame beside a tiny piece, with a leader to it. Whether there was room."""
    whole = shapes[placed.number]
    free = whole.intersection(window)
    if not isinstance(free, Polygon) or free.area < WHOLE * whole.area:
        return False
    others = [s for n, s in shapes.items() if n != placed.number]
    barred = others if where is Beside.ANYWHERE else [*_filled(others, free), *board.kept]
    balloon = _in_own_hole(free, others, board) or place_balloon(
        free, barred, board.taken, room, BALLOON_MM
    )
    if balloon is None:
        return False
    board.keyed.append(placed.number)
    board.items.append(Group(placed.piece.id, "label", _framed_beside(placed.number, balloon)))
    board.taken.append(Spot(balloon.centre).buffer(balloon.radius_mm + 0.3))
    board.taken.append(shapely.LineString([balloon.centre, balloon.foot]).buffer(0.2))
    return True


def _filled(others: list[BaseGeometry], piece: Polygon) -> list[BaseGeometry]:
    """Other pieces with their holes: a number there would be theirs, but for what lies in one."""
    return [
        Polygon(o.exterior)
        if isinstance(o, Polygon) and not Polygon(o.exterior).contains(piece)
        else o
        for o in others
    ]


def _framed_beside(number: int, at: Balloon) -> tuple[Item, ...]:
    """A number in its frame, with a leader to its piece."""
    text = str(number)
    x, y = at.centre
    half = text_width_mm(text, BESIDE_SIZE_MM, Weight.BOLD) / 2.0 + FRAME_MM
    high = BESIDE_SIZE_MM * 0.56
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


def _is_rim(piece: BaseGeometry) -> bool:
    """Whether a piece is a ring round waste, its rim about as wide as a figure is high."""
    if not isinstance(piece, Polygon) or not piece.buffer(-RIM_MM / 2.0).is_empty:
        return False
    return any(not Polygon(r).buffer(-BALLOON_MM - 0.5).is_empty for r in piece.interiors)


def _in_own_hole(piece: Polygon, others: list[BaseGeometry], board: Ground) -> Balloon | None:
    """Room for a number in the waste inside a ring: nothing else is as near to it."""
    barred = [t for t in (*board.taken, *board.marked, *others) if t.intersects(piece.envelope)]
    for ring in piece.interiors:
        free = Polygon(ring).difference(shapely.union_all(barred)).buffer(-BALLOON_MM - 0.5)
        if free.is_empty:
            continue
        rim = piece.buffer(-INSIDE_MM)
        target = piece if rim.is_empty else rim
        at = nearest_points(free, target)[0]
        foot = nearest_points(at, target)[1]
        return Balloon((float(at.x), float(at.y)), BALLOON_MM, (float(foot.x), float(foot.y)))
    return None


def _lose(
    placed: PlacedPiece, shapes: dict[int, BaseGeometry], window: Polygon, board: Ground
) -> None:
    """A piece that is all in the window and has no number there: a page of details shows it."""
    whole = shapes[placed.number]
    free = whole.intersection(window)
    if isinstance(free, Polygon) and free.area >= WHOLE * whole.area:
        board.keyed.append(placed.number)
        board.lost.append(placed.number)
