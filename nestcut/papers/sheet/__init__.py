"""The pages of sheets: the drawing to scale with every label in its place, and its table."""

from nestcut.papers.sheet.curved_boards import curved_board_pages
from nestcut.papers.sheet.legend import BOARD_FOOT_MM, board_foot, with_joints
from nestcut.papers.sheet.page import sheet_pages

__all__ = [
    "BOARD_FOOT_MM",
    "board_foot",
    "curved_board_pages",
    "sheet_pages",
    "with_joints",
]
