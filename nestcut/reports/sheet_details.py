"""Pages of details: windows of a crowded sheet at a larger scale."""

from __future__ import annotations

from dataclasses import dataclass

from shapely.geometry import box

from nestcut.reports.diagram import Area, Drawing, Item, Pen, Text, rectangle
from nestcut.reports.page_maker import PageMaker, measuring_corner, sheet_head
from nestcut.reports.page_parts import FOOT_MM, HEAD_MM, TOP_MM
from nestcut.reports.paper import MARGIN_MM, PageSize, larger_scale, scale_for
from nestcut.reports.rows import PlacedPiece, SheetView
from nestcut.reports.sheet_drawing import DrawnSheet, draw_sheet
from nestcut.reports.sheet_edges import edge_figures
from nestcut.reports.sheet_frame import SheetFrame, corner_mark
from nestcut.reports.sheet_table import table_below

MAX_DETAILS = 8
"""No sheet gets more pages of details than this."""
FEW_DETAILS = 3
"""A larger scale for the sake of names alone may take this many pages."""
NAMED_SHARE = 0.5
"""Details are drawn large enough that at least this share of their pieces get a name."""
BESIDE_MM, BELOW_MM = 26.0, 48.0
"""Room for figures left of a window; for figures and scale bar below it. [mm on paper]"""
SPARE_MM = 14.0
"""What is shown round the pieces that a window is for. [mm on paper]"""


@dataclass(frozen=True, slots=True)
class DetailPage:
    """A page of details and the pieces in its table.

    Of the pieces that it is for, ``keyed`` have only their number on it and ``lost`` not even that.
    """

    drawing: Drawing
    tabled: tuple[int, ...]
    keyed: tuple[int, ...]
    lost: tuple[int, ...]


def detail_pages(
    sheet: SheetView, drawn: DrawnSheet, scale: float, maker: PageMaker
) -> tuple[DetailPage, ...]:
    """Windows at a larger scale that show every piece which has no name in the overview.

    The smallest scale is taken at which nothing is lost and most of these pieces get their name;
    names alone aren't worth more than :data:`FEW_DETAILS` pages, since the tables have them.
    """
    numbers = {*drawn.keyed, *drawn.lost}
    waiting = tuple(p for p in sheet.placed if p.number in numbers)
    pages: tuple[DetailPage, ...] = ()
    finer = larger_scale(maker.paper, scale)
    while finer is not None:
        found = _pages_at(sheet, waiting, finer, maker)
        is_any_lost = any(p.lost for p in pages)
        if pages and len(found) > (MAX_DETAILS if is_any_lost else FEW_DETAILS):
            break
        pages = found[:MAX_DETAILS]
        nameless = sum(len(p.keyed) for p in pages)
        if not any(p.lost for p in pages) and nameless <= len(waiting) * (1.0 - NAMED_SHARE):
            break
        finer = larger_scale(maker.paper, finer)
    return pages


def _pages_at(
    sheet: SheetView, pieces: tuple[PlacedPiece, ...], scale: float, maker: PageMaker
) -> tuple[DetailPage, ...]:
    """Pages for these pieces; each takes the window that holds most of those still waiting."""
    pages: list[DetailPage] = []
    waiting = {p.number: p for p in pieces}
    while waiting and len(pages) <= MAX_DETAILS:
        window = _window(sheet, tuple(waiting.values()), scale, maker)
        inside = {n: p for n, p in waiting.items() if box(*window).contains(p.polygon)}
        if inside:
            window = _tightened(window, list(inside.values()), SPARE_MM * scale)
        else:
            first = min(waiting)
            inside = {first: waiting[first]}
        pages.append(_detail(sheet, window, frozenset(inside), len(pages) + 1, maker))
        waiting = {n: p for n, p in waiting.items() if n not in inside}
    return tuple(pages)


