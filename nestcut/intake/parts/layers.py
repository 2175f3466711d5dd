"""Parts that are glued up from layers: each layer with its own size where an edge is bevelled."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

from nestcut.errors import Finding, Severity, finding
from nestcut.geometry.curves import end_point, start_point
from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.jobfile.records import PartText
from nestcut.model.curves import Arc, Curve, Line, Point
from nestcut.model.joint import Face
from nestcut.model.part import EdgeBevel, SheetPart
from nestcut.model.shape import Shape
from nestcut.tolerances import FLATNESS_MM, SAME_LENGTH_MM
from nestcut.tolerances.lengths import NOISE_MM, ON_LINE_MM


def in_layers(part: SheetPart, entry: PartText) -> tuple[list[SheetPart], list[Finding]]:
    """Layers of a part, counted from its good face; the part itself where it has only one.

    A layer lies ``i`` thicknesses below the face that keeps its full size, so its bevelled edges
    go in by i t tan(tilt), the least tilt where it changes along the edge: what is left too large
    is planed off.
    """
    if entry.layers == 1:
        return [part], []
    layers: list[SheetPart] = []
    for number in range(entry.layers):
        shape: Shape | None = part.shape
        for bevel in part.edge_bevels:
            if bevel.tilt_deg is None or shape is None:
                continue
            deep = number if bevel.larger is Face.GOOD else entry.layers - 1 - number
            inward = deep * part.thickness_mm * math.tan(math.radians(bevel.tilt_deg[0]))
            shape = _moved(shape, part.shape, bevel, inward)
        if shape is None:
            return [part], [_curved(part, entry)]
        bevels = tuple(_on(b, part.shape, shape) for b in part.edge_bevels)
        name = layer_name(part.name, number)
        layers.append(replace(part, name=name, shape=shape, edge_bevels=bevels))
    return layers, []


def layer_name(part: str, number: int) -> str:
    """Return what a part's layer is called; ``number`` counts from 0 at the good face."""
    return f"{part}, layer {number + 1}"


def grown_at_bevels(part: SheetPart, entry: PartText) -> tuple[SheetPart, list[Finding]]:
    """Part whose outline is that of its smaller face, grown to the larger one at bevelled edges.

    A transom is measured at its after face, and the hull is wider at its fore face.  The greatest
    tilt counts: wood that isn't there can't be planed.
    """
    shape: Shape | None = part.shape
    for bevel in part.edge_bevels:
        if bevel.larger is Face.BACK and bevel.tilt_deg is not None and shape is not None:
            depth = entry.layers * part.thickness_mm
            outward = depth * math.tan(math.radians(bevel.tilt_deg[1]))
            shape = _moved(shape, part.shape, bevel, -outward)
    if shape is None:
        return part, [_curved(part, entry)]
    bevels = tuple(_on(b, part.shape, shape) for b in part.edge_bevels)
    return replace(part, shape=shape, edge_bevels=bevels), []


def _curved(part: SheetPart, entry: PartText) -> Finding:
    told = finding("JOB-036", Severity.ERROR, entry.path, part=part.name)
    return replace(told, file=entry.file)


def _moved(shape: Shape, whole: Shape, bevel: EdgeBevel, inward_mm: float) -> Shape | None:
    """Shape with a bevel's straight edges moved inward; None where they are curved.

    A neighbour may be an arc, as a cambered top is: it is cut off or runs on along its circle.

    Edges are found on the ``whole`` part, whose curves the shape has one for one.
    """
    if abs(inward_mm) <= SAME_LENGTH_MM:
        return shape
    curves, first = _curves(shape), _curves(whole)
    n = len(curves)
    is_moved = [_is_on(curve, bevel) for curve in first]
    if len(first) != n or not any(is_moved):
        return None
    edges = [
        _inward(curve, inward_mm) if moves else _edge_of(curve)
        for curve, moves in zip(curves, is_moved, strict=True)
    ]
    corners: list[Point] = []
    for i in range(n):
        if not is_moved[i - 1] and not is_moved[i]:
            corners.append(start_point(curves[i]))
            continue
        corner = _corner(edges[i - 1], edges[i], start_point(curves[i]))
        if corner is None:
            return None
        corners.append(corner)
    ring = tuple(_between(c, corners[i], corners[(i + 1) % n]) for i, c in enumerate(curves))
    return replace(shape, outline=ring_from_curves(ring, FLATNESS_MM, Side.OUTLINE))


def _curves(shape: Shape) -> tuple[Curve, ...]:
    points = shape.outline.points
    straight = zip(points, (*points[1:], points[0]), strict=True)
    return shape.outline.curves or tuple(Line(a, b) for a, b in straight)


def _is_on(curve: Curve, bevel: EdgeBevel) -> bool:
    """Whether a straight edge is part of the bevel's."""
    return isinstance(curve, Line) and any(
        _lies_on(curve.start, line) and _lies_on(curve.end, line) for line in bevel.lines
    )


