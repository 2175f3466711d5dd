"""Loose lines as a network: which ends meet, which lines are drawn twice."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, field, replace
from itertools import pairwise

import numpy as np

from nestcut.drawings.records import LeftOut, Stroke
from nestcut.geometry.curves import bounding_box, end_point, evaluate, start_point
from nestcut.model.curves import Curve, Line, Point
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.likeness import TIGHT_SHARE

_CROWD = 40
"""More free ends than this within one gap are a scribble and left alone. [-]"""

_MOST_COMPARED = 150_000
"""Pairs of lines along each other; a drawing with more is a scribble, the rest is left alone."""


@dataclass(slots=True)
class Edge:
    """One curve with its two nodes."""

    curve: Curve
    stroke: Stroke
    a: int = -1
    b: int = -1


@dataclass(slots=True)
class Network:
    """Edges between nodes; ``joined`` lists ends that were brought together over a gap."""

    edges: list[Edge]
    joined: list[tuple[Point, float]] = field(default_factory=list)

    def at_nodes(self) -> dict[int, list[int]]:
        """Return the edges at each node; a closed edge counts twice."""
        at: dict[int, list[int]] = defaultdict(list)
        for i, edge in enumerate(self.edges):
            at[edge.a].append(i)
            at[edge.b].append(i)
        return at


def network(edges: list[Edge], gap_mm: float, tight_mm: float | None = None) -> Network:
    """Join ends: tight ones first, then free ones pair by pair, nearest first, up to the gap.

    Parameters
    ----------
    edges
        Their ends' nodes are filled in.
    gap_mm
        Free ends no farther apart are joined. [mm]
    tight_mm
        Ends no farther apart are one, however many meet; None: a small share of the gap. [mm]
    """
    ends = [p for e in edges for p in (start_point(e.curve), end_point(e.curve))]
    nodes = _clusters(ends, gap_mm * TIGHT_SHARE if tight_mm is None else tight_mm)
    for i, edge in enumerate(edges):
        edge.a, edge.b = nodes[2 * i], nodes[2 * i + 1]
    net = Network(edges)
    _pair_free_ends(net, gap_mm)
    return net


def _clusters(points: list[Point], size: float) -> list[int]:
    """Number points so that near ones share a number; near means in the same or a next cell."""
    if not points:
        return []
    cells = np.floor(np.asarray(points) / size).astype(np.int64)
    unique, inverse = np.unique(cells, axis=0, return_inverse=True)
    keys = [(int(x), int(y)) for x, y in unique]
    index = {key: i for i, key in enumerate(keys)}
    parent = list(range(len(keys)))

    def root(i: int) -> int:
        while parent[i] != i:
            parent[i] = parent[parent[i]]
            i = parent[i]
        return i

    for i, (x, y) in enumerate(keys):
        for near in ((x + 1, y), (x, y + 1), (x + 1, y + 1), (x - 1, y + 1)):
            j = index.get(near)
            if j is not None:
                a, b = root(i), root(j)
                parent[max(a, b)] = min(a, b)
    numbers: dict[int, int] = {}
    named = [numbers.setdefault(root(i), len(numbers)) for i in range(len(keys))]
    return [named[i] for i in inverse.ravel().tolist()]


def _pair_free_ends(net: Network, gap_mm: float) -> None:
    at = net.at_nodes()
    reach = gap_mm + SAME_POINT_MM  # a gap that is measured as the setting is closed by it
    free = sorted((node, found[0]) for node, found in at.items() if len(found) == 1)
    spots = {}
    cells: dict[tuple[int, int], list[int]] = defaultdict(list)
    for node, i in free:
        edge = net.edges[i]
        p = start_point(edge.curve) if edge.a == node else end_point(edge.curve)
        spots[node] = p
        cells[(math.floor(p[0] / reach), math.floor(p[1] / reach))].append(node)
    owner = dict(free)
    pairs = []
    for (x, y), here in sorted(cells.items()):
        around = [
            n for dx in (-1, 0, 1) for dy in (-1, 0, 1) for n in cells.get((x + dx, y + dy), ())
        ]
        if len(around) > _CROWD:
            continue
        for n in here:
            for m in around:
                distance = math.dist(spots[n], spots[m])
                if n < m and distance <= reach and not _is_speck(net.edges, owner, n, m, gap_mm):
                    pairs.append((distance, n, m))
    merged: dict[int, int] = {}
    for distance, n, m in sorted(pairs):
        if n in merged or m in merged:
            continue
        merged[n], merged[m] = n, n
        net.joined.append((spots[n], distance))
    for edge in net.edges:
        edge.a, edge.b = merged.get(edge.a, edge.a), merged.get(edge.b, edge.b)


def _is_speck(edges: list[Edge], owner: dict[int, int], n: int, m: int, gap_mm: float) -> bool:
    """Whether two free ends belong to one edge so short that closing it would swallow it."""
    if owner[n] != owner[m]:
        return False
    box = bounding_box(edges[owner[n]].curve)
    return max(box[2] - box[0], box[3] - box[1]) <= 4.0 * gap_mm


def without_doubles(edges: list[Edge], gap_mm: float) -> tuple[list[Edge], list[LeftOut]]:
    """Drop edges without length and edges drawn more than once.

    Lines that overlap are cut at each other's ends first, so that their common stretch falls out.
    """
    left_out: list[LeftOut] = []
    tight = gap_mm * TIGHT_SHARE
    kept: list[Edge] = []
    for edge in edges:
        box = (
            bounding_box(edge.curve)
            if math.dist(start_point(edge.curve), end_point(edge.curve)) <= tight
            else None
        )
        if box is not None and max(box[2] - box[0], box[3] - box[1]) <= tight:
            left_out.append(leave(edge, "it is a speck without length"))
        else:
            kept.append(edge)
    kept = _without_twins(kept, gap_mm, left_out)  # or equal lines are compared pair by pair
    return _without_twins(_cut_overlaps(kept, tight), gap_mm, left_out), left_out


def _without_twins(edges: list[Edge], gap_mm: float, left_out: list[LeftOut]) -> list[Edge]:
    """Keep one of the edges that have both ends and the middle in common."""
    tight = gap_mm * TIGHT_SHARE
    kept = edges
    ends = [p for e in kept for p in (start_point(e.curve), end_point(e.curve))]
    nodes = _clusters(ends, tight)
    seen: dict[tuple[int, int], list[Point]] = defaultdict(list)
    result: list[Edge] = []
    for i, edge in enumerate(kept):
        a, b = nodes[2 * i], nodes[2 * i + 1]
        middle = evaluate(edge.curve, 0.5)
        twins = seen[(min(a, b), max(a, b))]
        if any(math.dist(middle, other) <= gap_mm for other in twins[-_CROWD:]):
            left_out.append(leave(edge, "it is drawn twice"))
        else:
            twins.append(middle)
            result.append(edge)
    return result


def leave(edge: Edge, reason: str) -> LeftOut:
    """Return an edge as left out, with its place."""
    s = edge.stroke
    return LeftOut(
        kind=s.kind,
        layer=s.layer,
        handle=s.handle,
        reason=reason,
        at_mm=start_point(edge.curve),
        curves=(edge.curve,),
    )


def _cut_overlaps(edges: list[Edge], tight: float) -> list[Edge]:
    """Cut straight lines that lie on each other at each other's ends."""
    lines: dict[tuple[int, int], list[int]] = defaultdict(list)
    for i, edge in enumerate(edges):
        if isinstance(edge.curve, Line):
            for key in _straight_keys(edge.curve):
                lines[key].append(i)
    cuts: dict[int, set[float]] = defaultdict(set)
    n_compared = 0
    for found in lines.values():
        if len(found) > 1 and n_compared < _MOST_COMPARED:
            n_compared += _find_cuts(edges, found, tight, cuts)
    result: list[Edge] = []
    for i, edge in enumerate(edges):
        at = sorted(cuts.get(i, ()))
        if not at or not isinstance(edge.curve, Line):
            result.append(edge)
            continue
        stops = [0.0, *at, 1.0]
        points = [evaluate(edge.curve, u) for u in stops]
        result += [
            replace(edge, curve=Line(p, q)) for p, q in pairwise(points) if math.dist(p, q) > tight
        ]
    return result


