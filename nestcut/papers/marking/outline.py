"""Marking out: the points from which a piece is drawn on its sheet, and how they are joined.

Straight edges are given by their corners, arcs by a compass point, curved edges by points on lines
squared off the sheet's edges at a spacing, through which a batten is sprung.  Points are added and,
where needed, written finer until what is drawn from the *printed* numbers keeps within the stated
distance of the true edge; that distance is measured on every line, not assumed.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from nestcut.model.curves import Point
from nestcut.model.shape import Shape
from nestcut.papers.marking.batten import Ends, batten_points
from nestcut.papers.marking.corners import corner_figures, first_level, mirrored_figures
from nestcut.papers.marking.lines import Circle, Run, Way, read_closed, read_open
from nestcut.papers.marking.rules import MarkingRule
from nestcut.papers.marking.stations import Station, choose_stations
from nestcut.tolerances.lengths import EXACT_MM
from nestcut.units import SetBy

Array = NDArray[np.float64]

FAIR_SHARE = 1.0 / 3.0
"""Share of the allowed distance by which a vertex may stand off and still be faired through."""
TANGENT_MM = 0.3
"""Ends of an arc are written so finely that its compass passes them at this distance. [mm]"""
ON_LINE_MM = 0.2
"""An arc's centre that lies so near the base line, or a centre line, lies on it. [mm]"""
CIRCLE_SHARE = 0.6
"""Share of the allowed distance by which an arc's circle may be chosen off the true one. [-]"""
SAMPLES_A_GAP = 16
"""Points of a drawn batten between two marked points."""


