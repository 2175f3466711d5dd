"""Where every piece's base line lies on its sheet: two points, and the side its chart is on.

Both points lie on the ply that is left when the sheet's first cuts are made: a point beside the
sheet can't be pricked, one in the blade's way is sawn off.  A line whose chart begins or ends
elsewhere is given from a figure further in, so that nothing shifts.  They are as far apart as the
chart's figures say: whoever measures between them, or pricks a corner at both, finds one length.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import product

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.geometry.affine import apply, inverse
from nestcut.geometry.pose import move_points
from nestcut.model.curves import Point
from nestcut.model.job import CuttingRules
from nestcut.papers.marking.charts import Chart, ChartUse, Form
from nestcut.papers.marking.outline import drawn_line
from nestcut.papers.marking.rules import MarkingRule, held
from nestcut.papers.view import PlacedPiece, PlanView, SheetView, keeps_of
from nestcut.tolerances.lengths import EXACT_MM
from nestcut.tolerances.noise import WHOLE_SLACK
from nestcut.units import to_step

Array = NDArray[np.float64]

FAR_MM = 1e5
"""Further than any piece reaches. [mm]"""
MOST_STEPS = 2.0
"""Where no marks close, they are no more steps further apart or nearer than figures say. [-]"""
MOST_MOVED_MM = 1.5
"""No point of a piece lies further from its place in the plan for its sheet's edge's sake. [mm]"""
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
    whole = rooms[-1]
    found, room = None, whole
    for room in rooms:
        found = _within(room, (low, high), on_sheet, rule)
        if found:
            break
    start, stop = found or (low, high)
    ends, beside = (on_sheet(start), on_sheet(stop)), on_sheet(start, 1.0)
    (ax, ay), (bx, by) = ends
    turn = (bx - ax) * (beside[1] - ay) - (by - ay) * (beside[0] - ax)
    off = 0.0 if found else max(whole.distance(shapely.Point(p)) for p in ends)
    zero, end = (_printed(p, None if off else whole, rule) for p in ends)
    line = BaseLine(
        placed=placed,
        chart=chart,
        use=use,
        from_mm=start,
        to_mm=stop,
        zero=zero,
        end=end,
        to_left=turn > 0.0,
        off_mm=off,
    )
    return _settled(line, ends, None if off else room, whole)


def unclosed_mm(line: BaseLine) -> float:
    """By how much a base line's two marks lie further apart than their figures say. [mm]"""
    return math.dist(line.zero, line.end) - (line.to_mm - line.from_mm)


def _settled(
    line: BaseLine, ends: tuple[Point, Point], room: Polygon | None, whole: Polygon
) -> BaseLine:
    """A base line so placed that its marks are as far apart as its figures say, in round figures.

    What is drawn by it then lies on its sheet.

    Parameters
    ----------
    ends
        Where both ends truly lie. [mm]
    room
        Where both figures have to be; None: they lie beside their sheet anyway.
    """
    outline = printed_outline(line.chart, line.use)
    step = line.chart.marking.rule.place_step_mm
    closed = step / 2.0 + EXACT_MM

    def beside_mm(of: BaseLine) -> float:
        if room is None:
            return 0.0
        return float(shapely.distance(shapely.points(set_on(outline, of)), whole).max())

    if abs(unclosed_mm(line)) < closed and beside_mm(line) < EXACT_MM:
        return line
    near = (0.0, -step, step, -2.0 * step, 2.0 * step)
    tried = [
        replace(
            line,
            zero=(line.zero[0] + ax, line.zero[1] + ay),
            end=(line.end[0] + bx, line.end[1] + by),
        )
        for ax, ay, bx, by in product(near, repeat=4)
    ]

    def holds(of: BaseLine, most_mm: float) -> bool:
        return abs(unclosed_mm(of)) < most_mm and (
            room is None
            or all(bool(room.distance(shapely.Point(p)) < EXACT_MM) for p in (of.zero, of.end))
        )

    true = set_on(outline, replace(line, zero=ends[0], end=ends[1]))

    def worth(of: BaseLine) -> tuple[float, ...]:
        moved = float(np.hypot(*(set_on(outline, of) - true).T).max())
        too_far, open_mm = max(0.0, moved - MOST_MOVED_MM), max(0.0, abs(unclosed_mm(of)) - closed)
        return too_far, round(beside_mm(of), 3), round(open_mm, 3), round(moved, 3)

    held = [of for of in tried if holds(of, closed)]
    held = held or [of for of in tried if holds(of, MOST_STEPS * step + EXACT_MM)]
    return min([line, *held], key=worth)


def printed_outline(chart: Chart, use: ChartUse) -> Array:
    """Return the outline that is drawn of a piece from its chart's figures. [mm, in the chart]"""
    drawn = drawn_line(chart.marking.lines[0])
    if chart.form is Form.HALF:
        drawn = np.vstack([drawn, drawn[::-1] * (1.0, -1.0)])
    if not use.cuts:
        return drawn
    body: BaseGeometry = Polygon(drawn).buffer(0.0)
    for cut in use.cuts:
        a, b = (np.array(p) for p in cut.line)
        way = (b - a) / np.hypot(*(b - a))
        far = FAR_MM * cut.side * np.array([way[1], -way[0]])
        low, high = a - way * FAR_MM, b + way * FAR_MM
        body = body.intersection(Polygon([low, high, high + far, low + far]))
    largest = max(shapely.get_parts(body), key=lambda g: g.area)
    return np.asarray(shapely.get_coordinates(largest), dtype=np.float64)


def set_on(points: Array, line: BaseLine) -> Array:
    """Return where points of a chart come to lie when its base line is drawn as printed. [mm]"""
    (ax, ay), (bx, by) = line.zero, line.end
    size = math.hypot(bx - ax, by - ay)
    along = np.array([(bx - ax) / size, (by - ay) / size])
    up = np.array([-along[1], along[0]]) * (1.0 if line.to_left else -1.0)
    x, y = points[:, :1] - line.from_mm, points[:, 1:]
    return np.asarray((ax, ay) + x * along + y * up, dtype=np.float64)


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
    return [(float(x), float(y)) for x, y in set_on(np.array(told).reshape(-1, 2), line)]


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
    return held(x, (x0, x1), step), held(y, (y0, y1), step)


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