Straight = tuple[Point, float]
"""Outward unit normal of a straight edge of a counter-clockwise outline, and its constant."""


def _edge_of(curve: Curve) -> Straight | Arc | None:
    """What an edge lies on, as far as it may run on; None: nobody knows how it would."""
    if isinstance(curve, Line):
        return _line(curve)
    return curve if isinstance(curve, Arc) else None


def _inward(curve: Curve, inward_mm: float) -> Straight | None:
    if not isinstance(curve, Line):
        return None
    normal, constant = _line(curve)
    return normal, constant - inward_mm


def _corner(one: Straight | Arc | None, other: Straight | Arc | None, near: Point) -> Point | None:
    """Where two edges meet, the nearest to where they met before."""
    if one is None or other is None:
        return None
    if isinstance(one, Arc):
        return None if isinstance(other, Arc) else _on_circle(other, one, near)
    return _on_circle(one, other, near) if isinstance(other, Arc) else _crossing(one, other)


def _on_circle(line: Straight, arc: Arc, near: Point) -> Point | None:
    (nx, ny), constant = line
    cx, cy = arc.centre
    off = constant - nx * cx - ny * cy
    if abs(off) > arc.radius_mm:
        return None
    half = math.sqrt(arc.radius_mm**2 - off**2)
    foot = (cx + off * nx, cy + off * ny)
    ends = [(foot[0] - s * half * ny, foot[1] + s * half * nx) for s in (1.0, -1.0)]
    return min(ends, key=lambda p: math.dist(p, near))


def _between(curve: Curve, start: Point, end: Point) -> Curve:
    """A curve that runs from corner to corner on what it lay on before."""
    if isinstance(curve, Line):
        return Line(start, end)
    is_same = math.dist(start, start_point(curve)) + math.dist(end, end_point(curve)) < NOISE_MM
    if is_same or not isinstance(curve, Arc):
        return curve
    first, last = (
        math.degrees(math.atan2(p[1] - curve.centre[1], p[0] - curve.centre[0]))
        for p in (start, end)
    )
    sweep = (last - first) % 360.0
    return replace(
        curve, start_deg=first, sweep_deg=sweep if curve.sweep_deg > 0.0 else sweep - 360.0
    )


def _line(edge: Line) -> Straight:
    """Outward unit normal and constant of an edge of a counter-clockwise outline."""
    (ax, ay), (bx, by) = edge.start, edge.end
    size = math.dist(edge.start, edge.end)
    normal = ((by - ay) / size, -(bx - ax) / size)
    return normal, normal[0] * ax + normal[1] * ay


def _crossing(one: Straight, other: Straight) -> Point | None:
    (n, c), (m, d) = one, other
    wide = n[0] * m[1] - n[1] * m[0]
    if abs(wide) < NOISE_MM:
        return None
    return ((c * m[1] - d * n[1]) / wide, (n[0] * d - m[0] * c) / wide)


def _lies_on(p: Point, line: tuple[Point, ...]) -> bool:
    for a, b in pairwise(line):
        size = math.dist(a, b)
        if size <= SAME_LENGTH_MM:
            continue
        along = ((p[0] - a[0]) * (b[0] - a[0]) + (p[1] - a[1]) * (b[1] - a[1])) / size
        off = abs((p[0] - a[0]) * (b[1] - a[1]) - (p[1] - a[1]) * (b[0] - a[0])) / size
        if off <= ON_LINE_MM and -ON_LINE_MM <= along <= size + ON_LINE_MM:
            return True
    return False


def _on(bevel: EdgeBevel, whole: Shape, shape: Shape) -> EdgeBevel:
    """A bevel on another size of its part, its angles at the ends they belong to."""
    lines = _lines_on(bevel, whole, shape)
    ends = []
    for line in lines if bevel.at_ends_deg else ():
        paired = zip(bevel.lines, bevel.at_ends_deg, strict=True)
        old, (first, last) = min(paired, key=lambda p: math.dist(_middle(p[0]), _middle(line)))
        is_along = math.dist(old[0], line[0]) <= math.dist(old[0], line[-1])
        ends.append((first, last) if is_along else (last, first))
    return replace(bevel, lines=lines, at_ends_deg=tuple(ends))


def _middle(line: tuple[Point, ...]) -> Point:
    return ((line[0][0] + line[-1][0]) / 2.0, (line[0][1] + line[-1][1]) / 2.0)


def _lines_on(bevel: EdgeBevel, whole: Shape, shape: Shape) -> tuple[tuple[Point, ...], ...]:
    """The bevel's edge on another size of the part: where the whole part's edge went."""
    pairs = zip(_curves(whole), _curves(shape), strict=True)
    found = [(c.start, c.end) for w, c in pairs if isinstance(c, Line) and _is_on(w, bevel)]
    return tuple(found) or bevel.lines