class Role(StrEnum):
    """What a marked point is."""

    CORNER = "corner"
    """A knuckle, or the end of a straight, a batten or an arc: battens end here."""
    STATION = "station"
    """A point that a batten passes through."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkPoint:
    """A point as it is written, and how it's joined to the next one of its line.

    ``circle`` and ``turn`` (1 counter-clockwise, -1 clockwise) are set where a compass joins it.
    """

    number: int
    x_mm: float
    y_mm: float
    role: Role
    way: Way
    circle: Circle | None = None
    turn: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class MarkedLine:
    """One line to draw: the outline, a hole, or a mark on the piece.

    A whole circle has no points, only ``circle``. ``error_mm`` is measured between the line drawn
    from the written numbers and the true one, whichever way it's greater, with the flatness of the
    true one added. [mm]
    """

    name: str
    is_closed: bool
    points: tuple[MarkPoint, ...]
    circle: Circle | None
    error_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Diagonal:
    """A distance between two numbered corners, to check by. [mm]"""

    from_number: int
    to_number: int
    length_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Marking:
    """Everything that is marked for one shape in one frame; the outline is its first line."""

    lines: tuple[MarkedLine, ...]
    diagonals: tuple[Diagonal, ...]
    rule: MarkingRule

    @property
    def error_mm(self) -> float:
        """Greatest distance to the true edge over all lines. [mm]"""
        return max(line.error_mm for line in self.lines)


def mark_shape(shape: Shape, rule: MarkingRule) -> Marking:
    """Choose and write the points of a shape, holes and marks included, in its own frame."""
    lines: list[MarkedLine] = []
    number = 1
    todo: list[tuple[str, tuple[Point, ...], bool]] = [("outline", shape.outline.points, True)]
    todo += [(f"hole {k}", hole.points, True) for k, hole in enumerate(shape.holes, 1)]
    todo += [(f"mark {m.label}".strip(), m.points, False) for m in shape.marks]
    for name, points, is_closed in todo:
        array = np.array(points, dtype=np.float64)
        line = _mark_ring(name, array, rule) if is_closed else mark_open(name, array, rule)
        numbered = tuple(replace(p, number=number + k) for k, p in enumerate(line.points))
        lines.append(replace(line, points=numbered))
        number += len(numbered)
    return Marking(lines=tuple(lines), diagonals=_diagonals(lines[0], rule), rule=rule)


def drawn_line(line: MarkedLine) -> Array:
    """Return what a pencil draws from the written numbers, shape (n, 2). [mm]

    A straight by the straightedge; a batten by :func:`batten_points` through all points from
    corner to corner; an arc about its compass point between the directions of its ends.
    """
    if line.circle is not None:
        return _drawn_circle(line.circle)
    if all(p.role is Role.STATION for p in line.points):
        return batten_points(_written(line.points), Ends.CLOSED, SAMPLES_A_GAP)
    runs = _split_at_corners(line.points, is_closed=line.is_closed)
    return np.vstack([_drawn_run(run) for run in runs])


def _mark_ring(name: str, points: Array, rule: MarkingRule) -> MarkedLine:
    found = read_closed(points, rule.allowed_mm * FAIR_SHARE)
    if not found.whole:
        return _mark_runs(name, found.runs, rule, is_closed=True)
    run = found.runs[0]
    best: MarkedLine | None = None
    stations = choose_stations(run, rule, Ends.CLOSED)
    for level in range(len(rule.steps_mm)):
        circle = None if run.circle is None else _rounded_hole(run.circle, rule, level)
        written = _without_repeats([_station_point(s, rule, level, Way.BATTEN) for s in stations])
        if circle is None and len(written) < 3:
            continue
        line = MarkedLine(
            name=name, is_closed=True, points=written, circle=circle, error_mm=math.inf
        )
        error = _apart_mm(drawn_line(line), run.points) + rule.flatness_mm
        if best is None or error < best.error_mm:
            best = replace(line, error_mm=error)
        if error <= rule.allowed_mm:
            break
    if best is None:
        edges = tuple(Run(Way.STRAIGHT, run.points[k : k + 2]) for k in range(len(run.points) - 1))
        return _mark_runs(name, edges, rule, is_closed=True)
    return best


def _without_repeats(points: list[MarkPoint]) -> tuple[MarkPoint, ...]:
    """Drop points of a closed line that are written like the one before them."""
    return tuple(
        p
        for k, p in enumerate(points)
        if (p.x_mm, p.y_mm) != (points[k - 1].x_mm, points[k - 1].y_mm)
    )


def mark_open(name: str, points: Array, rule: MarkingRule) -> MarkedLine:
    """Choose and write the points of an open line, numbered from 1.

    Parameters
    ----------
    name
        Of the line.
    points
        Along the line, shape (n, 2). [mm]
    """
    found = read_open(points, rule.allowed_mm * FAIR_SHARE)
    line = _mark_runs(name, found.runs, rule, is_closed=False)
    points_ = tuple(replace(p, number=k) for k, p in enumerate(line.points, start=1))
    return replace(line, points=points_)


def _mark_runs(
    name: str, runs: tuple[Run, ...], rule: MarkingRule, *, is_closed: bool
) -> MarkedLine:
    """Write every run; where the drawn one misses by too much, write it and its corners finer."""
    chosen = tuple(choose_stations(run, rule, Ends.FREE) for run in runs)
    levels = [0] * len(runs) if is_closed else [first_level(run, rule) for run in runs]
    while True:
        points = _write(runs, chosen, levels, rule, is_closed=is_closed)
        drawn = [_drawn_run(r) for r in _split_at_corners(points, is_closed=is_closed)]
        errors = [
            _apart_mm(line, run.points) + rule.flatness_mm
            for line, run in zip(drawn, runs, strict=True)
        ]
        split = _split_at_corners(points, is_closed=is_closed)
        poor = [
            k
            for k, e in enumerate(errors)
            if e > rule.allowed_mm or _misses_circle_mm(split[k]) > TANGENT_MM
        ]
        finer = [k for k in poor if levels[k] + 1 < len(rule.steps_mm)]
        if not finer:
            return MarkedLine(
                name=name, is_closed=is_closed, points=points, circle=None, error_mm=max(errors)
            )
        for k in finer:
            levels[k] += 1


def _write(
    runs: tuple[Run, ...],
    chosen: tuple[tuple[Station, ...], ...],
    levels: list[int],
    rule: MarkingRule,
    *,
    is_closed: bool,
) -> tuple[MarkPoint, ...]:
    """Round every point to the step of its run."""
    points: list[MarkPoint] = []
    corners = _corners(runs, levels, rule, is_closed=is_closed)
    for k, (run, stations) in enumerate(zip(runs, chosen, strict=True)):
        corner = replace(corners[k], way=run.way)
        if run.circle is not None:
            end = corners[(k + 1) % len(corners)]
            circle = _through_ends(run, run.circle, (corner, end), rule, levels[k])
            corner = replace(corner, circle=circle, turn=_turn_of(run))
        points.append(corner)
        for station in stations:
            point = _station_point(station, rule, levels[k], run.way)
            if (point.x_mm, point.y_mm) != (points[-1].x_mm, points[-1].y_mm):
                points.append(point)
        if run.way is Way.BATTEN and points[-1].role is Role.CORNER:
            points[-1] = replace(points[-1], way=Way.STRAIGHT)  # nothing between: a straightedge
    if not is_closed:
        points.append(corners[-1])
    return tuple(points)


def _corners(
    runs: tuple[Run, ...], levels: list[int], rule: MarkingRule, *, is_closed: bool
) -> list[MarkPoint]:
    """Where runs begin, and where the last one of an open line ends.

    A corner takes the finer step of its two runs.
    """
    n = len(runs)
    at = [run.points[0] for run in runs]
    finest = [max(levels[k], levels[k - 1] if k or is_closed else 0) for k in range(n)]
    if not is_closed:
        at.append(runs[-1].points[-1])
        finest.append(levels[-1])
    is_plain = is_closed and all(run.way is Way.STRAIGHT for run in runs)
    figures = (mirrored_figures if is_plain else corner_figures)(np.array(at), finest, rule)
    return [
        MarkPoint(number=0, x_mm=float(x), y_mm=float(y), role=Role.CORNER, way=Way.STRAIGHT)
        for x, y in figures
    ]


def _station_point(s: Station, rule: MarkingRule, level: int, way: Way) -> MarkPoint:
    x = rule.rounded_on(0, s.x, 0 if s.axis == 0 else level)
    y = rule.rounded_on(1, s.y, 0 if s.axis == 1 else level)
    return MarkPoint(number=0, x_mm=x, y_mm=y, role=Role.STATION, way=way)


def _through_ends(
    run: Run, circle: Circle, ends: tuple[MarkPoint, MarkPoint], rule: MarkingRule, level: int
) -> Circle:
    """The circle on a level's steps that passes the written ends of an arc and keeps to it best.

    Rounded by itself it would often miss them, and all would have to be written finer.
    """
    step = rule.steps_mm[level]
    tips = (run.points[0], run.points[-1])
    x, y, radius = (rule.rounded(v, level) for v in (circle.x, circle.y, circle.radius))

    def off(c: Circle) -> float:
        return float(np.abs(np.hypot(*(run.points - (c.x, c.y)).T) - c.radius).max())

    def worth(c: Circle) -> tuple[bool, float, int, bool, float]:
        # beside the line on which it lies, one arc across it would become two with a nick
        is_off_line = abs(circle.y) < ON_LINE_MM and c.y != 0.0
        miss = round(max(0.0, _misses_mm(c, ends) - TANGENT_MM), 6)
        # level with the ends that are: a step beside them it looks like a misprint
        askew = sum(_is_askew(c, circle, *end) for end in zip(ends, tips, strict=True))
        # a radius that was drawn stays
        return is_off_line, miss, askew, c.radius != radius, round(off(c), 6)

    steps = [k * step for k in (0, -1, 1, -2, 2)]
    near = [Circle(x + a, y + b, radius + c) for a in steps for b in steps for c in steps]
    near = [c for c in near if c.radius > 0.0 and off(c) <= rule.allowed_mm * CIRCLE_SHARE]
    return min(near, key=worth, default=Circle(x, y, radius))


def _is_askew(circle: Circle, true: Circle, written: MarkPoint, tip: Array) -> bool:
    """Whether a centre isn't level with an end of its arc, as written, where the true one is."""
    pairs = (
        (true.x, tip[0], circle.x, written.x_mm),
        (true.y, tip[1], circle.y, written.y_mm),
    )
    return any(
        abs(centre - float(end)) < ON_LINE_MM and abs(shown - figure) > EXACT_MM
        for centre, end, shown, figure in pairs
    )


