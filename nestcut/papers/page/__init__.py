"""What every drawing page carries: its head, scale bar, check rule and safety line."""

from nestcut.papers.page.maker import PageMaker, sheet_head
from nestcut.papers.page.parts import (
    CHECK_RULE,
    FOOT_MM,
    KERF_NOTE_MM,
    LINE_MM,
    WORDS_MM,
    Head,
    check_rule,
    grain_arrow,
    kerf_note,
    scale_bar,
    scale_text,
    title,
)

__all__ = [
    "CHECK_RULE",
    "FOOT_MM",
    "KERF_NOTE_MM",
    "LINE_MM",
    "WORDS_MM",
    "Head",
    "PageMaker",
    "check_rule",
    "grain_arrow",
    "kerf_note",
    "scale_bar",
    "scale_text",
    "sheet_head",
    "title",
]
