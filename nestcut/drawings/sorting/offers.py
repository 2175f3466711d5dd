"""Outlines that may be meant although no closed line shows them: hatches and half-drawn parts."""

from __future__ import annotations

import math
from collections import defaultdict
from dataclasses import replace

import shapely
from shapely.affinity import translate
from shapely.geometry import LineString

from nestcut.drawings.lines.chain import Chain, chain, close_gaps, edges_of
from nestcut.drawings.lines.edges import network
from nestcut.drawings.lines.loops import Loop, leave_stroke, measure, without_copies
from nestcut.drawings.records import DrawnOutline, LeftOut, Mirroring, Pen, ReadOptions, Stroke
from nestcut.drawings.sorting.assemble import Family
from nestcut.drawings.sorting.halves import lies_on, off_line, reflection, side_of
from nestcut.drawings.sorting.nesting import nest
from nestcut.geometry.pose import move_points
from nestcut.model.curves import Line, Point

MAX_HATCHES = 3_000
"""More hatch edges than this are shading, not parts. [-]"""

MAX_CENTRE_LINES = 400
_LEAST_HALF_MM = 20.0
"""Shorter openings are gaps, not centre lines. [mm]"""


def hatch_families(
    hatches: list[Stroke], loops: list[Loop], options: ReadOptions
) -> tuple[list[Family], list[LeftOut]]:
    """Return outlines that only hatches show, and the hatches that fill known outlines."""
    left_out: list[LeftOut] = []
    found: list[Loop] = []
    for stroke in hatches[:MAX_HATCHES]:
        made = [m for m in _closed(stroke, options) if m is not None]
        if not made:
            left_out.append(leave_stroke(stroke, "a hatch whose edge doesn't close"))
        found += made
    left_out += [leave_stroke(s, "one of too many hatches") for s in hatches[MAX_HATCHES:]]
    copies = without_copies([*loops, *found], options.join_gap_mm)
    known = {id(loop) for loop in loops}
    left_out += [replace(c, reason="the filling of an outline") for c in copies.left_out]
    by_entity: dict[tuple[str, str], list[Loop]] = defaultdict(list)
    for loop in copies.kept:
        if id(loop) not in known:
            by_entity[(loop.stroke.handle, loop.stroke.block)].append(loop)
    families: list[Family] = []
    for _, own in sorted(by_entity.items()):
        nested = nest(own, [])
        families += [
            Family(loop, [h for h in nested.loops if h.parent is loop])
            for loop in nested.loops
            if loop.depth % 2 == 0
        ]
    return families, left_out


def _closed(stroke: Stroke, options: ReadOptions) -> list[Loop | None]:
    net = network(edges_of([stroke]), options.join_gap_mm)
    return [measure(made, options.flatness_mm) for made in chain(net).loops]


def half_families(
    open_chains: list[Chain], broken: list[Chain], options: ReadOptions
) -> list[tuple[Family, Mirroring, Chain]]:
    """Return open chains that end on one straight centre line, closed along it, and the chains."""
    result = []
    gap = options.join_gap_mm
    centre_lines = _centre_lines(broken)
    for made in open_chains:
        start, end = made.start, made.end
        if math.dist(start, end) < _LEAST_HALF_MM or made.strokes[0].pen is Pen.BROKEN:
            continue
        if len(made.curves) < 2 or not side_of(made.curves, start, end, gap):
            continue
        reason = _why_centre(start, end, centre_lines, gap)
        if not reason:
            continue
        curves, sources = close_gaps([*made.curves, Line(end, start)])
        strokes = tuple(made.strokes[min(k, len(made.strokes) - 1)] for k in sources)
        closed = Chain(curves=curves, strokes=strokes, is_closed=True)
        loop = measure(closed, options.flatness_mm)
        if loop is not None and not loop.crossings:
            mirroring = Mirroring(start, end, reason, must_be_mirrored=True)
            result.append((Family(loop), mirroring, made))
    return result


