"""Names and numbers of pieces on a sheet's drawing.

A name goes inside its piece where it fits, the largest letters first; else the piece's number does;
else the number stands in a circle beside the piece, with a leader.
"""

from __future__ import annotations

from dataclasses import dataclass, field

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
"""A number that would have to be smaller inside its piece stands in a circle beside it, where one
has room. [mm on paper]"""
BOX_SPARE, BOX_GAP = 0.4, 0.35
"""Spare room inside the number's frame, and between it and the name, per font size."""
FRAMED, FRAME_MM = 3, 0.45
"""So many of these sizes, the largest, have a frame where there's room; its distance from them.
[mm on paper]"""
BALLOON_MM = 2.3
"""Radius of a numbered circle. [mm on paper]"""
RIM_MM = 4.2
"""A rim so wide has room for a number with its frame. [mm on paper]"""
INSIDE_MM = 0.8
"""How far inside its piece a leader ends, where the piece is so wide. [mm on paper]"""
FROM_HOLE_MM = 1.5
"""A bare number keeps this far from its piece's holes where it can: a small one reads as a zero.
[mm on paper]"""
WHOLE = 0.98
"""A piece of which less than this share is in the window gets a number at most."""


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
    """Label every piece that is shown; those in ``must`` get a circle where nothing else fits.

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
    for placed in late:
        is_asked = placed.number in must
        if (
            is_asked
            and _is_rim(shapes[placed.number])
            and _number_outside(placed, shapes, window, room, board)
        ):
            continue
        if number_inside(placed, shapes, frame, board, READ_MM):
            continue
        if placed.number in must and _number_outside(placed, shapes, window, room, board):
            continue
        if not number_inside(placed, shapes, frame, board) and placed.number in must:
            _lose(placed, shapes, window, board)
    late.sort(key=lambda p: not warnings_for(p))  # what must not be missed goes first
    for placed in late:
        if placed.number in must:
            _name_beside(placed, shapes, window, board)


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
    placed: PlacedPiece, shapes: dict[int, BaseGeometry], window: Polygon, board: Ground
) -> None:
    """Name and warnings in the waste beside a piece that has room for its number alone."""
    whole = shapes[placed.number]
    if not window.contains(whole):
        return
    name = BlockLine(shown_name(placed), Weight.BOLD)
    warn = tuple(BlockLine(w, Weight.BOLD) for w in warnings_for(placed))
    size = (SHORT_SIZES[-1],)
    lead = _number_width(placed.number) + BOX_GAP
    blocks = [Block((name, *warn), size, lead), *([Block(warn, size, lead)] if warn else [])]
    others = [*(s for n, s in shapes.items() if n != placed.number), *board.kept]
    found = place_beside(whole, others, board.taken, board.marked, window, blocks, (0.0, 90.0))
    if found is None:
        return
    label, foot = found
    board.items.append(
        Group(
            placed.piece.id,
            "label",
            (*callout_items(label, foot), *_number_box(placed, label), *label.texts()),
        )
    )
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
        return False  # a circle beside it then
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
) -> bool:
    """A number in a circle beside a tiny piece, with a leader to it. Whether there was room."""
    whole = shapes[placed.number]
    free = whole.intersection(window)
    if not isinstance(free, Polygon) or free.area < WHOLE * whole.area:
        return False
    others = [s for n, s in shapes.items() if n != placed.number]
    balloon = _in_own_hole(free, others, board) or place_balloon(
        free, others, board.taken, room, BALLOON_MM
    )
    if balloon is None:
        return False
    board.keyed.append(placed.number)
    number = Text(str(placed.number), balloon.centre, 2.7, Weight.BOLD, Anchor.MIDDLE)
    leader = Path((balloon.centre, balloon.foot), Pen.THIN)
    dot = Disc(balloon.foot, 0.35, None, Fill.INK)
    circle = Disc(balloon.centre, balloon.radius_mm)
    board.items.append(Group(placed.piece.id, "label", (leader, dot, circle, number)))
    board.taken.append(Spot(balloon.centre).buffer(balloon.radius_mm + 0.3))
    board.taken.append(shapely.LineString([balloon.centre, balloon.foot]).buffer(0.2))
    return True


def _is_rim(piece: BaseGeometry) -> bool:
    """Whether a piece is a ring round waste, its rim about as wide as a figure is high."""
    if not isinstance(piece, Polygon) or not piece.buffer(-RIM_MM / 2.0).is_empty:
        return False
    return any(not Polygon(r).buffer(-BALLOON_MM - 0.5).is_empty for r in piece.interiors)


def _in_own_hole(piece: Polygon, others: list[BaseGeometry], board: Ground) -> Balloon | None:
    """A circle in the waste inside a ring: nothing else is as near to it."""
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
