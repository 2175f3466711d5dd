"""What is kept of a board, on its drawing: its clear end, and strips beside and behind its pieces.

None of it is hatched, for what is hatched is thrown away.  What has no room for its size inside is
told below the board.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import shapely
from shapely.geometry import box
from shapely.geometry.base import BaseGeometry

from nestcut.boards import Wood
from nestcut.model.curves import Point
from nestcut.papers.book.board_words import keep_size, strip_length, strip_size, strips_words
from nestcut.papers.draw import (
    ALONE_STEP,
    Block,
    BlockLine,
    Item,
    Path,
    Pen,
    Weight,
    place_inside,
)
from nestcut.papers.view import BoardView, Figures
from nestcut.tolerances import SAME_LENGTH_MM

SIZES_MM = (3.6, 3.2)
"""Font sizes of words inside. [mm on paper]"""
TIGHT_MM = 0.2
"""Room left round ``KEEP`` alone in a narrow strip. [mm on paper]"""
BLADE_MM = 0.5
"""A blade beside a piece is drawn no thinner, or their lines would be one. [mm on paper]"""


@dataclass(frozen=True, slots=True)
class DrawnKeeps:
    """What is kept of a board: where nothing is hatched, its lines and words, and what is told."""

    area: BaseGeometry
    items: tuple[Item, ...]
    told: tuple[str, ...]


def draw_keeps(
    board: BoardView, x: Callable[[float], float], y: Callable[[float], float], figures: Figures
) -> DrawnKeeps:
    """Draw all that is kept of a board.

    Parameters
    ----------
    x, y
        Turn a place along the board, and one across it, into one on paper.
    figures
        How lengths are printed.
    """
    defects = shapely.union_all(
        [box(x(d.from_mm), y(0.0), x(d.to_mm), y(board.layout.width_mm)) for d in board.defects]
    )
    areas: list[BaseGeometry] = []
    items: list[Item] = []
    told: list[Wood] = []
    named = 0
    for wood in board.keeps:
        area = _area(wood, board, x, y)
        areas.append(area)
        items += _edges(wood, board, area)
        is_end = wood.along_mm == board.keep_mm
        size = keep_size(board, figures) if is_end else strip_size(board, wood, figures)
        blocks = _blocks(size)
        placed = place_inside(area.difference(defects), blocks, (0.0, 90.0))
        items += () if placed is None else placed.texts()
        if (placed is None or placed.block not in blocks[:2]) and not (is_end and board.saw_cuts):
            told.append(wood)  # the end's is told with its cut
            named += placed is not None
    # the drawing names the only one: where it lies, and beside what, needs no words
    is_plain = len(told) == named == 1
    words = (
        (strip_length(board, told[0], figures),) if is_plain else strips_words(board, told, figures)
    )
    return DrawnKeeps(shapely.union_all(areas), tuple(items), words)


def _blocks(size: str) -> tuple[Block, ...]:
    """A size with its word in one line or in two; else the word alone."""
    return (
        Block((BlockLine(f"KEEP {size}", Weight.BOLD),), SIZES_MM, step=ALONE_STEP),
        Block((BlockLine("KEEP", Weight.BOLD), BlockLine(size)), (3.4, 3.2, 2.8)),
        Block((BlockLine("KEEP", Weight.BOLD),), SIZES_MM, step=ALONE_STEP, pad_mm=TIGHT_MM),
    )


def _area(
    wood: Wood, board: BoardView, x: Callable[[float], float], y: Callable[[float], float]
) -> shapely.Polygon:
    """Where it is drawn: behind a blade that can be seen."""
    (begins, ends), (low, high) = wood.along_mm, wood.across_mm
    left = x(begins)
    if begins > board.end_trim_mm + SAME_LENGTH_MM:
        left = max(left, x(begins - board.kerf_mm) + BLADE_MM)
    return box(left, y(low), x(ends), y(high))


def _edges(wood: Wood, board: BoardView, area: shapely.Polygon) -> list[Item]:
    """Lines where cuts run: nobody saws along what isn't used of the far end and of the edges."""
    (begins, ends), (low, high) = wood.along_mm, wood.across_mm
    x0, y0, x1, y1 = area.bounds
    far = board.layout.length_mm - board.end_trim_mm
    top = board.layout.width_mm - board.edge_trim_mm
    sides: list[tuple[bool, Point, Point]] = [
        (begins > SAME_LENGTH_MM, (x0, y0), (x0, y1)),
        (ends < far - SAME_LENGTH_MM, (x1, y0), (x1, y1)),
        (low > board.edge_trim_mm + SAME_LENGTH_MM, (x0, y0), (x1, y0)),
        (high < top - SAME_LENGTH_MM, (x0, y1), (x1, y1)),
    ]
    return [Path((a, b), Pen.CUT) for is_sawn, a, b in sides if is_sawn]
