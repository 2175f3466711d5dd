"""Pages of marking-out tables: each piece small with its points numbered, then the numbers.

Pieces follow each other down columns; a table that reaches the foot goes on in the next column.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field

import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from nestcut.papers.draw import (
    MARGIN_MM,
    SIZES,
    Anchor,
    Area,
    Disc,
    Drawing,
    Fill,
    Item,
    PageSize,
    Paper,
    Path,
    Pen,
    Text,
    Weight,
    drawings_pdf,
    shorten,
    text_width_mm,
    wrap,
)
from nestcut.papers.marking.lines import Way
from nestcut.papers.marking.notes import marking_notes
from nestcut.papers.marking.outline import MarkedLine, MarkPoint, Role, drawn_line
from nestcut.papers.marking.rules import MarkingRule
from nestcut.papers.marking.table import Origin, PieceMarking, gauge_words
from nestcut.papers.view import PlanView, shown_name

COLUMNS = 3
GUTTER_MM = 6.0
HEAD_MM = 11.0
ROW_MM = 3.9
SIZE_MM = 2.9
NUMBER_MM = 2.3
FIGURE_MM = (12.0, 44.0)
"""Least and greatest height of a piece's small drawing. [mm]"""
STOPS = (0.0, 9.0, 31.0, 53.0)
"""Where the columns of a table begin; the numbers stand to the right. [mm]"""


@dataclass(frozen=True, slots=True)
class _Strip:
    """Something that goes down a column: its height, and its items from its own top left."""

    height_mm: float
    items: tuple[Item, ...]


@dataclass
class _Flow:
    """Fills columns page by page; used inside this module only, while pages are made."""

    page: PageSize
    title: str
    place: str = ""
    """Where the tables being set are measured from."""
    head_place: str = ""
    """The same for the first table of the page: loose pages mustn't be mistaken."""
    pages: list[Drawing] = field(default_factory=list)
    items: list[Item] = field(default_factory=list)
    column: int = 0
    used_mm: float = 0.0

    @property
    def height_mm(self) -> float:
        return self.page.height_mm - 2 * MARGIN_MM - HEAD_MM

    @property
    def width_mm(self) -> float:
        return (self.page.width_mm - 2 * MARGIN_MM - GUTTER_MM * (COLUMNS - 1)) / COLUMNS

    def add(self, strips: Sequence[_Strip]) -> None:
        """Set strips below each other without a break between them."""
        need = sum(s.height_mm for s in strips)
        if self.used_mm + need > self.height_mm + 1e-6:
            self.next_column()
        if not self.items:
            self.head_place = self.place
        for strip in strips:
            x = MARGIN_MM + self.column * (self.width_mm + GUTTER_MM)
            y = self.page.height_mm - MARGIN_MM - HEAD_MM - self.used_mm
            self.items.extend(_moved(item, x, y) for item in strip.items)
            self.used_mm += strip.height_mm

    @property
    def left_mm(self) -> float:
        """Room left in the column. [mm]"""
        return self.height_mm - self.used_mm

    def next_column(self) -> None:
        self.column, self.used_mm = self.column + 1, 0.0
        if self.column == COLUMNS:
            self.finish()

    def finish(self) -> None:
        """Close the page, if anything is on it."""
        if self.items:
            left, right = MARGIN_MM, self.page.width_mm - MARGIN_MM
            top = self.page.height_mm - MARGIN_MM
            told = f"{self.title} · {self.head_place}" if self.head_place else self.title
            name = shorten(told, 5.0, right - left - 20.0, Weight.BOLD)
            number = Text(f"{len(self.pages) + 1}", (right, top - 3.0), 4.0, anchor=Anchor.END)
            head = (
                Text(name, (left, top - 3.0), 5.0, Weight.BOLD),
                number,
                Path(((left, top - 7.0), (right, top - 7.0)), Pen.FRAME),
            )
            caption = f"{self.title}, page {len(self.pages) + 1}"
            self.pages.append(
                Drawing(self.page.width_mm, self.page.height_mm, (*head, *self.items), caption)
            )
        self.items, self.column, self.used_mm = [], 0, 0.0


def marking_pages(
    view: PlanView, tables: tuple[PieceMarking, ...], rule: MarkingRule, paper: Paper
) -> tuple[Drawing, ...]:
    """Return the notes, then every table, from sheets first and from base lines after."""
    flow = _Flow(SIZES[paper].landscape, f"{view.verified.job.name}: marking out")
    for note in marking_notes(rule, tables):
        lines = wrap(note, SIZE_MM, flow.width_mm)
        flow.add([_Strip(ROW_MM, (_words(line, Weight.PLAIN),)) for line in lines])
        flow.add([_Strip(2.0, ())])
    names = {p.piece.id: shown_name(p) for sheet in view.sheets for p in sheet.placed}
    place = ""
    for table in tables:
        here = _place_of(table)
        lines = wrap(here, 3.8, flow.width_mm, Weight.BOLD) if here != place else ()
        lead = [_Strip(ROW_MM * 1.6, (_words(line, Weight.BOLD, 3.8),)) for line in lines]
        place = flow.place = here
        told = ", ".join(names[piece] for piece in table.pieces)
        _add_table(flow, lead, told, table, rule)
    flow.finish()
    return tuple(flow.pages)


