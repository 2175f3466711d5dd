"""Pages of marking out: each sheet small with its base lines, then the charts it brings in.

Charts stand whole, and all that a sheet brings in stand below its table, before the next sheet's
table begins.  A sheet with little to tell shares its page with the next one, and one that would be
torn begins a page where that costs none.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum
from types import MappingProxyType
from typing import NamedTuple

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
from nestcut.papers.marking.charts import charts_of
from nestcut.papers.marking.drawn import (
    GAP_MM,
    GUTTER_MM,
    SIZE_MM,
    Block,
    Columns,
    Figure,
    Strip,
    base_table,
    chart_blocks,
    laid,
    lines_of,
    names_width,
    sheet_figure,
)
from nestcut.papers.marking.notes import NOTHING_TO_MARK, marking_notes, shown_line
from nestcut.papers.marking.rules import MarkingRule
from nestcut.papers.marking.told.chart_words import base_line_row
from nestcut.papers.page import check_rule
from nestcut.papers.view import PlanView, SheetView
from nestcut.tolerances import SAME_LENGTH_MM

HEAD_MM = 7.6
COLUMNS = 4
"""Of charts beside each other on a page: so broad that rows of one point each have room."""
LOWEST_MM = MARGIN_MM + 2.0
"""Where columns end: the check rule stands below. [mm]"""
TRIES = 4
"""Pages are filled so often at most until those named in their tables hold. [-]"""
SHEET_MM = 64.0
"""Width of a sheet's small drawing. [mm]"""
CROWDED_MM = (104.0, 92.0, 80.0)
"""Its widths where many pieces make its table high anyway, as far as names have room. [mm]"""
MANY = 6
"""More pieces than this crowd a small drawing. [-]"""
NOTE_GAP_MM = 1.2
"""Between two notes. [mm]"""
NAMES_MM = 50.0
"""Least width for names in tables of base lines. [mm]"""


_NOBODYS: Mapping[int, str] = MappingProxyType({})


class _Start(StrEnum):
    """Where a sheet begins."""

    BELOW = "below the charts before it"
    FRESH = "on a page of its own"


class _Order(StrEnum):
    """In which order a sheet's charts look for room."""

    NUMBERED = "by their numbers"
    HIGHEST = "the highest first"


class _Way(NamedTuple):
    """How a sheet is set on pages."""

    start: _Start = _Start.BELOW
    order: _Order = _Order.NUMBERED


WAYS = tuple(_Way(start, order) for order in _Order for start in _Start)
"""The plainest first."""


class _Tables:
    """A sheet's table of base lines, laid once for the pages that it names."""

    def __init__(
        self, lines: tuple[BaseLine, ...], rule: MarkingRule, view: PlanView, width: float
    ) -> None:
        self._of, self._width = (lines, rule, view), width
        self._laid: dict[tuple[int, ...], list[Strip]] = {}

    def laid(self, named: dict[int, int]) -> list[Strip]:
        lines, rule, view = self._of
        key = tuple(named[line.chart.number] for line in lines)
        if key not in self._laid:
            rows = [base_line_row(b, rule, view, p) for b, p in zip(lines, key, strict=True)]
            self._laid[key] = base_table(rows, self._width)
        return self._laid[key]


@dataclass(frozen=True, slots=True)
class _Told:
    """All that is told of a sheet: its small drawing, its base lines, the charts it brings in."""

    sheet: SheetView
    table: _Tables
    blocks: tuple[Block, ...]
    figure: Figure
    wide_mm: float


