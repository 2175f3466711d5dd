"""``shop.pdf``: front page, lists, boards, joints, and how pages become one book."""

from nestcut.papers.book.board_page import board_drawing, board_pages
from nestcut.papers.book.joint_page import joint_pages, joints_under
from nestcut.papers.book.shop_book import shop_pdf

__all__ = [
    "board_drawing",
    "board_pages",
    "joint_pages",
    "joints_under",
    "shop_pdf",
]
