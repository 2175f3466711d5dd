"""Small tables on drawing pages: columns of fitted width, boxes to tick, every word in full."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nestcut.model.curves import Point
from nestcut.papers.draw.diagram import Anchor, Area, Item, Path, Pen, Text, rectangle
from nestcut.papers.draw.letters import Weight, text_width_mm, wrap
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.tolerances.lengths import NOISE_MM
from nestcut.tolerances.looks import CELL_SLACK_MM, LEAST_CUT_MM

SIZE_MM = 3.2
"""Font size, a little over 9 points. [mm on paper]"""
LINE_MM = 3.5
"""Distance of lines. [mm on paper]"""
GAP_MM = 1.8
"""Room between columns. [mm on paper]"""
BOX_MM = 3.8
"""Room for the box to tick. [mm on paper]"""
_TICK_MM = 2.4
"""Side of that box. [mm on paper]"""


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its head and whether figures stand to the right."""

    head: str
    anchor: Anchor = Anchor.START


@dataclass(frozen=True, slots=True)
class LaidTable:
    """A table of a given width, broken into lines; ``heights_mm`` has one for each row."""

    columns: tuple[Column, ...]
    widths_mm: tuple[float, ...]
    rows: tuple[tuple[tuple[str, ...], ...], ...]
    done: str = ""
    """The box of a row whose last text begins with these words is crossed already."""

    @property
    def heights_mm(self) -> tuple[float, ...]:
        """Height of each row. [mm on paper]"""
        return tuple(LINE_MM * max(len(cell) for cell in row) for row in self.rows)

    def fitting(self, height_mm: float, start: int = 0) -> int:
        """How many rows from ``start`` on go under a head in this height."""
        used, count = LINE_MM + 0.6, 0
        for high in self.heights_mm[start:]:
            used += high
            if used > height_mm + SAME_LENGTH_MM:
                break
            count += 1
        return count

    def items(self, top_left: Point, start: int, stop: int) -> tuple[Item, ...]:
        """Draw rows ``start`` to ``stop`` under a head.

        Parameters
        ----------
        top_left
            Of the head, on the page. [mm]
        start, stop
            First row to draw, and the one after the last.
        """
        x0, y = top_left
        width = BOX_MM + sum(self.widths_mm)
        heads = [c.head for c in self.columns]
        items = self._cells((x0 + BOX_MM, y - LINE_MM / 2), [(h,) for h in heads], Weight.BOLD)
        y -= LINE_MM + 0.2
        items.append(Path(((x0, y), (x0 + width, y)), Pen.FRAME))
        y -= 0.4
        for row, high in zip(self.rows[start:stop], self.heights_mm[start:stop], strict=True):
            if row[0][0]:  # rows without a number belong to the one above
                low = y - LINE_MM / 2 - _TICK_MM / 2
                items.append(Area(rectangle(x0, low, _TICK_MM, _TICK_MM), pen=Pen.FRAME))
                if self.done and " ".join(row[-1]).startswith(self.done):
                    right, high_mm = x0 + _TICK_MM, low + _TICK_MM
                    items.append(Path(((x0, low), (right, high_mm)), Pen.FRAME))
                    items.append(Path(((x0, high_mm), (right, low)), Pen.FRAME))
            items += self._cells((x0 + BOX_MM, y - LINE_MM / 2), row, Weight.PLAIN)
            y -= high
        return tuple(items)

    def _cells(self, start: Point, texts: Sequence[tuple[str, ...]], weight: Weight) -> list[Item]:
        x, y = start
        items: list[Item] = []
        for width, column, lines in zip(self.widths_mm, self.columns, texts, strict=True):
            is_right = column.anchor is Anchor.END
            for k, line in enumerate(lines):
                at = (x + width - GAP_MM if is_right else x, y - LINE_MM * k)
                items += [Text(line, at, SIZE_MM, weight, column.anchor)] if line else []
            x += width
        return items


def laid_table(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], width_mm: float, done: str = ""
) -> LaidTable:
    """Fit a table into a width: texts are broken into lines where their column is narrow.

    Parameters
    ----------
    rows
        Texts, one a column; a row without its first belongs to the one above.
    width_mm
        How wide the table is. [mm]
    done
        As of :class:`LaidTable`.
    """
    widths = column_widths(columns, rows, width_mm - BOX_MM)
    broken = tuple(
        tuple(
            wrap(cell, SIZE_MM, width - GAP_MM + CELL_SLACK_MM)
            for cell, width in zip(row, widths, strict=True)
        )
        for row in rows
    )
    return LaidTable(tuple(columns), widths, broken, done)


def column_widths(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], room_mm: float
) -> tuple[float, ...]:
    """Widths that fit; where room is short the widest column gives way. [mm]

    Parameters
    ----------
    rows
        Texts, one a column.
    room_mm
        For all of them. [mm]
    """
    wanted = []
    for k, column in enumerate(columns):
        cells = [text_width_mm(row[k], SIZE_MM) for row in rows]
        head = text_width_mm(column.head, SIZE_MM, Weight.BOLD)
        wanted.append(max([head, *cells]) + GAP_MM)
    wanted[-1] -= GAP_MM - 0.1
    while sum(wanted) > room_mm + SAME_LENGTH_MM:
        over = sum(wanted) - room_mm
        widest = max(wanted)
        second = max([w for w in wanted if w < widest - NOISE_MM], default=0.0)
        many = [k for k, w in enumerate(wanted) if w >= widest - NOISE_MM]
        cut = min(over / len(many), widest - max(second, 1.0))
        for k in many:
            wanted[k] -= max(cut, LEAST_CUT_MM)
    return tuple(wanted)
