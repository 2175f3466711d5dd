"""What every drawing page carries: its head, scale bar, check rule and safety line."""

from nestcut.papers.page.maker import SIDE_MM, PageMaker, measuring_corner, sheet_head
from nestcut.papers.page.parts import (
    FOOT_MM,
    HEAD_MM,
    TOP_MM,
    check_rule,
    grain_arrow,
    scale_bar,
    scale_text,
    title,
)

__all__ = [
    "FOOT_MM",
    "HEAD_MM",
    "SIDE_MM",
    "TOP_MM",
    "PageMaker",
    "check_rule",
    "grain_arrow",
    "measuring_corner",
    "scale_bar",
    "scale_text",
    "sheet_head",
    "title",
]
