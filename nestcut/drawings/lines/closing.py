"""Strokes to closed loops: the nearest relatives first, strangers and crossings last.

Lines are joined within one block copy and colour, then within their layer, then across layers; what
is left is cut where it crosses and looked at once more.  Parts drawn side by side thus keep their
common edge twice, and an outline drawn with several pens closes all the same.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Hashable

import shapely
from shapely.geometry.base import BaseGeometry

from nestcut.drawings.lines.chain import Chain, chain, close_gaps
from nestcut.drawings.lines.crossings import OuterEdge, cells, cut_at_meetings, outer_edge
from nestcut.drawings.lines.edges import Edge, Network, network, without_doubles
from nestcut.drawings.lines.loops import Loop, leave_stroke, measure, unique
from nestcut.drawings.records import Label, LeftOut, ReadOptions, Stroke
from nestcut.drawings.tell import Teller
from nestcut.geometry.curves import flatten

MAX_LOOSE = 20_000
"""More loose lines than this aren't searched for crossings. [-]"""


class Closer:
    """Closes what can be closed; ``loops``, ``lines`` and ``left_out`` are what came of it."""

    def __init__(self, options: ReadOptions, tell: Teller, names: tuple[Label, ...] = ()) -> None:
        self.options = options
        self.names = names
        self.tell = tell
        self.gap = options.join_gap_mm
        self.loops: list[Loop] = []
        self.lines: list[Chain] = []
        self.left_out: list[LeftOut] = []

    def close(self, strokes: list[Stroke]) -> None:
        """Sort strokes into loops and lines."""
        families: dict[Hashable, list[Edge]] = defaultdict(list)
        for s in strokes:
            if s.is_closed:
                curves, _ = close_gaps(list(s.curves))
                self._measure(Chain(curves=curves, strokes=(s,), is_closed=True))
            else:
                key = (s.layer, s.instance, s.colour)
                families[key] += [Edge(curve, s) for curve in s.curves]
        open_chains: list[Chain] = []
        for edges in families.values():
            open_chains += self._chain(edges)
        open_chains = self._by_layer(open_chains)
        if len({c.strokes[0].layer for c in open_chains}) > 1:
            open_chains = self._chain_across(open_chains)
        self.lines = self._by_crossings(open_chains)

    def _leave(self, made: Chain, reason: str) -> None:
        self.left_out += [leave_stroke(s, reason, made.start) for s in unique(made.strokes)]

    def _measure(self, made: Chain) -> None:
        loop = measure(made, self.options.flatness_mm)
        if loop is None:
            self._leave(made, "it goes there and back and encloses nothing")
        else:
            self.loops.append(loop)

    def _chain(self, edges: list[Edge], tight_mm: float | None = None) -> list[Chain]:
        """Close loops among edges of one family; return what stays open."""
        if not edges:
            return []
        gap = self.options.gap_of(edges[0].stroke.layer)
        kept, doubles = without_doubles(edges, gap)
        self.left_out += doubles
        self.tell.doubles(doubles)
        net = network(kept, gap, tight_mm)
        found = chain(net)
        self.tell.joined(net.joined, edges[0].stroke.layer)
        for made in found.loops:
            self._measure(made)
        open_chains = list(found.open_chains)
        for group in found.knots:
            outer = outer_edge(net, group)
            if self._take_cells(net, outer):
                open_chains += [_single(e) for e in outer.tails]
                continue
            self._take_outer(outer)
            open_chains += [_single(e) for e in (*outer.inner, *outer.tails)]
        return open_chains

    def _take_outer(self, outer: OuterEdge) -> None:
        before = len(self.loops)
        for made in outer.loops:
            self._measure(made)
        if len(self.loops) > before:
            self.tell.branches(outer, outer.loops[0].strokes[0].layer)

    def _take_cells(self, net: Network, outer: OuterEdge) -> bool:
        """Take cells that share edges one by one, if several have a name written in them."""
        if not outer.inner or len(self.names) < 2:
            return False
        found = [(c, measure(c, self.options.flatness_mm)) for c in cells(net, outer)]
        lines = shapely.union_all([shapely.LineString(flatten(e.curve, 0.1)) for e in outer.inner])
        named = sum(1 for _, loop in found if loop is not None and self._is_named(loop, lines))
        if named < 2:
            return False
        for made, loop in found:
            if loop is None:
                self._leave(made, "it goes there and back and encloses nothing")
            else:
                self.loops.append(loop)
        self.tell.cells(len(found), named, outer.branch_points[0], found[0][0].strokes[0].layer)
        return True

    def _is_named(self, loop: Loop, lines: BaseGeometry) -> bool:
        """Whether a name stands in a cell; one that stands on a line inside names the line."""
        x0, y0, x1, y1 = loop.box_mm
        return any(
            x0 < s.at_mm[0] < x1 and y0 < s.at_mm[1] < y1
            and loop.polygon.contains(spot := shapely.Point(s.at_mm))
            and lines.distance(spot) > s.height_mm
            for s in self.names
        )  # fmt: skip

    def _by_layer(self, chains: list[Chain]) -> list[Chain]:
        """Chain the leftovers of block copies and colours within each layer."""
        by_layer: dict[str, list[Chain]] = defaultdict(list)
        for made in chains:
            by_layer[made.strokes[0].layer].append(made)
        rest: list[Chain] = []
        for _, found in sorted(by_layer.items()):
            kinds = {(c.strokes[0].instance, c.strokes[0].colour) for c in found}
            rest += self._chain(_edges(found)) if len(kinds) > 1 else found
        return rest

    def _chain_across(self, chains: list[Chain]) -> list[Chain]:
        """Chain leftovers of several layers; only clean loops are taken."""
        net = network(_edges(chains), self.gap)
        found = chain(net)
        for made in found.loops:
            self._measure(made)
            self.tell.across_layers(made)
        rest = [c for made in found.open_chains for c in _parted(made)]
        for group in found.knots:
            rest += [_single(net.edges[i]) for i in group]
        return rest

    def _by_crossings(self, chains: list[Chain]) -> list[Chain]:
        """Look for outlines whose lines cross or overshoot at the corners."""
        by_layer: dict[str, list[Chain]] = defaultdict(list)
        for made in chains:
            by_layer[made.strokes[0].layer].append(made)
        rest: list[Chain] = []
        for _, found in sorted(by_layer.items()):
            edges = _edges(found)
            gap = self.options.gap_of(edges[0].stroke.layer)
            cut = cut_at_meetings(edges, gap) if 1 < len(edges) <= MAX_LOOSE else edges
            if len(cut) == len(edges):
                rest += found
                continue
            trial = Closer(self.options, Teller(self.tell.file, []), self.names)
            open_here = trial._chain(cut, gap)
            if not trial.loops:
                rest += found
                continue
            self.loops += trial.loops
            self.left_out += trial.left_out
            self.tell.findings += trial.tell.findings
            rest += open_here
        return rest


def _single(edge: Edge) -> Chain:
    return Chain(curves=(edge.curve,), strokes=(edge.stroke,), is_closed=False)


def _edges(chains: list[Chain]) -> list[Edge]:
    return [Edge(c, s) for made in chains for c, s in zip(made.curves, made.strokes, strict=True)]


def _parted(made: Chain) -> list[Chain]:
    """Part an open chain where it changes layers: it wasn't drawn as one line."""
    result: list[Chain] = []
    start = 0
    n = len(made.curves)
    for i in range(1, n + 1):
        if i == n or made.strokes[i].layer != made.strokes[start].layer:
            result.append(
                Chain(curves=made.curves[start:i], strokes=made.strokes[start:i], is_closed=False)
            )
            start = i
    return result
