"""The bevels of all pieces on a sheet's drawing: marks at the edges, words where there's room."""

from __future__ import annotations

from enum import StrEnum

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.papers.draw import Group, Placed, place_inside
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.written.bevel_marks import (
    STROKE_MM,
    bevel_marks,
    place_words,
)
from nestcut.papers.sheet.written.ground import WHOLE, Ground, mark_room
from nestcut.papers.sheet.written.joint_marks import label_area
from nestcut.papers.sheet.written.number_labels import number_block
from nestcut.papers.view import BevelView, PlacedPiece, bevels_of

FREE_MM = 0.4
"""Words keep this far from the lines of pieces. [mm on paper]"""

LINE_MM = 0.3
"""Half of what an edge's line takes that writing keeps off. [mm on paper]"""
REACH_MM = 10.0
"""Words of a bevel lie no further from their piece. [mm on paper]"""
SHORT_EDGE_MM = 12.0
"""An edge shorter than this needs no letter of its own where its bevel has one. [mm on paper]"""


class Rank(StrEnum):
    """What has a small piece's room for itself."""

    NUMBER = "number"
    """The piece's number: pages of details tell the bevels."""
    BEVELS = "bevels"
    """The bevels: the number may stand beside the piece."""


def draw_bevels(
    shown: tuple[PlacedPiece, ...],
    frame: SheetFrame,
    window: Polygon,
    must: frozenset[int],
    rank: Rank,
    board: Ground,
) -> None:
    """Mark the bevels and name them; a piece in ``must`` with no room for a letter is lost here.

    Parameters
    ----------
    shown
        Pieces of the sheet that the page shows.
    window
        What the page shows of the sheet, on the page. [mm]
    must
        Numbers of the pieces that are to be named on this page.
    board
        Takes the marks and the names.
    """
    bevels = [(p, view) for p in shown for view in bevels_of(p)]
    if not bevels:
        return
    bodies = {p.number: frame.shape(p.polygon) for p in shown}
    for placed, view in bevels:
        lines, body = _on_paper(view, frame)
        ends = [label_area(placed, end, frame.scale, frame.origin) for end in placed.ends]
        room = window.difference(shapely.union_all(ends))
        items = bevel_marks(view, lines, body, room)
        whole = bodies[placed.number]
        is_whole = whole.intersection(window).area >= WHOLE * whole.area
        if is_whole:
            free = _free(placed, bodies, frame, window, board)
            words = _words(view, lines, body, free)
            if rank is Rank.NUMBER and not _has_number_room(whole, lines, words, board):
                words = []
            items = (*items, *(text for block in words for text in block.texts()))
            board.taken += [block.box for block in words]
            if not words and placed.number in must:
                board.lost.append(placed.number)
        board.items.append(Group(placed.piece.id, "bevel", items))


def bar_bevels(shown: tuple[PlacedPiece, ...], frame: SheetFrame, board: Ground) -> None:
    """Keep all writing off the marks of bevels, what is written before they are drawn as well.

    Parameters
    ----------
    shown
        Pieces of the sheet that the page shows.
    board
        Takes where the marks will be.
    """
    for placed in shown:
        own = frame.shape(placed.polygon).buffer(LINE_MM)  # a neighbour has no marks of it
        for view in bevels_of(placed):
            lines, _ = _on_paper(view, frame)
            board.marked += [line.buffer(STROKE_MM + 0.1).intersection(own) for line in lines]


def _words(
    view: BevelView, lines: list[LineString], body: BaseGeometry, free: BaseGeometry
) -> list[Placed]:
    """All words at the longest edge of a bevel, its letter at the others too short for more."""
    found: list[Placed] = []
    for line in sorted(lines, key=lambda w: -round(w.length, 6)):
        if found and line.length < SHORT_EDGE_MM:
            break
        words = place_words(view, line, body, free, len(found))
        if words is not None:
            found.append(words)
            free = free.difference(words.box)
    return found


def _has_number_room(
    whole: BaseGeometry, lines: list[LineString], words: list[Placed], board: Ground
) -> bool:
    """Whether the piece's number still goes into the piece beside these words."""
    marks = [line.buffer(STROKE_MM + 0.1) for line in lines]
    taken = [*(w.box for w in words), *marks, *board.taken, *board.marked]
    room = whole.difference(shapely.union_all([t for t in taken if t.intersects(whole)]))
    block = number_block("00")
    return place_inside(room, (block,), (0.0, 90.0)) is not None


def _on_paper(view: BevelView, frame: SheetFrame) -> tuple[list[LineString], BaseGeometry]:
    lines = [shape for line in view.lines if isinstance(shape := frame.shape(line), LineString)]
    return lines, frame.shape(view.body)


def _free(
    placed: PlacedPiece,
    bodies: dict[int, BaseGeometry],
    frame: SheetFrame,
    window: Polygon,
    board: Ground,
) -> BaseGeometry:
    """Where a piece's bevels may be named: inside it, and on what no piece covers."""
    mine = bodies[placed.number]
    around = shapely.box(*mine.buffer(REACH_MM, quad_segs=1).bounds)
    others = [
        b.buffer(FREE_MM, quad_segs=2)
        for n, b in bodies.items()
        if n != placed.number and b.intersects(around)
    ]
    own = mine.boundary.buffer(FREE_MM, quad_segs=2)
    ends = [label_area(placed, end, frame.scale, frame.origin) for end in placed.ends]
    written = [t for t in (*board.taken, *board.marked) if t.intersects(around)]
    barred = [*others, own, *ends, mark_room(placed, frame), *written]
    return window.buffer(-FREE_MM).intersection(around).difference(shapely.union_all(barred))