def _misses_mm(circle: Circle, ends: tuple[MarkPoint, MarkPoint]) -> float:
    """How far the ends of an arc, as they are written, lie off a circle. [mm]"""
    return max(abs(math.hypot(p.x_mm - circle.x, p.y_mm - circle.y) - circle.radius) for p in ends)


def _rounded_hole(circle: Circle, rule: MarkingRule, level: int) -> Circle:
    """Its diameter is a drill's, whatever its centre needs."""
    x, y = (rule.rounded(v, level) for v in (circle.x, circle.y))
    return Circle(x, y, rule.sized(2.0 * circle.radius, SetBy.DRILL) / 2.0)


def _misses_circle_mm(run: list[MarkPoint]) -> float:
    """As :func:`_misses_mm`, for an arc with its own circle; nothing for other runs. [mm]"""
    circle = run[0].circle
    return 0.0 if circle is None else _misses_mm(circle, (run[0], run[-1]))


def _turn_of(run: Run) -> int:
    """Which way an arc turns about its centre: 1 counter-clockwise, -1 clockwise."""
    u, v = run.points[1] - run.points[0], run.points[2] - run.points[1]
    return 1 if float(u[0] * v[1] - u[1] * v[0]) > 0.0 else -1


def _split_at_corners(points: tuple[MarkPoint, ...], *, is_closed: bool) -> list[list[MarkPoint]]:
    n = len(points)
    corners = [i for i, p in enumerate(points) if p.role is Role.CORNER]
    if is_closed:
        corners.append(corners[0] + n)
    return [[points[i % n] for i in range(start, end + 1)] for start, end in pairwise(corners)]