def marking_pdf(
    view: PlanView, tables: tuple[PieceMarking, ...], rule: MarkingRule, paper: Paper
) -> bytes:
    """Return marking-out.pdf; the same plan gives the same bytes."""
    title = f"{view.verified.job.name}: marking out"
    return drawings_pdf(marking_pages(view, tables, rule, paper), title)


def _place_of(table: PieceMarking) -> str:
    if table.origin is Origin.SHEET:
        return f"{table.sheet}: {table.stock}, from its corner"
    return "By themselves, from the base line"


def _add_table(
    flow: _Flow, lead: list[_Strip], names: str, table: PieceMarking, rule: MarkingRule
) -> None:
    rows = _rows(table, rule, flow.width_mm)
    figure = _figure(table, flow.width_mm)
    heading = [
        _words(line, Weight.BOLD, 3.2) for line in wrap(names, 3.2, flow.width_mm, Weight.BOLD)[:2]
    ]
    top = [_Strip(4.4, (line,)) for line in heading]
    start = [*lead, *top, figure, _heads(flow.width_mm), *rows[:3]]
    flow.add(start)
    for row in rows[3:]:
        if flow.left_mm < row.height_mm - 1e-6:
            flow.next_column()
            flow.add([_Strip(4.4, (_words(f"{names}, continued", Weight.BOLD, 3.0, flow),))])
            flow.add([_heads(flow.width_mm)])
        flow.add([row])
    flow.add([_Strip(min(4.0, max(0.0, flow.left_mm)), ())])


def _words(text: str, weight: Weight, size_mm: float = SIZE_MM, flow: _Flow | None = None) -> Text:
    shown = text if flow is None else shorten(text, size_mm, flow.width_mm, weight)
    return Text(shown, (0.0, -size_mm * 0.65), size_mm, weight)


def _heads(width_mm: float) -> _Strip:
    y = -ROW_MM / 2
    items: list[Item] = [
        Text("no.", (STOPS[0] + 7.0, y), SIZE_MM, Weight.BOLD, Anchor.END),
        Text("along", (STOPS[2] - 2.0, y), SIZE_MM, Weight.BOLD, Anchor.END),
        Text("up", (STOPS[3] - 2.0, y), SIZE_MM, Weight.BOLD, Anchor.END),
        Text("to the next", (STOPS[3], y), SIZE_MM, Weight.BOLD),
        Path(((0.0, -ROW_MM), (width_mm, -ROW_MM)), Pen.FRAME),
    ]
    return _Strip(ROW_MM + 0.4, tuple(items))


def _rows(table: PieceMarking, rule: MarkingRule, width_mm: float) -> list[_Strip]:
    rows: list[_Strip] = []
    for line in table.marking.lines:
        first = len(rows)
        if line.circle is not None:
            c = line.circle
            told = (
                f"circle of radius {rule.written(c.radius)} about "
                f"{rule.written(c.x)} along, {rule.written(c.y)} up"
            )
            rows.append(_Strip(ROW_MM, (_words(told, Weight.PLAIN),)))
        last = line.points[-1] if line.points else None
        rows += [_point_row(p, rule, line.is_closed or p is not last) for p in line.points]
        if line.name != "outline":
            words = shorten(line.name, SIZE_MM, width_mm, Weight.BOLD)
            heading = _Strip(ROW_MM, (_words(words, Weight.BOLD),))
            rows[first : first + 1] = [_together([heading, *rows[first : first + 1]])]
    tail: list[_Strip] = []
    if table.gauge_mm is not None:
        told = f"trim line: {rule.written(table.gauge_mm)} {gauge_words(table)}"
        tail += [_Strip(ROW_MM, (_words(w, Weight.PLAIN),)) for w in wrap(told, SIZE_MM, width_mm)]
    for d in table.marking.diagonals:
        told = f"check: {d.from_number} to {d.to_number} is {rule.written(d.length_mm)}"
        tail.append(_Strip(ROW_MM, (_words(told, Weight.PLAIN),)))
    within = rule.tolerance(table.marking.error_mm)
    tail.append(_Strip(ROW_MM, (_words(f"keeps within {within}", Weight.PLAIN),)))
    return [*rows[:-1], _together([*rows[-1:], *tail])]


def _together(strips: Sequence[_Strip]) -> _Strip:
    """Strips that stay below each other, whatever goes to the next column."""
    items: list[Item] = []
    height = 0.0
    for strip in strips:
        items += [_moved(item, 0.0, -height) for item in strip.items]
        height += strip.height_mm
    return _Strip(height, tuple(items))


