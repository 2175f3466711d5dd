"""Notches in edges and holes, placed by dimensions from an edge or a centre line."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

from nestcut.facts import Length, Lengths
from nestcut.geometry.curves import (
    end_point,
    evaluate,
    length_mm,
    line_crossings,
    split_many,
    start_point,
    tangent,
)
from nestcut.geometry.pose import Pose, move_curve
from nestcut.model.curves import Arc, Curve, Line, Point
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.outline import Corner, Treatment, closed_outline
from nestcut.shapes.figures.plain import CornerRule, circle, ellipse, rectangle
from nestcut.tolerances import SAME_LENGTH_MM, SAME_POINT_MM
from nestcut.tolerances.lengths import FACING_SLACK_DEG
from nestcut.tolerances.likeness import RUNS_ALIKE


class BoxSide(StrEnum):
    """A side of a part as it is drawn."""

    BOTTOM = "bottom"
    RIGHT = "right"
    TOP = "top"
    LEFT = "left"


_RUNS: dict[BoxSide, Point] = {
    BoxSide.BOTTOM: (1.0, 0.0),
    BoxSide.RIGHT: (0.0, 1.0),
    BoxSide.TOP: (-1.0, 0.0),
    BoxSide.LEFT: (0.0, -1.0),
}
"""Which way a counter-clockwise outline runs along each side."""


class HoleForm(StrEnum):
    """Form of a hole."""

    ROUND = "round"
    RECTANGLE = "rectangle"
    SLOT = "slot"
    """A rectangle with half-round ends."""
    ELLIPSE = "ellipse"


@dataclass(frozen=True, slots=True, kw_only=True)
class Hole:
    """A hole about ``centre``; ``length_mm`` lies along x before it is turned by ``turn_deg``.

    A round hole's diameter is its length.
    """

    form: HoleForm
    centre: Point
    length_mm: float
    width_mm: float = 0.0
    radius_mm: float = 0.0
    turn_deg: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch:
    """A notch in the longest edge that faces ``side``, or in edges that do so one after the other.

    ``along_mm`` is the notch's middle, measured along the edge from its left or lower end.  The
    bottom corners get ``radius_mm``; a notch as wide as two radii is half round at its bottom.
    """

    side: BoxSide
    along_mm: float
    width_mm: float
    depth_mm: float
    radius_mm: float = 0.0


def hole_curves(hole: Hole) -> tuple[Curve, ...]:
    """Outline of a hole, counter-clockwise."""
    length, width = hole.length_mm, hole.width_mm
    if hole.form is HoleForm.ROUND:
        return circle(length, hole.centre)
    if hole.form is HoleForm.ELLIPSE:
        curves = ellipse(length, width, (0.0, 0.0))
    else:
        if hole.form is HoleForm.SLOT and length < width:
            raise ShapeFaultError("length", "SHP-117")
        radius = width / 2.0 if hole.form is HoleForm.SLOT else hole.radius_mm
        rules = (CornerRule(treatment=Treatment.ROUND, size_mm=radius),) if radius > 0.0 else ()
        shift = Pose(shift_mm=(-length / 2.0, -width / 2.0))
        curves = tuple(move_curve(c, shift) for c in rectangle(length, width, rules))
    return tuple(move_curve(c, Pose(turn_deg=hole.turn_deg, shift_mm=hole.centre)) for c in curves)


def edge_length_mm(curves: tuple[Curve, ...], side: BoxSide) -> float:
    """Length of the edge that a notch in ``side`` would be cut into. [mm]"""
    return sum(length_mm(curves[i]) for i in _edge_run(curves, side))


def with_notch(curves: tuple[Curve, ...], notch: Notch) -> tuple[Curve, ...]:
    """Cut a notch into a counter-clockwise outline.

    Its sides run square to the edge at its middle, at a corner square to what halves it; its bottom
    is ``depth_mm`` below its lower end.

    Raises
    ------
    ShapeFaultError
        If no edge faces that side, two do alike, or the notch leaves the edge.
    """
    run = _edge_run(curves, notch.side)
    edges = [curves[i] for i in run]
    lengths = [length_mm(e) for e in edges]
    length = sum(lengths)
    runs_backwards = notch.side in {BoxSide.TOP, BoxSide.LEFT}
    middle = length - notch.along_mm if runs_backwards else notch.along_mm
    half = notch.width_mm / 2.0
    if middle < half - SAME_LENGTH_MM or middle > length - half + SAME_LENGTH_MM:
        raise ShapeFaultError("at", "SHP-115", side=notch.side.value, length=Length(length))
    k, at = _spot(edges, lengths, middle)
    origin, (ux, uy) = evaluate(edges[k], at), _direction(edges, k, at, lengths[k])

    def place(along: float, depth: float) -> Point:
        return (origin[0] + ux * along - uy * depth, origin[1] + uy * along + ux * depth)

    first = _run_meeting(edges[: k + 1][::-1], place(-half, 0.0), (-uy, ux), at, -half)
    last = _run_meeting(edges[k:], place(half, 0.0), (-uy, ux), at, half)
    if first is None or last is None:
        raise ShapeFaultError("at", "SHP-115", side=notch.side.value, length=Length(length))
    a, b = k - first[0], k + last[0]
    before = _before(edges[a], first[1], lengths[a])
    after = _after(edges[b], last[1], lengths[b])
    ends = (evaluate(edges[a], first[1]), evaluate(edges[b], last[1]))
    sunk = max((origin[0] - x) * uy - (origin[1] - y) * ux for x, y in ends)
    deep = notch.depth_mm + sunk if abs(sunk) > SAME_LENGTH_MM else notch.depth_mm
    bite = _bite(ends, (place(-half, deep), place(half, deep)), notch)
    kept = [*edges[:a], *before, *bite, *after, *edges[b + 1 :]]
    others = [curves[(run[-1] + 1 + i) % len(curves)] for i in range(len(curves) - len(run))]
    return tuple(kept + others) if run[0] > run[-1] else (
        *curves[: run[0]], *kept, *curves[run[-1] + 1 :]
    )  # fmt: skip


def _before(edge: Curve, cut: float, length: float) -> tuple[Curve, ...]:
    return split_many(edge, (cut,))[:1] if cut * length > SAME_POINT_MM else ()


def _after(edge: Curve, cut: float, length: float) -> tuple[Curve, ...]:
    if (1.0 - cut) * length <= SAME_POINT_MM:
        return ()
    return split_many(edge, (cut,))[-1:] if cut * length > SAME_POINT_MM else (edge,)


def _spot(edges: list[Curve], lengths: list[float], along_mm: float) -> tuple[int, float]:
    """Which edge of a run lies at a length along it, and the parameter there."""
    for k, (edge, length) in enumerate(zip(edges, lengths, strict=True)):
        if along_mm <= length + SAME_LENGTH_MM or k == len(edges) - 1:
            return k, _share_at(edge, along_mm, length)
        along_mm -= length
    raise ValueError("a run has edges")


def _direction(edges: list[Curve], k: int, at: float, length: float) -> Point:
    """Direction of a run at a place of its edge ``k``; at a corner, of what both edges share."""
    here = tangent(edges[k], at)
    is_end = (1.0 - at) * length <= SAME_LENGTH_MM
    if not is_end or k + 1 == len(edges):
        return here
    beyond = tangent(edges[k + 1], 0.0)
    x, y = here[0] + beyond[0], here[1] + beyond[1]
    size = math.hypot(x, y)
    return (x / size, y / size)


def _run_meeting(
    edges: list[Curve], point: Point, direction: Point, middle: float, off_mm: float
) -> tuple[int, float] | None:
    """Where a side of the notch meets the run, looked for from the notch's middle outward."""
    here = _meeting(edges[0], point, direction, middle, off_mm)
    if here is not None:
        return 0, here
    for k, edge in enumerate(edges[1:], start=1):
        found = _meeting(edge, point, direction, 1.0 if off_mm < 0.0 else 0.0, off_mm)
        if found is not None:
            return k, found
    return None


