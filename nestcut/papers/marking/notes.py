"""What the marking-out tables say of themselves."""

from __future__ import annotations

from nestcut.papers.marking.batten import STATED
from nestcut.papers.marking.rules import INCH_MM, MarkingRule, Notation
from nestcut.papers.marking.table import PieceMarking


def marking_notes(rule: MarkingRule, tables: tuple[PieceMarking, ...]) -> tuple[str, ...]:
    """How to read the marking-out tables, and what they keep."""
    greatest = max((t.marking.error_mm for t in tables), default=0.0)
    units = {
        Notation.MM: "whole millimetres, finer only where a whole one would miss",
        Notation.INCH: f"feet, inches and fractions to 1/{round(INCH_MM / rule.steps_mm[0])}, "
        "finer only where that would miss",
        Notation.OFFSETS: "feet-inches-eighths (+ is a sixteenth more)",
    }[rule.notation]
    return (
        STATED,
        f"Numbers are {units}. From a sheet: along its length and up across it, from the "
        "marking-out corner, seen from the good face. From a piece's own base line: along it from "
        "its left end and square up from it.",
        "Points follow each other anticlockwise round an outline, clockwise round a hole. A corner "
        "ends a batten; a station lies in the run of one. A compass line turns about the point "
        "given, to the left (anticlockwise) or to the right. A trim line that keeps one distance "
        "from the outline isn't marked again: set a marking gauge to it, and run it along.",
        "Drawn from these numbers no edge is farther than "
        f"{rule.tolerance(greatest)} from the true one "
        f"({rule.tolerance(rule.allowed_mm)} allowed), rounding included; measured for every line.",
    )
