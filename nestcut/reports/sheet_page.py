"""The page of one sheet: the drawing to scale, figures along two edges, and the table of pieces.

A crowded sheet gets pages of details at a larger scale, and a table too long for its page goes on
overleaf.
"""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import box

from nestcut.reports.diagram import Anchor, Drawing, Item, Text
from nestcut.reports.page_maker import SIDE_MM, PageMaker, measuring_corner, sheet_head
from nestcut.reports.page_parts import FOOT_MM, HEAD_MM, TOP_MM, grain_arrow, title
from nestcut.reports.paper import MARGIN_MM, PageSize, scale_for
from nestcut.reports.rows import SheetView
from nestcut.reports.sheet_details import detail_pages
from nestcut.reports.sheet_drawing import DrawnSheet, draw_sheet
from nestcut.reports.sheet_edges import EdgeFigures, edge_figures
from nestcut.reports.sheet_frame import SheetFrame, corner_mark
from nestcut.reports.sheet_table import piece_row, tables_beside
from nestcut.reports.tables import rows_that_fit

TABLE_MM = 21.5
"""Least room below the figures for the table and the scale bar. [mm]"""
CROWDED = 6
"""More pieces than this without their name on the sheet call for details."""


def sheet_pages(sheet: SheetView, maker: PageMaker) -> tuple[Drawing, ...]:
    """All pages of one sheet: overview, table overleaf, details."""
    edges = edge_figures(sheet.placed, maker.figures)
    page = maker.page
    width = page.width_mm - 2 * MARGIN_MM - edges.beside_mm - 1.5
    above = HEAD_MM + TOP_MM
    height = page.height_mm - 2 * MARGIN_MM - above - FOOT_MM - edges.below_mm - TABLE_MM
    room = PageSize(width, height)
    scale = scale_for(maker.paper, sheet.layout.length_mm, sheet.layout.width_mm, room)
    drawn, pages = _overview(sheet, edges, scale, maker)
    if drawn.lost or len(drawn.keyed) > CROWDED:
        pages = (*pages, *detail_pages(sheet, drawn, scale, maker))
    return pages


def _overview(
    sheet: SheetView, edges: EdgeFigures, scale: float, maker: PageMaker
) -> tuple[DrawnSheet, tuple[Drawing, ...]]:
    page, layout = maker.page, sheet.layout
    top = page.height_mm - MARGIN_MM - HEAD_MM - TOP_MM
    origin = (MARGIN_MM + edges.beside_mm, top - layout.width_mm / scale)
    frame = SheetFrame(scale, origin, (0.0, 0.0, layout.length_mm, layout.width_mm))
    room = box(origin[0], origin[1], page.width_mm - MARGIN_MM + 3.0, top + 0.5)
    drawn = draw_sheet(sheet, frame, maker.figures, room)
    named = frozenset(drawn.shown) - frozenset(drawn.keyed)
    items: list[Item] = [*sheet_head(sheet, scale, maker, ""), *drawn.items, *corner_mark(frame)]
    shown = edges.fitting(frame, named)
    items.extend(shown.items(frame))
    items.extend(_grain(sheet, frame, top))
    figures = "distance (piece)"
    if shown.left_out:
        figures = f"large pieces, {shown.left_out} more in details and marking-out"
    hint = f"Measure from the black corner. At the edges: {figures}. Cut in the order of numbers."
    items.append(Text(hint, (page.width_mm - MARGIN_MM, top + 3.2), 2.7, anchor=Anchor.END))
    floor = origin[1] - edges.below_mm
    table_rows = [piece_row(p, maker.figures) for p in sheet.placed]
    used, table = _table(table_rows, floor - 1.5, maker)
    items.extend(table)
    items.extend(measuring_corner(scale, floor - 1.5, maker))
    caption = f"{sheet.label}, {layout.stock}: {len(sheet.placed)} pieces, drawn 1:{scale:g}"
    pages = [Drawing(page.width_mm, page.height_mm, tuple(items), caption)]
    while used < len(table_rows):
        more, extra = _overleaf(sheet, table_rows[used:], maker)
        used += more
        pages.append(extra)
    return drawn, tuple(pages)


def _grain(sheet: SheetView, frame: SheetFrame, top: float) -> tuple[Item, ...]:
    if sheet.grain_deg == 0.0:
        return grain_arrow((frame.x(frame.window[0]) + 24.0, top + 3.2), 0.0)
    x = frame.x(frame.window[0]) + 4.0
    return (
        *grain_arrow((x, top + 3.2), 90.0, 5.0)[:-1],
        Text("face grain (across the sheet)", (x + 4.0, top + 3.2), 3.0),
    )


def _table(
    rows: Sequence[Sequence[str]], top: float, maker: PageMaker
) -> tuple[int, tuple[Item, ...]]:
    """The table below the drawing in as many columns as serve; how many rows it took."""
    bottom = MARGIN_MM + FOOT_MM
    width = maker.page.width_mm - 2 * MARGIN_MM - SIDE_MM
    return tables_beside(rows, (MARGIN_MM, top), width, rows_that_fit(top - bottom))


def _overleaf(
    sheet: SheetView, rows: Sequence[Sequence[str]], maker: PageMaker
) -> tuple[int, Drawing]:
    page = maker.page
    top = page.height_mm - MARGIN_MM - HEAD_MM - 2.0
    head = title(page, f"Sheet {sheet.index}", sheet.layout.stock, "pieces, continued", "")
    height = rows_that_fit(top - MARGIN_MM - FOOT_MM)
    used, table = tables_beside(rows, (MARGIN_MM, top), page.width_mm - 2 * MARGIN_MM, height)
    caption = f"{sheet.label}: pieces, continued"
    return used, Drawing(page.width_mm, page.height_mm, (*head, *table), caption)
