"""How wide the strips are that rips take off a board, as measures beside its drawing."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nestcut.boards import SawWay, span_of
from nestcut.papers.book.board_words import cuts_word
from nestcut.papers.book.rips import rip_width_mm
from nestcut.papers.draw import Figure, Item, Path, Pen, along_left, depth_mm
from nestcut.papers.view import BoardView, Figures

AT_END_MM = 0.25
"""Nearer the end or edge than this needs no figure. [mm]"""
BLACK_MM = 1.4
"""Width of the mark at a board's black end. [mm on paper]"""
COLUMN_MM = 2.0
"""Room for a measure beside a board. [mm on paper]"""
TICK_MM = 1.2
"""Length of the strokes at the ends of a measure. [mm on paper]"""


@dataclass(frozen=True, slots=True)
class _Strip:
    """What a rip takes off: drawn as a measure beside the board, in one of its columns."""

    low_mm: float
    high_mm: float
    column: int
    words: str


def _strips(board: BoardView, figures: Figures) -> tuple[_Strip, ...]:
    """The strips that rips take off, upward, with their widths; none lies over another."""
    found: dict[tuple[str, str], tuple[float, float, list[int]]] = {}
    for number, cut in enumerate(board.saw_cuts, start=1):
        if cut.way is SawWay.RIP:
            span = (cut.at_mm - rip_width_mm(board, cut), cut.at_mm)
            alike = (figures.place(span[0]), figures.place(span[1]))
            found.setdefault(alike, (*span, []))[2].append(number)
    columns: list[float] = []
    made: list[_Strip] = []
    for low, high, numbers in sorted(found.values(), key=lambda f: (f[2][0], f[0])):
        column = next((k for k, top in enumerate(columns) if low >= top), len(columns))
        columns[column : column + 1] = [high]
        words = f"{cuts_word(numbers)}: {figures.place(high - low)}"
        made.append(_Strip(low, high, column, words))
    return tuple(sorted(made, key=lambda s: (s.low_mm + s.high_mm, s.column)))


def _edges(board: BoardView, figures: Figures) -> list[tuple[Figure, str]]:
    """Places across a board that no cuts right through part: no other figure leads to them."""
    if board.saw_cuts:
        return []
    spans = [span_of(c, SawWay.RIP) for c in board.parted]
    edges = sorted({round(v, 3) for span in spans for v in span})
    return [(Figure(mm, ()), figures.place(mm)) for mm in edges if mm > AT_END_MM]


def beside_mm(board: BoardView, figures: Figures) -> float:
    """Room for the figures left of a board. [mm on paper]"""
    strips = _strips(board, figures)
    columns = max((s.column + 1 for s in strips), default=0)
    told = [*(s.words for s in strips), *(t for _, t in _edges(board, figures))]
    return depth_mm(told) + BLACK_MM + COLUMN_MM * columns


def strip_measures(
    board: BoardView,
    figures: Figures,
    y: Callable[[float], float],
    edge_x: float,
    span: tuple[float, float],
) -> list[Item]:
    """How wide each strip is that a rip takes off, beside it.

    Parameters
    ----------
    y
        Turns a place across the board into a height on paper.
    edge_x
        Where the drawing's left edge is on paper. [mm]
    span
        Between which heights figures may stand. [mm]
    """
    strips = _strips(board, figures)
    items: list[Item] = []
    for strip in strips:
        x = edge_x - COLUMN_MM * (strip.column + 0.6)
        low, high = y(strip.low_mm) + 0.2, y(strip.high_mm) - 0.2
        items.append(Path(((x, low), (x, high)), Pen.FRAME))
        items += [
            Path(((x - TICK_MM / 2.0, v), (x + TICK_MM / 2.0, v)), Pen.FRAME) for v in (low, high)
        ]
    outer = edge_x - COLUMN_MM * max((s.column + 0.6 for s in strips), default=0.0)
    told = [(Figure((s.low_mm + s.high_mm) / 2.0, ()), s.words) for s in strips]
    items.extend(along_left([*told, *_edges(board, figures)], y, outer, span))
    return items