class _Book:
    """Fills pages from the top; used inside this module only, while pages are made."""

    def __init__(
        self, page: PageSize, view: PlanView, columns: int, foot: tuple[Item, ...]
    ) -> None:
        self.page, self.title, self.foot = page, view.verified.job.name, foot
        self.order = [sheet.label for sheet in view.sheets]
        self.columns = Columns(columns, page.width_mm - 2 * MARGIN_MM)
        self.pages: list[tuple[str, list[tuple[Strip, float, float]]]] = []
        """Head of each full page, and its strips with their places."""
        self.items: list[tuple[Strip, float, float]] = []
        self.places: list[str] = []
        self.charts: dict[int, int] = {}
        """Page on which each chart begins."""
        self.away = 0
        """By how many pages charts stand behind their sheets' base lines, all together."""
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
        return self.columns.wide_mm

    def put(self, strip: Strip, x: float, y: float) -> None:
        self.items.append((strip, x, y))

    def next_page(self) -> None:
        if self.items:
            told = ", ".join(sorted(dict.fromkeys(self.places), key=self.order.index))
            head = f"Marking out: {told}" if told else "Marking out"
            self.pages.append((head, self.items))
        self.items, self.places, self.y = [], [], self.top

    def drawings(self) -> tuple[Drawing, ...]:
        """All pages with head and foot."""
        left, right, top = MARGIN_MM, self.page.width_mm - MARGIN_MM, self.top + HEAD_MM
        made = []
        for number, (head, strips) in enumerate(self.pages, start=1):
            items = [item for strip, x, y in strips for item in moved(strip.items, x, y)]
            told = f"{self.title} \u00b7 {number} of {len(self.pages)}"
            frame: list[Item] = [
                Text(head, (left, top - 3.0), 5.0, Weight.BOLD),
                Text(told, (right - text_width_mm(told, SIZE_MM), top - 3.0), SIZE_MM),
                Path(((left, top - 5.6), (right, top - 5.6)), Pen.FRAME),
            ]
            made.append(
                Drawing(
                    self.page.width_mm,
                    self.page.height_mm,
                    (*frame, *items, *self.foot),
                    f"{head}, page {number}",
                )
            )
        return tuple(made)


def marking_pages(view: PlanView, rule: MarkingRule, paper: Paper) -> tuple[Drawing, ...]:
    """Return how to read the pages, then every sheet with its base lines and charts."""
    charts = charts_of(view, rule)
    columns = COLUMNS
    page = SIZES[paper].landscape
    foot = check_rule(page, rule.figures)
    book = _Book(page, view, columns, foot)
    high = book.top - LOWEST_MM
    lying = list(zip(view.sheets, base_lines(view, charts), strict=True))
    if not lying:
        _flow(book, _notes((NOTHING_TO_MARK,), book.columns))
        book.next_page()
        return book.drawings()
    shown = shown_line((sheet.label, lines) for sheet, lines in lying)
    notes = _notes(marking_notes(rule, charts, shown), book.columns)
    told: set[int] = set()
    sheets = []
    for sheet, lines in lying:
        new = [c for c in dict.fromkeys(line.chart.number for line in lines) if c not in told]
        told.update(new)
        blocks = [b for n in new for b in chart_blocks(charts[n - 1], view, book.columns, high)]
        wide = _sheet_wide([base_line_row(b, rule, view, 99) for b in lines], book.wide)
        table = _Tables(lines, rule, view, book.wide - wide - GUTTER_MM)
        beside = sum(s.height_mm for s in table.laid(dict.fromkeys(range(1, len(charts) + 1), 99)))
        figure = sheet_figure(sheet, lines, wide, beside)
        sheets.append(_Told(sheet, table, tuple(blocks), figure, wide))
    named = dict.fromkeys(range(1, len(charts) + 1), 1)

    def filled(ways: tuple[_Way, ...], named: dict[int, int]) -> _Book:
        """All pages, with sheets set so, these pages named in tables."""
        made = _Book(page, view, columns, foot)
        _flow(made, notes)
        for way, sheet in zip(ways, sheets, strict=True):
            if way.start is _Start.FRESH:
                made.next_page()
            _add_sheet(made, sheet, way.order, named)
        made.next_page()
        return made

    ways = _fewest_pages(len(sheets), lambda ways: filled(ways, named))
    best = filled(ways, named)
    for _ in range(TRIES):  # pages named in a table may make it longer, and move what follows
        named = best.charts
        best = filled(ways, named)
        if best.charts == named:
            break
    return best.drawings()


def _fewest_pages(count: int, filled: Callable[[tuple[_Way, ...]], _Book]) -> tuple[_Way, ...]:
    """How each sheet is set so that there are few pages, then charts near their sheets.

    Sheets are changed one by one, from all of them set alike on.
    """

    def worth(ways: tuple[_Way, ...]) -> tuple[int, int, int]:
        made = filled(ways)
        return len(made.pages), made.away, sum(w.order is _Order.HIGHEST for w in ways)

    found = []
    for first in WAYS:
        ways = (_Way(),) + (first,) * (count - 1)
        best = worth(ways)
        for k in [*range(count), *range(count)]:
            for way in WAYS if k else WAYS[:: len(_Start)]:
                tried = (*ways[:k], way, *ways[k + 1 :])
                if (value := worth(tried)) < best:
                    best, ways = value, tried
        found.append((best, ways))
    return min(found, key=lambda f: f[0])[1]


