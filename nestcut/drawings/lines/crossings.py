"""Lines that branch, touch or cross: cut at every meeting, then the outer edge taken.

A group of lines with branches is read as one outline, the outer edge of everything it encloses;
lines inside it are marks, tails are left over.  Faces are traced in the plane graph by always
turning into the next edge clockwise (M. de Berg et al., Computational Geometry, 3rd ed., 2008,
section 2.2).
"""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import dataclass, field, replace

import numpy as np
import shapely

from nestcut.drawings.lines.chain import Chain, Step, to_chain
from nestcut.drawings.lines.edges import Edge, Network
from nestcut.drawings.lines.fineness import fineness_mm
from nestcut.geometry.curves import (
    bounding_box,
    derivative,
    end_point,
    evaluate,
    flatten,
    split_many,
    start_point,
    swept_area_mm2,
    tangent,
)
from nestcut.geometry.pose import reverse_curve
from nestcut.model.curves import Curve, Line, Point
from nestcut.tolerances.likeness import JUST_AFTER, TIGHT_SHARE
from nestcut.tolerances.noise import DUST, STILL

MAX_CUTS = 10_000
"""Layers with more lines near each other than this are grids or scribbles, not outlines. [-]"""


@dataclass(slots=True)
class OuterEdge:
    """Outer loops of a group, the edges inside them and the tails outside."""

    loops: list[Chain] = field(default_factory=list)
    inner: list[Edge] = field(default_factory=list)
    tails: list[Edge] = field(default_factory=list)
    branch_points: list[Point] = field(default_factory=list)
    kept: list[int] = field(default_factory=list)
    """Edges that enclose something, outside or inside."""


def outer_edge(net: Network, group: list[int]) -> OuterEdge:
    """Return the outer loops of a group of edges that hang together."""
    out = OuterEdge()
    degree: dict[int, int] = defaultdict(int)
    at: dict[int, set[int]] = defaultdict(set)
    spot: dict[int, Point] = {}
    for i in group:
        edge = net.edges[i]
        for n in (edge.a, edge.b):
            degree[n] += 1
            at[n].add(i)
        spot[edge.a], spot[edge.b] = start_point(edge.curve), end_point(edge.curve)
    out.branch_points = [spot[n] for n in sorted(degree) if degree[n] > 2]
    alive = set(group)
    loose = [n for n in sorted(degree) if degree[n] == 1]
    while loose:
        n = loose.pop()
        if degree[n] != 1:
            continue
        i = next(iter(at[n] & alive))
        alive.discard(i)
        out.tails.append(net.edges[i])
        for m in (net.edges[i].a, net.edges[i].b):
            degree[m] -= 1
            if degree[m] == 1:
                loose.append(m)
    outer: set[int] = set()
    out.kept = sorted(alive)
    for steps in _walks(net, out.kept):
        if _area(net, steps) >= 0.0:
            continue
        for simple in _simple_loops(net, [(i, not ahead) for i, ahead in reversed(steps)]):
            outer.update(i for i, _ in simple)
            out.loops.append(to_chain(net, simple))
    out.inner = [net.edges[i] for i in sorted(alive - outer)]
    return out


def cells(net: Network, outer: OuterEdge) -> list[Chain]:
    """Return the cells that the lines of a group part it into."""
    return [
        to_chain(net, simple)
        for steps in _walks(net, outer.kept)
        if _area(net, steps) > 0.0
        for simple in _simple_loops(net, steps)
    ]


def _walks(net: Network, group: list[int]) -> list[list[Step]]:
    """Trace all faces; those that run clockwise are the outside seen from within."""
    fans = _fans(net, group)
    follow: dict[Step, Step] = {}
    for fan in fans.values():
        for k, (i, forward) in enumerate(fan):
            # Arriving along the reverse of this edge, leave by the next one clockwise.
            follow[(i, not forward)] = fan[k - 1]
    done: set[Step] = set()
    walks = []
    for first in sorted(follow):
        if first in done:
            continue
        steps, step = [], first
        while step not in done:
            done.add(step)
            steps.append(step)
            step = follow[step]
        walks.append(steps)
    return walks


