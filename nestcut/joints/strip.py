"""Cut outlines, holes and marks to a strip between two joint lines, true curves included.

A strip is what lies on the left of its one or two sides.  Curves are parted exactly where they
cross them.  What is left of the rings is linked along the sides: with material on the left, a ring
that leaves the strip comes back at the next crossing along the side it left by.  A strip of a
hollow outline may hold several lumps.

Curves that run along a joint line count as outside, so no cut leaves a spike of no width.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import groupby, pairwise

from shapely.geometry import Point as ShapelyPoint
from shapely.geometry import Polygon

from nestcut.geometry.curves import end_point, evaluate, line_crossings, split_many, start_point
from nestcut.geometry.polygons import bounds_mm
from nestcut.model.curves import Curve, Line, Point
from nestcut.model.shape import Mark, Ring, Shape
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.lengths import ON_JOINT_LINE_MM

Path = Callable[[float, float], tuple[Curve, ...]]
"""The way a cut takes between two measures along its line."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Edge:
    """One side of a strip: an endless line, the strip on its left.

    Parameters
    ----------
    point
        A point of the line, where its own measure is zero. [mm]
    along
        Unit vector along the line.
    path
        True curves of the cut between two measures along the line. [mm]
    flat
        The same as straight lines, for the flattened ring.
    """

    point: Point
    along: Point
    path: Path
    flat: Path

    def depth_mm(self, p: Point) -> float:
        """How far a point lies inside. [mm]"""
        return self.along[0] * (p[1] - self.point[1]) - self.along[1] * (p[0] - self.point[0])

    def measure_mm(self, p: Point) -> float:
        """Where along the line a point lies. [mm]"""
        return self.along[0] * (p[0] - self.point[0]) + self.along[1] * (p[1] - self.point[1])


def straight_edge(point: Point, along: Point) -> Edge:
    """Return a side that is cut straight, the strip on the left of ``along``."""

    def path(measure_from: float, measure_to: float) -> tuple[Curve, ...]:
        first, last = (
            (point[0] + along[0] * m, point[1] + along[1] * m) for m in (measure_from, measure_to)
        )
        return (Line(first, last),)

    return Edge(point=point, along=along, path=path, flat=path)


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """What lies inside all of its sides; none: the whole plane."""

    edges: tuple[Edge, ...]

    def holds(self, p: Point) -> bool:
        """Whether a point lies in the strip, its sides left out."""
        return all(e.depth_mm(p) > ON_JOINT_LINE_MM for e in self.edges)


def cut_shape(shape: Shape, strip: Strip) -> tuple[Shape, ...]:
    """Return the lumps of a shape in a strip, lowest y first, with their holes and marks."""
    rings = (shape.outline, *shape.holes)
    whole: list[Ring] = []
    crossing: list[Ring] = []
    flat: list[_Chain] = []
    for ring in rings:
        runs, is_whole = _runs_of_ring(_straight(ring.points), strip)
        if is_whole:
            whole.append(ring)
        elif runs:
            crossing.append(ring)
            flat += runs
    true: list[_Chain] = []
    if any(r.curves for r in crossing) or any(e.path is not e.flat for e in strip.edges):
        for ring in crossing:
            true += _runs_of_ring(ring.curves or _straight(ring.points), strip)[0]
    flat_loops = _linked(flat, strip, _flat_path)
    true_loops = _linked(true, strip, _true_path)
    outlines = [r for r in whole if r is shape.outline]
    outlines += _paired(flat_loops, true_loops)
    outlines.sort(key=lambda r: (bounds_mm(r.points)[1], bounds_mm(r.points)[0]))
    polygons = [Polygon(r.points) for r in outlines]
    holes = [r for r in whole if r is not shape.outline]
    marks = [m for mark in shape.marks for m in cut_mark(mark, strip)]
    return tuple(
        Shape(
            outline,
            tuple(h for h in holes if _owner(h.points, polygons) == i),
            tuple(m for m in marks if _owner(m.points, polygons) == i),
        )
        for i, outline in enumerate(outlines)
    )


def cut_mark(mark: Mark, strip: Strip) -> tuple[Mark, ...]:
    """Return the stretches of a mark in a strip; none where nothing is left."""
    if all(strip.holds(p) for p in mark.points):
        return (mark,)
    lines = tuple(Line(a, b) for a, b in pairwise(mark.points))
    flat = _runs(_parted(lines, strip))
    true = _runs(_parted(mark.curves, strip)) if mark.curves else []
    if len(true) != len(flat):
        true = [()] * len(flat)
    return tuple(
        Mark((*(start_point(c) for c in f), end_point(f[-1])), t, mark.label, mark.use)
        for f, t in zip(flat, true, strict=True)
    )


_Chain = tuple[Curve, ...]


def _flat_path(edge: Edge) -> Path:
    return edge.flat


def _true_path(edge: Edge) -> Path:
    return edge.path


