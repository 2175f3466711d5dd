"""What an outline is made of for the one who marks it out: straights, compass arcs, fair curves.

A flattened outline is read back into what a pencil can follow.  Breaks are set at knuckles (where
the edge turns too sharply for a batten), at the ends of straight lines and at the ends of arcs
that a compass can draw.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import StrEnum
from itertools import pairwise

import numpy as np
import shapely
from numpy.typing import NDArray

from nestcut.tolerances.lengths import MERGE_MM
from nestcut.tolerances.noise import DUST, SOLVER_SLACK
from nestcut.trade import shop

Array = NDArray[np.float64]

KNUCKLE_RAD = math.radians(40.0)
"""A vertex that turns more is a knuckle however short its edges are: a 1 mm radius flattened to
the usual 0.05 mm turns 37 degrees a vertex, so whatever turns more was drawn as a corner."""
COMPASS_MM = shop.COMPASS_MM.value
"""Longest radius that is set off with a compass or a trammel. [mm]"""
ARC_FIT_MM = 0.1
"""Vertices nearer than this to a circle belong to it: twice the usual flatness of outlines. [mm]"""
STRAIGHT_MM = 0.1
"""A line that bows no more is drawn by a straightedge. [mm]"""
LEAST_ARC_RAD = math.radians(30.0)
"""A shorter sweep isn't worth setting a compass for."""
ABRUPT = 2.5
"""An arc ends where the next edge is so many times longer than its own edges."""


class Way(StrEnum):
    """How a point is joined to the next one."""

    STRAIGHT = "straight"
    BATTEN = "batten"
    COMPASS = "compass"


@dataclass(frozen=True, slots=True, eq=False)
class Circle:
    """A circle that a compass draws. [mm]"""

    x: float
    y: float
    radius: float


@dataclass(frozen=True, slots=True, eq=False)
class Run:
    """A stretch of an outline between two breaks.

    ``points`` has shape (n, 2) with both ends; a run that is a whole ring repeats its first point.
    """

    way: Way
    points: Array
    circle: Circle | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Runs:
    """The runs of one line in order; ``whole`` where one run is the whole closed line."""

    runs: tuple[Run, ...]
    whole: bool


def read_closed(points: Array, fair_mm: float) -> Runs:
    """Read a ring into runs, starting at the break nearest the origin's corner (least x + y).

    Parameters
    ----------
    points
        Shape (n, 2), first point not repeated. [mm]
    fair_mm
        A vertex that stands off the fair curve by less than this is faired through. [mm]
    """
    ring = _tidy(np.vstack([points, points[:1]]))[:-1]
    circle = fit_circle(ring)
    if circle is not None and len(ring) >= 8 and _is_round(ring, circle):
        return Runs((Run(Way.COMPASS, np.vstack([ring, ring[:1]]), circle),), whole=True)
    ring = np.roll(ring, -_opening(ring, fair_mm), axis=0)
    line = np.vstack([ring, ring[:1]])
    turns = _turns(line)
    turns[0] = turns[-1] = _turn_between(line[-2], line[0], line[1])
    arcs, breaks = _read(line, turns, fair_mm)
    n = len(ring)
    if not breaks:
        start = int(np.argmin(ring.sum(axis=1)))
        ring = np.roll(ring, -start, axis=0)
        return Runs((Run(Way.BATTEN, np.vstack([ring, ring[:1]])),), whole=True)
    runs = _at_tangents(_cut(line, sorted(breaks | {0, n}), arcs), is_closed=True)
    first = min(range(len(runs)), key=lambda k: (float(runs[k].points[0].sum()), k))
    return Runs((*runs[first:], *runs[:first]), whole=False)


def read_open(points: Array, fair_mm: float) -> Runs:
    """Read an open line, such as a mark on a piece, into runs."""
    line = _tidy(points)
    turns = _turns(line)
    turns[0] = turns[-1] = math.pi
    arcs, breaks = _read(line, turns, fair_mm)
    runs = _cut(line, sorted(breaks | {0, len(line) - 1}), arcs)
    return Runs(_at_tangents(runs, is_closed=False), whole=False)


def _tidy(line: Array) -> Array:
    """Drop vertices that say nothing, first and last kept."""
    simple = shapely.simplify(shapely.linestrings(line), MERGE_MM, preserve_topology=False)
    tidy = np.asarray(shapely.get_coordinates(simple), dtype=np.float64)
    closed_needs = 4
    return tidy if len(tidy) >= min(closed_needs, len(line)) else line