def _centre_lines(broken: list[Chain]) -> list[Line]:
    """Straight broken lines, the longest first."""
    lines = [c for made in broken for c in made.curves if isinstance(c, Line)]
    lines = [c for c in lines if math.dist(c.start, c.end) >= _LEAST_HALF_MM]
    lines.sort(key=lambda c: -math.dist(c.start, c.end))
    return lines[:MAX_CENTRE_LINES]


def _why_centre(start: Point, end: Point, centre_lines: list[Line], gap_mm: float) -> str:
    for line in centre_lines:
        if all(abs(off_line(p, line.start, line.end)) <= gap_mm for p in (start, end)):
            return "both its ends lie on a centre line"
    if abs(start[0] - end[0]) <= gap_mm:
        return "its ends lie straight above each other"
    if abs(start[1] - end[1]) <= gap_mm:
        return "its ends lie level with each other"
    return ""


def with_halves(
    outlines: tuple[DrawnOutline, ...], broken: list[Chain], options: ReadOptions
) -> tuple[DrawnOutline, ...]:
    """Note on closed outlines a straight edge that they may be mirrored about.

    One on a centre line, or one that the outline's mirror image lies against on the other side.
    """
    gap = options.join_gap_mm
    centre_lines = _centre_lines(broken)
    lines = shapely.STRtree([LineString([c.start, c.end]) for c in centre_lines])
    boxes = shapely.STRtree([shapely.box(*o.box_mm) for o in outlines])
    result = []
    for outline in outlines:
        box = shapely.box(*outline.box_mm).buffer(gap)
        near = sorted(lines.query(box, predicate="intersects").tolist())
        found = next((m for i in near if (m := _half(outline, centre_lines[i], gap))), None)
        if found is None:
            beside = sorted(boxes.query(box, predicate="intersects").tolist())
            found = _half_of_two(outline, [outlines[i] for i in beside], gap)
        result.append(outline if found is None else replace(outline, half_of=found))
    return tuple(result)


def _half_of_two(
    outline: DrawnOutline, beside: list[DrawnOutline], gap_mm: float
) -> Mirroring | None:
    """Return the straight edge that an outline and its mirror image share, if there is one.

    Two that are alike without being turned over, rectangles say, are two parts drawn close.
    """
    size = math.sqrt(outline.area_mm2)
    own = shapely.LinearRing(outline.shape.outline.points)
    for edge in outline.shape.outline.curves:
        if not isinstance(edge, Line) or math.dist(edge.start, edge.end) < _LEAST_HALF_MM:
            continue
        for other in beside:
            curves = other.shape.outline.curves
            if other is outline or abs(other.area_mm2 - outline.area_mm2) > gap_mm * size:
                continue
            if not any(lies_on(c, edge.start, edge.end, gap_mm) for c in curves):
                continue
            ring = shapely.LinearRing(other.shape.outline.points)
            pose = reflection(edge.start, edge.end)
            image = shapely.LinearRing(move_points(outline.shape.outline.points, pose))
            x, y = (other.box_mm[k] - outline.box_mm[k] for k in (0, 1))
            if translate(own, x, y).hausdorff_distance(ring) <= gap_mm:
                continue
            if image.hausdorff_distance(ring) <= gap_mm:
                return Mirroring(edge.start, edge.end, "its mirror image lies against it")
    return None


def _half(outline: DrawnOutline, line: Line, gap_mm: float) -> Mirroring | None:
    curves = outline.shape.outline.curves
    on = [c for c in curves if lies_on(c, line.start, line.end, gap_mm)]
    if not on or not side_of(curves, line.start, line.end, gap_mm):
        return None
    reach = max(math.dist(c.start, c.end) for c in on if isinstance(c, Line))
    if reach < _LEAST_HALF_MM:
        return None
    return Mirroring(line.start, line.end, "one straight edge lies on a centre line")
