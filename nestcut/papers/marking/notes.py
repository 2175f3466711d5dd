"""What the marking-out pages say of themselves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from nestcut.model.shape import MarkUse
from nestcut.papers.marking.base_lines import BaseLine
from nestcut.papers.marking.batten import CENTRE_STATED, CLOSED_STATED, STATED
from nestcut.papers.marking.charts import Chart, Form
from nestcut.papers.marking.lines import Way
from nestcut.papers.marking.outline import Role
from nestcut.papers.marking.panel_form import panel_edges
from nestcut.papers.marking.rules import INCH_MM, MarkingRule, Notation
from nestcut.papers.view import line_name
from nestcut.trade import shop

NOTHING_TO_MARK = (
    "Nothing is marked out from these pages: all pieces are straight and cut from boards, by the "
    "figures in shop.pdf."
)
"""All there is to say where no sheet is cut from."""


def marking_notes(
    rule: MarkingRule, charts: tuple[Chart, ...], shown: tuple[str, BaseLine] | None = None
) -> tuple[str, ...]:
    """How to read the charts, and what they keep.

    Parameters
    ----------
    shown
        The piece that the worked example is about, with its sheet; None: there is no example.
    """
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
    holes = "; not in holes: they are sawn to their size" if has_holes else ""
    has_arcs = any(p.circle for c in charts for line in c.marking.lines for p in line.points)
    pin = " Compass centre on another piece: stick tape there first." if has_arcs else ""
    joined = (
        "A joined panel has one chart, trim included: a piece takes the rows between its ends, its "
        "joints' lines, and the next row beyond if the sheet has room; the lath runs on over what "
        "lies there."
    )
    return (
        "How to read these pages. First a piece's base line: 'begins' (the dot on the sketch, its "
        "arrow towards 'ends') and 'ends' each name a figure of the chart and where it lies, from "
        "the sheet's black corner along its long side, then across. Mark both (on another piece by "
        "pencil, else prick), draw the line through them, on to the piece's ends, and write its "
        "number on it. Looking from 'begins' to 'ends', the chart's figures 'off' "
        f"{side}{both}.",
        f"Then its chart: {units}, along the base line from the ring and square off from it{out}."
        f"{mirror}",
        *(() if shown is None else (example(*shown),)),
        "To the next point runs a straight line, an arc (the short way round its centre, unless "
        "'by way of' says otherwise), or a batten, which runs on through all points that it joins"
        f"{batten}.{new} {STATED}{over}{closed}{pin}",
        *((joined,) if is_panel else ()),
        "Plane an edge to its line, then gauge its trim; round notches before sawing, by compass, "
        f"the radius and the trim{holes}. A frame's line runs on to the edges and is squared round "
        f"to the other face; {_side_words(charts)}.",
        f"Drawn so, every edge is within {rule.tolerance(greatest)} of the true one "
        f"({rule.tolerance(rule.allowed_mm)} allowed), rounding included; a check may be out by "
        f"{rule.tolerance(shop.CHECK_MM.value)}.",
    )


def shown_line(sheets: Iterable[tuple[str, Sequence[BaseLine]]]) -> tuple[str, BaseLine] | None:
    """The piece that a worked example tells most by: of a panel, begun at another figure than 0.

    Parameters
    ----------
    sheets
        Names of sheets with the base lines of their pieces.
    """
    found = [(name, line) for name, lines in sheets for line in lines if _row_of(line) is not None]
    return max(
        found,
        key=lambda f: (f[1].chart.form is Form.PANEL, f[1].from_mm > 0.0, f[1].off_mm == 0.0),
        default=None,
    )


def example(sheet: str, line: BaseLine) -> str:
    """One point of a piece, from its sheet's table to its place on the ply.

    Parameters
    ----------
    sheet
        Its name.
    line
        The piece's base line; its chart has a point between both ends.
    """
    rule, chart = line.chart.marking.rule, line.chart
    written = rule.written
    (ax, ay), (bx, by) = line.zero, line.end
    row = _row_of(line)
    if row is None:
        raise ValueError(f"no point of {line.placed.piece.id} lies between the ends of its line")
    near, other = ("left", "right") if line.to_left else ("right", "left")
    head, *offs = row
    ways = {"upper": near, "lower": other if chart.is_through else near}
    if chart.form is Form.PANEL:
        told = " and ".join(f"{written(y)} to the {ways[edge]} ('{edge}')" for edge, y in offs)
        which = f"row {written(head)}"
    else:
        side = "either side" if chart.form is Form.HALF else f"the {near}"
        number, y = offs[0]
        told, which = f"{written(y)} to {side}", f"point {number}"
    return (
        f"Example, {sheet} no. {line.placed.number}: {written(ax)} along, {written(ay)} across: "
        f"prick; {written(bx)}, {written(by)}: prick; draw the line. Hold the tape along it, its "
        f"{written(line.from_mm)} at the first prick: {which} of chart {chart.number} is at the "
        f"tape's {written(head)}, {told}."
    )


_Row = tuple[float, *tuple[tuple[str, float], ...]]
"""A figure along a chart, and what is set off there: edge or number, and how far. [mm]"""


def _row_of(line: BaseLine) -> _Row | None:
    """The point of a chart next to where its base line begins; None where there is none."""
    chart = line.chart
    between = [
        p
        for p in chart.marking.lines[0].points
        if line.from_mm < p.x_mm < line.to_mm and p.y_mm != 0.0
    ]
    if not between:
        return None
    if chart.form is not Form.PANEL:
        first = min(between, key=lambda p: p.x_mm)
        return (first.x_mm, (str(first.number), first.y_mm)) if first.y_mm > 0.0 else None
    rows: dict[float, list[tuple[str, float]]] = {}
    for name, edge in zip(("lower", "upper"), panel_edges(chart.marking), strict=True):
        for p in (p for p in edge if p in between):
            rows.setdefault(p.x_mm, []).append((name, abs(p.y_mm)))
    x = min(rows, key=lambda x: (-len(rows[x]), x))
    return x, *rows[x]


def _side_words(charts: tuple[Chart, ...]) -> str:
    """On which side of its line a frame stands, or that nobody has said it."""
    marked = [
        (m.label, use.placed.part)
        for c in charts
        for use in c.uses
        for m in use.piece.shape.marks
        if m.label and m.use is MarkUse.PLAIN
    ]
    said = [line_name(label, part) != label for label, part in marked]
    if not any(said):
        return "on which side of it the frame stands only the plans say"
    rest = "" if all(said) else ", where nothing is said, the plans know"
    return f"(fwd), (aft): the frame stands forward or aft of it{rest}"


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
