"""Notches in the edges of an outline, all measured on the edges as they were before any was cut.

Limber holes bitten out of corners count as uncut, too: a notch lies where it would without them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from nestcut.facts import Length, Lengths, Spot, Value
from nestcut.geometry.curves import (
    end_point,
    evaluate,
    length_mm,
    line_crossings,
    split_many,
    start_point,
    tangent,
)
from nestcut.model.curves import Arc, Curve, Line, Point
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.corner_notches import Against, CornerNotch, cut_at_corner, share_at
from nestcut.shapes.figures.outline import Corner, Treatment, closed_outline
from nestcut.tolerances import SAME_LENGTH_MM, SAME_POINT_MM
from nestcut.tolerances.lengths import FACING_SLACK_DEG, HORN_MM
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


@dataclass(frozen=True, slots=True, kw_only=True)
class Notch:
    """A notch in the longest edge that faces ``side``, or in edges that do so one after the other.

    ``along_mm`` is the notch's middle, measured along the edge from its left or lower end.  The
    bottom corners get ``radius_mm``; a notch as wide as two radii is half round at its bottom.
    One that ends where its edge does is open at that corner.
    """

    side: BoxSide
    along_mm: float
    width_mm: float
    depth_mm: float
    radius_mm: float = 0.0


class NotchFaultError(ShapeFaultError):
    """A notch that can't be cut; ``number`` says which, counted from 0."""

    def __init__(self, number: int, key: str, code: str, **values: Value) -> None:
        self.number = number
        super().__init__(key, code, **values)


@dataclass(frozen=True, slots=True)
class _Bite:
    """A limber hole: a circle about a corner, taken out."""

    corner: Point
    radius_mm: float


def edge_length_mm(curves: tuple[Curve, ...], side: BoxSide) -> float:
    """Length of the edge that a notch in ``side`` is measured along. [mm]"""
    uncut, _ = _without_bites(curves)
    return sum(length_mm(uncut[i]) for i in _edge_run(uncut, side))


def with_notches(
    curves: tuple[Curve, ...], notches: Sequence[Notch | CornerNotch]
) -> tuple[Curve, ...]:
    """Cut notches into a counter-clockwise outline.

    A notch's sides run square to the edge at its middle, at a corner square to what halves it; its
    bottom is ``depth_mm`` below its lower end.  Those at corners are cut last.

    Raises
    ------
    NotchFaultError
        If no edge faces a notch's side, two do alike, it leaves the edge, runs into another one, or
        its corner has no room for it.
    ShapeFaultError
        If notches take a limber hole away.
    """
    if not notches:
        return curves
    uncut, bites = _without_bites(curves)
    slots: list[tuple[Curve, ...]] = [(c,) for c in uncut]
    flush = [(k, n) for k, n in enumerate(notches) if isinstance(n, CornerNotch)]
    in_edges = [(k, n) for k, n in enumerate(notches) if isinstance(n, Notch)]
    for side in dict.fromkeys(n.side for _, n in in_edges):
        own = [(k, n) for k, n in in_edges if n.side is side]
        try:
            run = _edge_run(uncut, side)
        except ShapeFaultError as fault:
            raise NotchFaultError(own[0][0], fault.key, fault.code, **fault.values) from None
        edges = [uncut[i] for i in run]
        ending = {k: c for k, n in own if (c := _at_an_end(edges, n)) is not None}
        flush += ending.items()
        kept = _cut_run(edges, [(k, n) for k, n in own if k not in ending])
        for i in run:
            slots[i] = ()
        slots[run[0]] = kept
    outline = tuple(c for slot in slots for c in slot)
    for number, corner in flush:
        cut = cut_at_corner(outline, corner)
        if cut is None:
            raise NotchFaultError(number, "width", "SHP-155", corner=corner.name)
        outline = cut
    for bite in bites:
        outline = _bitten(outline, bite)
    return outline


def _cut_run(edges: list[Curve], notches: list[tuple[int, Notch]]) -> tuple[Curve, ...]:
    """Cut notches into edges that follow each other, the last along them first.

    What lies before a notch is as it was, so that every notch finds its place on the uncut edge.
    """
    whole = sum(length_mm(e) for e in edges)
    placed = sorted(((_middle_mm(n, whole), k, n) for k, n in notches), key=lambda x: (-x[0], x[1]))
    done: tuple[Curve, ...] = ()
    limit = whole
    for middle, number, notch in placed:
        half = notch.width_mm / 2.0
        told: dict[str, Value] = {"side": notch.side.value}
        if middle < half - SAME_LENGTH_MM or middle > whole - half + SAME_LENGTH_MM:
            raise NotchFaultError(number, "at", "SHP-115", **told, length=Length(whole))
        if middle + half > limit - SAME_LENGTH_MM and limit < whole:
            raise NotchFaultError(number, "at", "SHP-153", **told)
        cut = _cut_one(edges, middle, notch)
        if cut is None:
            raise NotchFaultError(number, "at", "SHP-115", **told, length=Length(whole))
        edges, bite, after = cut
        done = (*bite, *after, *done)
        limit = sum(length_mm(e) for e in edges)
    return (*edges, *done)


