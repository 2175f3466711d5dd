"""Marking out: the points and figures from which outlines are drawn at full size."""

from nestcut.papers.marking.batten import STATED
from nestcut.papers.marking.chart_plain import marking_texts
from nestcut.papers.marking.notes import marking_notes
from nestcut.papers.marking.pages import marking_pdf
from nestcut.papers.marking.rules import INCH_MM, MarkingRule, Notation, marking_rule
from nestcut.papers.marking.table import (
    HEADINGS,
    Origin,
    PieceMarking,
    mark_alone,
    mark_on_sheets,
    marking_csv,
    table_rows,
    with_joint_lines,
)

__all__ = [
    "HEADINGS",
    "INCH_MM",
    "STATED",
    "MarkingRule",
    "Notation",
    "Origin",
    "PieceMarking",
    "mark_alone",
    "mark_on_sheets",
    "marking_csv",
    "marking_notes",
    "marking_pdf",
    "marking_rule",
    "marking_texts",
    "table_rows",
    "with_joint_lines",
]