def _straight_keys(line: Line) -> list[tuple[int, int]]:
    """Cells of (direction, distance from the origin); a line lies in two so that near ones meet."""
    dx, dy = line.end[0] - line.start[0], line.end[1] - line.start[1]
    if dx < 0 or (dx == 0 and dy < 0):
        dx, dy = -dx, -dy
    size = math.hypot(dx, dy)
    angle = math.atan2(dy, dx)
    off = (line.start[0] * dy - line.start[1] * dx) / size
    first = math.floor(angle * 1e3)
    second = math.floor(off / 0.5)
    return [(first + i, second + j) for i in (0, 1) for j in (0, 1)]


def _find_cuts(
    edges: list[Edge], found: list[int], tight: float, cuts: dict[int, set[float]]
) -> int:
    """Sweep along the common direction, so that only lines that overlap are compared.

    Returns the number of comparisons.
    """
    n_compared = 0
    first = edges[found[0]].curve
    start, end = start_point(first), end_point(first)
    size = math.dist(start, end)
    d = ((end[0] - start[0]) / size, (end[1] - start[1]) / size)
    spans = []
    for i in found:
        p, q = start_point(edges[i].curve), end_point(edges[i].curve)
        s, t = p[0] * d[0] + p[1] * d[1], q[0] * d[0] + q[1] * d[1]
        spans.append((min(s, t), max(s, t), i))
    spans.sort()
    active: list[tuple[float, int]] = []
    for low, high, i in spans:
        active = [(top, j) for top, j in active if top > low + tight][-_CROWD:]
        for _, j in active:
            _cut_pair(edges, i, j, tight, cuts)
            _cut_pair(edges, j, i, tight, cuts)
        n_compared += len(active)
        active.append((high, i))
        if n_compared > _MOST_COMPARED:
            break
    return n_compared


def _cut_pair(edges: list[Edge], i: int, j: int, tight: float, cuts: dict[int, set[float]]) -> None:
    """Note where ends of line j lie on line i, if the two run along each other."""
    a, b = start_point(edges[i].curve), end_point(edges[i].curve)
    size = math.dist(a, b)
    dx, dy = (b[0] - a[0]) / size, (b[1] - a[1]) / size
    ends = (start_point(edges[j].curve), end_point(edges[j].curve))
    along = [(p[0] - a[0]) * dx + (p[1] - a[1]) * dy for p in ends]
    low, high = max(0.0, min(along)), min(size, max(along))
    if high - low <= tight:
        return
    slope = 0.0 if along[0] == along[1] else 1.0 / (along[1] - along[0])
    aside = [(p[1] - a[1]) * dx - (p[0] - a[0]) * dy for p in ends]
    for s in (low, high):
        share = (s - along[0]) * slope
        if abs(aside[0] + share * (aside[1] - aside[0])) > tight:
            return
    for s in along:
        if tight < s < size - tight:
            cuts[i].add(s / size)