def _at_an_end(edges: list[Curve], notch: Notch) -> CornerNotch | None:
    """A notch that ends where its edge does, as one of the corner there; None of others."""
    whole, half = sum(length_mm(e) for e in edges), notch.width_mm / 2.0
    middle = _middle_mm(notch, whole)
    at_start, at_end = middle - half, whole - middle - half
    if min(abs(at_start), abs(at_end)) > HORN_MM or notch.width_mm > whole - HORN_MM:
        return None
    is_start = abs(at_start) <= abs(at_end)
    return CornerNotch(
        corner=start_point(edges[0]) if is_start else end_point(edges[-1]),
        against=Against.LEAVING if is_start else Against.ARRIVING,
        width_mm=notch.width_mm,
        depth_mm=notch.depth_mm,
        radius_mm=notch.radius_mm,
        name=f"{notch.side.value} edge",
    )


def _middle_mm(notch: Notch, whole_mm: float) -> float:
    """Where a notch's middle lies the way the outline runs. [mm]"""
    runs_backwards = notch.side in {BoxSide.TOP, BoxSide.LEFT}
    return whole_mm - notch.along_mm if runs_backwards else notch.along_mm


def _cut_one(
    edges: list[Curve], middle_mm: float, notch: Notch
) -> tuple[list[Curve], list[Curve], list[Curve]] | None:
    """What is left of edges before a notch, the way round it, and what is left behind it."""
    lengths = [length_mm(e) for e in edges]
    half = notch.width_mm / 2.0
    k, at = _spot(edges, lengths, middle_mm)
    origin, (ux, uy) = evaluate(edges[k], at), _direction(edges, k, at, lengths[k])

    def place(along: float, depth: float) -> Point:
        return (origin[0] + ux * along - uy * depth, origin[1] + uy * along + ux * depth)

    first = _run_meeting(edges[: k + 1][::-1], place(-half, 0.0), (-uy, ux), at, -half)
    last = _run_meeting(edges[k:], place(half, 0.0), (-uy, ux), at, half)
    if first is None or last is None:
        return None
    a, b = k - first[0], k + last[0]
    ends = (evaluate(edges[a], first[1]), evaluate(edges[b], last[1]))
    sunk = max((origin[0] - x) * uy - (origin[1] - y) * ux for x, y in ends)
    deep = notch.depth_mm + sunk if abs(sunk) > SAME_LENGTH_MM else notch.depth_mm
    return (
        [*edges[:a], *_before(edges[a], first[1], lengths[a])],
        _bite(ends, (place(-half, deep), place(half, deep)), notch),
        [*_after(edges[b], last[1], lengths[b]), *edges[b + 1 :]],
    )


def _without_bites(curves: tuple[Curve, ...]) -> tuple[tuple[Curve, ...], tuple[_Bite, ...]]:
    """Give an outline the corners back that limber holes took, and say where these were."""
    made = list(curves)
    bites: list[_Bite] = []
    for i, curve in enumerate(curves):
        before, after = made[i - 1], made[(i + 1) % len(made)]
        if not (isinstance(curve, Arc) and curve.sweep_deg < 0.0):
            continue
        if not (isinstance(before, Line) and isinstance(after, Line)):
            continue
        corner = curve.centre
        if _points_at(before.start, before.end, corner) and _points_at(
            after.end, after.start, corner
        ):
            bites.append(_Bite(corner, curve.radius_mm))
            made[i - 1] = Line(before.start, corner)
            made[(i + 1) % len(made)] = Line(corner, after.end)
    corners = {b.corner for b in bites}
    kept = [
        c
        for c, was in zip(made, curves, strict=True)
        if not (isinstance(was, Arc) and was.sweep_deg < 0.0 and was.centre in corners)
    ]
    return tuple(kept), tuple(bites)


def _points_at(start: Point, end: Point, corner: Point) -> bool:
    """Whether a line that ends short of a corner would run into it."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    cx, cy = corner[0] - end[0], corner[1] - end[1]
    size = math.hypot(dx, dy)
    return abs(dx * cy - dy * cx) <= SAME_POINT_MM * size and dx * cx + dy * cy > 0.0


def _bitten(curves: tuple[Curve, ...], bite: _Bite) -> tuple[Curve, ...]:
    """Take a limber hole out of its corner again.

    Raises
    ------
    ShapeFaultError
        If a notch has taken the corner, or so much beside it that the hole has no edge left.
    """
    for i, before in enumerate(curves):
        after = curves[(i + 1) % len(curves)]
        if math.dist(end_point(before), bite.corner) > SAME_POINT_MM:
            continue
        if not (isinstance(before, Line) and isinstance(after, Line)):
            break
        if min(length_mm(before), length_mm(after)) <= bite.radius_mm:
            break
        corners = (Corner(before.start), Corner(bite.corner, Treatment.BITE, bite.radius_mm))
        ring = closed_outline((*corners, Corner(after.end)))
        fresh = {i: ring[0], (i + 1) % len(curves): ring[2]}
        made: list[Curve] = []
        for k, curve in enumerate(curves):
            made.append(fresh.get(k, curve))
            if k == i:
                made.append(ring[1])
        return tuple(made)
    raise ShapeFaultError("notches", "SHP-154", at=Spot(bite.corner))


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
            return k, share_at(edge, along_mm, length)
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
