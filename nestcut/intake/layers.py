"""Parts that are glued up from layers: each layer with its own size where an edge is bevelled."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from nestcut.errors import Finding, Severity, finding
from nestcut.jobfile.records import PartText
from nestcut.model.curves import Line, Point
from nestcut.model.joint import Face
from nestcut.model.part import EdgeBevel, SheetPart
from nestcut.model.shape import Ring, Shape
from nestcut.tolerances import SAME_LENGTH_MM

_ON_LINE_MM = 0.05
"""A corner nearer than this to a bevelled edge's line lies on it. [mm]"""


def in_layers(part: SheetPart, entry: PartText) -> tuple[list[SheetPart], list[Finding]]:
    """Layers of a part, counted from its good face; the part itself where it has only one.

    A layer lies ``i`` thicknesses below the face that keeps its full size, so its bevelled edges
    go in by i t tan(tilt), the least tilt where it changes along the edge: too much is planed off,
    too little never comes back.
    """
    if entry.layers == 1:
        return [part], []
    layers: list[SheetPart] = []
    for number in range(entry.layers):
        shape = part.shape
        for bevel in part.edge_bevels:
            if bevel.tilt_deg is None:
                continue
            deep = number if bevel.larger is Face.GOOD else entry.layers - 1 - number
            inward = deep * part.thickness_mm * math.tan(math.radians(bevel.tilt_deg[0]))
            moved = _moved(shape, part.shape, bevel, inward)
            if moved is None:
                fault = finding(
                    "JOB-036",
                    Severity.ERROR,
                    f"{entry.path}.layers",
                    part=part.name,
                    edge=bevel.name,
                )
                return [part], [replace(fault, file=entry.file)]
            shape = moved
        bevels = tuple(replace(b, lines=_lines_on(b, part.shape, shape)) for b in part.edge_bevels)
        name = f"{part.name}, layer {number + 1}"
        layers.append(replace(part, name=name, shape=shape, edge_bevels=bevels))
    return layers, []


def _moved(shape: Shape, whole: Shape, bevel: EdgeBevel, inward_mm: float) -> Shape | None:
    """Shape with a bevel's straight edges moved inward; None where an edge is curved."""
    if inward_mm <= SAME_LENGTH_MM:
        return shape
    points = _corners(shape)
    first = _corners(whole)
    if points is None or first is None or len(points) != len(first):
        return None
    n = len(points)
    lines = [_line(points[i], points[(i + 1) % n]) for i in range(n)]
    is_met = False
    for i in range(n):
        a, b = first[i], first[(i + 1) % n]
        if any(_lies_on(a, line) and _lies_on(b, line) for line in bevel.lines):
            normal, constant = lines[i]
            lines[i] = (normal, constant - inward_mm)
            is_met = True
    if not is_met:
        return None
    corners = [_crossing(lines[i - 1], lines[i]) for i in range(n)]
    if any(c is None for c in corners):
        return None
    ring = tuple(c for c in corners if c is not None)
    curves = tuple(Line(a, b) for a, b in zip(ring, (*ring[1:], ring[0]), strict=True))
    return replace(shape, outline=Ring(ring, curves))


def _corners(shape: Shape) -> tuple[Point, ...] | None:
    curves = shape.outline.curves
    if not all(isinstance(c, Line) for c in curves):
        return None
    return tuple(c.start for c in curves if isinstance(c, Line)) or shape.outline.points


def _line(a: Point, b: Point) -> tuple[Point, float]:
    """Outward unit normal and constant of an edge of a counter-clockwise outline."""
    size = math.dist(a, b)
    normal = ((b[1] - a[1]) / size, -(b[0] - a[0]) / size)
    return normal, normal[0] * a[0] + normal[1] * a[1]


def _crossing(one: tuple[Point, float], other: tuple[Point, float]) -> Point | None:
    (n, c), (m, d) = one, other
    wide = n[0] * m[1] - n[1] * m[0]
    if abs(wide) < 1e-9:
        return None
    return ((c * m[1] - d * n[1]) / wide, (n[0] * d - m[0] * c) / wide)


def _lies_on(p: Point, line: tuple[Point, ...]) -> bool:
    for a, b in pairwise(line):
        size = math.dist(a, b)
        if size <= SAME_LENGTH_MM:
            continue
        along = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / size
        off = abs((p[0] - a[0]) * (b[1] - a[1]) - (p[1] - a[1]) * (b[0] - a[0])) / size
        if off <= _ON_LINE_MM and -_ON_LINE_MM <= along <= size + _ON_LINE_MM:
            return True
    return False


def _lines_on(bevel: EdgeBevel, whole: Shape, shape: Shape) -> tuple[tuple[Point, ...], ...]:
    """The bevel's edge on a layer: where the whole part's edge went."""
    before, after = _corners(whole), _corners(shape)
    if before is None or after is None:
        return bevel.lines
    n = len(before)
    return tuple(
        (after[i], after[(i + 1) % n])
        for i in range(n)
        if any(_lies_on(before[i], x) and _lies_on(before[(i + 1) % n], x) for x in bevel.lines)
    )
