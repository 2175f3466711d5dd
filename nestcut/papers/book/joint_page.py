"""The pages of joints: how each kind is made, then where joints lie in the whole parts."""

from __future__ import annotations

from nestcut.papers.book.joint_cards import joint_cards
from nestcut.papers.book.joint_parts import joined_parts
from nestcut.papers.draw import MARGIN_MM, Drawing, Item, moved
from nestcut.papers.lists import joint_rows
from nestcut.papers.page import FOOT_MM, HEAD_MM, PageMaker, title


def joint_pages(maker: PageMaker) -> tuple[Drawing, ...]:
    """One card for each kind of joint, then every joined part whole with its joints."""
    if not joint_rows(maker.view):
        return ()
    page = maker.page
    width = page.width_mm - 2 * MARGIN_MM
    top = page.height_mm - MARGIN_MM - HEAD_MM
    floor = MARGIN_MM + FOOT_MM
    pages: list[Drawing] = []
    items: list[Item] = []
    y = top
    for height, made in (*joint_cards(maker, width), *joined_parts(maker, width)):
        if items and y - height < floor:
            pages.append(_page(items, maker))
            items, y = [], top
        items.extend(moved(made, MARGIN_MM, y - height))
        y -= height
    pages.append(_page(items, maker))
    return tuple(pages)


def _page(items: list[Item], maker: PageMaker) -> Drawing:
    page = maker.page
    facts = (
        "side views aren't to scale  ·  positions: along the part to the middle of the joint, from "
        "the black end, the end that the part's drawing starts at  ·  first: the piece named first"
    )
    head = title(page, "Joints", "", facts, "")
    return Drawing(page.width_mm, page.height_mm, (*head, *items), "Joints")
