"""The page of one sheet: the drawing to scale, figures along two edges, and the table of pieces.

A crowded sheet gets pages of details at a larger scale, and a table too long for its page goes on
overleaf.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry import box

from nestcut.papers.draw import MARGIN_MM, SCALES, Drawing, Item, Text, wrap
from nestcut.papers.page import (
    FOOT_MM,
    KERF_NOTE_MM,
    LINE_MM,
    WORDS_MM,
    PageMaker,
    check_rule,
    grain_arrow,
    kerf_note,
    scale_bar,
    sheet_head,
    title,
)
from nestcut.papers.sheet.details import DetailPage, detail_pages
from nestcut.papers.sheet.drawing import draw_sheet
from nestcut.papers.sheet.edges import EdgeFigures, edge_figures, stock_marks
from nestcut.papers.sheet.frame import SheetFrame, corner_mark
from nestcut.papers.sheet.how import how_words, lack_words
from nestcut.papers.sheet.legend import sheet_legend
from nestcut.papers.sheet.strips import thin_beside
from nestcut.papers.sheet.table import Spread, sheet_rows, spread_tables
from nestcut.papers.view import Keep, SheetView, keeps_of

TOP_MM = 5.0
"""Room above a sheet for the grain arrow. [mm]"""
SIDE_MM = 48.5
"""Least width of what stands beside a sheet. [mm]"""
APART_MM = 4.0
"""Room between a sheet, what stands beside it and its table. [mm]"""
SCALE_BAR_MM = 8.0
"""Height of the scale bar with its figures. [mm]"""
LITTLE_SMALLER = 1.2
"""On one page a sheet is drawn this much smaller where more arrows and lines get names. [-]"""
MOST_SMALLER = 1.6
"""No sheet is drawn smaller than this for its table's sake: the table goes on overleaf. [-]"""


@dataclass(frozen=True)
class _Told:
    """What a sheet's page has to tell, wherever it stands."""

    sheet: SheetView
    keeps: tuple[Keep, ...]
    edges: EdgeFigures
    rows: tuple[tuple[str, ...], ...]
    how: str


@dataclass(frozen=True)
class _Place:
    """Where a sheet and all that belongs to it stand on the page. [mm on paper]"""

    frame: SheetFrame
    furniture: tuple[Item, ...]
    table_at: tuple[float, float]
    spread: Spread
    free_to_mm: float
    """Numbers of small pieces may stand beside the sheet up to here."""


def sheet_pages(sheet: SheetView, maker: PageMaker) -> tuple[Drawing, ...]:
    """All pages of one sheet: overview, table overleaf, details."""
    keeps = keeps_of(sheet, maker.view.verified.job.cutting, maker.figures)
    size = (sheet.layout.length_mm, sheet.layout.width_mm)
    edges = edge_figures(sheet.placed, keeps, maker.figures, size, stock_marks(sheet))
    thin = thin_beside(sheet, keeps, maker.view.verified.job.cutting.on(sheet.stock).kerf_mm)
    how = how_words(sheet, *thin, lack_words(sheet, maker.figures))
    told = _Told(sheet, keeps, edges, sheet_rows(sheet, maker), how)
    best: tuple[tuple[Drawing, ...], tuple[int, int]] | None = None
    largest = math.inf
    for place in _placed(told, maker):
        if place.frame.scale > largest * LITTLE_SMALLER:
            break
        if largest < math.inf and place.spread.used < len(told.rows):
            continue  # one page has all already
        made = _pages(told, place, maker)
        if best is None or (len(made[0]), made[1]) < (len(best[0]), best[1]):
            best = made
        if len(made[0]) == 1:
            largest = min(largest, place.frame.scale if any(made[1]) else 0.0)
    assert best is not None  # noqa: S101 - there is one place at least
    return best[0]


