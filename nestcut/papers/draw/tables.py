"""Small tables on drawing pages: columns of fitted width, boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nestcut.model.curves import Point
from nestcut.papers.draw.diagram import Anchor, Area, Item, Path, Pen, Text, rectangle
from nestcut.papers.draw.fonts import Weight, shorten, text_width_mm, wrap

ROW_MM = 3.5
SIZE_MM = 2.6
GAP_MM = 1.6


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its head and whether figures stand to the right."""

    head: str
    anchor: Anchor = Anchor.START


WIDEST_MM = 70.0
"""No column asks for more; the last one takes more where it's left over. [mm]"""
BOX_MM = 3.4
"""Room for the box to tick. [mm]"""


def _wanted(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> list[float]:
    return [min(full, WIDEST_MM) + GAP_MM for full in _full(columns, rows)]


def _full(columns: Sequence[Column], rows: Sequence[Sequence[str]]) -> list[float]:
    """Width of every column's longest text. [mm]"""
    full = []
    for k, column in enumerate(columns):
        cells = [text_width_mm(row[k], SIZE_MM) for row in rows]
        head = text_width_mm(column.head, SIZE_MM, Weight.BOLD)
        full.append(max([head, *cells]))
    return full


def needed_width(columns: Sequence[Column], rows: Sequence[Sequence[str]], last_mm: float) -> float:
    """Width of a table whose last column may shrink to ``last_mm``, all others in full. [mm]"""
    wanted = _wanted(columns, rows)
    return BOX_MM + sum(wanted[:-1]) + min(wanted[-1], last_mm)


def column_widths(
    columns: Sequence[Column], rows: Sequence[Sequence[str]], room_mm: float
) -> tuple[float, ...]:
    """Widths that fit; where room is short the last column gives way, then the widest. [mm]

    Where room is left, the last column has as much of it as its texts need.
    """
    wanted = _wanted(columns, rows)
    spare = room_mm - sum(wanted)
    if spare > 0:
        wanted[-1] += min(spare, _full(columns, rows)[-1] + GAP_MM - wanted[-1])
    over = sum(wanted) - room_mm
    if over > 0:
        wanted[-1] = max(wanted[-1] - over, min(wanted[-1], 12.0))
    while sum(wanted) > room_mm + 1e-6:
        over = sum(wanted) - room_mm
        widest = max(wanted)
        second = max([w for w in wanted if w < widest - 1e-9], default=0.0)
        many = [k for k, w in enumerate(wanted) if w >= widest - 1e-9]
        cut = min(over / len(many), widest - second)
        for k in many:
            wanted[k] -= max(cut, 1e-3)
    return tuple(wanted)


def rows_that_fit(height_mm: float) -> int:
    """How many rows go under a head in this height."""
    return max(0, int(height_mm / ROW_MM + 1e-9) - 1)


def wrapped(text: str, room_mm: float, most: int) -> tuple[str, ...]:
    """Break a cell's text into at most ``most`` lines; what is over is cut and ends in dots."""
    lines = wrap(text, SIZE_MM, room_mm)
    if len(lines) <= most:
        return lines
    rest = " ".join(lines[most - 1 :])
    return (*lines[: most - 1], shorten(rest, SIZE_MM, room_mm))


def line_counts(
    width_mm: float, columns: Sequence[Column], rows: Sequence[Sequence[str]], most: int
) -> tuple[int, ...]:
    """How many lines each row takes where its last cell is broken into at most ``most``."""
    room = column_widths(columns, rows, width_mm - BOX_MM)[-1] - GAP_MM + 0.05
    return tuple(len(wrapped(row[-1], room, most)) for row in rows)


def tick_table(
    top_left: Point,
    width_mm: float,
    columns: Sequence[Column],
    rows: Sequence[Sequence[str]],
    most: int = 1,
) -> tuple[Item, ...]:
    """A table whose rows begin with a box to tick; texts too long for their column are cut.

    The last column's texts are broken into up to ``most`` lines first.
    """
    x0, y0 = top_left
    widths = column_widths(columns, rows, width_mm - BOX_MM)
    items: list[Item] = []
    y = y0 - ROW_MM / 2
    items.extend(_cells((x0 + BOX_MM, y), widths, columns, [c.head for c in columns], Weight.BOLD))
    items.append(Path(((x0, y0 - ROW_MM), (x0 + width_mm, y0 - ROW_MM)), Pen.FRAME))
    for row in rows:
        y -= ROW_MM
        items.append(Area(rectangle(x0, y - 1.1, 2.2, 2.2), pen=Pen.FRAME))
        first, *more = wrapped(row[-1], widths[-1] - GAP_MM + 0.05, most)
        cells = [*row[:-1], first]
        items.extend(_cells((x0 + BOX_MM, y), widths, columns, cells, Weight.PLAIN))
        for line in more:
            y -= ROW_MM
            items.append(Text(line, (x0 + BOX_MM + sum(widths[:-1]), y), SIZE_MM))
    return tuple(items)


def _cells(
    start: Point,
    widths: Sequence[float],
    columns: Sequence[Column],
    texts: Sequence[str],
    weight: Weight,
) -> list[Item]:
    x, y = start
    items: list[Item] = []
    for width, column, text in zip(widths, columns, texts, strict=True):
        if text:
            shown = shorten(text, SIZE_MM, width - GAP_MM + 0.05, weight)
            is_right = column.anchor is Anchor.END
            at = (x + width - GAP_MM, y) if is_right else (x, y)
            items.append(Text(shown, at, SIZE_MM, weight, column.anchor))
        x += width
    return items
