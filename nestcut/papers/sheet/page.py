"""The page of one sheet: the drawing to scale, figures along two edges, and the table of pieces.

A crowded sheet gets pages of details at a larger scale, and a table too long for its page goes on
overleaf.
"""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import box

from nestcut.papers.draw import (
    MARGIN_MM,
    Anchor,
    Drawing,
    Item,
    PageSize,
    Text,
    rows_that_fit,
    scale_for,
    shorten,
    text_width_mm,
)
from nestcut.papers.page import (
    FOOT_MM,
    HEAD_MM,
    TOP_MM,
    PageMaker,
    grain_arrow,
    measuring_corner,
    sheet_head,
    title,
)
from nestcut.papers.sheet.details import DetailPage, detail_pages
from nestcut.papers.sheet.drawing import DrawnSheet, draw_sheet
from nestcut.papers.sheet.edges import EdgeFigures, edge_figures
from nestcut.papers.sheet.frame import SheetFrame, corner_mark
from nestcut.papers.sheet.legend import sheet_legend
from nestcut.papers.sheet.table import piece_row, table_below, tables_beside
from nestcut.papers.view import SheetView

HINT_MM = 2.7
"""Font size of the line above the sheet. [mm]"""
LEAST_HINT_MM = 2.3
"""No smaller than this. [mm]"""
GRAIN_MM = 58.0
"""Room for the grain arrow and its name above the sheet. [mm]"""
TABLE_MM = 21.5
"""Least room below the figures for the table and the scale bar. [mm]"""
CROWDED = 6
"""More pieces than this without their name on the sheet call for details."""


def sheet_pages(sheet: SheetView, maker: PageMaker) -> tuple[Drawing, ...]:
    """All pages of one sheet: overview, table overleaf, details."""
    page, layout = maker.page, sheet.layout
    edges = edge_figures(sheet.placed, maker.figures)
    width = page.width_mm - 2 * MARGIN_MM - edges.beside_mm - 1.5
    above = HEAD_MM + TOP_MM
    height = page.height_mm - 2 * MARGIN_MM - above - FOOT_MM - edges.below_mm - TABLE_MM
    room = PageSize(width, height)
    scale = scale_for(maker.paper, layout.length_mm, layout.width_mm, room)
    top = page.height_mm - MARGIN_MM - HEAD_MM - TOP_MM
    origin = (MARGIN_MM + edges.beside_mm, top - layout.width_mm / scale)
    frame = SheetFrame(scale, origin, (0.0, 0.0, layout.length_mm, layout.width_mm))
    balloons = box(origin[0], origin[1], page.width_mm - MARGIN_MM + 3.0, top + 0.5)
    drawn = draw_sheet(sheet, frame, maker.figures, balloons)
    details: tuple[DetailPage, ...] = ()
    if drawn.lost or len(drawn.keyed) > CROWDED:
        details = detail_pages(sheet, drawn, scale, maker)
    tabled = frozenset(n for d in details for n in d.tabled)
    overview = _overview(sheet, edges, drawn, frame, tabled, maker)
    return (*overview, *(d.drawing for d in details))


def _overview(
    sheet: SheetView,
    edges: EdgeFigures,
    drawn: DrawnSheet,
    frame: SheetFrame,
    tabled: frozenset[int],
    maker: PageMaker,
) -> tuple[Drawing, ...]:
    """The sheet as a whole; what its table has no room for, and no page of details, overleaf."""
    page = maker.page
    named = frozenset(drawn.shown) - frozenset(drawn.keyed)
    top = page.height_mm - MARGIN_MM - HEAD_MM - TOP_MM
    items: list[Item] = [*sheet_head(sheet, frame.scale, maker, "")]
    items += [*drawn.items, *corner_mark(frame)]
    shown = edges.fitting(frame, named)
    items.extend(shown.items(frame))
    items.extend(_grain(sheet, frame, top))
    hints = _hints(shown.left_out)
    right, start = page.width_mm - MARGIN_MM, frame.x(0.0) + GRAIN_MM
    room = right - start
    hint = next((h for h in hints if text_width_mm(h, LEAST_HINT_MM) <= room), hints[-1])
    size = min(HINT_MM, max(LEAST_HINT_MM, HINT_MM * room / text_width_mm(hint, HINT_MM)))
    said = shorten(hint, size, room + 0.01)
    items.append(Text(said, (right, top + 4.9), size, anchor=Anchor.END))
    items.extend(sheet_legend(sheet.placed, sheet, frame.x(0.0) + 5.0, (right, top + 1.9)))
    floor = frame.origin[1] - edges.below_mm - 1.5
    here = [p for p in sheet.placed if p.number not in tabled]
    used, table = table_below(sheet.placed, floor, maker)
    if used < len(sheet.placed):
        used, table = table_below(here, floor, maker)
        here = here[used:]
    else:
        here = []
    items.extend(table)
    items.extend(measuring_corner(frame.scale, floor, maker, sheet.stock))
    count = len(sheet.placed)
    caption = f"{sheet.label}, {sheet.layout.stock}: {count} pieces, drawn 1:{frame.scale:g}"
    pages = [Drawing(page.width_mm, page.height_mm, tuple(items), caption)]
    rows = [piece_row(p, maker.figures) for p in here]
    while rows:
        more, extra = _overleaf(sheet, rows, maker)
        rows = rows[more:]
        pages.append(extra)
    return tuple(pages)


def _hints(left_out: int) -> tuple[str, ...]:
    """How to read and use the page, fullest first."""
    corner, order = "Measure from the black corner.", "Saw in the order of the numbers."
    nos, curves = "(nos. that begin or end there; etc: more)", "Curves, slants: marking-out.pdf."
    if left_out:
        return (
            f"{corner} At the edges: large pieces, {left_out} more in details and marking-out. "
            f"{order}",
            f"{corner} At the edges: large pieces only. {order}",
        )
    return (
        f"{corner} At the edges: figure {nos}. {curves} {order}",
        f"{corner} Edges: figure {nos}. {curves} {order}",
        f"{corner} Edges: figure (nos. there). {curves} {order}",
        f"{corner} {order}",
    )


def _grain(sheet: SheetView, frame: SheetFrame, top: float) -> tuple[Item, ...]:
    if sheet.grain_deg == 0.0:
        return grain_arrow((frame.x(frame.window[0]) + 17.0, top + 4.9), 0.0)
    x = frame.x(frame.window[0]) + 2.0
    return (
        *grain_arrow((x, top + 3.2), 90.0, 5.0)[:-1],
        Text("face grain (across the sheet)", (x + 4.0, top + 4.9), 3.0),
    )


def _overleaf(
    sheet: SheetView, rows: Sequence[Sequence[str]], maker: PageMaker
) -> tuple[int, Drawing]:
    page = maker.page
    top = page.height_mm - MARGIN_MM - HEAD_MM - 2.0
    head = title(page, sheet.label, sheet.layout.stock, "pieces, continued", "")
    height = rows_that_fit(top - MARGIN_MM - FOOT_MM)
    used, table = tables_beside(rows, (MARGIN_MM, top), page.width_mm - 2 * MARGIN_MM, height)
    caption = f"{sheet.label}: pieces, continued"
    return used, Drawing(page.width_mm, page.height_mm, (*head, *table), caption)
