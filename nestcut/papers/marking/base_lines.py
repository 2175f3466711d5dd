"""Where every piece's base line lies on its sheet: two points, and the side its chart is on."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString

from nestcut.geometry.affine import apply, inverse
from nestcut.geometry.pose import move_points
from nestcut.model.curves import Point
from nestcut.papers.marking.charts import Chart, ChartUse
from nestcut.papers.view import PlacedPiece, PlanView
from nestcut.tolerances.noise import WHOLE_SLACK

PENCIL_MM = 0.6
"""A base line that ends so little beside its sheet ends at its edge. [mm]"""
LEAST_SHARE = 0.4
"""A base line of which less lies on the sheet is told as it is. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseLine:
    """Where a piece's base line lies on its sheet. [mm from the sheet's corner]

    ``to_left`` says on which side of the line, looked at from its zero, the chart's figures go up.
    """

    placed: PlacedPiece
    chart: Chart
    use: ChartUse
    from_mm: float
    to_mm: float
    zero: Point
    end: Point
    to_left: bool
    off_mm: float = 0.0
    """How far it lies outside its sheet, where it does. [mm]"""


def base_lines(view: PlanView, charts: tuple[Chart, ...]) -> tuple[tuple[BaseLine, ...], ...]:
    """Where every piece's base line lies, sheet by sheet in cutting order."""
    by_piece = {use.piece.id: (chart, use) for chart in charts for use in chart.uses}
    found = []
    for sheet in view.sheets:
        lines = []
        for placed in sheet.placed:
            chart, use = by_piece[placed.piece.id]
            size = (sheet.layout.length_mm, sheet.layout.width_mm)
            lines.append(_base_line(placed, chart, use, size))
        found.append(tuple(lines))
    return tuple(found)


def _base_line(
    placed: PlacedPiece, chart: Chart, use: ChartUse, sheet_mm: tuple[float, float]
) -> BaseLine:
    step = chart.marking.rule.steps_mm[0]
    low, high = _span(chart, use, step)
    low, high = _on_sheet(placed, use, (low, high), step, sheet_mm)
    back = inverse(use.matrix)
    on_piece = apply(back, np.array([(low, 0.0), (high, 0.0), (low, 1.0)]))
    pose = placed.placement
    on_sheet = move_points(tuple((float(x), float(y)) for x, y in on_piece), pose)
    (ax, ay), (bx, by), (cx, cy) = on_sheet
    turn = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
    off = max(_outside_mm(p, sheet_mm) for p in on_sheet[:2])
    return BaseLine(
        placed=placed,
        chart=chart,
        use=use,
        from_mm=low,
        to_mm=high,
        zero=on_sheet[0],
        end=on_sheet[1],
        to_left=turn > 0.0,
        off_mm=off if off >= PENCIL_MM else 0.0,
    )


def _span(chart: Chart, use: ChartUse, step: float) -> tuple[float, float]:
    """From which figure of its chart to which a base line goes, if its sheet allows. [mm]

    Those of the chart's first and last point, so that both say the same; for a piece of a joined
    panel round figures at which the whole panel has stations.
    """
    if not use.cuts:
        line = chart.marking.lines[0]
        if line.circle is not None:
            return line.circle.x - line.circle.radius, line.circle.x + line.circle.radius
        along = [p.x_mm for p in line.points]
        return min(along), max(along)
    own = apply(use.matrix, np.array(use.piece.shape.outline.points))
    low = math.ceil(float(own[:, 0].min()) / step - WHOLE_SLACK) * step
    high = math.floor(float(own[:, 0].max()) / step + WHOLE_SLACK) * step
    spacing = chart.marking.rule.spacing_mm
    rounder = (math.ceil(low / spacing) * spacing, math.floor(high / spacing) * spacing)
    return rounder if rounder[1] - rounder[0] >= spacing else (low, high)


def _on_sheet(
    placed: PlacedPiece,
    use: ChartUse,
    span: tuple[float, float],
    step: float,
    sheet_mm: tuple[float, float],
) -> tuple[float, float]:
    """The stretch of a base line that lies on its sheet: nobody can mark a point beside it.

    The whole span where too little of it does, or all but a pencil's width. [mm, in the chart]
    """
    low, high = span
    on_piece = apply(inverse(use.matrix), np.array([(low, 0.0), (high, 0.0)]))
    ends = move_points(tuple((float(x), float(y)) for x, y in on_piece), placed.placement)
    if max(_outside_mm(p, sheet_mm) for p in ends) < PENCIL_MM:
        return span
    inside = LineString(ends).intersection(shapely.box(0.0, 0.0, *sheet_mm))
    if not isinstance(inside, LineString) or inside.length < LEAST_SHARE * (high - low):
        return span
    first, last = (math.dist(ends[0], inside.coords[k]) for k in (0, -1))
    first, last = sorted((first, last))
    start = math.ceil((low + first) / step - WHOLE_SLACK) * step
    stop = math.floor((low + last) / step + WHOLE_SLACK) * step
    return (start, stop) if stop > start else span


def _outside_mm(point: Point, sheet_mm: tuple[float, float]) -> float:
    """How far a point lies beside a sheet. [mm]"""
    return max(0.0, *(max(-v, v - size) for v, size in zip(point, sheet_mm, strict=True)))