def _turn_between(a: Array, b: Array, c: Array) -> float:
    u, v = b - a, c - b
    return math.atan2(float(u[0] * v[1] - u[1] * v[0]), float(u @ v))


def _turns(line: Array) -> Array:
    """Turn at every vertex, counter-clockwise positive; 0 at both ends. [rad]"""
    steps = np.diff(line, axis=0)
    u, v = steps[:-1], steps[1:]
    inner = np.arctan2(u[:, 0] * v[:, 1] - u[:, 1] * v[:, 0], (u * v).sum(axis=1))
    return np.concatenate([[0.0], inner, [0.0]])


def _opening(ring: Array, fair_mm: float) -> int:
    """Where to open a ring: the start of the longest straight edge, else the sharpest vertex."""
    line = np.vstack([ring[-1:], ring, ring[:2]])
    lengths = np.hypot(*np.diff(line[1:-1], axis=0).T)
    bend = np.abs(_turns(line)[1:-1])
    straight = _straight_edges(lengths, bend, _corners(lengths, bend, fair_mm), fair_mm)
    score = np.where(straight, lengths, 0.0) if straight.any() else bend[:-1]
    return int(np.flatnonzero(score > score.max() - SOLVER_SLACK)[0])


def _corners(lengths: Array, bend: Array, fair_mm: float) -> NDArray[np.bool_]:
    """Which vertices are knuckles; both ends take the edge they have."""
    before = np.concatenate([lengths[:1], lengths])
    after = np.concatenate([lengths, lengths[-1:]])
    stands_off = np.minimum(before, after) * bend / 8.0 > fair_mm
    return np.asarray((bend > KNUCKLE_RAD) | stands_off, dtype=np.bool_)


def _straight_edges(
    lengths: Array, bend: Array, corner: NDArray[np.bool_], fair_mm: float
) -> NDArray[np.bool_]:
    """Which edges are straight lines, not chords of a curve: too long for how they turn.

    A chord of length c on a curve that turns by a from chord to chord stands off it by c a / 8.
    """
    off = np.where(corner, 0.0, bend)
    long_for_turn = lengths * np.maximum(off[:-1], off[1:]) / 8.0 > fair_mm
    return long_for_turn | (corner[:-1] & corner[1:])


def _read(
    line: Array, turns: Array, fair_mm: float
) -> tuple[tuple[tuple[int, int, Circle], ...], set[int]]:
    """Find compass arcs, and the vertices where runs end.

    A ring's opened vertex counts as the first and the last of its line.
    """
    lengths = np.hypot(*np.diff(line, axis=0).T)
    bend = np.abs(turns)
    corner = _corners(lengths, bend, fair_mm)
    straight = _straight_edges(lengths, bend, corner, fair_mm)
    is_break = corner.copy()
    is_break[:-1] |= straight
    is_break[1:] |= straight
    arcs = _find_arcs(line, lengths, turns, is_break)
    inside = np.zeros(len(line), dtype=bool)
    for start, end, _ in arcs:
        inside[start + 1 : end] = True
    found = {int(i) for i in np.flatnonzero(is_break & ~inside)}
    return arcs, found | {i for start, end, _ in arcs for i in (start, end)}


def _cut(
    line: Array, breaks: list[int], arcs: tuple[tuple[int, int, Circle], ...]
) -> tuple[Run, ...]:
    by_start = {start: (end, circle) for start, end, circle in arcs}
    runs = []
    for start, end in pairwise(breaks):
        points = line[start : end + 1]
        arc = by_start.get(start)
        if arc is not None and arc[0] == end:
            runs.append(Run(Way.COMPASS, points, arc[1]))
        else:
            runs.append(Run(Way.STRAIGHT if _is_straight(points) else Way.BATTEN, points))
    return tuple(runs)


def _at_tangents(runs: tuple[Run, ...], *, is_closed: bool) -> tuple[Run, ...]:
    """Let arcs meet the straights that touch them level with their centres.

    Flattened outlines cover the true ones, so that an arc's first vertex lies a little beyond:
    beside its centre's figure it would look like a misprint.
    """
    found = list(runs)
    n = len(found)
    for k in range(n if is_closed and n > 1 else n - 1):
        before, after = found[k], found[(k + 1) % n]
        spot = _tangent(before, after)
        if spot is None:
            continue
        found[k] = replace(before, points=np.vstack([before.points[:-1], spot]))
        found[(k + 1) % n] = replace(after, points=np.vstack([spot, after.points[1:]]))
    return tuple(found)


