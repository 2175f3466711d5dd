"""Diagonals by which charts are checked.

Of panels piece by piece, as nobody can measure across a joint; of half-sections from one side to
the other, where both must be the same.
"""

from __future__ import annotations

import math
from collections.abc import Callable

from nestcut.model.curves import Point
from nestcut.papers.marking.charts import Chart, ChartUse, Form
from nestcut.papers.marking.outline import MarkPoint, Role
from nestcut.papers.marking.panel_form import panel_edges
from nestcut.papers.marking.rules import MarkingRule
from nestcut.papers.view import share_letter

At = Callable[[float, float], str]
"""How a chart writes a point: ``120, 45 upper``."""


def panel_checks(chart: Chart, rule: MarkingRule, at: At) -> list[str]:
    """A diagonal of every piece of a panel, or of a panel that is one piece.

    Parameters
    ----------
    at
        Writes a point as the chart does.
    """
    if chart.form is not Form.PANEL:
        return []
    lower, upper = panel_edges(chart.marking)
    ends = (_corners(lower[0], upper[0]), _corners(lower[-1], upper[-1]))
    told: dict[int, str] = {}
    for use in sorted(chart.uses, key=lambda u: u.piece.share):
        if use.piece.share not in told:
            told[use.piece.share] = _check(use, ends, rule, at)
    return [
        f"{share_letter(share)} {words}" if chart.is_whole_panel else words
        for share, words in told.items()
    ]


def glued_checks(chart: Chart) -> tuple[str, str]:
    """Lengths of a whole panel's upper and lower edge, from end to end straight across.

    Its corners are sawn by the time it is glued, and a tape between them shows a kink at a joint,
    which the diagonals hardly do.
    """
    rule = chart.marking.rule
    low, high = (
        rule.written(rule.rounded(math.dist((a.x_mm, a.y_mm), (b.x_mm, b.y_mm))))
        for a, b in ((edge[0], edge[-1]) for edge in panel_edges(chart.marking))
    )
    return high, low


def _corners(low: MarkPoint, high: MarkPoint) -> tuple[Point, Point]:
    return (low.x_mm, low.y_mm), (high.x_mm, high.y_mm)


def _check(use: ChartUse, ends: tuple[tuple[Point, Point], ...], rule: MarkingRule, at: At) -> str:
    """The diagonal between a piece's ends: where it is cut, else where the panel ends."""
    fine = 1 if len(rule.steps_mm) > 1 else 0
    begin, stop = ends
    for cut in use.cuts:
        a, b = ((rule.rounded(x, fine), rule.rounded(y, fine)) for x, y in cut.line)
        begin, stop = ((a, b), stop) if cut.side > 0 else (begin, (a, b))
    a, b = begin[0], stop[1]
    return f"{at(*a)} to {at(*b)} is {rule.written(rule.rounded(math.dist(a, b)))}"


def half_checks(chart: Chart, rule: MarkingRule) -> list[str]:
    """The longest distance from a corner of a half-section to another one on the other side."""
    if chart.form is not Form.HALF:
        return []
    corners = [p for p in chart.marking.lines[0].points if p.role is Role.CORNER and p.y_mm > 0.0]
    pairs = [(a, b) for k, a in enumerate(corners) for b in corners[k + 1 :] if a.x_mm != b.x_mm]
    if not pairs:
        return []
    a, b = max(pairs, key=lambda p: round(_across_mm(*p), 3))
    length = rule.written(rule.rounded(_across_mm(a, b)))
    return [f"{a.number} to {b.number} of the other side is {length}, both ways"]


def _across_mm(a: MarkPoint, b: MarkPoint) -> float:
    return math.hypot(a.x_mm - b.x_mm, a.y_mm + b.y_mm)