def _fans(net: Network, group: list[int]) -> dict[int, list[Step]]:
    """Edges leaving each node, counter-clockwise."""
    leaving: dict[int, list[tuple[float, float, Step]]] = defaultdict(list)
    for i in group:
        edge = net.edges[i]
        for forward in (True, False):
            curve = edge.curve if forward else reverse_curve(edge.curve)
            leaving[edge.a if forward else edge.b].append((*_departure(curve), (i, forward)))
    return {n: [step for _, _, step in sorted(found)] for n, found in leaving.items()}


def _departure(curve: Curve) -> tuple[float, float]:
    """Direction in which a curve leaves, and how it bends away, to part tangent curves. [rad]"""
    dx, dy = tangent(curve, 0.0)
    x0, y0 = start_point(curve)
    x, y = evaluate(curve, JUST_AFTER)
    bend = math.atan2(dx * (y - y0) - dy * (x - x0), dx * (x - x0) + dy * (y - y0))
    return (round(math.atan2(dy, dx), 6), bend)


def _area(net: Network, steps: list[Step]) -> float:
    about = start_point(net.edges[steps[0][0]].curve)
    total = 0.0
    for i, forward in steps:
        area = swept_area_mm2(net.edges[i].curve, about)
        total += area if forward else -area
    return total


def _simple_loops(net: Network, steps: list[Step]) -> list[list[Step]]:
    """Drop edges that are run through both ways, and part the rest where a node comes again."""
    count: dict[int, int] = defaultdict(int)
    for i, _ in steps:
        count[i] += 1
    loops: list[list[Step]] = []
    stack: list[Step] = []
    where: dict[int, int] = {}
    for i, forward in steps:
        if count[i] > 1:
            continue
        edge = net.edges[i]
        start = edge.a if forward else edge.b
        end = edge.b if forward else edge.a
        if start not in where:
            where[start] = len(stack)
        stack.append((i, forward))
        if end in where:
            k = where[end]
            loops.append(stack[k:])
            for j, ahead in stack[k:]:
                gone = net.edges[j].a if ahead else net.edges[j].b
                if gone != end:
                    where.pop(gone, None)
            del stack[k:]
    return loops


def cut_at_meetings(edges: list[Edge], gap_mm: float) -> list[Edge]:
    """Cut edges where they cross or where another's end lies on them."""
    tight = gap_mm * TIGHT_SHARE
    lines = [shapely.LineString(flatten(e.curve, fineness_mm((e.curve,), tight))) for e in edges]
    cuts: dict[int, list[float]] = defaultdict(list)
    pairs = _near_pairs(lines, gap_mm)
    for i, j in pairs:
        for u, v in _meetings(edges[i].curve, edges[j].curve, lines[i], lines[j]):
            cuts[i].append(u)
            cuts[j].append(v)
        _touches(edges[i].curve, edges[j].curve, gap_mm, cuts[i])
        _touches(edges[j].curve, edges[i].curve, gap_mm, cuts[j])
    result = []
    for i, edge in enumerate(edges):
        us = _apart(cuts.get(i, []), edge.curve, gap_mm)
        result += [replace(edge, curve=c) for c in split_many(edge.curve, us)]
    return result


def _near_pairs(lines: list[shapely.LineString], gap_mm: float) -> list[tuple[int, int]]:
    """Return pairs of lines within a gap of each other; none at all if there are too many."""
    tree = shapely.STRtree(lines)
    pairs: list[tuple[int, int]] = []
    for start in range(0, len(lines), 32):
        near = tree.query(lines[start : start + 32], predicate="dwithin", distance=gap_mm)
        pairs += [(i + start, j) for i, j in near.T.tolist() if i + start < j]
        if len(pairs) > MAX_CUTS:
            return []
    return pairs


def _apart(us: list[float], curve: Curve, gap_mm: float) -> tuple[float, ...]:
    """Keep one of several cuts within a gap of each other, and none within a gap of an end."""
    kept: list[float] = []
    last = start_point(curve)
    end = end_point(curve)
    for u in sorted(us):
        p = evaluate(curve, u)
        if math.dist(p, last) > gap_mm and math.dist(p, end) > gap_mm:
            kept.append(u)
            last = p
    return tuple(kept)


