"""Names and numbers of pieces on a sheet's drawing.

A name goes inside its piece where it fits, the largest letters first; else the piece's number does;
else the number stands beside the piece, with a leader.
"""

from __future__ import annotations

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.papers.draw import (
    Anchor,
    Area,
    Block,
    BlockLine,
    Group,
    Item,
    Pen,
    Placed,
    Text,
    Weight,
    place_inside,
    text_width_mm,
)
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.written.callouts import callout_items, place_beside
from nestcut.papers.sheet.written.ground import WHOLE, Ground, mark_room
from nestcut.papers.sheet.written.joint_marks import label_area
from nestcut.papers.sheet.written.number_labels import (
    READ_MM,
    Beside,
    filled,
    is_rim,
    number_inside,
    number_outside,
)
from nestcut.papers.view import Figures, PlacedPiece, shown_name, warnings_for

NAME_SIZES = (6.5, 5.5, 4.8, 4.2, 3.7, 3.2)
SHORT_SIZES = (4.2, 3.7, 3.2)
"""Font sizes tried for full names and short ones. [mm on paper]"""
BOX_SPARE, BOX_GAP = 0.4, 0.35
"""Spare room inside the number's frame, and between it and the name, per font size."""


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
            and is_rim(shapes[placed.number])
            and number_outside(placed, shapes, window, room, board)
        ):
            continue
        if number_inside(placed, shapes, frame, board, READ_MM):
            inside.add(placed.number)
            continue
        if is_asked and number_outside(placed, shapes, window, room, board):
            continue
        if number_inside(placed, shapes, frame, board):
            inside.add(placed.number)
        elif is_asked and not number_outside(placed, shapes, window, room, board, Beside.ANYWHERE):
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
    barred = [*(filled(others, whole) if isinstance(whole, Polygon) else others), *board.kept]
    found = place_beside(whole, barred, board.taken, board.marked, window, blocks, (0.0, 90.0))
    if found is None:
        return
    label, foot = found
    items = (*callout_items(label, foot), *label.texts())
    board.items.append(Group(placed.piece.id, "label", items))
    board.taken.append(label.box)


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


def _lose(
    placed: PlacedPiece, shapes: dict[int, BaseGeometry], window: Polygon, board: Ground
) -> None:
    """A piece that is all in the window and has no number there: a page of details shows it."""
    whole = shapes[placed.number]
    free = whole.intersection(window)
    if isinstance(free, Polygon) and free.area >= WHOLE * whole.area:
        board.keyed.append(placed.number)
        board.lost.append(placed.number)