def _drawn_run(run: list[MarkPoint]) -> Array:
    first, last = run[0], run[-1]
    if first.circle is not None:
        return _drawn_arc(first, last, first.circle)
    through = _written(tuple(run))
    moved = np.hypot(*np.diff(through, axis=0).T) > 0.0
    through = through[np.concatenate([[True], moved])]
    if first.way is Way.STRAIGHT or len(through) < 2:
        return np.vstack([through[:1], through[-1:]])
    return batten_points(through, Ends.FREE, SAMPLES_A_GAP)


def _drawn_arc(first: MarkPoint, last: MarkPoint, circle: Circle) -> Array:
    start, end = (math.atan2(p.y_mm - circle.y, p.x_mm - circle.x) for p in (first, last))
    sweep = ((end - start) * first.turn) % (2.0 * math.pi) * first.turn
    angles = np.linspace(start, start + sweep, max(8, int(abs(sweep) * 40)))
    ends = _written((first, last))
    return np.vstack([ends[:1], _on_circle(circle, angles), ends[1:]])


def _drawn_circle(circle: Circle) -> Array:
    return _on_circle(circle, np.linspace(0.0, 2.0 * math.pi, 361))


def _on_circle(circle: Circle, angles: Array) -> Array:
    return np.column_stack(
        [circle.x + circle.radius * np.cos(angles), circle.y + circle.radius * np.sin(angles)]
    )


def _written(points: tuple[MarkPoint, ...]) -> Array:
    return np.array([(p.x_mm, p.y_mm) for p in points], dtype=np.float64)


def _apart_mm(drawn: Array, true: Array) -> float:
    """Greatest distance of either line's vertices from the other line. [mm]"""
    drawn_geometry, true_geometry = shapely.linestrings(drawn), shapely.linestrings(true)
    there = shapely.distance(shapely.points(drawn), true_geometry).max()
    back = shapely.distance(shapely.points(true), drawn_geometry).max()
    return float(max(there, back))


def _diagonals(outline: MarkedLine, rule: MarkingRule) -> tuple[Diagonal, ...]:
    """Distances between the corners nearest to opposite corners of the surrounding rectangle."""
    corners = [p for p in outline.points if p.role is Role.CORNER]
    if len(corners) < 4:
        return ()
    at = _written(tuple(corners))
    (x0, y0), (x1, y1) = at.min(axis=0), at.max(axis=0)
    aims = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
    nearest = [int(np.argmin(np.hypot(at[:, 0] - x, at[:, 1] - y))) for x, y in aims]
    wanted = [(nearest[0], nearest[2]), (nearest[1], nearest[3])]
    chosen = [pair for pair in wanted if _checks(at, *pair)]
    if len(chosen) < len(wanted):  # the longest other one, if there is any
        n = len(corners)
        others = [
            (a, b)
            for a in range(n)
            for b in range(a + 2, n - (a == 0))
            if _checks(at, a, b) and not {(a, b), (b, a)} & set(chosen)
        ]
        chosen += sorted(others, key=lambda p: -round(math.dist(at[p[0]], at[p[1]]), 6))[:1]
    return tuple(
        Diagonal(
            from_number=corners[a].number,
            to_number=corners[b].number,
            length_mm=rule.rounded(math.dist(at[a], at[b])),
        )
        for a, b in chosen
    )


def _checks(at: Array, a: int, b: int) -> bool:
    """Whether a distance says more than the figures along the base line do."""
    return a != b and bool(np.abs(at[[a, b], 1]).max() > 0.0)