def _touches(curve: Curve, other: Curve, gap_mm: float, cuts: list[float]) -> None:
    """Note where an end of ``other`` lies on the inside of ``curve``."""
    for p in (start_point(other), end_point(other)):
        u = nearest(curve, p)
        if math.dist(evaluate(curve, u), p) <= gap_mm:
            cuts.append(u)


def nearest(curve: Curve, p: Point) -> float:
    """Return u of the curve's point nearest to ``p``: samples, then Newton on the foot point."""
    if isinstance(curve, Line):
        dx, dy = curve.end[0] - curve.start[0], curve.end[1] - curve.start[1]
        size = dx * dx + dy * dy
        share = ((p[0] - curve.start[0]) * dx + (p[1] - curve.start[1]) * dy) / size if size else 0
        return min(max(share, 0.0), 1.0)
    from nestcut.geometry.curves import evaluate_many

    us = np.linspace(0.0, 1.0, 65)
    off = evaluate_many(curve, us) - np.asarray(p)
    u = float(us[int(np.argmin(np.sum(off * off, axis=1)))])
    for _ in range(20):
        x, y = evaluate(curve, u)
        dx, dy = derivative(curve, u)
        size = dx * dx + dy * dy
        step = ((p[0] - x) * dx + (p[1] - y) * dy) / size if size else 0.0
        u = min(max(u + step, 0.0), 1.0)
        if abs(step) < STILL:
            break
    return u


def _meetings(
    first: Curve, second: Curve, first_line: shapely.LineString, second_line: shapely.LineString
) -> list[tuple[float, float]]:
    """Return (u, v) of the crossings of two curves: found on polylines, sharpened by Newton."""
    if isinstance(first, Line) and isinstance(second, Line):
        return _line_meeting(first, second)
    met = shapely.intersection(first_line, second_line)
    found = []
    for x, y in shapely.get_coordinates(met).tolist():
        u, v = nearest(first, (x, y)), nearest(second, (x, y))
        found.append(_sharpen(first, second, u, v))
    return found


def _line_meeting(a: Line, b: Line) -> list[tuple[float, float]]:
    ax, ay = a.end[0] - a.start[0], a.end[1] - a.start[1]
    bx, by = b.end[0] - b.start[0], b.end[1] - b.start[1]
    turn = ax * by - ay * bx
    if abs(turn) <= DUST * math.hypot(ax, ay) * math.hypot(bx, by):
        return []
    cx, cy = b.start[0] - a.start[0], b.start[1] - a.start[1]
    u, v = (cx * by - cy * bx) / turn, (cx * ay - cy * ax) / turn
    return [(u, v)] if 0.0 <= u <= 1.0 and 0.0 <= v <= 1.0 else []


def _sharpen(first: Curve, second: Curve, u: float, v: float) -> tuple[float, float]:
    for _ in range(12):
        p, q = evaluate(first, u), evaluate(second, v)
        a, b = derivative(first, u), derivative(second, v)
        turn = a[0] * b[1] - a[1] * b[0]
        if abs(turn) <= DUST * math.hypot(*a) * math.hypot(*b):
            break
        dx, dy = q[0] - p[0], q[1] - p[1]
        du, dv = (dx * b[1] - dy * b[0]) / turn, (dx * a[1] - dy * a[0]) / turn
        u, v = min(max(u + du, 0.0), 1.0), min(max(v + dv, 0.0), 1.0)
        if abs(du) + abs(dv) < STILL:
            break
    return u, v


def box_of(curves: tuple[Curve, ...]) -> tuple[float, float, float, float]:
    """Return the true box of several curves. [mm]"""
    boxes = [bounding_box(c) for c in curves]
    return (
        min(b[0] for b in boxes),
        min(b[1] for b in boxes),
        max(b[2] for b in boxes),
        max(b[3] for b in boxes),
    )
