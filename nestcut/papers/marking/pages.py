"""Pages of marking out: each sheet small with its base lines, then the charts it brings in.

Charts follow each other down columns and stay whole where they can; a sheet with little to
tell shares its page with the next one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from nestcut.papers.draw import (
    MARGIN_MM,
    SIZES,
    Drawing,
    Item,
    PageSize,
    Paper,
    Path,
    Pen,
    Text,
    Weight,
    drawings_pdf,
    moved,
    text_width_mm,
)
from nestcut.papers.marking.base_lines import BaseLine, base_lines
from nestcut.papers.marking.chart_figure import chart_figure, sheet_figure
from nestcut.papers.marking.chart_words import Table, base_line_row, chart_text
from nestcut.papers.marking.charts import Chart, charts_of
from nestcut.papers.marking.notes import marking_notes
from nestcut.papers.marking.rules import MarkingRule, Notation
from nestcut.papers.marking.strips import (
    ROW_MM,
    SIZE_MM,
    Strip,
    base_table,
    joined,
    lines_of,
    rows_across,
    table_strips,
)
from nestcut.papers.page import check_rule
from nestcut.papers.view import Figures, PlanView, SheetView
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.units import LengthStyle

GUTTER_MM = 6.0
HEAD_MM = 10.0
GAP_MM = 3.0
LOWEST_MM = MARGIN_MM + 2.0
"""Where columns end: the check rule stands below. [mm]"""
ROWS_AT_ONCE = 14
"""So many lines of a table stand together under one head."""
LEAST_ROWS = 2
"""So many rows of a table at least stand under its head. [-]"""
LEAST_OVER = 6
"""A chart isn't cut for so few lines more. [-]"""
MOST_NAMES = 12
"""So many lines of names stand together with the chart that they belong to. [-]"""
BLOCK_MM = 120.0
"""A chart higher than this goes on in the next column. [mm]"""
TRIES = 4
"""Pages are filled so often at most until those named in their tables hold. [-]"""
SHEET_MM = 64.0
"""Width of a sheet's small drawing. [mm]"""


@dataclass(frozen=True, slots=True)
class _Block:
    """Strips that belong together: the lead stays with what follows it."""

    strips: tuple[Strip, ...]
    name: str = ""
    """What its rest is called where it is cut in two; empty: it can't be."""
    plain: tuple[Strip, ...] = ()
    """Its strips without the name of what it goes on with, where it goes on with a chart."""
    chart: int = 0
    """The chart that begins with it; 0: none does."""

    @property
    def height_mm(self) -> float:
        return sum(s.height_mm for s in self.strips)


class _Book:
    """Fills pages from the top; used inside this module only, while pages are made."""

    def __init__(self, page: PageSize, title: str, columns: int, foot: tuple[Item, ...]) -> None:
        self.page, self.title, self.columns, self.foot = page, title, columns, foot
        self.pages: list[Drawing] = []
        self.items: list[Item] = []
        self.places: list[str] = []
        self.charts: dict[int, int] = {}
        """Page on which each chart begins."""
        self.y = self.top

    @property
    def top(self) -> float:
        return self.page.height_mm - MARGIN_MM - HEAD_MM

    @property
    def left(self) -> float:
        """Height left on the page. [mm]"""
        return self.y - LOWEST_MM

    @property
    def wide(self) -> float:
        return self.page.width_mm - 2 * MARGIN_MM

    @property
    def column_mm(self) -> float:
        return (self.wide - GUTTER_MM * (self.columns - 1)) / self.columns

    def put(self, strip: Strip, x: float, y: float) -> None:
        self.items.extend(moved(strip.items, x, y))

    def next_page(self) -> None:
        if self.items:
            left, right, top = MARGIN_MM, self.page.width_mm - MARGIN_MM, self.top + HEAD_MM
            told = ", ".join(dict.fromkeys(self.places))
            head = f"Marking out: {told}" if told else "Marking out"
            number = f"{self.title} · {len(self.pages) + 1}"
            items: list[Item] = [
                Text(head, (left, top - 3.0), 5.0, Weight.BOLD),
                Text(
                    number,
                    (right - text_width_mm(number, SIZE_MM), top - 3.0),
                    SIZE_MM,
                ),
                Path(((left, top - 7.0), (right, top - 7.0)), Pen.FRAME),
            ]
            caption = f"{head}, page {len(self.pages) + 1}"
            self.pages.append(
                Drawing(
                    self.page.width_mm,
                    self.page.height_mm,
                    (*items, *self.items, *self.foot),
                    caption,
                )
            )
        self.items, self.places, self.y = [], [], self.top


