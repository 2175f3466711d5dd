"""How wide the strips are that rips take off a board, as measures at the wood that is ripped.

Where it begins at the black end they stand beside the drawing.  Behind a cross-cut they stand in
the first piece that comes off: at the black end they'd be taken for that end's piece.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from nestcut.boards import SawCut, SawWay, span_of
from nestcut.papers.book.board_words import cuts_word
from nestcut.papers.book.rips import comes_off, rip_width_mm
from nestcut.papers.draw import (
    Figure,
    Item,
    Path,
    Pen,
    Text,
    Weight,
    along_left,
    depth_mm,
    text_width_mm,
)
from nestcut.papers.view import BoardView, Figures

AT_END_MM = 0.25
"""Nearer the end or edge than this needs no figure. [mm]"""
BLACK_MM = 1.4
"""Width of the mark at a board's black end. [mm on paper]"""
COLUMN_MM = 2.0
"""Room for a measure beside a board. [mm on paper]"""
TICK_MM = 1.2
"""Length of the strokes at the ends of a measure. [mm on paper]"""
WORDS_MM = 3.2
"""Font size of a measure inside a piece: 9 points. [mm on paper]"""
INSIDE_MM, WORDS_AT_MM, AFTER_MM = 1.4, 1.2, 3.2
"""From a piece's end to the measure inside it, from that to its words, and from these to the
piece's number: else ``30`` and ``2`` read 302. [mm on paper]"""


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
        if cut.way is SawWay.RIP and _is_at_black(board, number):
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


def _is_at_black(board: BoardView, number: int) -> bool:
    """Whether the wood that a rip parts still begins at the board's black end."""
    rip = board.saw_cuts[number - 1]
    start = min((c.from_mm for c in board.parted if c.piece in rip.pieces), default=0.0)
    return not any(
        cut.way is SawWay.CROSSCUT
        and cut.ends_mm is not None
        and rip.pieces < cut.pieces
        and cut.at_mm <= start
        for cut in board.saw_cuts[: number - 1]
    )


def inner_measures(board: BoardView, figures: Figures) -> dict[str, str]:
    """Measures that stand inside a piece, by its id: of rips through wood behind a cross-cut.

    Parameters
    ----------
    board
        With its cuts.
    figures
        How lengths are printed.
    """
    found: dict[str, str] = {}
    for number, cut in enumerate(board.saw_cuts, start=1):
        if cut.way is not SawWay.RIP or _is_at_black(board, number):
            continue
        first = _first_off(board, cut)
        if first:
            found[first] = f"{cuts_word([number])}: {figures.place(rip_width_mm(board, cut))}"
    return found


def _first_off(board: BoardView, rip: SawCut) -> str:
    """Id of the piece nearest the black end that a rip takes off; empty where it's waste alone."""
    off = comes_off(board, rip)
    row = [c for c in board.parted if c.piece in off]
    return min(row, key=lambda c: c.from_mm).piece if row else ""


def measure_wide_mm(words: str) -> float:
    """How much of a piece's length a measure inside it takes. [mm on paper]"""
    return INSIDE_MM + WORDS_AT_MM + text_width_mm(words, WORDS_MM) + AFTER_MM


def inner_measure(words: str, x: float, low: float, high: float) -> list[Item]:
    """A measure inside a piece, its words beside it.

    Parameters
    ----------
    words
        Which cut it is of, and the width.
    x
        Where the piece is free from. [mm on paper]
    low, high
        The piece's edges. [mm on paper]
    """
    at = x + INSIDE_MM
    items: list[Item] = [Path(((at, low + 0.2), (at, high - 0.2)), Pen.FRAME)]
    items += [
        Path(((at - TICK_MM / 2.0, v), (at + TICK_MM / 2.0, v)), Pen.FRAME)
        for v in (low + 0.2, high - 0.2)
    ]
    middle = (at + WORDS_AT_MM, (low + high) / 2.0)
    return [*items, Text(words, middle, WORDS_MM, Weight.PLAIN)]


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
    """How wide each strip is that a rip takes off at the black end, beside it.

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
