"""Pages of details: windows of a crowded sheet at a larger scale, several to a page."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from shapely.geometry import box

from nestcut.papers.draw import (
    MARGIN_MM,
    Area,
    Drawing,
    Item,
    PageSize,
    Pen,
    Text,
    larger_scale,
    rectangle,
)
from nestcut.papers.page import (
    FOOT_MM,
    KERF_NOTE_MM,
    LINE_MM,
    WORDS_MM,
    PageMaker,
    check_rule,
    kerf_note,
    scale_bar,
    sheet_head,
)
from nestcut.papers.sheet.drawing import DrawnSheet, draw_sheet
from nestcut.papers.sheet.edges import EdgeFigures, edge_figures
from nestcut.papers.sheet.frame import SheetFrame, corner_mark
from nestcut.papers.sheet.legend import sheet_legend
from nestcut.papers.sheet.table import piece_row, spread_tables
from nestcut.papers.view import PlacedPiece, SheetView

MAX_DETAILS = 8
"""No sheet gets more pages of details than this."""
FEW_DETAILS = 1
"""A larger scale for the sake of names alone may take this many pages."""
NAMED_SHARE = 0.5
"""Details are drawn large enough that at least this share of their pieces get a name."""
FIGURES = PageSize(36.0, 36.0)
"""Room that a window leaves for its figures, beside it and below. [mm on paper]"""
SPARE_MM = 10.0
"""What is shown round the pieces that a window is for. [mm on paper]"""
CORNER_MM = 34.0
"""Room for the table and the scale bar at the foot of the page. [mm on paper]"""
HEAD_MM = 26.0
"""Least room for the head, a line of words and the legend. [mm on paper]"""
CORNER_WIDE_MM = 48.5
"""Width of the corner with scale bar and kerf note. [mm on paper]"""
APART = PageSize(7.0, 4.0)
"""Room between windows. [mm on paper]"""

Window = tuple[float, float, float, float]


@dataclass(frozen=True, slots=True)
class DetailPage:
    """A page of details and the pieces in its table.

    Of the pieces that it is for, ``keyed`` have only their number on it and ``lost`` not even that.
    """

    drawing: Drawing
    keyed: tuple[int, ...]
    lost: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class _Panel:
    """A window with its figures, the pieces that it is for, and the room that it takes."""

    window: Window
    wanted: frozenset[int]
    edges: EdgeFigures
    size: PageSize


def detail_pages(
    sheet: SheetView, drawn: DrawnSheet, scale: float, maker: PageMaker
) -> tuple[DetailPage, ...]:
    """Windows at a larger scale that show every piece which has no name in the overview.

    The smallest scale is taken at which nothing is lost and most of these pieces get their name;
    names alone aren't worth more than :data:`FEW_DETAILS` pages, since the tables have them.

    Parameters
    ----------
    drawn
        The overview, with the pieces that have no name in it.
    scale
        Of the overview, as its denominator. [-]
    """
    numbers = {*drawn.keyed, *drawn.lost}
    waiting = tuple(p for p in sheet.placed if p.number in numbers)
    pages: tuple[DetailPage, ...] = ()
    most = MAX_DETAILS if drawn.lost else FEW_DETAILS
    finer = larger_scale(maker.paper, scale)
    while finer is not None:
        panels = _panels(sheet, waiting, finer, maker)
        layouts = _arranged(sheet, panels, maker)
        is_any_lost = any(p.lost for p in pages)
        if pages and len(layouts) > (MAX_DETAILS if is_any_lost else FEW_DETAILS):
            break
        pages = tuple(
            _page(sheet, layout, finer, number, maker)
            for number, layout in enumerate(layouts[:most], start=1)
        )
        nameless = sum(len(p.keyed) for p in pages)
        if not any(p.lost for p in pages) and nameless <= len(waiting) * (1.0 - NAMED_SHARE):
            break
        finer = larger_scale(maker.paper, finer)
    return pages


def _head_mm(sheet: SheetView, maker: PageMaker) -> float:
    """Room for the head and what stands under it, with the legend of the whole sheet. [mm]"""
    head = sheet_head(sheet, 1.0, maker, ", detail 10").height_mm
    wide = maker.page.width_mm - 2 * MARGIN_MM
    legend, _ = sheet_legend(sheet.placed, sheet).flow(MARGIN_MM, 0.0, wide)
    return max(HEAD_MM, head + 0.6 + LINE_MM + legend + 1.5)


def _room(sheet: SheetView, maker: PageMaker) -> PageSize:
    """Room for windows with their figures on a page. [mm on paper]"""
    page = maker.page
    height = page.height_mm - 2 * MARGIN_MM - _head_mm(sheet, maker) - FOOT_MM - CORNER_MM
    return PageSize(page.width_mm - 2 * MARGIN_MM, height)


def _panels(
    sheet: SheetView, pieces: tuple[PlacedPiece, ...], scale: float, maker: PageMaker
) -> list[_Panel]:
    """Windows for these pieces; each takes the one that holds most of those still waiting."""
    panels: list[_Panel] = []
    waiting = {p.number: p for p in pieces}
    beside = FIGURES.width_mm
    while waiting:
        window = _window(sheet, tuple(waiting.values()), scale, beside, maker)
        inside = {n: p for n, p in waiting.items() if box(*window).contains(p.polygon)}
        if inside:
            window = _tightened(window, list(inside.values()), SPARE_MM * scale)
        else:
            first = min(waiting)
            inside = {first: waiting[first]}
        panel = _panel(sheet, window, frozenset(inside), scale, maker)
        if beside < panel.edges.beside_mm < _room(sheet, maker).width_mm / 2.0:
            beside = panel.edges.beside_mm  # more than was allowed for: a narrower window
            continue
        panels.append(panel)
        waiting = {n: p for n, p in waiting.items() if n not in inside}
    return panels


def _window(
    sheet: SheetView,
    waiting: tuple[PlacedPiece, ...],
    scale: float,
    beside: float,
    maker: PageMaker,
) -> Window:
    """The window of the page's size that holds most of the waiting pieces whole.

    Parameters
    ----------
    scale
        Of the drawing, as its denominator. [-]
    beside
        Room for figures left of it. [mm on paper]
    """
    room = _room(sheet, maker)
    width = min((room.width_mm - beside) * scale, sheet.layout.length_mm)
    height = min((room.height_mm - FIGURES.height_mm) * scale, sheet.layout.width_mm)
    spare = 4.0 * scale
    boxes = np.array([p.box_mm for p in waiting])
    best: tuple[int, float, float] | None = None
    for left in sorted({p.box_mm[0] - spare for p in waiting}):
        for low in sorted({p.box_mm[1] - spare for p in waiting}):
            x = min(max(0.0, left), sheet.layout.length_mm - width)
            y = min(max(0.0, low), sheet.layout.width_mm - height)
            inside = (boxes[:, :2] >= (x, y)) & (boxes[:, 2:] <= (x + width, y + height))
            count = int(inside.all(axis=1).sum())
            if best is None or count > best[0]:
                best = (count, x, y)
    if best is None:
        return (0.0, 0.0, width, height)
    return (best[1], best[2], best[1] + width, best[2] + height)


def _tightened(window: Window, pieces: list[PlacedPiece], spare: float) -> Window:
    """The window cut down to what it is for, with room for circles round it."""
    boxes = [p.box_mm for p in pieces]
    return (
        max(window[0], min(b[0] for b in boxes) - spare),
        max(window[1], min(b[1] for b in boxes) - spare),
        min(window[2], max(b[2] for b in boxes) + spare),
        min(window[3], max(b[3] for b in boxes) + spare),
    )


def _panel(
    sheet: SheetView, window: Window, wanted: frozenset[int], scale: float, maker: PageMaker
) -> _Panel:
    inside = [p for p in sheet.placed if box(*window).contains(p.polygon)]
    frame = SheetFrame(scale, (0.0, 0.0), window)
    edges = edge_figures(inside, (), maker.figures).fitting(frame, wanted)
    width = (window[2] - window[0]) / scale + edges.beside_mm + APART.width_mm
    long = (window[2] - window[0]) / scale
    height = (window[3] - window[1]) / scale + edges.below_mm(long) + APART.height_mm
    return _Panel(window, wanted, edges, PageSize(width, height))


def _arranged(
    sheet: SheetView, panels: list[_Panel], maker: PageMaker
) -> list[list[tuple[_Panel, float, float]]]:
    """Set windows on pages in rows, tallest first; each with its upper left corner."""
    room = _room(sheet, maker)
    left = MARGIN_MM
    top = maker.page.height_mm - MARGIN_MM - _head_mm(sheet, maker)
    pages: list[list[tuple[_Panel, float, float]]] = [[]]
    x, y, row = left, top, 0.0
    for panel in sorted(panels, key=lambda p: -p.size.height_mm):
        if x > left and x + panel.size.width_mm > left + room.width_mm + APART.width_mm:
            x, y, row = left, y - row, 0.0
        if pages[-1] and y - panel.size.height_mm < top - room.height_mm - APART.height_mm:
            pages.append([])
            x, y, row = left, top, 0.0
        pages[-1].append((panel, x, y))
        x += panel.size.width_mm
        row = max(row, panel.size.height_mm)
    return pages


def _page(
    sheet: SheetView,
    layout: list[tuple[_Panel, float, float]],
    scale: float,
    number: int,
    maker: PageMaker,
) -> DetailPage:
    """One page of details with its table."""
    page = maker.page
    head = sheet_head(sheet, scale, maker, f", detail {number}")
    items: list[Item] = [*head.items, *check_rule(page, maker.figures)]
    top = page.height_mm - MARGIN_MM - head.height_mm - 0.6
    words = "Parts of the sheet; figures run from the sheet's own black corner, as on the overview."
    items.append(Text(words, (MARGIN_MM, top - LINE_MM / 2), WORDS_MM))
    seen = [
        p for p in sheet.placed if any(box(*i.window).intersects(p.polygon) for i, _, _ in layout)
    ]
    legend = sheet_legend(seen, sheet)
    items += legend.flow(MARGIN_MM, top - LINE_MM, page.width_mm - 2 * MARGIN_MM)[1]
    top = page.height_mm - MARGIN_MM - _head_mm(sheet, maker)
    keyed: list[int] = []
    lost: list[int] = []
    floor = top
    for panel, x, y in layout:
        window = panel.window
        width, height = (window[2] - window[0]) / scale, (window[3] - window[1]) / scale
        left, low = x + panel.edges.beside_mm, y - height
        frame = SheetFrame(scale, (left - window[0] / scale, low - window[1] / scale), window)
        drawn = draw_sheet(sheet, frame, maker.figures, frame.paper_window, panel.wanted)
        items += [*drawn.items, *panel.edges.items(frame)]
        items.append(Area(rectangle(left, low, width, height), pen=Pen.THIN))
        if window[0] <= 0.0 and window[1] <= 0.0:
            items.extend(corner_mark(frame))
        keyed += [n for n in drawn.keyed if n in panel.wanted]
        lost += drawn.lost
        floor = min(floor, low - panel.edges.below_mm(width))
    wanted = frozenset(n for panel, _, _ in layout for n in panel.wanted)
    listed = [p for p in sheet.placed if p.number in wanted]
    rows = [piece_row(p, maker.view, maker.figures) for p in listed]
    wide = page.width_mm - 2 * MARGIN_MM - CORNER_WIDE_MM - 4.0
    spread = spread_tables(rows, wide, floor - 1.5 - MARGIN_MM - FOOT_MM)
    items += spread.items(MARGIN_MM, floor - 1.5)
    corner = (page.width_mm - MARGIN_MM - CORNER_WIDE_MM, MARGIN_MM + FOOT_MM + 2.0)
    kerf = maker.figures.fine(maker.view.verified.job.cutting.on(sheet.stock).kerf_mm)
    items += kerf_note(corner, kerf)
    bar = (corner[0], corner[1] + KERF_NOTE_MM)
    items += scale_bar(bar, scale, maker.figures, CORNER_WIDE_MM - 6.0)
    caption = f"{sheet.label}, detail {number}, drawn 1:{scale:g}"
    drawing = Drawing(page.width_mm, page.height_mm, tuple(items), caption)
    return DetailPage(drawing, tuple(keyed), tuple(lost))