def _point_row(point: MarkPoint, rule: MarkingRule, goes_on: bool) -> _Strip:  # noqa: FBT001
    y = -ROW_MM / 2
    weight = Weight.BOLD if point.role is Role.CORNER else Weight.PLAIN
    items: list[Item] = [
        Text(str(point.number), (STOPS[0] + 7.0, y), SIZE_MM, weight, Anchor.END),
        Text(rule.written(point.x_mm), (STOPS[2] - 2.0, y), SIZE_MM, anchor=Anchor.END),
        Text(rule.written(point.y_mm), (STOPS[3] - 2.0, y), SIZE_MM, anchor=Anchor.END),
    ]
    if not goes_on:
        return _Strip(ROW_MM, tuple(items))
    if point.circle is None:
        items.append(Text(point.way.value, (STOPS[3], y), SIZE_MM))
        return _Strip(ROW_MM, tuple(items))
    turn = "left" if point.turn > 0 else "right"
    c = point.circle
    items.append(
        Text(f"{Way.COMPASS.value} {rule.written(c.radius)} {turn}", (STOPS[3], y), SIZE_MM)
    )
    about = f"about {rule.written(c.x)} along, {rule.written(c.y)} up"
    items.append(Text(about, (STOPS[1], y - ROW_MM), SIZE_MM))
    return _Strip(2 * ROW_MM, tuple(items))


def _figure(table: PieceMarking, width_mm: float) -> _Strip:
    """The piece small, its points as dots, and as many numbers as have room."""
    lines = [(line, drawn_line(line)) for line in table.marking.lines]
    outline = lines[0][1]
    (x0, y0), (x1, y1) = outline.min(axis=0), outline.max(axis=0)
    border = 5.0
    inner = (width_mm - 2 * border, FIGURE_MM[1] - 2 * border)
    scale = min(inner[0] / max(x1 - x0, 1.0), inner[1] / max(y1 - y0, 1.0))
    height = max(FIGURE_MM[0], (y1 - y0) * scale + 2 * border)

    def at(x: float, y: float) -> tuple[float, float]:
        return (
            width_mm / 2 + (x - (x0 + x1) / 2) * scale,
            -height / 2 + (y - (y0 + y1) / 2) * scale,
        )

    items: list[Item] = []
    for line, points in lines:
        way = tuple(at(float(x), float(y)) for x, y in points)
        items.append(Area(way, pen=Pen.FRAME) if line.is_closed else Path(way, Pen.MARK))
    drawn = [LineString([at(float(x), float(y)) for x, y in points]) for _, points in lines]
    inked = shapely.union_all(drawn)
    taken: list[tuple[float, float, float, float]] = []
    for line, _ in lines:
        for point in _corners_first(line):
            spot = at(point.x_mm, point.y_mm)
            items.append(Disc(spot, 0.35, None, Fill.INK))
            number = _number(str(point.number), spot, taken, (width_mm, height), inked)
            if number is not None:
                items.append(number)
    return _Strip(height, tuple(items))


def _corners_first(line: MarkedLine) -> list[MarkPoint]:
    return sorted(line.points, key=lambda p: (p.role is not Role.CORNER, p.number))


def _number(
    text: str,
    spot: tuple[float, float],
    taken: list[tuple[float, float, float, float]],
    room: tuple[float, float],
    inked: BaseGeometry,
) -> Text | None:
    """A number beside its dot where no other is, off the lines if it can be, or none."""
    half = text_width_mm(text, NUMBER_MM) / 2 + 0.2
    high = NUMBER_MM * 0.55
    found: tuple[float, float, float, float] | None = None
    for k in range(8):
        angle = math.radians(45.0 * k + 45.0)
        x = spot[0] + (half + 0.6) * math.cos(angle)
        y = spot[1] + (high + 0.6) * math.sin(angle)
        mine = (x - half, y - high, x + half, y + high)
        if mine[0] < 0 or mine[2] > room[0] or mine[3] > 0 or mine[1] < -room[1]:
            continue
        if any(
            mine[0] < o[2] and o[0] < mine[2] and mine[1] < o[3] and o[1] < mine[3] for o in taken
        ):
            continue
        is_clear = not shapely.intersects(inked, shapely.box(*mine))
        found = mine if found is None or is_clear else found
        if is_clear:
            break
    if found is None:
        return None
    taken.append(found)
    middle = ((found[0] + found[2]) / 2, (found[1] + found[3]) / 2)
    return Text(text, middle, NUMBER_MM, anchor=Anchor.MIDDLE)


def _moved(item: Item, dx: float, dy: float) -> Item:
    """Shift an item of a strip to its place on the page."""

    def to(p: tuple[float, float]) -> tuple[float, float]:
        return (p[0] + dx, p[1] + dy)

    match item:
        case Text(text, at, size, weight, anchor, angle):
            return Text(text, to(at), size, weight, anchor, angle)
        case Path(points, pen):
            return Path(tuple(to(p) for p in points), pen)
        case Area(outline, holes, pen, fill):
            return Area(
                tuple(to(p) for p in outline),
                tuple(tuple(to(p) for p in h) for h in holes),
                pen,
                fill,
            )
        case Disc(centre, radius, pen, fill):
            return Disc(to(centre), radius, pen, fill)
        case _:
            raise TypeError(f"a strip holds no {type(item).__name__}")