def marking_pages(view: PlanView, rule: MarkingRule, paper: Paper) -> tuple[Drawing, ...]:
    """Return how to read the pages, then every sheet with its base lines and charts."""
    charts = charts_of(view, rule)
    by_sheet = base_lines(view, charts)
    book = _filled(view, rule, paper, charts, by_sheet, dict.fromkeys(range(1, len(charts) + 1), 1))
    for _ in range(TRIES):  # pages named in a table may make it longer, and move what follows
        named = book.charts
        book = _filled(view, rule, paper, charts, by_sheet, named)
        if book.charts == named:
            break
    return tuple(book.pages)


def _filled(
    view: PlanView,
    rule: MarkingRule,
    paper: Paper,
    charts: tuple[Chart, ...],
    by_sheet: tuple[tuple[BaseLine, ...], ...],
    named: dict[int, int],
) -> _Book:
    """Fill all pages; ``named`` has the page on which each chart begins."""
    columns = 3 if rule.notation is Notation.MM else 4  # feet and inches don't go two abreast
    page = SIZES[paper].landscape
    style = LengthStyle.MM if rule.notation is Notation.MM else LengthStyle.INCH
    book = _Book(page, view.verified.job.name, columns, check_rule(page, Figures(style)))
    notes = [
        _Block((*lines_of(note, book.column_mm), Strip(GAP_MM, ())))
        for note in marking_notes(rule, charts)
    ]
    _flow(book, notes)
    told: set[int] = set()
    for sheet, lines in zip(view.sheets, by_sheet, strict=True):
        new = [c for c in dict.fromkeys(line.chart.number for line in lines) if c not in told]
        told.update(new)
        blocks = [b for n in new for b in _chart_blocks(charts[n - 1], view, book.column_mm)]
        rows = [base_line_row(line, rule, view, named[line.chart.number]) for line in lines]
        _add_sheet(book, sheet, lines, rows, blocks)
    book.next_page()
    return book


def marking_pdf(view: PlanView, rule: MarkingRule, paper: Paper) -> bytes:
    """Return marking-out.pdf; the same plan gives the same bytes."""
    title = f"{view.verified.job.name}: marking out"
    return drawings_pdf(marking_pages(view, rule, paper), title)


def _add_sheet(
    book: _Book,
    sheet: SheetView,
    lines: tuple[BaseLine, ...],
    rows: list[tuple[str, ...]],
    blocks: list[_Block],
) -> None:
    """A sheet's band across the page, then its charts in columns below."""
    figure = sheet_figure(sheet, lines, SHEET_MM)
    table = base_table(rows, book.wide - SHEET_MM - GUTTER_MM)
    name = f"{sheet.label}: {sheet.layout.stock}"
    title = Strip(6.2, (Text(name, (0.0, -3.0), 4.2, Weight.BOLD),))
    high = max(figure.height_mm, sum(s.height_mm for s in table)) + title.height_mm
    if book.items and book.left < high + GAP_MM:
        book.next_page()
    elif book.items:
        right = book.page.width_mm - MARGIN_MM
        book.items.append(Path(((MARGIN_MM, book.y), (right, book.y)), Pen.FRAME))
        book.y -= GAP_MM
    book.places.append(sheet.label)
    book.put(title, MARGIN_MM, book.y)
    y = book.y - title.height_mm
    book.put(Strip(figure.height_mm, figure.items), MARGIN_MM, y)
    used = 0.0
    for k, strip in enumerate(table):
        if y - used - strip.height_mm < LOWEST_MM - SAME_LENGTH_MM:
            book.y = y - used
            book.next_page()
            book.places.append(sheet.label)
            y, used = book.y, 0.0
            if k:
                book.put(table[0], MARGIN_MM + SHEET_MM + GUTTER_MM, y)
                used += table[0].height_mm
        book.put(strip, MARGIN_MM + SHEET_MM + GUTTER_MM, y - used)
        used += strip.height_mm
    book.y = y - max(used, figure.height_mm if y == book.y - title.height_mm else used) - GAP_MM
    _flow(book, blocks)


