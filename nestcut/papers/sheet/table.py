"""The table of pieces on a sheet's page."""

from __future__ import annotations

from collections.abc import Sequence

from nestcut.model.curves import Point
from nestcut.papers.draw import (
    MARGIN_MM,
    Column,
    Item,
    line_counts,
    needed_width,
    rows_that_fit,
    tick_table,
)
from nestcut.papers.page import FOOT_MM, SIDE_MM, PageMaker
from nestcut.papers.view import (
    Figures,
    PlacedPiece,
    allowance_words,
    bevel_words_short,
    joint_words_short,
    shown_name,
    warnings_for,
)

NOTES_MM = (24.0, 12.0)
"""Least room for notes beside a piece; the smaller one where the table would run over else. The
cut list has notes in full. [mm]"""
LINES = (6, 3, 2)
"""Into how many lines a note may be broken where all rows still fit; else notes are cut."""
APART_MM = 4.0
"""Room between tables that stand beside each other. [mm]"""
COLUMNS = (Column("no."), Column("piece"), Column("size"), Column("joints, notes"))


def piece_row(placed: PlacedPiece, figures: Figures) -> tuple[str, ...]:
    """One piece in the table: number, name, size, what to do with it."""
    notes = [joint_words_short(end) for end in placed.ends]
    notes += [w.lower() for w in warnings_for(placed)]
    notes += bevel_words_short(placed)
    words = allowance_words(placed, figures)
    notes += [words] if words else []
    notes += [placed.piece.note] if placed.piece.note else []
    size = f"{figures.size(placed.size_mm[0])} x {figures.size(placed.size_mm[1])}"
    return (str(placed.number), shown_name(placed), size, "; ".join(notes))


def tables_beside(
    rows: Sequence[Sequence[str]], top_left: Point, width: float, height_rows: int
) -> tuple[int, tuple[Item, ...]]:
    """As many tables as fit beside each other; how many rows they took, and the tables."""
    if height_rows < 1 or not rows:
        return 0, ()
    wanted = -(-len(rows) // height_rows)
    possible = [_most_blocks(rows, width, notes) for notes in NOTES_MM]
    blocks = min(next((m for m in possible if m >= wanted), max(possible)), wanted)
    each = (width - APART_MM * (blocks - 1)) / blocks
    most = next((m for m in LINES if _taken(rows, blocks, each, height_rows, m) == len(rows)), 1)
    items: list[Item] = []
    used = 0
    for k in range(blocks):
        share = rows[used : used + _fitting(rows[used:], each, height_rows, most)]
        used += len(share)
        at = (top_left[0] + k * (each + APART_MM), top_left[1])
        items.extend(tick_table(at, each, COLUMNS, share, most))
    return used, tuple(items)


def _taken(
    rows: Sequence[Sequence[str]], blocks: int, each: float, height_rows: int, most: int
) -> int:
    """How many rows go into the tables where notes have up to ``most`` lines."""
    used = 0
    for _ in range(blocks):
        used += _fitting(rows[used:], each, height_rows, most)
    return used


def _fitting(rows: Sequence[Sequence[str]], each: float, height_rows: int, most: int) -> int:
    """How many of the first rows go into one table."""
    for count in range(min(len(rows), height_rows), 0, -1):
        if sum(line_counts(each, COLUMNS, rows[:count], most)) <= height_rows:
            return count
    return 0


def table_below(
    placed: Sequence[PlacedPiece], top: float, maker: PageMaker
) -> tuple[int, tuple[Item, ...]]:
    """The table below a drawing, left of the scale bar; how many pieces it took. [mm on paper]"""
    rows = [piece_row(p, maker.figures) for p in placed]
    width = maker.page.width_mm - 2 * MARGIN_MM - SIDE_MM
    return tables_beside(rows, (MARGIN_MM, top), width, rows_that_fit(top - MARGIN_MM - FOOT_MM))


def _most_blocks(rows: Sequence[Sequence[str]], width: float, notes_mm: float) -> int:
    """How many tables fit beside each other without cutting anything but notes."""
    for blocks in (3, 2):
        each = (width - APART_MM * (blocks - 1)) / blocks
        if needed_width(COLUMNS, rows, notes_mm) <= each:
            return blocks
    return 1
