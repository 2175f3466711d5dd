"""The pages of joints: how each kind is made, then where joints lie in the whole parts."""

from __future__ import annotations

from dataclasses import replace

from nestcut.papers.book.joint_cards import joint_cards
from nestcut.papers.book.joint_parts import PLACE, joined_parts
from nestcut.papers.draw import MARGIN_MM, Drawing, Item, Path, Pen, Text, Weight, lowest, moved
from nestcut.papers.lists import joint_rows
from nestcut.papers.page import FOOT_MM, WORDS_MM, PageMaker, title

_FACTS = (
    f"{PLACE}: the joint's middle on the trimmed part, as drawn: for the plans' designer, not for "
    "the tape"
)
UNDER_MM = 5.2
"""Room for a heading under what else is on a page. [mm on paper]"""
FOOT_NOTE_MM = MARGIN_MM + FOOT_MM + 4.5
"""What lies lower belongs to a page's foot at least. [mm on paper]"""

Strip = tuple[float, tuple[Item, ...]]


def joint_pages(maker: PageMaker) -> tuple[Drawing, ...]:
    """One card for each kind of joint, then every joined part whole with its joints."""
    return _paged(_strips(maker), maker)


def joints_under(pages: tuple[Drawing, ...], maker: PageMaker) -> tuple[Drawing, ...]:
    """Pages with the joints after them; what has room stands on the last of them."""
    strips = _strips(maker)
    if not pages or not strips:
        return (*pages, *_paged(strips, maker))
    *before, last = pages
    foot = max(last.foot_mm, FOOT_NOTE_MM)
    y = min((low for i in last.items if (low := lowest((i,))) > foot), default=0.0)
    y -= UNDER_MM
    heading: tuple[Item, ...] = (
        Path(((MARGIN_MM, y + 5.0), (last.width_mm - MARGIN_MM, y + 5.0)), Pen.FRAME),
        Text("Joints", (MARGIN_MM, y + 2.4), 4.4, Weight.BOLD),
        Text(_FACTS, (MARGIN_MM + 20.0, y + 2.4), WORDS_MM),
    )
    count, under = _stacked(strips, y, foot)
    if count:
        last = replace(
            last, items=(*last.items, *heading, *under), caption=f"{last.caption}; joints"
        )
    return (*before, last, *_paged(strips[count:], maker))


def _strips(maker: PageMaker) -> list[Strip]:
    if not joint_rows(maker.view):
        return []
    width = maker.page.width_mm - 2 * MARGIN_MM
    return [*joint_cards(maker, width), *joined_parts(maker, width)]


def _stacked(strips: list[Strip], top: float, floor: float) -> tuple[int, list[Item]]:
    """How many strips stand under each other between these heights, and their items."""
    items: list[Item] = []
    y, count = top, 0
    for height, made in strips:
        if y - height < floor:
            break
        y -= height
        items.extend(moved(made, MARGIN_MM, y))
        count += 1
    return count, items


def _paged(strips: list[Strip], maker: PageMaker) -> tuple[Drawing, ...]:
    page = maker.page
    head = title(page, "Joints", "", _FACTS, "")
    top = page.height_mm - MARGIN_MM - head.height_mm - 1.0
    pages: list[Drawing] = []
    while strips:
        count, items = _stacked(strips, top, MARGIN_MM + 0.8)  # it has no check rule
        if count == 0:  # higher than a page: nothing can be done about it
            count, items = 1, list(moved(strips[0][1], MARGIN_MM, top - strips[0][0]))
        strips = strips[count:]
        pages.append(Drawing(page.width_mm, page.height_mm, (*head.items, *items), "Joints"))
    return tuple(pages)