def _notes(notes: tuple[str, ...], columns: Columns) -> list[Block]:
    """Notes in columns of one height, each going on in the next."""
    strips: list[Strip] = []
    for note in notes:
        strips += [Strip(NOTE_GAP_MM, ())] if strips else []
        strips += lines_of(note, columns.column_mm)
    deep = sum(s.height_mm for s in strips) / columns.count
    filled: list[list[Strip]] = [[]]
    for strip in strips:
        if sum(s.height_mm for s in filled[-1]) >= deep - SAME_LENGTH_MM:
            filled.append([])
        if strip.items or filled[-1]:
            filled[-1].append(strip)
    return [Block(tuple(column)) for column in filled]


def _sheet_wide(rows: list[tuple[str, ...]], wide_mm: float) -> float:
    """Width of a sheet's drawing beside its table: larger where pieces are many. [mm]"""
    for wide in CROWDED_MM if len(rows) > MANY else ():
        if names_width(rows, wide_mm - wide - GUTTER_MM) > NAMES_MM:
            return wide
    return SHEET_MM


def marking_pdf(view: PlanView, rule: MarkingRule, paper: Paper) -> bytes:
    """Return marking-out.pdf; the same plan gives the same bytes."""
    title = f"{view.verified.job.name}: marking out"
    return drawings_pdf(marking_pages(view, rule, paper), title)


def _add_sheet(book: _Book, told: _Told, order: _Order, named: dict[int, int]) -> None:
    """A sheet's band, then its charts in columns below."""
    label = told.sheet.label
    begun = _add_band(book, told, told.table.laid(named))
    blocks = list(told.blocks)
    if order is _Order.HIGHEST and all(b.chart for b in blocks):
        blocks.sort(key=lambda b: -b.height_mm)
    _flow(book, blocks, {b.chart: label for b in blocks if b.chart})
    book.away += sum(abs(book.charts[b.chart] - begun) for b in told.blocks if b.chart)


def _add_band(book: _Book, told: _Told, table: list[Strip]) -> int:
    """A sheet's band across the page; returns the page it begins on."""
    figure, sheet = told.figure, told.sheet
    right = MARGIN_MM + told.wide_mm + GUTTER_MM
    name = f"{sheet.label}: {sheet.layout.stock}"
    title = Strip(6.2, (Text(name, (0.0, -3.0), 4.2, Weight.BOLD),))
    high = max(figure.height_mm, sum(s.height_mm for s in table)) + title.height_mm
    if book.items and book.left < high + GAP_MM:
        book.next_page()
    elif book.items:
        ruled = Strip(0.0, (Path(((0.0, 0.0), (book.wide, 0.0)), Pen.FRAME),))
        book.put(ruled, MARGIN_MM, book.y)
        book.y -= GAP_MM
    book.places.append(sheet.label)
    begun = len(book.pages) + 1
    book.put(title, MARGIN_MM, book.y)
    y = book.y - title.height_mm
    book.put(Strip(figure.height_mm, figure.items), MARGIN_MM, y)
    foot = y - figure.height_mm
    for k, strip in enumerate(table):
        if y - strip.height_mm < LOWEST_MM - SAME_LENGTH_MM:
            book.next_page()
            book.places.append(sheet.label)
            y = foot = book.y
            if k:
                book.put(table[0], right, y)
                y -= table[0].height_mm
        book.put(strip, right, y)
        y -= strip.height_mm
    book.y = min(y, foot) - GAP_MM
    return begun


def _flow(book: _Book, blocks: Sequence[Block], whose: Mapping[int, str] = _NOBODYS) -> None:
    """Set blocks in columns; what has no room goes on overleaf.

    Parameters
    ----------
    whose
        The sheet that brings in each chart: pages are headed by what stands on them.
    """
    rest = list(blocks)
    last = ""
    while rest:
        placed, over, deep = laid(rest, book.left, book.columns)
        if not placed and book.left >= book.top - LOWEST_MM - SAME_LENGTH_MM:
            raise ValueError(f"a block of {rest[0].height_mm:.0f} mm is higher than a page")
        for block, column, down in placed:
            x, y = MARGIN_MM + book.columns.left_mm(column), book.y - down
            for strip in block.strips:
                book.put(strip, x, y)
                y -= strip.height_mm
            last = whose.get(block.chart, last)
            book.places += [last] if last else []
            if block.chart:
                book.charts.setdefault(block.chart, len(book.pages) + 1)
        book.y -= deep + GAP_MM
        rest = over
        if rest:
            book.next_page()
