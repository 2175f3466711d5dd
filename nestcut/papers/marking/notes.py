"""What the marking-out pages say of themselves."""

from __future__ import annotations

from itertools import pairwise

from nestcut.papers.marking.batten import CENTRE_STATED, CLOSED_STATED, STATED
from nestcut.papers.marking.charts import Chart, Form
from nestcut.papers.marking.lines import Way
from nestcut.papers.marking.outline import Role
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
    is_panel = any(c.is_whole_panel for c in charts)
    is_half = any(c.form is Form.HALF for c in charts)
    is_mirror = any(c.has_hand and u.is_turned for c in charts for u in c.uses)
    side = "lie to the side named"
    if any(c.is_through for c in charts):
        side = f"and 'upper' {side}, 'lower' to the other"
    both = "; 'both': it is the same on both sides" if any(c.is_alike for c in charts) else ""
    half = ", 'out' off a centre line, to both sides alike"
    out = half if is_half else ""
    mirror = (
        " '(mirror)' comes out as its chart's mirror image by itself: 'off to' sees to that."
        if is_mirror
        else ""
    )
    edge = ", and in a panel's table from \u2022 to \u2022; with nothing between, and across both "
    batten = (
        f"{edge}ends, the line is straight" if any(c.form is Form.PANEL for c in charts) else ""
    )
    new = (
        " Where 'new batten' stands the batten before ends and another begins."
        if any(_has_new_batten(c) for c in charts)
        else ""
    )
    over = f" {CENTRE_STATED}" if is_half else ""
    closed = f" {CLOSED_STATED}" if any(map(_has_closed_batten, charts)) else ""
    has_holes = any(c.gauge_mm is not None and c.shape.holes for c in charts)
    holes = ", not in holes: they are sawn to their size" if has_holes else ""
    joined = (
        "A joined panel has one chart: one batten fairs all of it, each piece from where it begins "
        "to where it ends; past the sheet's edge its free end runs on. Figures run from the ring, "
        "trim included; the joints page counts along the glued panel from its black end."
    )
    return (
        "How to read these pages: first draw a piece's base line on its sheet. 'Begins' (the dot "
        "on the sheet's sketch) and 'ends' each give a figure of the chart and the place where it "
        "lies: from the sheet's black corner along its long side, then across. Run the line on to "
        "the piece's ends, over other pieces too: write its number on it. Standing at 'begins' and "
        f"looking to 'ends', the chart's figures 'off' {side}{both}.",
        f"Figures are {units}. On a chart they run along the base line from its zero (the ring) "
        f"and square off from it{out}: lay the tape with its 'begins' figure on that mark and read "
        f"all others off it, smaller ones behind it; 'ends' gives the direction alone.{mirror}",
        "To the next point runs a straight line, an arc (the short way round its centre, unless "
        "'by way of' says more), or a batten, which runs on through all points that it joins"
        f"{batten}.{new} {STATED}{over}{closed}",
        *((joined,) if is_panel else ()),
        f"A trim line is drawn round notches too{holes}. A frame's line runs on to the edges "
        "and is squared round to the other face; on which side of it the frame stands only the "
        "plans say.",
        f"Drawn so, no edge is farther than {rule.tolerance(greatest)} from the true one "
        f"({rule.tolerance(rule.allowed_mm)} allowed), rounding included; measured for every line.",
    )


def _has_new_batten(chart: Chart) -> bool:
    """Whether two battens meet at a point of a chart's table."""
    lines = chart.marking.lines[1:] if chart.form is Form.PANEL else chart.marking.lines
    return any(
        p.role is Role.CORNER and p.way is before.way is Way.BATTEN
        for line in lines
        for before, p in pairwise((*line.points[-1:], *line.points))
        if line.is_closed or p != line.points[0]
    )


def _has_closed_batten(chart: Chart) -> bool:
    """Whether a line of a chart is one batten that comes round to its first point."""
    return any(
        line.is_closed and line.points and all(p.role is Role.STATION for p in line.points)
        for line in chart.marking.lines
    )