def _tangent(before: Run, after: Run) -> Array | None:
    """Where a straight and an arc that follow each other touch; None where they don't."""
    straight, arc = (before, after) if after.circle is not None else (after, before)
    if straight.way is not Way.STRAIGHT or arc.circle is None:
        return None
    shared = before.points[-1]
    chord = straight.points[-1] - straight.points[0]
    size = float(np.hypot(*chord))
    if size == 0.0:
        return None
    way = chord / size
    centre = np.array([arc.circle.x, arc.circle.y])
    foot = np.asarray(shared + way * float((centre - shared) @ way), dtype=np.float64)
    is_touched = abs(math.dist(foot, centre) - arc.circle.radius) <= 2.0 * ARC_FIT_MM
    most_mm = 2.0 * math.sqrt(arc.circle.radius * ARC_FIT_MM)  # half an edge of a flattened arc
    is_near = math.dist(foot, shared) <= min(most_mm, size / 2.0)
    return foot if is_touched and is_near else None


def _is_straight(points: Array) -> bool:
    chord = points[-1] - points[0]
    length = float(np.hypot(*chord))
    if len(points) == 2:
        return True
    if length == 0.0:
        return False
    off = (points - points[0]) @ np.array([-chord[1], chord[0]]) / length
    return bool(np.abs(off).max() <= STRAIGHT_MM)


def _find_arcs(
    line: Array, lengths: Array, turns: Array, is_break: NDArray[np.bool_]
) -> tuple[tuple[int, int, Circle], ...]:
    """Find stretches that a compass can draw, greedily from the start; they share ends at most.

    Both ends must be abrupt: a break, or a far longer edge beyond. A part of an ellipse that
    happens to be round to a hair is no arc.
    """
    arcs = []
    start = 0
    while start + 3 < len(line):
        found = None
        if start == 0 or is_break[start] or lengths[start - 1] > ABRUPT * lengths[start]:
            found = _arc_from(line, turns, start)
        if found is not None and not (
            found[0] == len(line) - 1
            or is_break[found[0]]
            or lengths[found[0]] > ABRUPT * lengths[start : found[0]].max()
        ):
            found = None
        if found is None:
            start += 1
        else:
            arcs.append((start, *found))
            start = found[0]
    return tuple(arcs)


def _arc_from(line: Array, turns: Array, start: int) -> tuple[int, Circle] | None:
    """Grow an arc from a vertex as far as the vertices turn one way and lie on one circle."""
    sign = math.copysign(1.0, float(turns[start + 1]))
    turning = turns[start + 1 : -1] * sign
    ends = np.flatnonzero((turning <= 0.0) | (turning > KNUCKLE_RAD))
    last = start + 1 + (int(ends[0]) if len(ends) else len(turning))
    if last - start < 3:
        return None
    best: tuple[int, Circle] | None = None
    low, high = start + 3, last
    while low <= high:
        middle = (low + high) // 2
        circle = fit_circle(line[start : middle + 1])
        if circle is not None and _is_round(line[start : middle + 1], circle):
            best, low = (middle, circle), middle + 1
        else:
            high = middle - 1
    if best is None or float(np.abs(turns[start + 1 : best[0]]).sum()) < LEAST_ARC_RAD:
        return None
    return best


def fit_circle(points: Array) -> Circle | None:
    """Least-squares circle (algebraic form); None for points in a line."""
    centre = points.mean(axis=0)
    x, y = (points - centre).T
    matrix = np.column_stack([x, y, np.ones(len(x))])
    solution, _, rank, _ = np.linalg.lstsq(matrix, x * x + y * y, rcond=DUST)
    if rank < 3:
        return None
    a, b, c = (float(v) for v in solution)
    radius = math.sqrt(max(c + a * a / 4.0 + b * b / 4.0, 0.0))
    return Circle(float(centre[0]) + a / 2.0, float(centre[1]) + b / 2.0, radius)


def _is_round(points: Array, circle: Circle) -> bool:
    """Whether vertices lie on the circle and edges are no longer than flattening makes them."""
    if not 0.0 < circle.radius <= COMPASS_MM:
        return False
    off = np.abs(np.hypot(points[:, 0] - circle.x, points[:, 1] - circle.y) - circle.radius)
    edges = np.hypot(*np.diff(points, axis=0).T)
    sag = float(edges.max()) ** 2 / (8.0 * circle.radius)
    return bool(off.max() <= ARC_FIT_MM and sag <= 2.0 * ARC_FIT_MM)