def _room(maker: PageMaker) -> PageSize:
    """Room for a window. [mm on paper]"""
    page = maker.page
    width = page.width_mm - 2 * MARGIN_MM - BESIDE_MM
    return PageSize(width, page.height_mm - 2 * MARGIN_MM - HEAD_MM - FOOT_MM - TOP_MM - BELOW_MM)


def _tightened(
    window: tuple[float, float, float, float], pieces: list[PlacedPiece], spare: float
) -> tuple[float, float, float, float]:
    """The window cut down to what it is for, with room for circles round it."""
    boxes = [p.box_mm for p in pieces]
    return (
        max(window[0], min(b[0] for b in boxes) - spare),
        max(window[1], min(b[1] for b in boxes) - spare),
        min(window[2], max(b[2] for b in boxes) + spare),
        min(window[3], max(b[3] for b in boxes) + spare),
    )


def _window(
    sheet: SheetView, waiting: tuple[PlacedPiece, ...], scale: float, maker: PageMaker
) -> tuple[float, float, float, float]:
    """The window of the page's size that holds most of the waiting pieces whole."""
    room = _room(maker)
    width = min(room.width_mm * scale, sheet.layout.length_mm)
    height = min(room.height_mm * scale, sheet.layout.width_mm)
    spare = 4.0 * scale
    best: tuple[int, float, float] | None = None
    for left in sorted({p.box_mm[0] - spare for p in waiting}):
        for low in sorted({p.box_mm[1] - spare for p in waiting}):
            x = min(max(0.0, left), sheet.layout.length_mm - width)
            y = min(max(0.0, low), sheet.layout.width_mm - height)
            area = box(x, y, x + width, y + height)
            count = sum(area.contains(p.polygon) for p in waiting)
            if best is None or count > best[0]:
                best = (count, x, y)
    if best is None:
        return (0.0, 0.0, width, height)
    return (best[1], best[2], best[1] + width, best[2] + height)


def _detail(
    sheet: SheetView,
    window: tuple[float, float, float, float],
    wanted: frozenset[int],
    number: int,
    maker: PageMaker,
) -> DetailPage:
    """One page of details, as large as it fits."""
    page = maker.page
    scale = scale_for(maker.paper, window[2] - window[0], window[3] - window[1], _room(maker))
    inside = [p for p in sheet.placed if box(*window).contains(p.polygon)]
    edges = edge_figures(inside, maker.figures)
    top = page.height_mm - MARGIN_MM - HEAD_MM - TOP_MM
    height = (window[3] - window[1]) / scale
    left = MARGIN_MM + max(24.0, edges.beside_mm)
    origin = (left - window[0] / scale, top - height - window[1] / scale)
    frame = SheetFrame(scale, origin, window)
    drawn = draw_sheet(sheet, frame, maker.figures, frame.paper_window, wanted)
    items: list[Item] = [*sheet_head(sheet, scale, maker, f", detail {number}"), *drawn.items]
    edges = edges.fitting(frame, wanted)
    items.extend(edges.items(frame))
    listed = [p for p in sheet.placed if p.number in wanted]
    used, table = table_below(listed, top - height - edges.below_mm - 1.5, maker)
    items.extend(table)
    items.append(
        Text(
            "Part of the sheet. Figures run from the sheet's own black corner, as on the overview.",
            (left, top + 3.2),
            2.8,
        )
    )
    items.append(
        Area(rectangle(left, top - height, (window[2] - window[0]) / scale, height), pen=Pen.THIN)
    )
    if window[0] <= 0.0 and window[1] <= 0.0:
        items.extend(corner_mark(frame))
    items.extend(measuring_corner(scale, MARGIN_MM + FOOT_MM + 20.5, maker))
    caption = f"{sheet.label}, detail {number}, drawn 1:{scale:g}"
    drawing = Drawing(page.width_mm, page.height_mm, tuple(items), caption)
    tabled = tuple(p.number for p in listed[:used])
    keyed = tuple(n for n in drawn.keyed if n in wanted)
    return DetailPage(drawing, tabled, keyed, drawn.lost)