def _straight(points: tuple[Point, ...]) -> _Chain:
    return tuple(Line(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True))


def _parted(curves: _Chain, strip: Strip) -> list[tuple[Curve, bool]]:
    """Return the curves, parted at the strip's sides, each with whether it lies inside."""
    result: list[tuple[Curve, bool]] = []
    for curve in curves:
        cuts: list[float] = []
        for edge in strip.edges:
            if not _is_clear(curve, edge):
                cuts += line_crossings(curve, edge.point, edge.along)
        parts = split_many(curve, tuple(cuts)) if cuts else (curve,)
        result += [(part, strip.holds(_middle(part))) for part in parts]
    return result


def _is_clear(curve: Curve, edge: Edge) -> bool:
    """Whether a straight line lies on one side of an edge; other curves are looked at closely."""
    if not isinstance(curve, Line):
        return False
    a, b = edge.depth_mm(curve.start), edge.depth_mm(curve.end)
    return (a > ON_JOINT_LINE_MM and b > ON_JOINT_LINE_MM) or (
        a < -ON_JOINT_LINE_MM and b < -ON_JOINT_LINE_MM
    )


def _middle(curve: Curve) -> Point:
    if isinstance(curve, Line):
        (ax, ay), (bx, by) = curve.start, curve.end
        return ((ax + bx) / 2.0, (ay + by) / 2.0)
    return evaluate(curve, 0.5)


def _runs(parted: list[tuple[Curve, bool]]) -> list[_Chain]:
    """Return the unbroken rows of curves that lie inside."""
    return [
        tuple(curve for curve, _ in group)
        for inside, group in groupby(parted, key=lambda item: item[1])
        if inside
    ]


def _runs_of_ring(curves: _Chain, strip: Strip) -> tuple[list[_Chain], bool]:
    """Return the rows of a closed ring that lie inside, and whether that is all of it."""
    parted = _parted(curves, strip)
    if all(inside for _, inside in parted):
        return [], True
    if not any(inside for _, inside in parted):
        return [], False
    first = next(i for i, (_, inside) in enumerate(parted) if not inside)
    return _runs(parted[first:] + parted[:first]), False


def _linked(chains: list[_Chain], strip: Strip, way: Callable[[Edge], Path]) -> list[_Chain]:
    """Link chains along the strip's sides to closed loops, material on the left."""
    starts = [start_point(c[0]) for c in chains]
    loops: list[_Chain] = []
    left = list(range(len(chains)))
    while left:
        first = here = left[0]
        loop: list[Curve] = []
        while True:
            left.remove(here)
            loop += chains[here]
            at = end_point(chains[here][-1])
            edge = _side(at, strip)
            following = _following(at, edge, [*left, first], starts, strip)
            if math.dist(at, starts[following]) > SAME_POINT_MM:
                loop += way(edge)(edge.measure_mm(at), edge.measure_mm(starts[following]))
            if following == first:
                break
            here = following
        loops.append(tuple(loop))
    return loops


def _side(point: Point, strip: Strip) -> Edge:
    """Return the side of the strip that a chain's end lies on."""
    return min(strip.edges, key=lambda e: abs(e.depth_mm(point)))


def _following(
    at: Point, edge: Edge, candidates: list[int], starts: list[Point], strip: Strip
) -> int:
    """Return the chain that begins next along a side."""
    here = edge.measure_mm(at)
    ahead = [
        (edge.measure_mm(starts[i]) - here, i)
        for i in candidates
        if _side(starts[i], strip) is edge and edge.measure_mm(starts[i]) - here >= -SAME_POINT_MM
    ]
    if not ahead:
        raise ValueError(f"an outline that crosses itself can't be cut at {at}")
    return min(ahead)[1]


def _paired(flat: list[_Chain], true: list[_Chain]) -> list[Ring]:
    """Return rings from flattened loops and the true ones that lie nearest to them.

    Where their number differs (a curve that only just touches a joint line) the flattened loop
    stands for itself.
    """
    points = [tuple(start_point(c) for c in loop) for loop in flat]
    if len(true) != len(flat):
        return [Ring(p) for p in points]
    boxes = [bounds_mm(tuple(start_point(c) for c in loop)) for loop in true]
    return [Ring(p, true[_nearest(bounds_mm(p), boxes)]) for p in points]


def _nearest(box: tuple[float, ...], boxes: list[tuple[float, float, float, float]]) -> int:
    gaps = [sum(abs(a - b) for a, b in zip(box, other, strict=True)) for other in boxes]
    return gaps.index(min(gaps))


def _owner(points: tuple[Point, ...], polygons: list[Polygon]) -> int:
    """Return which polygon a ring or mark belongs to: the one nearest to its middle point."""
    x, y = points[len(points) // 2]
    gaps = [polygon.distance(ShapelyPoint(x, y)) for polygon in polygons]
    return gaps.index(min(gaps))
