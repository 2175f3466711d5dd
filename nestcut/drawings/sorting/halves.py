"""Half-drawn parts: a frame up to its centre line, made whole on the builder's word."""

from __future__ import annotations

import math
from dataclasses import replace

from nestcut.drawings.lines.chain import close_gaps
from nestcut.drawings.records import DrawnOutline, Mirroring, ReadOptions
from nestcut.geometry.curves import end_point, evaluate, start_point
from nestcut.geometry.pose import move_curve, move_vector, reverse_curve
from nestcut.geometry.rings import (
    Side,
    mark_from_curves,
    ring_from_curves,
    shape_area_mm2,
    true_bounds_mm,
)
from nestcut.model.curves import Curve, Line, Point
from nestcut.model.pose import Lie, Pose
from nestcut.model.shape import Shape


def reflection(start: Point, end: Point) -> Pose:
    """Return the pose that mirrors about the line through two points."""
    angle = math.atan2(end[1] - start[1], end[0] - start[0])
    pose = Pose(Lie.FACE_DOWN, (2.0 * math.degrees(angle) + 180.0) % 360.0)
    x, y = move_vector(start, pose)
    return replace(pose, shift_mm=(start[0] - x, start[1] - y))


def off_line(point: Point, start: Point, end: Point) -> float:
    """Signed distance of a point from the line through two points, left positive. [mm]

    Parameters
    ----------
    point
        The point. [mm]
    start, end
        On the line, apart from each other. [mm]
    """
    dx, dy = end[0] - start[0], end[1] - start[1]
    return (dx * (point[1] - start[1]) - dy * (point[0] - start[0])) / math.hypot(dx, dy)


def lies_on(curve: Curve, start: Point, end: Point, gap_mm: float) -> bool:
    """Whether a straight curve lies on the line through two points.

    Parameters
    ----------
    start, end
        On the line, apart from each other. [mm]
    gap_mm
        How far from it counts as on it. [mm]
    """
    return isinstance(curve, Line) and all(
        abs(off_line(p, start, end)) <= gap_mm for p in (curve.start, curve.end)
    )


def make_whole(outline: DrawnOutline, options: ReadOptions) -> DrawnOutline | str:
    """Return the outline doubled about its centre line, or the reason why it can't be."""
    line = outline.half_of or _only_long_edge(outline)
    if line is None:
        return "no straight edge of it lies on a centre line"
    gap = options.join_gap_mm
    curves = outline.shape.outline.curves
    on = [lies_on(c, line.start, line.end, gap) for c in curves]
    if not any(on):
        return "no straight edge of it lies on the centre line"
    if all(on):
        return "all of it lies on the centre line"
    n = len(curves)
    first = next(i for i in range(n) if on[i - 1] and not on[i])
    run: list[Curve] = []
    i = first
    while not on[i % n] and len(run) < n:
        run.append(curves[i % n])
        i += 1
    if len(run) + sum(on) < n:
        return "it meets its centre line in several places"
    pose = reflection(line.start, line.end)
    double = [reverse_curve(move_curve(c, pose)) for c in reversed(run)]
    whole, _ = close_gaps([*_snapped(run, line), *double])
    shape = outline.shape
    holes = [*shape.holes]
    for hole in shape.holes:
        mirrored = tuple(move_curve(c, pose) for c in hole.curves)
        holes.append(ring_from_curves(mirrored, options.flatness_mm, Side.HOLE))
    marks = [
        *shape.marks,
        *(
            mark_from_curves(
                tuple(move_curve(c, pose) for c in m.curves), options.flatness_mm, m.label
            )
            for m in shape.marks
        ),
    ]
    ring = ring_from_curves(whole, options.flatness_mm, Side.OUTLINE)
    made = Shape(ring, tuple(holes), tuple(marks))
    return replace(
        outline,
        shape=made,
        area_mm2=shape_area_mm2(made),
        box_mm=true_bounds_mm(ring),
        half_of=None,
        offered_because=None,
    )


def _snapped(run: list[Curve], line: Mirroring) -> list[Curve]:
    """Bring straight ends onto the centre line, so that the halves meet without a step."""
    result = list(run)
    first, last = result[0], result[-1]
    if isinstance(first, Line):
        result[0] = replace(first, start=_foot(first.start, line))
    if isinstance(last, Line):
        result[-1] = Line(start_point(result[-1]), _foot(last.end, line))
    return result


def _foot(p: Point, line: Mirroring) -> Point:
    d = off_line(p, line.start, line.end)
    dx, dy = line.end[0] - line.start[0], line.end[1] - line.start[1]
    size = math.hypot(dx, dy)
    return (p[0] + d * dy / size, p[1] - d * dx / size)


def _only_long_edge(outline: DrawnOutline) -> Mirroring | None:
    """The longest straight edge, if the whole outline lies on one side of it."""
    lines = [c for c in outline.shape.outline.curves if isinstance(c, Line)]
    if not lines:
        return None
    longest = max(lines, key=lambda c: math.dist(c.start, c.end))
    return Mirroring(longest.start, longest.end, "its longest straight edge")


def side_of(curves: tuple[Curve, ...], start: Point, end: Point, gap_mm: float) -> int:
    """1 or -1 if all of the curves lie on one side of a line, touching allowed; else 0.

    Parameters
    ----------
    start, end
        On the line, apart from each other. [mm]
    gap_mm
        How far beyond it counts as touching it. [mm]
    """
    offs = [
        off_line(p, start, end)
        for c in curves
        for p in (
            start_point(c),
            evaluate(c, 0.25),
            evaluate(c, 0.5),
            evaluate(c, 0.75),
            end_point(c),
        )
    ]
    if min(offs) >= -gap_mm and max(offs) > gap_mm:
        return 1
    if max(offs) <= gap_mm and min(offs) < -gap_mm:
        return -1
    return 0