def _pages(
    told: _Told, place: _Place, maker: PageMaker
) -> tuple[tuple[Drawing, ...], tuple[int, int]]:
    """Pages of a sheet that is drawn in this place, with what has no room there overleaf.

    With them, how many rows of its table are overleaf, and how many arrows and lines have no name.
    """
    page, frame, sheet = maker.page, place.frame, told.sheet
    high = frame.y(sheet.layout.width_mm) + 0.5
    balloons = box(frame.origin[0], frame.origin[1], place.free_to_mm, high)
    drawn = draw_sheet(sheet, frame, maker.figures, balloons, keeps=told.keeps)
    details: tuple[DetailPage, ...] = ()
    if drawn.lost:
        details = detail_pages(sheet, drawn, frame.scale, maker)
    named = frozenset(drawn.shown) - frozenset(drawn.keyed)
    items: list[Item] = [*sheet_head(sheet, frame.scale, maker, "").items]
    items += [*drawn.items, *corner_mark(frame), *told.edges.fitting(frame, named).items(frame)]
    items += [*place.furniture, *place.spread.items(*place.table_at)]
    items += check_rule(page, maker.figures)
    count = len(sheet.placed)
    caption = f"{sheet.label}, {sheet.layout.stock}: {count} pieces, drawn 1:{frame.scale:g}"
    pages = [Drawing(page.width_mm, page.height_mm, tuple(items), caption)]
    used = place.spread.used
    while used < len(told.rows):
        used, extra = _overleaf(sheet, told.rows, used, maker)
        pages.append(extra)
    overleaf = len(told.rows) - place.spread.used
    return (*pages, *(d.drawing for d in details)), (overleaf, drawn.unmarked)


def _placed(told: _Told, maker: PageMaker) -> tuple[_Place, ...]:
    """Where the sheet may stand, the largest scale first.

    What is larger has room for more names, and may leave none for the table.
    """
    found: list[_Place] = []
    for scale in SCALES[maker.paper]:
        if found and scale > found[0].frame.scale * MOST_SMALLER:
            break
        tries = (_beside(told, scale, maker), _above(told, scale, maker))
        found += [t for t in tries if t is not None]
    last = None if found else _above(told, SCALES[maker.paper][-1], maker, is_last=True)
    return tuple(found) if last is None else (last,)


def _beside(told: _Told, scale: float, maker: PageMaker) -> _Place | None:
    """Legend, hints and scale bar right of the sheet; None if it's too large for that."""
    page, layout, figures = maker.page, told.sheet.layout, maker.figures
    right = page.width_mm - MARGIN_MM
    head = sheet_head(told.sheet, scale, maker, "").height_mm
    top = page.height_mm - MARGIN_MM - head - TOP_MM
    left = MARGIN_MM + told.edges.beside_mm
    start = left + layout.length_mm / scale + APART_MM
    low = top - layout.width_mm / scale
    floor = low - told.edges.below_mm(layout.length_mm / scale)
    if right - start < SIDE_MM or floor < MARGIN_MM + FOOT_MM:
        return None
    frame = SheetFrame(scale, (left, low), (0.0, 0.0, layout.length_mm, layout.width_mm))
    width = min(right - start, 2.2 * SIDE_MM)
    items: list[Item] = [*_grain(told.sheet, frame, top)]
    y = top + TOP_MM - 1.0
    items += [*scale_bar((start, y - SCALE_BAR_MM + 2.0), scale, figures, SIDE_MM - 6.0)]
    y -= SCALE_BAR_MM + 1.0
    high, made = sheet_legend(told.sheet.placed, told.sheet).column(start, y, width)
    items += made
    y -= high + 1.0
    for line in wrap(told.how, WORDS_MM, width):
        items.append(Text(line, (start, y - LINE_MM / 2), WORDS_MM))
        y -= LINE_MM
    y -= KERF_NOTE_MM
    items += kerf_note((start, y), _kerf(told.sheet, maker))
    y -= 3.0
    above = (start - APART_MM - MARGIN_MM, max(0.0, floor - y))
    floor = min(floor, y) - 1.0
    room = floor - MARGIN_MM - FOOT_MM
    spread = spread_tables(told.rows, right - MARGIN_MM, room, above_mm=above)
    return _Place(frame, tuple(items), (MARGIN_MM, floor), spread, start - 1.0)


