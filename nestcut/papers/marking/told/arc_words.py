"""What is said of arcs: centres, radii, and what to do where a centre lies beside the ply.

A compass needs its centre on wood, and level with the sheet: common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import shapely
from shapely.geometry import Polygon

from nestcut.geometry.affine import apply, inverse
from nestcut.geometry.pose import move_points
from nestcut.papers.marking.charts import Chart, Form
from nestcut.papers.marking.lines import Circle
from nestcut.papers.marking.outline import MarkedLine, MarkPoint
from nestcut.papers.marking.rules import MarkingRule
from nestcut.papers.view import PlanView

LONG_WAY_RAD = math.radians(150.0)
"""An arc that sweeps more has a point on its way told: its ends alone may be joined two ways."""
PIN_MM = 3.0
"""Nearer the edge of a sheet a compass' pin has no hold. [mm]"""

INWARD_SHARE = 0.2
"""So far from an arc towards its centre, in radii, is clear of what figures are rounded by. [-]"""

At = Callable[[float, float], str]
"""How a chart writes a point: ``120, 45 upper``."""


def arc_sentences(
    line: MarkedLine, chart: Chart, view: PlanView, rule: MarkingRule, at: At
) -> list[str]:
    """Every arc of a line with its centre; how to draw those whose centre has no wood under it.

    Parameters
    ----------
    at
        Writes a point as the chart does.
    """
    told: list[str] = []
    beside: list[str] = []
    whose: set[str] = set()
    for k, p in enumerate(line.points):
        if p.circle is None or not (line.is_closed or k + 1 < len(line.points)):
            continue
        after = line.points[(k + 1) % len(line.points)]
        c = p.circle
        pieces = _beside(c, chart, view)
        is_beside = bool(pieces)
        whose |= pieces
        sweep = _sweep(p, after, c)
        way = ""
        if is_beside or sweep >= LONG_WAY_RAD:
            x, y = _on_arc(p, c, sweep / 2.0)
            fine = min(1, len(rule.steps_mm) - 1)
            way = f", by way of {at(rule.rounded(x, fine), rule.rounded(y, fine))}"
        name = f"{p.number} to {after.number}"
        radius = rule.written(c.radius)
        told.append(f"Arc {name}: centre {at(c.x, c.y)}, radius {radius}{way}.")
        if is_beside:
            beside.append(name)
    if beside:
        what = "The centre of arc" if len(beside) == 1 else "Centres of arcs"
        lie = "lies" if len(beside) == 1 else "lie"
        told.append(
            f"{what} {' and '.join(beside)} {lie} beside {_sheet_words(whose, chart)}: lay scrap "
            "of the same thickness against its edge for the compass, or bend a batten through the "
            "three points."
        )
    return told


def minus_sentence(chart: Chart) -> str:
    """What a minus figure of a chart means; empty where there is none."""
    circles = [c for line in chart.marking.lines for p in line.points if (c := p.circle)]
    circles += [line.circle for line in chart.marking.lines if line.circle is not None]
    points = [(p.x_mm, p.y_mm) for line in chart.marking.lines for p in line.points]
    points += [(c.x, c.y) for c in circles]
    told = []
    if any(x < 0.0 for x, _ in points):
        told.append("along: before the ring, on the line run on backwards")
    if any(y < 0.0 for _, y in points) and not chart.is_through:
        line = "centre line" if chart.form is Form.HALF else "base line"
        told.append(f"off: on the other side of the {line}")
    return f"Minus {'; minus '.join(told)}." if told else ""


def hollow_arcs(line: MarkedLine, chart: Chart) -> frozenset[int]:
    """Numbers of points at which a hollow arc begins, its centre off the wood, as in a notch."""
    body = Polygon(chart.shape.outline.points)
    found = set()
    for k, p in enumerate(line.points):
        if p.circle is None or not (line.is_closed or k + 1 < len(line.points)):
            continue
        c, after = p.circle, line.points[(k + 1) % len(line.points)]
        x, y = _on_arc(p, c, _sweep(p, after, c) / 2.0)
        inward = (x + (c.x - x) * INWARD_SHARE, y + (c.y - y) * INWARD_SHARE)
        if not body.contains(shapely.Point(inward)):
            found.add(p.number)
    return frozenset(found)


def _sheet_words(whose: set[str], chart: Chart) -> str:
    """The sheet, and of which pieces where it isn't so for all of a chart's."""
    if len(whose) == len(chart.uses):
        return "the sheet"
    return f"the sheet ({', '.join(sorted(whose))})"


def _beside(circle: Circle, chart: Chart, view: PlanView) -> set[str]:
    """Those of a chart's pieces, of which a centre lies beside the sheet or on its very edge."""
    found = set()
    sheets = {p.piece.id: sheet for sheet in view.sheets for p in sheet.placed}
    for use in chart.uses:
        (x, y), *_ = apply(inverse(use.matrix), np.array([(circle.x, circle.y)]))
        spot = move_points(((float(x), float(y)),), use.placed.placement)
        room = Polygon(sheets[use.piece.id].outline).buffer(-PIN_MM)
        if not room.covers(shapely.Point(spot[0])):
            found.add(f"{sheets[use.piece.id].label} no. {use.placed.number}")
    return found


def _sweep(p: MarkPoint, after: MarkPoint, c: Circle) -> float:
    """Angle that an arc goes round its centre. [rad]"""
    start, end = (math.atan2(q.y_mm - c.y, q.x_mm - c.x) for q in (p, after))
    return ((end - start) * p.turn) % (2.0 * math.pi)


def _on_arc(p: MarkPoint, c: Circle, turn: float) -> tuple[float, float]:
    """A point of an arc, so far round from its beginning. [mm]"""
    at = math.atan2(p.y_mm - c.y, p.x_mm - c.x) + p.turn * turn
    return c.x + c.radius * math.cos(at), c.y + c.radius * math.sin(at)