def _share_at(edge: Curve, along_mm: float, length: float) -> float:
    """Parameter at a length along an edge."""
    if isinstance(edge, Line | Arc):
        return min(max(along_mm / length, 0.0), 1.0)
    low, high = 0.0, 1.0
    for _ in range(60):
        middle = (low + high) / 2.0
        is_before = 0.0 < middle < 1.0 and length_mm(split_many(edge, (middle,))[0]) < along_mm
        low, high = (middle, high) if is_before else (low, middle)
    return (low + high) / 2.0


def _meeting(
    edge: Curve, point: Point, direction: Point, middle: float, off_mm: float
) -> float | None:
    """Parameter where a side of the notch meets the edge, before or behind its middle."""
    for end, at in ((start_point(edge), 0.0), (end_point(edge), 1.0)):
        aside = (end[0] - point[0]) * direction[1] - (end[1] - point[1]) * direction[0]
        if abs(aside) <= SAME_LENGTH_MM and (at < middle) == (off_mm < 0.0):
            return at
    found = [u for u in line_crossings(edge, point, direction) if (u < middle) == (off_mm < 0.0)]
    return min(found, key=lambda u: abs(u - middle), default=None)


def _bite(ends: tuple[Point, Point], bottom: tuple[Point, Point], notch: Notch) -> list[Curve]:
    """Way into the notch, along its bottom and out again."""
    radius = min(notch.radius_mm, notch.width_mm / 2.0, notch.depth_mm)
    treatment = Treatment.ROUND if radius > 0.0 else Treatment.SHARP
    corners = (
        Corner(ends[0]),
        Corner(bottom[0], treatment, radius),
        Corner(bottom[1], treatment, radius),
        Corner(ends[1]),
    )
    ring = closed_outline(corners)
    # The last line closes the ring along the edge and is no part of the notch.
    return list(ring[:-1])


