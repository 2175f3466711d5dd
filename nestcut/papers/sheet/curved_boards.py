"""Pages of boards from which curved pieces are sawn: several to a page, their words below each."""

from __future__ import annotations

from collections.abc import Sequence

from shapely.geometry import box

from nestcut.papers.draw import (
    MARGIN_MM,
    SCALES,
    Drawing,
    Item,
    Text,
    Weight,
    moved,
    wrap,
)
from nestcut.papers.page import FOOT_MM, LINE_MM, WORDS_MM, PageMaker, check_rule, scale_text, title
from nestcut.papers.sheet.drawing import draw_sheet
from nestcut.papers.sheet.edges import edge_figures
from nestcut.papers.sheet.frame import SheetFrame, corner_mark
from nestcut.papers.sheet.legend import BOARD_FOOT_MM, board_foot, with_joints
from nestcut.papers.sheet.table import piece_row
from nestcut.papers.view import Keep, SheetView, board_numbers, keep_words, keeps_of

HEAD_MM = 17.0
"""Room for the head of a page, in as many as two lines of facts. [mm on paper]"""
SCALES_TRIED = 3
"""A smaller scale is taken where it saves a page."""
APART_MM = 1.5
CORNER_MM = 4.0
"""Room for the black mark at a board's corner. [mm on paper]"""


def curved_board_pages(boards: Sequence[SheetView], maker: PageMaker) -> tuple[Drawing, ...]:
    """All such boards in their order, as many to a page as fit."""
    if not boards:
        return ()
    page = maker.page
    beside = max(edge_figures((), _keeps(b, maker), maker.figures).beside_mm for b in boards)
    width = page.width_mm - 2 * MARGIN_MM - beside - 4.0
    longest = max(b.layout.length_mm for b in boards)
    fitting = [s for s in SCALES[maker.paper] if longest / s <= width][:SCALES_TRIED]
    tries = [
        _at_scale(boards, scale, beside, maker) for scale in fitting or SCALES[maker.paper][-1:]
    ]
    return min(tries, key=len)


def _at_scale(
    boards: Sequence[SheetView], scale: float, beside: float, maker: PageMaker
) -> tuple[Drawing, ...]:
    page = maker.page
    top = page.height_mm - MARGIN_MM - HEAD_MM - 1.0
    floor = MARGIN_MM + FOOT_MM + BOARD_FOOT_MM
    pages: list[Drawing] = []
    items: list[Item] = []
    here: list[SheetView] = []
    y = top
    for board in boards:
        need, drawn = _board(board, scale, beside, maker)
        if items and y - need < floor:
            pages.append(_finished(items, here, scale, maker))
            items, here, y = [], [], top
        items.extend(moved(drawn, 0.0, y))
        here.append(board)
        y -= need
    pages.append(_finished(items, here, scale, maker))
    return tuple(pages)


def _finished(
    items: list[Item], boards: list[SheetView], scale: float, maker: PageMaker
) -> Drawing:
    page, figures = maker.page, maker.figures
    first, last = boards[0], boards[-1]
    name = first.label
    if first is not last:
        name = board_numbers([b.layout.board for b in boards])
    kerf = figures.fine(maker.view.verified.job.cutting.kerf_mm)
    facts = (
        f"boards for sawn curves  ·  GOOD FACE UP  ·  kerf {kerf}: saw on the hatched side of the "
        "line  ·  mark everything from the black corner of the whole board, then saw KEEP, then "
        "by number"
    )
    stocks = ", ".join(dict.fromkeys(b.layout.stock for b in boards))
    head = title(page, name, stocks, facts, scale_text(scale, figures))
    kinds = {e.kind for b in boards for p in b.placed for e in p.ends}
    joints = [(e.key, e.overlap_mm) for b in boards for p in b.placed for e in p.ends]
    words = "Curves are marked from marking-out.pdf. FWD: towards the bow."
    words = with_joints(words, joints, figures, page)
    foot_mm, foot = board_foot(words, page, kinds)
    rule = check_rule(page, figures)
    raised = moved(tuple(items), 0.0, HEAD_MM - head.height_mm)
    caption = f"{name}, {stocks}, drawn 1:{scale:g}"
    return Drawing(
        page.width_mm,
        page.height_mm,
        (*head.items, *raised, *foot, *rule),
        caption,
        foot_mm,
    )


def _board(
    board: SheetView, scale: float, beside: float, maker: PageMaker
) -> tuple[float, tuple[Item, ...]]:
    """One board below y = 0; the height that it takes, and its items. [mm on paper]"""
    layout, figures = board.layout, maker.figures
    left = MARGIN_MM + beside
    room = maker.page.width_mm - MARGIN_MM - left
    size = figures.stock(layout.length_mm, layout.width_mm)
    trim = ""
    if layout.end_trim_mm:
        trim = (
            f"  ·  {figures.length(layout.end_trim_mm)} at each end not used, nor in KEEP's length"
        )
    again = "  ·  rails come from it too: part its blanks first" if board.is_beside_rails else ""
    head = wrap(f"{board.label}: {layout.stock}, {size}{trim}{again}", 3.6, room, Weight.BOLD)
    items: list[Item] = [
        Text(line, (left, -LINE_MM * (k + 0.5)), 3.6, Weight.BOLD) for k, line in enumerate(head)
    ]
    used = LINE_MM * len(head) + 1.0
    low = -used - layout.width_mm / scale
    frame = SheetFrame(scale, (left, low), (0.0, 0.0, layout.length_mm, layout.width_mm))
    inside = box(left, low, left + layout.length_mm / scale, -used)
    keeps = _keeps(board, maker)
    drawn = draw_sheet(board, frame, figures, inside, keeps=keeps)
    # Curves are marked from their charts: an edge figure would be the top of one.
    edges = edge_figures((), keeps, figures, (layout.length_mm, layout.width_mm))
    items += [*drawn.items, *corner_mark(frame), *edges.items(frame)]
    used = -low + (edges.below_mm(layout.length_mm / scale) if edges.along else CORNER_MM) + 0.6
    told = [
        f"{keep.name}, {figures.stock(*keep.size_mm)}: {keep_words(keep, figures, turn)}"
        for turn, keep in enumerate(keeps)
        if keep.cut_mm is not None
    ]
    for placed in board.placed:
        number, name, over_all, notes = piece_row(placed, maker.view, figures)
        told.append(f"{number}  {name}: {over_all}" + (f"; {notes}" if notes else ""))
    for line in (line for words in told for line in wrap(words, WORDS_MM, room)):
        items.append(Text(line, (left, -used - LINE_MM / 2), WORDS_MM))
        used += LINE_MM
    return used + APART_MM, tuple(items)


def _keeps(board: SheetView, maker: PageMaker) -> tuple[Keep, ...]:
    return keeps_of(board, maker.view.verified.job.cutting, maker.figures)
