"""How charts go down a page's columns: whole, each where it comes highest.

A chart is one block, as many columns wide as it needs to stand on a page; only what is higher than
a page at any width goes on in a second block.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from nestcut.papers.draw import Item, Path, Pen, Text, Weight, moved, text_width_mm
from nestcut.papers.marking.charts import Chart
from nestcut.papers.marking.drawn.chart_figure import chart_figure
from nestcut.papers.marking.drawn.strips import (
    ROW_MM,
    Strip,
    joined,
    lines_of,
    table_strips,
)
from nestcut.papers.marking.told.chart_words import Table, chart_text
from nestcut.papers.view import PlanView
from nestcut.tolerances import SAME_LENGTH_MM

GUTTER_MM = 6.0
GAP_MM = 3.0
TITLE_MM = 3.6
"""Font size of a chart's number. [mm]"""
BROAD_SHARE = 0.5
"""A chart that takes more of the height that is left is tried in more columns first. [-]"""
LOWER_SHARE = 0.85
"""A chart that is no lower than this in one column more isn't set so. [-]"""
LEAST_ROWS = 2
"""So many rows of a table at least stand under its head. [-]"""


@dataclass(frozen=True, slots=True)
class Block:
    """Strips that stand together, ``span`` columns wide."""

    strips: tuple[Strip, ...]
    span: int = 1
    chart: int = 0
    """The chart that begins with it; 0: none does."""
    broad: Block | None = None
    """The same a column wider, where it is lower so."""

    @property
    def height_mm(self) -> float:
        """From its top to its foot. [mm]"""
        return sum(s.height_mm for s in self.strips)


@dataclass(frozen=True, slots=True)
class Columns:
    """Columns of a page."""

    count: int
    wide_mm: float

    @property
    def column_mm(self) -> float:
        """Width of one column. [mm]"""
        return (self.wide_mm - GUTTER_MM * (self.count - 1)) / self.count

    def width_mm(self, span: int) -> float:
        """Width of some columns beside each other. [mm]"""
        return span * self.column_mm + (span - 1) * GUTTER_MM

    def left_mm(self, column: int) -> float:
        """Where a column begins. [mm]"""
        return column * (self.column_mm + GUTTER_MM)


def laid(
    blocks: Sequence[Block], high: float, columns: Columns
) -> tuple[list[tuple[Block, int, float]], list[Block], float]:
    """Set blocks in columns, one after the other where it comes highest.

    Parameters
    ----------
    high
        Height of the columns. [mm]

    Returns
    -------
    tuple
        Every block that has room with its column and its depth [mm], those that have none, and
        how deep the deepest reaches [mm].
    """
    return min(
        (_laid(blocks, high, columns, broad) for broad in (1.0, BROAD_SHARE)),
        key=lambda found: (len(found[1]), round(found[2], 3)),
    )


def _laid(
    blocks: Sequence[Block], high: float, columns: Columns, broad: float
) -> tuple[list[tuple[Block, int, float]], list[Block], float]:
    """As :func:`laid`; a block higher than a share of the room stands broad if it can.

    So does one that has no room otherwise.
    """
    used = [0.0] * columns.count
    placed: list[tuple[Block, int, float]] = []
    rest: list[Block] = []
    for block in blocks:
        if rest and block.chart == 0:  # goes on with what has no room
            rest.append(block)
            continue
        widths = [block]
        while widths[-1].broad is not None:
            widths.append(widths[-1].broad)
        if block.height_mm > broad * high and len(widths) > 1:
            widths = [*widths[1:], block]
        for shown in widths:
            starts = range(columns.count - shown.span + 1)
            tops = [(max(used[c : c + shown.span]), c) for c in starts]
            top, column = min(tops, key=lambda t: (round(t[0], 3), t[1]))
            if top + shown.height_mm <= high + SAME_LENGTH_MM:
                break
        else:
            rest.append(block)
            continue
        placed.append((shown, column, top))
        for c in range(column, column + shown.span):
            used[c] = top + shown.height_mm + GAP_MM
    return placed, rest, max(0.0, max(used) - GAP_MM)