def _edge_run(curves: tuple[Curve, ...], side: BoxSide) -> list[int]:
    """Edges, one after the other, that face a side: the longest such run.

    A bottom that is a V of two edges is one run, so that its middle is the keel.
    """
    facing = [_off_deg(curve, side) for curve in curves]
    runs = _runs([off < _RUN_DEG for off in facing])
    if not runs:  # nothing faces it well: one edge that does so badly
        runs = [[i] for i, off in enumerate(facing) if off < _FACING_DEG]
    if not runs:
        raise ShapeFaultError("edge", "SHP-116", side=side.value)
    sizes = [math.dist(start_point(curves[r[0]]), end_point(curves[r[-1]])) for r in runs]
    order = sorted(range(len(runs)), key=lambda k: -sizes[k])
    if len(runs) > 1 and sizes[order[1]] > (1.0 - _ALIKE) * sizes[order[0]]:
        lengths = Lengths(tuple(sizes[k] for k in order[:2]))
        raise ShapeFaultError("edge", "SHP-149", side=side.value, lengths=lengths)
    return runs[order[0]]


_RUN_DEG, _FACING_DEG = 40.0, 45.0 + FACING_SLACK_DEG
"""An edge that turns further from a side belongs to a corner, or to another side. [deg]"""

_ALIKE = RUNS_ALIKE
"""Runs whose lengths differ by less can't be told apart by `the longest`. [-]"""


def _off_deg(curve: Curve, side: BoxSide) -> float:
    """How far a curve's chord turns from the run of a side. [deg]"""
    (ax, ay), (bx, by) = start_point(curve), end_point(curve)
    run = _RUNS[side]
    dx, dy = bx - ax, by - ay
    return math.degrees(abs(math.atan2(run[0] * dy - run[1] * dx, run[0] * dx + run[1] * dy)))


def _runs(faces: list[bool]) -> list[list[int]]:
    """Numbers of edges that face a side, put together where they follow each other round."""
    n = len(faces)
    if all(faces):
        return [list(range(n))]
    starts = [i for i in range(n) if faces[i] and not faces[i - 1]]
    runs = []
    for i in starts:
        k = 1
        while faces[(i + k) % n]:
            k += 1
        runs.append([(i + j) % n for j in range(k)])
    return runs
