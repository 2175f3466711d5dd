"""Pages of boards: several to a page, lengths to scale, cuts in the order of sawing."""

from __future__ import annotations

from collections.abc import Sequence

from nestcut.papers.book.board_words import marking_words
from nestcut.papers.book.joint_page import joints_under
from nestcut.papers.book.one_board import Strip, draw_board
from nestcut.papers.book.strip_measures import beside_mm
from nestcut.papers.draw import MARGIN_MM, SCALES, Drawing, Item, moved
from nestcut.papers.page import FOOT_MM, PageMaker, check_rule, scale_text, title
from nestcut.papers.sheet import BOARD_FOOT_MM, board_foot, with_joints
from nestcut.papers.view import BoardView, board_numbers

HEAD_MM = 17.0
"""Room for the head of a page, in as many as two lines of facts. [mm on paper]"""
STRIPS_MM: tuple[Strip, ...] = ((9.8, 26.0), (8.0, 22.0), (6.4, 20.0), (5.6, 17.0))
"""How wide the narrowest strip and a board are drawn at most: wide strips have room for words, and
are taken unless they cost a page. [mm on paper]"""


def board_pages(
    boards: Sequence[BoardView], maker: PageMaker, after: tuple[Drawing, ...] = ()
) -> tuple[Drawing, ...]:
    """All boards in their order, as many to a page as fit.

    Parameters
    ----------
    after
        Pages between these and the joints, which begin where there is room.
    """
    if not boards:
        return ()
    tries = [
        tuple(_finished(*page, maker) for page in _parted(list(boards), strip, maker))
        for strip in STRIPS_MM
    ]
    return min(tries, key=lambda pages: len(joints_under((*pages, *after), maker)))


def board_drawing(board: BoardView, maker: PageMaker) -> Drawing:
    """One board alone, as its own file."""
    (page,) = _parted([board], STRIPS_MM[0], maker)
    return _finished(*page, maker)


Filled = tuple[list[BoardView], float, list[Item]]
"""A page's boards, their scale, and what is drawn of them."""


def _parted(boards: list[BoardView], strip: Strip, maker: PageMaker) -> list[Filled]:
    """Boards page by page, as many as fit; each page at the largest scale that it has room for."""
    pages: list[Filled] = []
    start = 0
    while start < len(boards):
        best = _filled(boards[start : start + 1], strip, maker)
        for end in range(start + 2, len(boards) + 1):
            more = _filled(boards[start:end], strip, maker)
            if more is None:
                break
            best = more
        if best is None:  # higher than a page: nothing can be done about it
            best = boards[start : start + 1], *_drawn(boards[start : start + 1], strip, maker)[1:]
        pages.append(best)
        start += len(best[0])
    return pages


def _filled(boards: list[BoardView], strip: Strip, maker: PageMaker) -> Filled | None:
    """A page of these boards; None where they have no room on one."""
    need, scale, items = _drawn(boards, strip, maker)
    room = maker.page.height_mm - 2 * MARGIN_MM - HEAD_MM - FOOT_MM - BOARD_FOOT_MM
    return (boards, scale, items) if need <= room else None


def _drawn(
    boards: list[BoardView], strip: Strip, maker: PageMaker
) -> tuple[float, float, list[Item]]:
    """Height, scale and items of boards under each other, as large as their lengths let them."""
    page = maker.page
    left = MARGIN_MM + max(beside_mm(b, maker.figures) for b in boards)
    longest = max(b.layout.length_mm for b in boards)
    scales = SCALES[maker.paper]
    width = page.width_mm - MARGIN_MM - left - 4.0
    scale = next((s for s in scales if longest / s <= width), scales[-1])
    top = page.height_mm - MARGIN_MM - HEAD_MM - 1.0
    items: list[Item] = []
    used = 0.0
    for board in boards:
        need, made = draw_board(board, left, scale, strip, maker)
        items.extend(moved(made, 0.0, top - used))
        used += need
    return used, scale, items


def _finished(
    boards: list[BoardView], scale: float, items: list[Item], maker: PageMaker
) -> Drawing:
    page, figures = maker.page, maker.figures
    first, last = boards[0], boards[-1]
    name = first.label if first is last else board_numbers([b.index for b in boards])
    cutting = maker.view.verified.job.cutting
    kerfs: dict[str, list[str]] = {}
    for board in boards:
        kerfs.setdefault(figures.fine(cutting.on(board.stock).kerf_mm), []).append(board.label)
    kerf = ", ".join(k if len(kerfs) == 1 else f"{k} on {', '.join(b)}" for k, b in kerfs.items())
    stocks = ", ".join(dict.fromkeys(b.layout.stock for b in boards))
    facts = f"kerf {kerf} · figures to {figures.place_words} · {marking_words(boards)}"
    head = title(page, name, stocks, facts, scale_text(scale, figures))
    words = (
        "Widths not to scale. Pencil GOOD on every upper face. Port and starboard are cut alike. "
        "KEEP: an offcut to keep, without blades and what isn't used of ends."
    )
    ends = [e for b in boards for c in b.cuts for e in c.piece.ends]
    keys = maker.view.joint_keys
    long = [(keys.get(e.joint, e.joint), e.overlap_mm) for e in ends]
    words = with_joints(words, long, figures, page)
    kinds = {e.kind for e in ends}
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
