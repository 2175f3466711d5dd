"""Strips of a page of marking out: lines of words, and tables row by row."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nestcut.papers.draw import Item, Path, Pen, Text, Weight, moved, text_width_mm, wrap
from nestcut.papers.marking.told.chart_words import Table

ROW_MM = 3.8
SIZE_MM = 3.2
"""Font size of all figures, a little over 9 points. [mm]"""
BASE_HEAD = ("no.", "chart", "begins", "ends", "off to", "piece")
_AT = "chart: along, across"
BASE_UNDER = ("", "", _AT, _AT, "", "FWD, UP, faces: see shop.pdf")
"""Second line of that head: a figure of the chart, and its place on the sheet."""


@dataclass(frozen=True, slots=True)
class Strip:
    """Something that goes down a column: its height, and its items from its own top left."""

    height_mm: float
    items: tuple[Item, ...]
    head: Strip | None = None
    """What is said again before it where a column ends above it: the head of its table."""


def lines_of(text: str, width: float, weight: Weight = Weight.PLAIN) -> list[Strip]:
    """A text as lines of a width.

    Parameters
    ----------
    text
        One paragraph.
    width
        How wide a line may be. [mm]
    """
    return [
        Strip(ROW_MM, (Text(line, (0.0, -ROW_MM / 2), SIZE_MM, weight),))
        for line in wrap(text, SIZE_MM, width, weight)
    ]


def _widths(rows: Sequence[tuple[str, ...]]) -> list[float]:
    return [
        max(text_width_mm(row[k], SIZE_MM, Weight.BOLD) for row in rows)
        for k in range(len(rows[0]))
    ]


def table_strips(table: Table, width: float) -> list[Strip]:
    """Rows of figures, two beside each other where they have room."""
    widths = _widths([table.head, *table.rows])
    across = min(rows_across(table, width), max(1, -(-len(table.rows) // 3)))
    step = (width + 3.0) / across
    deep = -(-len(table.rows) // across)
    strips = []
    for k in range(-1, deep):
        items: list[Item] = []
        for c in range(across):
            at = k + c * deep
            row = table.head if k < 0 else table.rows[at] if at < len(table.rows) else None
            if row is None or (k < 0 and c * deep >= len(table.rows)):
                continue
            weight = Weight.BOLD if k < 0 else Weight.PLAIN
            x = c * step
            for j, (cell, wide) in enumerate(zip(row, widths, strict=True)):
                is_word = table.head[j] == "to next"
                start = x if is_word else x + wide - text_width_mm(cell, SIZE_MM, weight)
                items.append(Text(cell, (start, -ROW_MM / 2), SIZE_MM, weight))
                x += wide + 2.4
        if k < 0:
            items.append(Path(((0.0, -ROW_MM), (width, -ROW_MM)), Pen.FRAME))
        strips.append(Strip(ROW_MM, tuple(items)))
    return strips


def rows_across(table: Table, width: float) -> int:
    """How many rows go beside each other."""
    widths = _widths([table.head, *table.rows])
    one = sum(widths) + 2.4 * len(widths)
    return max(1, min(int((width + 3.0) / (one + 3.0)), 5))


def joined(strips: Sequence[Strip]) -> Strip:
    """Strips that stay together as one."""
    items: list[Item] = []
    high = 0.0
    for strip in strips:
        items += moved(strip.items, 0.0, -high)
        high += strip.height_mm
    return Strip(high, tuple(items))


def names_width(rows: Sequence[tuple[str, ...]], width: float) -> float:
    """What a table of base lines that is so wide has left for names. [mm]"""
    return width - sum(w + 2.6 for w in _widths([BASE_HEAD, BASE_UNDER, *rows])[:-1])


def base_table(rows: Sequence[tuple[str, ...]], width: float) -> list[Strip]:
    """Where base lines lie; names wrap in the last column."""
    widths = _widths([BASE_HEAD, BASE_UNDER, *rows])[:-1]
    start = sum(widths) + 2.6 * len(widths)
    strips = []
    for k, row in enumerate([BASE_HEAD, BASE_UNDER, *rows]):
        weight = Weight.BOLD if k == 0 else Weight.PLAIN
        items: list[Item] = []
        x = 0.0
        for cell, wide in zip(row[:-1], widths, strict=True):
            items.append(Text(cell, (x, -ROW_MM / 2), SIZE_MM, weight))
            x += wide + 2.6
        lines = wrap(row[-1], SIZE_MM, width - start, weight)
        for j, line in enumerate(lines):
            items.append(Text(line, (start, -ROW_MM * (j + 0.5)), SIZE_MM, weight))
        high = ROW_MM * len(lines)
        if k == 1:
            items.append(Path(((0.0, -high), (width, -high)), Pen.FRAME))
        strips.append(
            Strip(
                high + (0.0 if k == 0 else 0.2),
                tuple(i for i in items if not isinstance(i, Text) or i.text),
            )
        )
    return [joined(strips[:2]), *strips[2:]]