def _above(told: _Told, scale: float, maker: PageMaker, *, is_last: bool = False) -> _Place | None:
    """Legend and hints above the sheet, scale bar beside it, or at the lower right."""
    page, layout, figures = maker.page, told.sheet.layout, maker.figures
    right = page.width_mm - MARGIN_MM
    wide = right - MARGIN_MM
    head = sheet_head(told.sheet, scale, maker, "").height_mm
    top = page.height_mm - MARGIN_MM - head - 0.6
    items: list[Item] = []
    for line in wrap(told.how, WORDS_MM, wide):
        items.append(Text(line, (MARGIN_MM, top - LINE_MM / 2), WORDS_MM))
        top -= LINE_MM
    high, made = sheet_legend(told.sheet.placed, told.sheet).flow(MARGIN_MM, top, wide)
    items += made
    top -= high + TOP_MM
    left = MARGIN_MM + told.edges.beside_mm
    low = top - layout.width_mm / scale
    floor = low - told.edges.below_mm(layout.length_mm / scale) - 1.0
    is_roomy = left + layout.length_mm / scale + APART_MM + SIDE_MM <= right
    corner = 0.0 if is_roomy else KERF_NOTE_MM + SCALE_BAR_MM + 4.0
    is_short = floor - corner < MARGIN_MM + FOOT_MM
    if not is_last and (is_short or left + layout.length_mm / scale > right):
        return None
    frame = SheetFrame(scale, (left, low), (0.0, 0.0, layout.length_mm, layout.width_mm))
    items += _grain(told.sheet, frame, top)
    x, y = right - SIDE_MM, top if is_roomy else floor
    items += scale_bar((x, y - SCALE_BAR_MM + 2.0), scale, figures, SIDE_MM - 6.0)
    items += kerf_note((x, y - SCALE_BAR_MM - KERF_NOTE_MM), _kerf(told.sheet, maker))
    beside = 0.0 if is_roomy else SIDE_MM + APART_MM
    spread = spread_tables(told.rows, wide - beside, floor - MARGIN_MM - FOOT_MM)
    free_to = x - APART_MM if is_roomy else right
    return _Place(frame, tuple(items), (MARGIN_MM, floor), spread, free_to)


def _kerf(sheet: SheetView, maker: PageMaker) -> str:
    return maker.figures.fine(maker.view.verified.job.cutting.on(sheet.stock).kerf_mm)


def _grain(sheet: SheetView, frame: SheetFrame, top: float) -> tuple[Item, ...]:
    if sheet.grain_deg == 0.0:
        return grain_arrow((frame.x(frame.window[0]) + 17.0, top + 2.6), 0.0)
    x = frame.x(frame.window[0]) + 2.0
    return (
        *grain_arrow((x, top + 2.6), 90.0, 4.4)[:-1],
        Text("face grain (across the sheet)", (x + 4.0, top + 2.6), WORDS_MM),
    )


def _overleaf(
    sheet: SheetView, rows: Sequence[Sequence[str]], start: int, maker: PageMaker
) -> tuple[int, Drawing]:
    """The table's next page, and how many rows have been told when it's full."""
    page = maker.page
    head = title(page, sheet.label, sheet.layout.stock, "pieces, continued", "")
    top = page.height_mm - MARGIN_MM - head.height_mm - 1.0
    spread = spread_tables(rows, page.width_mm - 2 * MARGIN_MM, top - MARGIN_MM - FOOT_MM, start)
    caption = f"{sheet.label}: pieces, continued"
    items = (*head.items, *spread.items(MARGIN_MM, top))
    return spread.used, Drawing(page.width_mm, page.height_mm, items, caption)
