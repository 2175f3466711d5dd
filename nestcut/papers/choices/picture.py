"""Money against joints, a number for each way, and below it the ways with their largest offcut."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from nestcut.model.curves import Point
from nestcut.papers.choices.row import ChoiceRow, best_rows, words_of
from nestcut.papers.draw import (
    MARGIN_MM,
    SCALES,
    SIZES,
    Anchor,
    Area,
    Disc,
    Drawing,
    Fill,
    Item,
    Lines,
    PageSize,
    Paper,
    Path,
    Pen,
    Text,
    Weight,
    moved,
    rectangle,
    spread,
    text_width_mm,
    wrap,
)
from nestcut.papers.page.parts import LINE_MM, WORDS_MM, title
from nestcut.papers.view import Figures

_CHART_MM = 62.0
"""Most height of the picture of money against joints. [mm on paper]"""
_STEP_MM = (5.0, 12.0)
"""Least and most distance between numbers of joints. [mm on paper]"""
_DOT_MM, _TAG_MM = 1.2, 5.0
"""Radius of a dot; room that its number takes along. [mm on paper]"""
_OFFCUT_MM = (26.0, 8.0)
"""Room for the picture of an offcut: longer and shorter side. [mm on paper]"""
_MOST_TICKS = 8


@dataclass(frozen=True, slots=True)
class _Maker:
    paper: Paper
    figures: Figures
    job: str
    rows: Sequence[ChoiceRow]

    @property
    def page(self) -> PageSize:
        return SIZES[self.paper].landscape

    @property
    def right(self) -> float:
        return self.page.width_mm - MARGIN_MM


def choices_drawings(
    job: str, rows: Sequence[ChoiceRow], paper: Paper, figures: Figures
) -> tuple[Drawing, ...]:
    """Draw the ways side by side, on as many pages as they need; the first has the picture.

    Parameters
    ----------
    job
        Name of the job.
    rows
        All ways in their order; they are numbered from 1.
    """
    maker = _Maker(paper, figures, job, rows)
    words = words_of(rows, figures)
    pages: list[Drawing] = []
    start = 0
    while start < len(rows) or not pages:
        facts = " ".join(words) if not pages else ""
        head = title(maker.page, "Ways to plan it", job, facts, "")
        y = maker.page.height_mm - MARGIN_MM - head.height_mm - 3.0
        items = list(head.items)
        if not pages and any(r.is_whole for r in rows):
            chart, y = _chart(maker, y)
            items += chart
        table, stop = _table(maker, y, start)
        items += table
        caption = f"{job}: ways to plan it, money against joints"
        pages.append(Drawing(maker.page.width_mm, maker.page.height_mm, tuple(items), caption))
        start = max(stop, start + 1)
    return tuple(pages)


def _chart(maker: _Maker, top: float) -> tuple[list[Item], float]:
    """Draw the picture below ``top``; returns where it ends."""
    figures = maker.figures
    whole = [k for k, r in enumerate(maker.rows) if r.is_whole]
    joints = [maker.rows[k].joints for k in whole]
    low, high = min(joints), max(joints)
    step = min(_STEP_MM[1], max(_STEP_MM[0], _CHART_MM / (high - low + 1)))
    if step * (high - low + 1) > _CHART_MM:
        step = _CHART_MM / (high - low + 1)
    left = MARGIN_MM + text_width_mm(f"{high} joints", WORDS_MM) + 3.0
    base = top - step * (high - low + 1) - 2.0
    money = _Scale.over([maker.rows[k].paid_minor for k in whole], left + 8.0, maker.right - 12.0)

    def at(k: int) -> Point:
        row = maker.rows[k]
        return money.at(row.paid_minor), base + step * (row.joints - low + 0.5)

    items: list[Item] = [
        Path(((left, top), (left, base), (maker.right, base)), Pen.FRAME),
        Lines(tuple(((x, base), (x, base - 1.2)) for x in map(money.at, money.ticks)), Pen.FRAME),
    ]
    every = max(1, math.ceil(_STEP_MM[0] / step))
    for n in range(low, high + 1, every):
        y = base + step * (n - low + 0.5)
        words = f"{n} joint{'' if n == 1 else 's'}"
        items.append(Text(words, (left - 2.0, y), WORDS_MM, anchor=Anchor.END))
        items.append(Lines((((left, y), (maker.right, y)),), Pen.HATCH))
    items += [
        Text(figures.money(t), (money.at(t), base - 3.4), WORDS_MM, anchor=Anchor.MIDDLE)
        for t in money.ticks
    ]
    best = best_rows(maker.rows)
    items += _staircase([at(k) for k in best])
    for n in sorted(set(joints)):
        own = sorted((k for k in whole if maker.rows[k].joints == n), key=lambda k: (at(k)[0], k))
        tags = spread([at(k)[0] for k in own], left + 3.0, maker.right - 3.0, _TAG_MM)
        for k, x in zip(own, tags, strict=True):
            spot, high_up = at(k), at(k)[1] + min(4.0, 0.42 * step + 1.2)
            if abs(x - spot[0]) > _DOT_MM:
                items.append(Path((spot, (x, high_up - 1.4)), Pen.THIN))
            tag = Text(str(k + 1), (x, high_up), WORDS_MM, Weight.BOLD, Anchor.MIDDLE)
            ground = rectangle(x - tag.width_mm / 2.0, high_up - 1.3, tag.width_mm, 2.6)
            items += [Area(ground, pen=None, fill=Fill.PAPER), tag]
        items += [
            Disc(at(k), _DOT_MM, Pen.FRAME, Fill.INK if k in best else Fill.PAPER)
            for k in sorted(own, key=lambda k: k in best)
        ]
    told = "Black: no other way costs less with as few joints. Numbers as below."
    items.append(Text(told, (left, base - 8.2), WORDS_MM))
    items.append(Text("to buy", (maker.right, base - 8.2), WORDS_MM, anchor=Anchor.END))
    return items, base - 12.5


def _staircase(points: list[Point]) -> list[Item]:
    """Join the best ways: what lies right of and above the line is beaten."""
    ordered = sorted(points)
    line = [ordered[0]]
    for before, after in pairwise(ordered):
        line += [(after[0], before[1]), after]
    return [Path(tuple(line), Pen.HIDDEN)] if len(line) > 1 else []


@dataclass(frozen=True, slots=True)
class _Scale:
    """Money along a line. [minor units]"""

    low: float
    high: float
    left: float
    right: float
    ticks: tuple[int, ...]

    @classmethod
    def over(cls, amounts: Sequence[int], left: float, right: float) -> _Scale:
        """Hold all amounts, with ticks at round sums."""
        low, high = min(amounts), max(amounts)
        span = max(high - low, 100)
        unit = 10 ** math.floor(math.log10(span / _MOST_TICKS))
        step = next(m * unit for m in (1, 2, 5, 10, 20) if span / (m * unit) <= _MOST_TICKS - 2)
        step = max(1, round(step))
        first, last = math.floor(low / step) * step, math.ceil(high / step) * step
        last = max(last, first + step)
        return cls(first, last, left, right, tuple(range(first, last + 1, step)))

    def at(self, amount: float) -> float:
        """Where an amount lies. [mm on paper]"""
        share = (amount - self.low) / (self.high - self.low)
        return self.left + share * (self.right - self.left)


@dataclass(frozen=True, slots=True)
class _Columns:
    """Right or left edges of the columns. [mm on paper]"""

    name: float
    money: float
    bar: tuple[float, float]
    counts: tuple[float, float, float]
    offcut: float


def _columns(maker: _Maker) -> _Columns:
    wide = text_width_mm(
        max((maker.figures.money(r.paid_minor) for r in maker.rows), key=len), WORDS_MM
    )
    sizes = [maker.figures.pair(*r.offcut_mm) for r in maker.rows if r.is_whole]
    size = max((text_width_mm(s, WORDS_MM) for s in sizes), default=20.0)
    offcut = maker.right - size - 2.0 - _OFFCUT_MM[0]
    counts = (offcut - 36.0, offcut - 20.0, offcut - 4.0)
    bar = (counts[0] - 38.0, counts[0] - 14.0)
    return _Columns(MARGIN_MM + 8.0, max(bar[0] - 2.0, wide), bar, counts, offcut)


def _table(maker: _Maker, top: float, start: int) -> tuple[list[Item], int]:
    """Draw rows from ``start`` on; returns where the next page begins."""
    at = _columns(maker)
    heads = (
        *(("to buy", at.money, Anchor.END), ("joints", at.counts[0], Anchor.END)),
        *(("sheets", at.counts[1], Anchor.END), ("boards", at.counts[2], Anchor.END)),
        ("largest offcut to keep", at.offcut, Anchor.START),
    )
    y = top - LINE_MM / 2
    items: list[Item] = [
        Text(words, (x, y), WORDS_MM, Weight.BOLD, anchor) for words, x, anchor in heads
    ]
    y -= LINE_MM / 2 + 0.4
    items.append(Path(((MARGIN_MM, y), (maker.right, y)), Pen.FRAME))
    k = start
    while k < len(maker.rows):
        own, high = _row(maker, at, k)
        if y - high < MARGIN_MM:
            break
        items += moved(tuple(own), 0.0, y)
        y -= high
        k += 1
    return items, k


def _row(maker: _Maker, at: _Columns, k: int) -> tuple[list[Item], float]:
    """Draw a row whose upper edge is at 0; returns its height too."""
    row, figures = maker.rows[k], maker.figures
    is_best = k in best_rows(maker.rows)
    weight = Weight.BOLD if is_best else Weight.PLAIN
    room = at.money - at.name - text_width_mm(figures.money(row.paid_minor), WORDS_MM) - 3.0
    if row.cost_minor is None:
        lines = wrap(f"{row.name}: {row.fault}", WORDS_MM, maker.right - at.name)
    else:
        short = " (cut short)" if row.is_cut_short else ""
        gone = f" ({row.unplaced} without a place)" if row.unplaced else ""
        lines = wrap(f"{row.name}{gone}{short}", WORDS_MM, room, weight)
    scale = _offcut_scale(maker)
    high = max(LINE_MM * len(lines), 0.0 if row.cost_minor is None else _OFFCUT_MM[1]) + 1.6
    middle = -high / 2.0
    first = middle + LINE_MM * (len(lines) - 1) / 2.0
    items: list[Item] = [
        Text(str(k + 1), (at.name - 2.0, middle), WORDS_MM, Weight.BOLD, Anchor.END),
        *(
            Text(line, (at.name, first - LINE_MM * n), WORDS_MM, weight)
            for n, line in enumerate(lines)
        ),
        Path(((MARGIN_MM, -high), (maker.right, -high)), Pen.THIN),
    ]
    if row.cost_minor is None:
        return items, high
    most = max(r.paid_minor for r in maker.rows)
    wide = (at.bar[1] - at.bar[0]) * (row.paid_minor / most if most else 0.0)
    items += [
        Text(figures.money(row.paid_minor), (at.money, middle), WORDS_MM, weight, Anchor.END),
        Area(rectangle(at.bar[0], middle - 1.3, wide, 2.6), pen=Pen.FRAME, fill=Fill.SHADE),
        *(
            Text(str(n), (x, middle), WORDS_MM, weight, Anchor.END)
            for n, x in zip((row.joints, row.sheets, row.boards), at.counts, strict=True)
        ),
    ]
    if min(row.offcut_mm) > 0.0:
        size = (row.offcut_mm[0] / scale, row.offcut_mm[1] / scale)
        items.append(Area(rectangle(at.offcut, middle - size[1] / 2.0, *size), pen=Pen.FRAME))
        words = figures.pair(*row.offcut_mm)
    else:
        words = "none"
    items.append(Text(words, (maker.right, middle), WORDS_MM, anchor=Anchor.END))
    return items, high


def _offcut_scale(maker: _Maker) -> float:
    """One scale for all offcuts."""
    longest = max((r.offcut_mm[0] for r in maker.rows), default=0.0)
    widest = max((r.offcut_mm[1] for r in maker.rows), default=0.0)
    need = max(longest / _OFFCUT_MM[0], widest / _OFFCUT_MM[1], 1.0)
    return next((s for s in SCALES[maker.paper] if s >= need), need)
