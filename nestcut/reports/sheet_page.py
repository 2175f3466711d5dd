"""The page of one sheet: the drawing to scale, figures along two edges, and the table of pieces.

A crowded sheet gets pages of details at a larger scale, and a table too long for its page goes on
overleaf.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from shapely.geometry import box

from nestcut.reports.diagram import Anchor, Area, Drawing, Item, Pen, Text, rectangle
from nestcut.reports.figures import Figures
from nestcut.reports.page_parts import (
    FOOT_MM,
    HEAD_MM,
    check_square,
    grain_arrow,
    kerf_note,
    scale_bar,
    scale_text,
    title,
)
from nestcut.reports.paper import MARGIN_MM, SIZES, PageSize, Paper, larger_scale, scale_for
from nestcut.reports.piece_words import (
    allowance_words,
    bevel_words,
    joint_words_short,
    warnings_for,
)
from nestcut.reports.rows import PlacedPiece, PlanView, SheetView
from nestcut.reports.running_figures import (
    SIZE_MM,
    Figure,
    along_bottom,
    along_left,
    capacity,
    depth_mm,
    figure_text,
    merged,
)
from nestcut.reports.sheet_drawing import DrawnSheet, SheetFrame, corner_mark, draw_sheet
from nestcut.reports.tables import Column, needed_width, rows_that_fit, tick_table

TOP_MM = 6.5
"""Room above the sheet for the grain arrow. [mm]"""
TABLE_MM = 21.5
"""Least room below the figures for the table and the scale bar. [mm]"""
SIDE_MM = 78.0
"""Width of the corner with scale bar, check square and kerf note. [mm]"""
CROWDED = 6
"""More pieces than this without their name on the sheet call for details."""
MAX_DETAILS = 12
NOTES_MM = 22.0
"""Least room for notes beside a piece; the cut list has them in full. [mm]"""

Edges = tuple[tuple[tuple[Figure, str], ...], tuple[tuple[Figure, str], ...]]


@dataclass(frozen=True, slots=True)
class PageMaker:
    """What all pages of one set of papers have in common."""

    paper: Paper
    figures: Figures
    view: PlanView

    @property
    def page(self) -> PageSize:
        """Pages with drawings lie on their long side."""
        return SIZES[self.paper].landscape


def sheet_pages(sheet: SheetView, maker: PageMaker) -> tuple[Drawing, ...]:
    """All pages of one sheet: overview, table overleaf, details."""
    edges = _edges(sheet, sheet.placed, maker.figures)
    scale = _scale(sheet, edges, maker)
    drawn, pages = _overview(sheet, edges, scale, maker)
    if drawn.lost or len(drawn.keyed) > CROWDED:
        pages = (*pages, *_details(sheet, drawn, scale, maker))
    return pages


def _edges(sheet: SheetView, placed: Sequence[PlacedPiece], figures: Figures) -> Edges:
    """Figures along the sheet and across it, with their texts."""
    along = merged([(x, p.number) for p in placed for x in (p.box_mm[0], p.box_mm[2])])
    across = merged([(y, p.number) for p in placed for y in (p.box_mm[1], p.box_mm[3])])
    return (
        tuple((f, figure_text(f, figures.size)) for f in along if f.at_mm > 0.25),
        tuple((f, figure_text(f, figures.size)) for f in across if f.at_mm > 0.25),
    )


def _room(edges: Edges, maker: PageMaker) -> tuple[PageSize, float, float]:
    """Room for the sheet itself, and the depth of the figures below and left of it. [mm]"""
    below = depth_mm([t for _, t in edges[0]])
    left = depth_mm([t for _, t in edges[1]])
    page = maker.page
    width = page.width_mm - 2 * MARGIN_MM - left - 1.5
    height = page.height_mm - 2 * MARGIN_MM - HEAD_MM - FOOT_MM - TOP_MM - below - TABLE_MM
    return PageSize(width, height), below, left


def _scale(sheet: SheetView, edges: Edges, maker: PageMaker) -> float:
    room, _, _ = _room(edges, maker)
    return scale_for(maker.paper, sheet.layout.length_mm, sheet.layout.width_mm, room)


def _fitting(edges: Edges, frame: SheetFrame, kept: frozenset[int]) -> Edges:
    """Drop figures that an edge has no room for, those of the smallest pieces first."""
    x0, y0, x1, y1 = frame.window
    result = []
    for figures, span in ((edges[0], (x1 - x0)), (edges[1], (y1 - y0))):
        room = capacity(span / frame.scale)
        shown = figures
        if len(shown) > room:
            shown = tuple(f for f in shown if any(n in kept for n in f[0].numbers))
        result.append(shown[:room])
    return result[0], result[1]


def _overview(
    sheet: SheetView, edges: Edges, scale: float, maker: PageMaker
) -> tuple[DrawnSheet, tuple[Drawing, ...]]:
    page, layout = maker.page, sheet.layout
    _, below, left = _room(edges, maker)
    top = page.height_mm - MARGIN_MM - HEAD_MM - TOP_MM
    origin = (MARGIN_MM + left, top - layout.width_mm / scale)
    frame = SheetFrame(scale, origin, (0.0, 0.0, layout.length_mm, layout.width_mm))
    room = box(origin[0], origin[1], page.width_mm - MARGIN_MM + 3.0, top + 0.5)
    drawn = draw_sheet(sheet, frame, maker.figures, room)
    named = frozenset(drawn.shown) - frozenset(drawn.keyed)
    items: list[Item] = [*_titled(sheet, scale, maker, ""), *drawn.items, *corner_mark(frame)]
    items.extend(_edge_figures(_fitting(edges, frame, named), frame))
    items.extend(_grain(sheet, frame, top))
    hint = (
        "Measure from the black corner. At the edges: distance (piece). "
        "Numbers: order of cutting, far end first."
    )
    items.append(Text(hint, (page.width_mm - MARGIN_MM, top + 3.2), 2.7, anchor=Anchor.END))
    floor = origin[1] - below
    table_rows = [_row(p, maker.figures) for p in sheet.placed]
    used, table = _table(table_rows, floor - 1.5, maker)
    items.extend(table)
    items.extend(_corner(scale, floor - 1.5, maker))
    caption = f"{sheet.label}, {layout.stock}: {len(sheet.placed)} pieces, drawn 1:{scale:g}"
    pages = [Drawing(page.width_mm, page.height_mm, tuple(items), caption)]
    while used < len(table_rows):
        more, extra = _overleaf(sheet, table_rows[used:], maker)
        used += more
        pages.append(extra)
    return drawn, tuple(pages)


def _titled(sheet: SheetView, scale: float, maker: PageMaker, words: str) -> tuple[Item, ...]:
    layout, figures = sheet.layout, maker.figures
    rules = maker.view.verified.job.cutting
    total = len(maker.view.sheets)
    facts = [
        f"{sheet.material} {figures.thickness(layout.thickness_mm)}",
        figures.pair(layout.length_mm, layout.width_mm),
        "GOOD FACE UP",
        f"kerf {figures.fine(rules.kerf_mm)}",
    ]
    if rules.gap_mm > 0:
        facts.append(f"plus {figures.fine(rules.gap_mm)} between pieces")
    if layout.edge_trim_mm > 0:
        facts.append(f"edge trim {figures.fine(layout.edge_trim_mm)}")
    return title(
        maker.page,
        f"Sheet {sheet.index} of {total}{words}",
        layout.stock,
        "  ·  ".join(facts),
        scale_text(scale),
    )


def _edge_figures(edges: Edges, frame: SheetFrame) -> tuple[Item, ...]:
    x0, y0, x1, y1 = frame.window
    half = SIZE_MM * 0.56
    low = frame.x(x0) if x0 > 0 else frame.x(0.0)
    return (
        *along_bottom(edges[0], frame.x, frame.y(y0), (low + half, frame.x(x1))),
        *along_left(edges[1], frame.y, frame.x(x0), (frame.y(y0) + half, frame.y(y1))),
    )


def _grain(sheet: SheetView, frame: SheetFrame, top: float) -> tuple[Item, ...]:
    if sheet.grain_deg == 0.0:
        return grain_arrow((frame.x(frame.window[0]) + 24.0, top + 3.2), 0.0)
    x = frame.x(frame.window[0]) + 4.0
    return (
        *grain_arrow((x, top + 3.2), 90.0, 5.0)[:-1],
        Text("face grain (across the sheet)", (x + 4.0, top + 3.2), 3.0),
    )


COLUMNS = (
    Column("no."),
    Column("piece"),
    Column("size"),
    Column("joints, bevels, notes"),
)


def _row(placed: PlacedPiece, figures: Figures) -> tuple[str, ...]:
    notes = [joint_words_short(end) for end in placed.ends]
    notes += [w.lower() for w in warnings_for(placed)]
    notes += [f"bevel {b}" for b in bevel_words(placed)]
    words = allowance_words(placed, figures)
    notes += [words] if words else []
    notes += [placed.piece.note] if placed.piece.note else []
    size = f"{figures.size(placed.size_mm[0])} x {figures.size(placed.size_mm[1])}"
    return (str(placed.number), placed.piece.id, size, "; ".join(notes))


def _table(
    rows: Sequence[Sequence[str]], top: float, maker: PageMaker
) -> tuple[int, tuple[Item, ...]]:
    """The table below the drawing in as many columns as serve; how many rows it took."""
    bottom = MARGIN_MM + FOOT_MM
    width = maker.page.width_mm - 2 * MARGIN_MM - SIDE_MM
    return _in_blocks(rows, (MARGIN_MM, top), width, rows_that_fit(top - bottom))


def _in_blocks(
    rows: Sequence[Sequence[str]], top_left: tuple[float, float], width: float, height_rows: int
) -> tuple[int, tuple[Item, ...]]:
    if height_rows < 1:
        return 0, ()
    blocks = min(_most_blocks(rows, width), -(-len(rows) // height_rows))
    each = (width - 4.0 * (blocks - 1)) / blocks
    items: list[Item] = []
    used = 0
    for k in range(blocks):
        share = rows[used : used + height_rows]
        used += len(share)
        at = (top_left[0] + k * (each + 4.0), top_left[1])
        items.extend(tick_table(at, each, COLUMNS, share))
    return used, tuple(items)


def _most_blocks(rows: Sequence[Sequence[str]], width: float) -> int:
    """How many tables fit beside each other without cutting anything but notes."""
    for blocks in (3, 2):
        each = (width - 4.0 * (blocks - 1)) / blocks
        if needed_width(COLUMNS, rows, NOTES_MM) <= each:
            return blocks
    return 1


def _corner(scale: float, top: float, maker: PageMaker) -> tuple[Item, ...]:
    """Scale bar, check square and kerf note at the lower right."""
    figures = maker.figures
    right = maker.page.width_mm - MARGIN_MM
    left = right - SIDE_MM + 4.0
    kerf = figures.fine(maker.view.verified.job.cutting.kerf_mm)
    return (
        *check_square((right - 15.0, top - 15.4), figures),
        *scale_bar((left, top - 5.4), scale, figures, 54.0),
        *kerf_note((left, top - 19.4), kerf),
    )


def _overleaf(
    sheet: SheetView, rows: Sequence[Sequence[str]], maker: PageMaker
) -> tuple[int, Drawing]:
    page = maker.page
    top = page.height_mm - MARGIN_MM - HEAD_MM - 2.0
    head = title(page, f"Sheet {sheet.index}", sheet.layout.stock, "pieces, continued", "")
    height = rows_that_fit(top - MARGIN_MM - FOOT_MM)
    used, table = _in_blocks(rows, (MARGIN_MM, top), page.width_mm - 2 * MARGIN_MM, height)
    caption = f"{sheet.label}: pieces, continued"
    return used, Drawing(page.width_mm, page.height_mm, (*head, *table), caption)


def _details(
    sheet: SheetView, drawn: DrawnSheet, scale: float, maker: PageMaker
) -> tuple[Drawing, ...]:
    """Windows at a larger scale that show every piece which has no name in the overview."""
    finer = larger_scale(maker.paper, scale)
    pages: list[Drawing] = []
    waiting = {p.number: p for p in sheet.placed if p.number in {*drawn.keyed, *drawn.lost}}
    while finer is not None and waiting and len(pages) < MAX_DETAILS:
        window = _window(sheet, tuple(waiting.values()), finer, maker)
        inside = [n for n, p in waiting.items() if box(*window).contains(p.polygon)]
        if not inside:
            inside = [min(waiting)]
        for number in inside:
            del waiting[number]
        pages.append(_detail(sheet, window, frozenset(inside), finer, len(pages) + 1, maker))
    return tuple(pages)


def _window(
    sheet: SheetView, waiting: tuple[PlacedPiece, ...], scale: float, maker: PageMaker
) -> tuple[float, float, float, float]:
    """The window of the page's size that holds most of the waiting pieces whole."""
    page = maker.page
    width = (page.width_mm - 2 * MARGIN_MM - 26.0) * scale
    height = (page.height_mm - 2 * MARGIN_MM - HEAD_MM - FOOT_MM - TOP_MM - 48.0) * scale
    width, height = min(width, sheet.layout.length_mm), min(height, sheet.layout.width_mm)
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
    scale: float,
    number: int,
    maker: PageMaker,
) -> Drawing:
    page = maker.page
    inside = [p for p in sheet.placed if box(*window).contains(p.polygon)]
    edges = _edges(sheet, inside, maker.figures)
    top = page.height_mm - MARGIN_MM - HEAD_MM - TOP_MM
    height = (window[3] - window[1]) / scale
    left = MARGIN_MM + max(24.0, depth_mm([t for _, t in edges[1]]))
    origin = (left - window[0] / scale, top - height - window[1] / scale)
    frame = SheetFrame(scale, origin, window)
    drawn = draw_sheet(sheet, frame, maker.figures, frame.paper_window, wanted)
    items: list[Item] = [*_titled(sheet, scale, maker, f", detail {number}"), *drawn.items]
    items.extend(_edge_figures(_fitting(edges, frame, frozenset()), frame))
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
    items.extend(_corner(scale, MARGIN_MM + FOOT_MM + 20.5, maker))
    caption = f"{sheet.label}, detail {number}, drawn 1:{scale:g}"
    return Drawing(page.width_mm, page.height_mm, tuple(items), caption)
