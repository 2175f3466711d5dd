"""Loose lines to closed loops and open chains."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from enum import Enum, auto

from nestcut.drawings.lines.edges import Edge, Network
from nestcut.drawings.records import Stroke
from nestcut.geometry.curves import end_point, start_point
from nestcut.geometry.pose import reverse_curve
from nestcut.model.curves import Curve, Line, Point
from nestcut.tolerances import SAME_POINT_MM


class Run(Enum):
    """Whether a run of curves ends where it begins."""

    OPEN = auto()
    RING = auto()


@dataclass(frozen=True, slots=True, kw_only=True)
class Chain:
    """Curves head to tail, each with the stroke it comes from; a closed stroke stands alone."""

    curves: tuple[Curve, ...]
    strokes: tuple[Stroke, ...]
    is_closed: bool

    @property
    def start(self) -> Point:
        """Where it begins. [mm]"""
        return start_point(self.curves[0])

    @property
    def end(self) -> Point:
        """Where it ends. [mm]"""
        return end_point(self.curves[-1])


@dataclass(slots=True)
class Chained:
    """What a network falls into; ``knots`` are groups of edges with branches among them."""

    loops: list[Chain]
    open_chains: list[Chain]
    knots: list[list[int]]


def chain(net: Network) -> Chained:
    """Walk through nodes where just two ends meet."""
    at = net.at_nodes()
    out = Chained([], [], [])
    seen = [False] * len(net.edges)
    for first in range(len(net.edges)):
        if seen[first]:
            continue
        group = _group(net, at, first)
        for i in group:
            seen[i] = True
        degrees = {n: len(at[n]) for i in group for n in (net.edges[i].a, net.edges[i].b)}
        if max(degrees.values()) > 2:
            out.knots.append(group)
            continue
        free = sorted(n for n, d in degrees.items() if d == 1)
        start = free[0] if free else net.edges[first].a
        steps = walk(net, at, start, first if not free else at[start][0])
        made = to_chain(net, steps, Run.OPEN if free else Run.RING)
        (out.open_chains if free else out.loops).append(made)
    return out


def _group(net: Network, at: dict[int, list[int]], first: int) -> list[int]:
    """All edges that hang together with the first, in rising order."""
    found = {first}
    waiting = [first]
    while waiting:
        edge = net.edges[waiting.pop()]
        for n in (edge.a, edge.b):
            for i in at[n]:
                if i not in found:
                    found.add(i)
                    waiting.append(i)
    return sorted(found)


Step = tuple[int, bool]
"""An edge and whether it is run through from its a to its b."""


def walk(net: Network, at: dict[int, list[int]], node: int, first: int) -> list[Step]:
    """Follow edges from a node until an end or the first edge comes round again.

    Parameters
    ----------
    at
        The edges that end at each node, by its number.
    node
        Number of the node to begin at.
    first
        Number of the edge to begin with.
    """
    steps: list[Step] = []
    current = first
    while True:
        edge = net.edges[current]
        forward = edge.a == node
        steps.append((current, forward))
        node = edge.b if forward else edge.a
        onward = [i for i in at[node] if i != current]
        if not onward or onward[0] == first or edge.a == edge.b:
            return steps
        current = onward[0]


def to_chain(net: Network, steps: list[Step], run: Run = Run.RING) -> Chain:
    """Return the curves of a walk, small gaps closed.

    Parameters
    ----------
    steps
        Number of each edge, and whether it is followed from its start.
    run
        Whether the last one ends where the first begins.
    """
    curves = []
    for i, forward in steps:
        edge = net.edges[i]
        curves.append(edge.curve if forward else reverse_curve(edge.curve))
    closed, sources = close_gaps(curves, run)
    strokes = tuple(net.edges[steps[k][0]].stroke for k in sources)
    return Chain(curves=closed, strokes=strokes, is_closed=run is Run.RING)


def close_gaps(
    curves: list[Curve], run: Run = Run.RING
) -> tuple[tuple[Curve, ...], tuple[int, ...]]:
    """Bring ends together: straight lines are stretched, curves are bridged by a short line.

    Returns the curves and, for each, the number of the given one it comes from.
    """
    result = list(curves)
    bridges: dict[int, Line] = {}
    n = len(result)
    for i in range(n if run is Run.RING else n - 1):
        j = (i + 1) % n
        p, q = end_point(result[i]), start_point(result[j])
        if p == q:
            continue
        here, there = result[i], result[j]
        if isinstance(here, Line) and math.dist(here.start, q) > SAME_POINT_MM and i != j:
            result[i] = replace(here, end=q)
        elif isinstance(there, Line) and math.dist(there.end, p) > SAME_POINT_MM and i != j:
            result[j] = replace(there, start=p)
        elif math.dist(p, q) > SAME_POINT_MM:
            bridges[i] = Line(p, q)
    woven: list[Curve] = []
    sources: list[int] = []
    for i, curve in enumerate(result):
        woven.append(curve)
        sources.append(i)
        if i in bridges:
            woven.append(bridges[i])
            sources.append(i)
    return tuple(woven), tuple(sources)


def edges_of(strokes: list[Stroke]) -> list[Edge]:
    """Return the single curves of open strokes as edges."""
    return [Edge(curve, stroke) for stroke in strokes for curve in stroke.curves]
