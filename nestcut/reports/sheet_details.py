"""Pages of details: windows of a crowded sheet at a larger scale."""

from __future__ import annotations

from shapely.geometry import box

from nestcut.reports.diagram import Area, Drawing, Item, Pen, Text, rectangle
from nestcut.reports.page_maker import PageMaker, measuring_corner, sheet_head
from nestcut.reports.page_parts import FOOT_MM, HEAD_MM, TOP_MM
from nestcut.reports.paper import MARGIN_MM, PageSize, larger_scale, scale_for
from nestcut.reports.rows import PlacedPiece, SheetView
from nestcut.reports.sheet_drawing import DrawnSheet, draw_sheet
from nestcut.reports.sheet_edges import edge_figures
from nestcut.reports.sheet_frame import SheetFrame, corner_mark

MAX_DETAILS = 12
"""No sheet gets more pages of details than this."""
BESIDE_MM, BELOW_MM = 26.0, 48.0
"""Room for figures left of a window; for figures and scale bar below it. [mm on paper]"""
SPARE_MM = 14.0
"""What is shown round the pieces that a window is for. [mm on paper]"""


def detail_pages(
    sheet: SheetView, drawn: DrawnSheet, scale: float, maker: PageMaker
) -> tuple[Drawing, ...]:
    """Windows at a larger scale that show every piece which has no name in the overview.

    Each page takes the window with most of them; one that still can't be numbered there waits for
    the next larger scale.
    """
    finer = larger_scale(maker.paper, scale)
    pages: list[Drawing] = []
    waiting = {p.number: p for p in sheet.placed if p.number in {*drawn.keyed, *drawn.lost}}
    later: dict[int, PlacedPiece] = {}
    while finer is not None and waiting and len(pages) < MAX_DETAILS:
        window = _window(sheet, tuple(waiting.values()), finer, maker)
        inside = {n: p for n, p in waiting.items() if box(*window).contains(p.polygon)}
        if inside:
            window = _tightened(window, list(inside.values()), SPARE_MM * finer)
        else:
            first = min(waiting)
            inside = {first: waiting[first]}
        page, lost = _detail(sheet, window, frozenset(inside), len(pages) + 1, maker)
        pages.append(page)
        later |= {n: p for n, p in inside.items() if n in lost}
        waiting = {n: p for n, p in waiting.items() if n not in inside}
        if not waiting:
            waiting, later, finer = later, {}, larger_scale(maker.paper, finer)
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
) -> tuple[Drawing, tuple[int, ...]]:
    """One page of details, as large as it fits; and the wanted pieces it has no number for."""
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
    items.extend(edges.fitting(frame, wanted).items(frame))
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
    return Drawing(page.width_mm, page.height_mm, tuple(items), caption), drawn.lost
