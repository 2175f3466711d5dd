"""What the marking-out pages say of themselves."""

from __future__ import annotations

from nestcut.papers.marking.batten import STATED
from nestcut.papers.marking.charts import Chart
from nestcut.papers.marking.rules import INCH_MM, MarkingRule, Notation


def marking_notes(rule: MarkingRule, charts: tuple[Chart, ...]) -> tuple[str, ...]:
    """How to read the charts, and what they keep."""
    greatest = max((c.marking.error_mm for c in charts), default=0.0)
    units = {
        Notation.MM: "whole millimetres, finer only where a whole one would miss",
        Notation.INCH: f"feet, inches and fractions to 1/{round(INCH_MM / rule.steps_mm[0])}, "
        "finer only where that would miss",
        Notation.OFFSETS: "feet-inches-eighths (+ is a sixteenth more)",
    }[rule.notation]
    lead = "How to read these pages: first draw a piece's base line on its sheet. "
    side = "lie to the side named"
    if any(c.is_through for c in charts):
        side = f"and 'upper' {side}; a chart says where 'lower' lies"
    return (
        lead + "Both its ends are given with their figure on the chart and their place from the "
        "sheet's black corner, along and across, seen from the good face. Looking from where it "
        "begins to where it ends, the chart's figures 'off' "
        f"{side}.",
        f"Figures are {units}. On a chart they run along the base line from its zero (the ring) "
        "and square off from it; 'out' is off a centre line, to both sides alike.",
        "To the next point runs a straight line, an arc, or a batten, which runs on through all "
        f"points that it joins. {STATED}",
        "A joined panel has one chart: one batten fairs all of it, each piece from where it begins "
        "to where it ends (its 'Cut piece' line). A dotted trim line runs round notches too.",
        "A line named after a frame is where the plans put it; they say on which side of it the "
        "frame stands. What is to show on the other face is squared round the edges. '(mirror)' is "
        "a twin laid the other way round: 'off to' says so already, and clockwise turns the other "
        "way.",
        "Drawn from these figures no edge is farther than "
        f"{rule.tolerance(greatest)} from the true one "
        f"({rule.tolerance(rule.allowed_mm)} allowed), rounding included; measured for every line.",
    )