def _flow(book: _Book, blocks: Sequence[_Block]) -> None:
    """Set blocks in columns, as level as they go; what is over goes on overleaf."""
    rest = list(blocks)
    while rest:
        high = _level(rest, book.left, book.columns)
        if _arranged(rest, high, book.columns)[1] < len(rest):
            rest = _cut_to_fit(rest, book.left, book.columns)
            high = book.left
        places, count = _arranged(rest, high, book.columns)
        if count == 0 and book.left < book.top - LOWEST_MM - SAME_LENGTH_MM:
            sheets = list(book.places)
            book.next_page()
            book.places += sheets[-1:]
            continue
        if count == 0:  # higher than a page's column: cut it where a row ends
            parts = _split(rest[0], book.left, at_least=1)
            if len(parts) == 1:
                raise ValueError(f"a strip of {rest[0].height_mm:.0f} mm is higher than a page")
            rest[0:1] = parts
            continue
        lowest = 0.0
        for block, (column, y) in zip(rest, places, strict=False):
            down = y
            for strip in block.strips:
                book.put(strip, MARGIN_MM + column * (book.column_mm + GUTTER_MM), book.y - down)
                down += strip.height_mm
            if block.chart:
                book.charts.setdefault(block.chart, len(book.pages) + 1)
            lowest = max(lowest, down)
        rest = rest[count:]
        book.y -= lowest + GAP_MM
        if rest:
            sheets = list(book.places)
            book.next_page()
            book.places += sheets[-1:]


def _level(blocks: Sequence[_Block], most: float, columns: int) -> float:
    """The least column height that takes all blocks, or the most there is. [mm]"""
    total = sum(b.height_mm for b in blocks)
    high = max(total / columns, *(b.height_mm for b in blocks))
    while high < most:
        if _arranged(blocks, high, columns)[1] == len(blocks):
            return high
        high += ROW_MM
    return most


def _arranged(
    blocks: Sequence[_Block], high: float, columns: int
) -> tuple[list[tuple[int, float]], int]:
    """Column and depth of every block that fits, in their order; how many do."""
    places: list[tuple[int, float]] = []
    column, used = 0, 0.0
    for block in blocks:
        if used + block.height_mm > high + SAME_LENGTH_MM:
            column, used = column + (1 if used else 0), 0.0
            if column == columns or block.height_mm > high + SAME_LENGTH_MM:
                break
        places.append((column, used))
        used += block.height_mm + GAP_MM
    return places, len(places)


def _cut_to_fit(blocks: Sequence[_Block], high: float, columns: int) -> list[_Block]:
    """Cut blocks that don't fit what is left of a column, until the page is full."""
    made: list[_Block] = []
    waiting = list(blocks)
    column, used = 0, 0.0
    while waiting and column < columns:
        block = waiting.pop(0)
        if used + block.height_mm <= high + SAME_LENGTH_MM:
            made.append(block)
            used += block.height_mm + GAP_MM
            continue
        parts = _split(block, high - used)
        if len(parts) == 2:
            made.append(parts[0])
            waiting[0:0] = [parts[1]]
            _join_rest(waiting)
        else:
            waiting.insert(0, block)
            if used == 0.0:
                break
        column, used = column + 1, 0.0
    return [*made, *waiting]


