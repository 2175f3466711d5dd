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
    side = "lie to the side named"
    if any(c.is_through for c in charts):
        side = f"and 'upper' {side}; 'lower' lies as the chart says"
    return (
        "How to read these pages: first draw a piece's base line on its sheet. Each end is given "
        "with its figure on the chart and its place from the sheet's black corner, along and "
        "across, seen from the good face; it need not be the piece's own end. Looking from where "
        f"the line begins to where it ends, the chart's figures 'off' {side}; 'both' is a shape "
        "without hand.",
        f"Figures are {units}. On a chart they run along the base line from its zero (the ring) "
        "and square off from it; 'out' is off a centre line, to both sides alike. '(mirror)' "
        "comes out as the mirror image of its chart's drawing: 'off to' does that by itself.",
        "To the next point runs a straight line, an arc (the short way round its centre, unless "
        "'by way of' says more), or a batten, which runs on through all points that it joins; "
        "'new batten' begins where the one before ends. In a panel's table a batten runs from "
        "\u2022 to \u2022; with nothing between, and across both ends, the line is straight. "
        f"{STATED}",
        "A joined panel has one chart: one batten fairs all of it, each piece from where it begins "
        "to where it ends. Figures beyond the piece or beside its sheet are left out: the batten's "
        "free end runs on there. A trim line is drawn round notches too.",
        "A line named after a frame runs on to the edges and is squared round to the other face. "
        "On which side the frame stands only the plans say: mark that side with a cross first.",
        f"Drawn so, no edge is farther than {rule.tolerance(greatest)} from the true one "
        f"({rule.tolerance(rule.allowed_mm)} allowed), rounding included; measured for every line.",
    )