def chart_blocks(chart: Chart, view: PlanView, columns: Columns, high: float) -> list[Block]:
    """A chart as one block, in as few columns as let it stand on a page.

    Parameters
    ----------
    high
        Height of a page's columns. [mm]
    """
    least = min(2, columns.count) if chart.is_whole_panel else 1
    strips: list[Strip] = []
    for span in range(least, columns.count + 1):
        strips, has_all = _chart_strips(chart, view, columns.width_mm(span))
        if not has_all and span < columns.count:
            continue
        if sum(s.height_mm for s in strips) <= high:
            block = Block(tuple(strips), span, chart.number)
            return [_with_broader(block, chart, view, columns)]
    return _in_parts(strips, chart, columns.count, high)


def _with_broader(block: Block, chart: Chart, view: PlanView, columns: Columns) -> Block:
    """A block with the same in more columns, as long as each is lower."""
    if block.span == columns.count:
        return block
    wider, _ = _chart_strips(chart, view, columns.width_mm(block.span + 1))
    broad = Block(tuple(wider), block.span + 1, chart.number)
    if broad.height_mm > LOWER_SHARE * block.height_mm:
        return block
    return replace(block, broad=_with_broader(broad, chart, view, columns))


def _in_parts(strips: list[Strip], chart: Chart, span: int, high: float) -> list[Block]:
    """Blocks of a chart that is higher than a page: cut between rows, heads of tables again."""
    blocks: list[Block] = []
    rest = list(strips)
    while rest:
        used, count = 0.0, 0
        while count < len(rest) and (count == 0 or used + rest[count].height_mm <= high):
            used += rest[count].height_mm
            count += 1
        blocks.append(Block(tuple(rest[:count]), span, 0 if blocks else chart.number))
        rest = rest[count:]
        if rest:
            again = [_title(f"Chart {chart.number}, continued", ())]
            again += [rest[0].head] if rest[0].head else []
            rest[0] = joined([*again, replace(rest[0], head=None)])
    return blocks


def _chart_strips(chart: Chart, view: PlanView, width: float) -> tuple[list[Strip], bool]:
    """A chart from its title down, and whether its drawing has all its numbers. [mm]"""
    text = chart_text(chart, view)
    indent = text_width_mm(text.title, TITLE_MM, Weight.BOLD) + 2.4
    names = lines_of(text.names, width - indent, Weight.BOLD)
    names += lines_of(text.warning, width - indent, Weight.BOLD) if text.warning else []
    strips = [_ruled(width), _title(text.title, names[:1], indent)]
    strips += [_indented(line, indent) for line in names[1:]]
    figure = chart_figure(chart, view, width)
    strips.append(Strip(figure.height_mm, figure.items))
    for part in text.parts:
        if isinstance(part, Table):
            head, *rows = table_strips(part, width)
            strips.append(joined([head, *rows[:LEAST_ROWS]]))
            strips += [replace(row, head=head) for row in rows[LEAST_ROWS:]]
        else:
            strips += lines_of(part, width)
    return strips, figure.has_all


def _ruled(width: float) -> Strip:
    """The line over a chart."""
    return Strip(1.4, (Path(((0.0, 0.0), (width, 0.0)), Pen.THIN),))


def _title(title: str, beside: Sequence[Strip], indent: float = 0.0) -> Strip:
    """A chart's number, and beside it the first line of its names."""
    items: list[Item] = [Text(title, (0.0, -ROW_MM / 2), TITLE_MM, Weight.BOLD)]
    for line in beside:
        items += moved(line.items, indent, 0.0)
    return Strip(ROW_MM, tuple(items))


def _indented(line: Strip, indent: float) -> Strip:
    return Strip(line.height_mm, moved(line.items, indent, 0.0))
