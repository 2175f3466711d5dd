"""The pages of sheets: the drawing to scale with every label in its place, and its table."""

from nestcut.papers.sheet.page import sheet_pages

__all__ = [
    "sheet_pages",
]
