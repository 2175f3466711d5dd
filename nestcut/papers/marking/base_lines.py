"""Where every piece's base line lies on its sheet: two points, and the side its chart is on.

Both points lie on the ply that is left when the sheet's first cuts are made: a point beside the
sheet can't be pricked, one in the blade's way is sawn off.  A line whose chart begins or ends
elsewhere is given from a figure further in, so that nothing shifts.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import MultiPoint, Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.geometry.affine import apply, inverse
from nestcut.geometry.pose import move_points
from nestcut.model.curves import Point
from nestcut.model.job import CuttingRules
from nestcut.papers.marking.charts import Chart, ChartUse, Form
from nestcut.papers.marking.rules import MarkingRule
from nestcut.papers.view import PlacedPiece, PlanView, SheetView, keeps_of
from nestcut.tolerances.lengths import EXACT_MM
from nestcut.tolerances.noise import WHOLE_SLACK
from nestcut.units import to_step

LEAST_SHARE = 0.4
"""A base line of which less lies on what is left of the sheet is told as it is. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class BaseLine:
    """Where a piece's base line lies on its sheet, as it is printed. [mm from the sheet's corner]

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
        rooms: tuple[Polygon, ...] = ()
        lines = []
        for placed in sheet.placed:
            chart, use = by_piece[placed.piece.id]
            if not rooms:
                left = room_left(sheet, view.verified.job.cutting, chart.marking.rule)
                rooms = (left, Polygon(sheet.outline))
            lines.append(_base_line(placed, chart, use, rooms))
        found.append(tuple(lines))
    return tuple(found)


def room_left(sheet: SheetView, cutting: CuttingRules, rule: MarkingRule) -> Polygon:
    """What is left of a sheet when its first cuts are made as its page says. [mm]

    Parameters
    ----------
    sheet
        With its offcuts.
    cutting
        Blade of the job.
    rule
        Of the figures that cuts are printed in.
    """
    kerf = cutting.on(sheet.stock).kerf_mm
    whole = Polygon(sheet.outline)
    left: BaseGeometry = whole
    x0, y0, x1, y1 = whole.bounds
    for keep in keeps_of(sheet, cutting, rule.figures):
        if keep.cut_mm is None:
            continue
        low, high = ((x0, x1), (y0, y1))[0 if keep.is_across else 1]
        kept = (keep.cut_mm + kerf, high) if keep.is_beyond else (low, keep.cut_mm - kerf)
        ways = ((kept[0], y0, kept[1], y1), (x0, kept[0], x1, kept[1]))
        left = left.intersection(box(*ways[0 if keep.is_across else 1]))
    return left if isinstance(left, Polygon) and not left.is_empty else whole


def _base_line(
    placed: PlacedPiece, chart: Chart, use: ChartUse, rooms: tuple[Polygon, ...]
) -> BaseLine:
    rule = chart.marking.rule
    back = inverse(use.matrix)

    def on_sheet(x_mm: float, y_mm: float = 0.0) -> Point:
        (x, y), *_ = apply(back, np.array([(x_mm, y_mm)]))
        return move_points(((float(x), float(y)),), placed.placement)[0]

    low, high = _span(chart, use, rule.steps_mm[0])
    found = None
    for room in rooms:
        found = found or _within(room, (low, high), on_sheet, rule)
    start, stop = found or (low, high)
    zero, end, beside = on_sheet(start), on_sheet(stop), on_sheet(start, 1.0)
    turn = (end[0] - zero[0]) * (beside[1] - zero[1]) - (end[1] - zero[1]) * (beside[0] - zero[0])
    whole = rooms[-1]
    off = 0.0 if found else max(whole.distance(shapely.Point(p)) for p in (zero, end))
    line = BaseLine(
        placed=placed,
        chart=chart,
        use=use,
        from_mm=start,
        to_mm=stop,
        zero=_printed(zero, None if off else whole, rule),
        end=_printed(end, None if off else whole, rule),
        to_left=turn > 0.0,
        off_mm=off,
    )
    return line if off else _on_the_ply(line, (zero, end), whole)


def _on_the_ply(line: BaseLine, true: tuple[Point, Point], sheet: Polygon) -> BaseLine:
    """A base line a step aside, where none of its chart's printed points lies off the sheet then.

    A piece at the sheet's very edge with half breadths rounded up has them half a step outside.
    """
    step = line.chart.marking.rule.place_step_mm
    held = sheet.buffer(EXACT_MM)
    zeros, ends = (
        _steps_near(p, t, step) for p, t in zip((line.zero, line.end), true, strict=True)
    )

    def moved_by(zero: Point, end: Point) -> tuple[float, float]:
        by, others = (math.dist(a, b) for a, b in ((zero, line.zero), (end, line.end)))
        return round(abs(by - others), 6), by + others  # together: so that nothing turns

    for zero, end in sorted(((z, e) for z in zeros for e in ends), key=lambda p: moved_by(*p)):
        moved = replace(line, zero=zero, end=end)
        if held.contains(MultiPoint([zero, end, *printed_points(moved)])):
            return moved
    return line


def _steps_near(shown: Point, true: Point, step: float) -> list[Point]:
    """A place as it is printed and the ones a step from it, none more than a step off the true."""
    near = [(shown[0] + a * step, shown[1] + b * step) for a in (0, 1, -1) for b in (0, 1, -1)]
    return [
        p for p in near if max(abs(p[0] - true[0]), abs(p[1] - true[1])) <= step + EXACT_MM
    ] or [shown]


def printed_points(line: BaseLine) -> list[Point]:
    """Where the points of a piece's chart come to lie, set off from its base line as printed. [mm]

    Of a panel's chart those between the piece's own ends: past them nothing is drawn.
    """
    told = [(p.x_mm, p.y_mm) for each in line.chart.marking.lines for p in each.points]
    if line.chart.form is Form.HALF:
        told += [(x, -y) for x, y in told]
    own = apply(line.use.matrix, np.array(line.use.piece.shape.outline.points))
    low, high = float(own[:, 0].min()), float(own[:, 0].max())
    if line.use.cuts:
        told = [(x, y) for x, y in told if low <= x <= high]
    (ax, ay), (bx, by) = line.zero, line.end
    long = math.hypot(bx - ax, by - ay)
    ux, uy = (bx - ax) / long, (by - ay) / long
    up = 1.0 if line.to_left else -1.0
    return [
        (
            ax + ux * (x - line.from_mm) - up * uy * y,
            ay + uy * (x - line.from_mm) + up * ux * y,
        )
        for x, y in told
    ]


def _within(
    room: Polygon, span: tuple[float, float], on_sheet: Callable[[float], Point], rule: MarkingRule
) -> tuple[float, float] | None:
    """The first and last figure of a span whose printed places lie in a room; None if too near.

    Those of the chart's own ends if they do; else round ones further in.
    """
    low, high = span
    for slack in (rule.place_step_mm / 2.0, rule.place_step_mm):

        def is_in(x_mm: float, slack: float = slack) -> bool:
            at = on_sheet(x_mm)
            shown = _printed(at, room, rule)
            off = max(abs(a - b) for a, b in zip(at, shown, strict=True))
            return off < slack + EXACT_MM and bool(room.distance(shapely.Point(shown)) < EXACT_MM)

        starts = (x for x in _inward(low, high, rule) if is_in(x))
        stops = (-x for x in _inward(-high, -low, rule) if is_in(-x))
        start, stop = next(starts, high), next(stops, low)
        if stop - start >= LEAST_SHARE * (high - low):
            return start, stop
    return None


def _inward(low: float, high: float, rule: MarkingRule) -> Iterator[float]:
    """Figures from one end of a span on: the end itself, then round ones, then any."""
    yield low
    for step in (rule.round_mm, rule.steps_mm[0]):
        first = math.floor(low / step + WHOLE_SLACK) + 1
        for k in range(first, math.floor(high / step - WHOLE_SLACK) + 1):
            yield k * step


def _printed(at: Point, room: Polygon | None, rule: MarkingRule) -> Point:
    """A place as papers print it; no figure is beyond the edges of a room."""
    step = rule.place_step_mm
    x, y = (to_step(v, step) for v in at)
    if room is None:
        return x, y
    x0, y0, x1, y1 = room.bounds
    return _held(x, (x0, x1), step), _held(y, (y0, y1), step)


def _held(at: float, between: tuple[float, float], step: float) -> float:
    """The step nearest a place that lies between two edges."""
    low, high = between
    if at < low - EXACT_MM:
        return math.ceil(low / step - WHOLE_SLACK) * step
    if at > high + EXACT_MM:
        return math.floor(high / step + WHOLE_SLACK) * step
    return at


def _span(chart: Chart, use: ChartUse, step: float) -> tuple[float, float]:
    """From which figure of its chart to which a base line goes, if its sheet allows. [mm]

    Those of the chart's first and last point, so that both say the same; for a piece of a joined
    panel round figures at which the whole panel has stations.
    """
    if not use.cuts:
        line = chart.marking.lines[0]
        if line.circle is not None:
            return line.circle.x, line.circle.x + line.circle.radius
        along = [p.x_mm for p in line.points]
        return min(along), max(along)
    own = apply(use.matrix, np.array(use.piece.shape.outline.points))
    low = math.ceil(float(own[:, 0].min()) / step - WHOLE_SLACK) * step
    high = math.floor(float(own[:, 0].max()) / step + WHOLE_SLACK) * step
    spacing = chart.marking.rule.spacing_mm
    rounder = (math.ceil(low / spacing) * spacing, math.floor(high / spacing) * spacing)
    return rounder if rounder[1] - rounder[0] >= spacing else (low, high)