def _join_rest(blocks: list[_Block]) -> None:
    """Join what is over of a chart with the block after it, if that goes on with the same chart."""
    if len(blocks) > 1 and blocks[1].plain and blocks[0].name == blocks[1].name:
        blocks[0:2] = [_Block((*blocks[0].strips, *blocks[1].plain), blocks[0].name)]


def _split(block: _Block, high: float, at_least: int = 0) -> list[_Block]:
    """Cut a block in two where the first part fits; the block alone if that can't be.

    Parameters
    ----------
    at_least
        So many strips stay in the first part though they don't fit.
    """
    used, count = 0.0, 0
    for strip in block.strips:
        if used + strip.height_mm > high:
            break
        used += strip.height_mm
        count += 1
    count = max(count, at_least)
    if not 0 < count < len(block.strips):
        return [block]
    rest = block.strips[count:]
    if block.name:
        rest = _continued(block.name, rest)
    first = _Block(block.strips[:count], block.name, chart=block.chart)
    return [first, _Block(rest, block.name)]


def _continued(name: str, strips: Sequence[Strip]) -> tuple[Strip, ...]:
    """What is over of a chart, under its name and the head of its table."""
    again = [Strip(5.0, (Text(name, (0.0, -2.3), 3.6, Weight.BOLD),))]
    again += [strips[0].head] if strips[0].head else []
    return (joined([*again, strips[0]]), *strips[1:])


def _chart_blocks(chart: Chart, view: PlanView, width: float) -> list[_Block]:
    """A chart; a high one comes in several blocks, each under its own name."""
    text = chart_text(chart, view)
    strips: list[Strip] = [Strip(5.0, (Text(text.title, (0.0, -2.3), 3.6, Weight.BOLD),))]
    names = lines_of(text.names, width, Weight.BOLD)
    before: list[Strip] = []
    if len(names) > MOST_NAMES:  # more than may stand together: they run on by themselves
        before, strips = [*strips, *names], []
    else:
        strips += names
    figure = chart_figure(chart, width)
    strips.append(Strip(figure.height_mm, figure.items))
    # name, pieces, drawing and the first figures stand together, and so does a lead with its table
    kept: list[Strip] = strips
    strips = before
    for part, after in zip(text.parts, (*text.parts[1:], ""), strict=True):
        if isinstance(part, Table):
            for rows in _portions(part.rows, ROWS_AT_ONCE * rows_across(part, width)):
                head, *more = table_strips(Table(part.head, rows), width)
                strips.append(joined([*kept, head, *more[:LEAST_ROWS]]))
                strips += [replace(row, head=head) for row in more[LEAST_ROWS:]]
                kept = []
        elif isinstance(after, Table):
            kept += lines_of(part, width)
        else:
            strips.append(joined([*kept, *lines_of(part, width)]))
            kept = []
    blocks: list[_Block] = []
    name = f"{text.title}, continued"
    is_first = True
    while strips:
        used, count = 0.0, 0
        while count < len(strips) and (count == 0 or used + strips[count].height_mm <= BLOCK_MM):
            used += strips[count].height_mm
            count += 1
        if 0 < len(strips) - count <= LEAST_OVER:
            count = len(strips)
        mine = tuple(strips[:count])
        blocks.append(
            _Block(mine, name, chart=chart.number)
            if is_first
            else _Block(_continued(name, mine), name, mine)
        )
        strips, is_first = strips[count:], False
    return blocks


def _portions(
    rows: Sequence[tuple[str, ...]], at_once: int
) -> Iterator[tuple[tuple[str, ...], ...]]:
    """Rows of a table in portions of about a size, none of a row or two."""
    count = max(1, round(len(rows) / at_once))
    size = -(-len(rows) // count)
    for k in range(0, len(rows), size):
        yield tuple(rows[k : k + size])
