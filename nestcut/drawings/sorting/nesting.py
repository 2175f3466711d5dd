"""Which loop lies in which: outlines, their holes, islands, frames around everything."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray

from nestcut.drawings.lines.loops import MAX_PAIRS, Loop
from nestcut.drawings.records import Label
from nestcut.drawings.sorting.labels import plain_name
from nestcut.drawings.sorting.shopwords import (
    BORDER_LAYER,
    CONSTRUCTION_LAYER,
    DIMENSION_LAYER,
    HOLE,
    MARKER_LAYER,
    STATION,
    STATION_LAYER,
    TEXT_LAYER,
)
from nestcut.model.curves import Arc, Line, Point
from nestcut.tolerances.likeness import BOUGHT_SHARE, INSIDE_SHARE, LEVEL_SHARE, MARKER_SHARE
from nestcut.trade import shop as trade

_INSIDE = 1.0 - INSIDE_SHARE
"""A loop of which this share lies in another is inside it; flattening explains the rest. [-]"""

_BOUGHT_MM = (
    (2440.0, 1220.0), (2438.4, 1219.2), (2500.0, 1250.0), (2400.0, 1200.0), (3050.0, 1525.0),
    (3100.0, 1530.0), (3048.0, 1219.2), (1525.0, 1525.0),
    (1189.0, 841.0), (841.0, 594.0), (594.0, 420.0), (420.0, 297.0), (297.0, 210.0),
    (279.4, 215.9),
)  # fmt: skip
"""Usual sheets and ISO 216 or Letter paper: rectangles drawn around parts, seldom parts. [mm]"""

_DRAWN_ONLY = (CONSTRUCTION_LAYER, DIMENSION_LAYER, MARKER_LAYER, STATION_LAYER, TEXT_LAYER)

_MOST_LABELS = 2000

_SHORT_NAME, _MARKER_SHARE = 3, MARKER_SHARE
"""Texts of so many signs are markers' letters; shorter than this share of a rectangle's length no
part is that is drawn in it. [-]"""

RING_MM = trade.ALLOWANCE_RING_MM.value
"""Such lines may also be a narrow frame: the builder is asked. [mm]"""

_RING_STEPS = 64


@dataclass(slots=True)
class Nested:
    """Loops with parents and depths set, and what was found on the way.

    ``marks`` are closed lines inside others that are no cut-outs by their layer's name.
    """

    loops: list[Loop]
    crossing: list[tuple[Loop, Loop, Point]] = field(default_factory=list)
    over_edges: list[tuple[Loop, Loop, Point]] = field(default_factory=list)
    frames: list[Loop] = field(default_factory=list)
    marks: list[Loop] = field(default_factory=list)
    is_complete: bool = True


def nest(loops: list[Loop], labels: list[Label]) -> Nested:
    """Set each loop's parent, the smallest loop around it, and its depth."""
    out = Nested(list(loops))
    found = _containers(loops)
    out.crossing, out.is_complete = found.crossing, found.is_complete
    overlaid = {frozenset((a.layer, b.layer)) for a, b, _ in out.crossing if a.layer != b.layer}
    for i, j, at in found.touching:
        a, b = loops[i], loops[j]
        a.is_over_edge = True
        out.over_edges.append((a, b, at))
        if a.layer != b.layer:
            overlaid.add(frozenset((a.layer, b.layer)))
    for _, crossed, _ in out.crossing:
        crossed.is_crossed = True
    touching = {(i, j) for i, j, _ in found.touching}
    for i, loop in enumerate(loops):
        around = [
            loops[j]
            for j in found.inside.get(i, ())
            if (i, j) not in touching and frozenset((loop.layer, loops[j].layer)) not in overlaid
        ]
        loop.parent = min(around, key=lambda other: other.area_mm2, default=None)
    _remove_frames(out, labels)
    _take_marks_out(out)
    _part_rings(out.loops)
    for loop in sorted(out.loops, key=lambda other: -other.area_mm2):
        loop.depth = 0 if loop.parent is None else loop.parent.depth + 1
    return out


def _take_marks_out(out: Nested) -> None:
    """Closed lines inside others on layers of marks, texts and the like are drawn, not cut."""
    out.marks = [
        loop
        for loop in out.loops
        if loop.parent is not None
        and loop.layer != loop.parent.layer
        and any(pattern.search(loop.layer) for pattern in _DRAWN_ONLY)
    ]
    gone = {id(loop) for loop in out.marks}
    if not gone:
        return
    out.loops = [loop for loop in out.loops if id(loop) not in gone]
    for loop in out.loops:
        while loop.parent is not None and id(loop.parent) in gone:
            loop.parent = loop.parent.parent


def _part_rings(loops: list[Loop]) -> None:
    """Part two outlines that run round each other all the way: neither is a hole of the other."""
    for loop in loops:
        outer = loop.parent
        if outer is None or outer.parent is not None or not loop.polygon.is_valid:
            continue
        away = _ring_mm(loop, outer)
        if away:
            loop.ring_at_mm = outer.ring_at_mm = away
            outer.is_ring = True
            loop.ring_layer, outer.ring_layer = outer.layer, loop.layer
    for loop in loops:
        if loop.ring_at_mm and not loop.is_ring:
            loop.parent = None


def _ring_mm(inner: Loop, outer: Loop) -> float:
    """Return the distance at which one loop runs round another all the way, or 0."""
    width = outer.box_mm[2] - outer.box_mm[0]
    height = outer.box_mm[3] - outer.box_mm[1]
    if _is_round(inner) and _is_round(outer):
        return 0.0  # a washer, a ring: its hole is doubted for its rim instead
    reach = min(RING_MM, 0.12 * max(width, height))
    in_width = inner.box_mm[2] - inner.box_mm[0]
    in_height = inner.box_mm[3] - inner.box_mm[1]
    if width - in_width > 2.5 * reach or height - in_height > 2.5 * reach:
        return 0.0
    for a, b in ((inner, outer), (outer, inner)):
        edge = shapely.get_exterior_ring(a.polygon)
        points = shapely.line_interpolate_point(
            edge, np.arange(_RING_STEPS) / _RING_STEPS, normalized=True
        )
        away = shapely.distance(points, shapely.get_exterior_ring(b.polygon))
        least, most = float(away.min()), float(away.max())
        if most <= reach and most - least <= 0.25 * most + 0.3:
            return float(np.median(away))
    return 0.0


def _is_round(loop: Loop) -> bool:
    return all(isinstance(c, Arc) for c in loop.chain.curves)


@dataclass(slots=True)
class _Found:
    """Which loops (by number) lie in which, which cross, which lie in one and touch its edge."""

    inside: dict[int, list[int]] = field(default_factory=lambda: defaultdict(list))
    crossing: list[tuple[Loop, Loop, Point]] = field(default_factory=list)
    touching: list[tuple[int, int, Point]] = field(default_factory=list)
    is_complete: bool = True


def _containers(loops: list[Loop]) -> _Found:
    polygons = np.array([loop.polygon for loop in loops], dtype=object)
    found = _Found()
    left, right = _near_pairs(loops, polygons)
    if len(left) > MAX_PAIRS:
        found.is_complete = False
        return found
    shapely.prepare(polygons)
    edges = shapely.boundary(polygons)
    shapely.prepare(edges)
    meet = shapely.intersects(edges[right], edges[left])
    starts = np.array([shapely.Point(loop.chain.start) for loop in loops], dtype=object)
    within = ~meet & shapely.intersects(polygons[right], starts[left])
    for i, j in zip(left[within].tolist(), right[within].tolist(), strict=True):
        found.inside[i].append(j)
    left, right = left[meet], right[meet]
    common = shapely.area(shapely.intersection(polygons[left], polygons[right]))
    share = common / shapely.area(polygons[left])
    for i, j, s in zip(left.tolist(), right.tolist(), share.tolist(), strict=True):
        if s >= _INSIDE:
            found.inside[i].append(j)
            found.touching.append((i, j, _meeting_point(loops[i], loops[j])))
        elif s > 1.0 - _INSIDE:
            found.crossing.append((loops[i], loops[j], _meeting_point(loops[i], loops[j])))
    return found


def _near_pairs(
    loops: list[Loop], polygons: NDArray[np.object_]
) -> tuple[NDArray[np.int_], NDArray[np.int_]]:
    """Pairs of sound loops (smaller, larger) whose boxes overlap; stops once there are too many."""
    areas = np.array([loop.polygon.area for loop in loops])
    sound = np.array([loop.polygon.is_valid for loop in loops], dtype=bool)
    tree = shapely.STRtree(polygons)
    found: list[NDArray[np.int_]] = [np.empty((2, 0), dtype=np.int_)]
    count = 0
    for start in range(0, len(loops), 64):
        left, right = tree.query(polygons[start : start + 64])
        left = left + start
        smaller = (areas[left] < areas[right]) | ((areas[left] == areas[right]) & (left < right))
        keep = smaller & sound[left] & sound[right] & (left != right)
        found.append(np.stack([left[keep], right[keep]]))
        count += int(np.count_nonzero(keep))
        if count > MAX_PAIRS:
            break
    both = np.concatenate(found, axis=1)
    return both[0], both[1]


def _meeting_point(a: Loop, b: Loop) -> Point:
    met = shapely.get_coordinates(shapely.intersection(a.polygon.boundary, b.polygon.boundary))
    x, y = met[0] if len(met) else (a.box_mm[0], a.box_mm[1])
    return (float(x), float(y))


def _remove_frames(out: Nested, labels: list[Label]) -> None:
    """Take rectangles away that are drawn around parts: sheet borders, title frames."""
    for _ in range(3):
        children: dict[int, list[Loop]] = defaultdict(list)
        for loop in out.loops:
            if loop.parent is not None:
                children[id(loop.parent)].append(loop)
        frames = [
            loop for loop in out.loops if loop.parent is None and _is_frame(loop, children, labels)
        ]
        if not frames:
            return
        out.frames += frames
        gone = {id(f) for f in frames}
        out.loops = [loop for loop in out.loops if id(loop) not in gone]
        for loop in out.loops:
            if loop.parent is not None and id(loop.parent) in gone:
                loop.parent = None


def _is_frame(loop: Loop, children: dict[int, list[Loop]], labels: list[Label]) -> bool:
    inner = children.get(id(loop), [])
    x0, y0, x1, y1 = loop.box_mm
    width, height = x1 - x0, y1 - y0
    if not inner or not _is_square_cut(loop):
        return False
    if BORDER_LAYER.search(loop.layer) and any(c.layer != loop.layer for c in inner):
        return True
    is_box = loop.area_mm2 >= 0.999 * width * height
    if len(inner) == 1 and is_box and _is_double_border(loop, inner[0], children):
        return True
    if len(inner) < 2:
        return False
    if is_box and is_bought_size(max(width, height), min(width, height)):
        return True
    names = [s for s in labels[:_MOST_LABELS] if _may_name(s)]
    part_like = sum(1 for child in inner if _is_part_like(child, loop, children, names))
    return part_like >= 2


def _may_name(label: Label) -> bool:
    """Whether a text can name a part: no marker's letter, station number or word for a hole."""
    plain = plain_name(label.text)
    is_note = STATION.match(plain) or HOLE.search(label.text)
    return len(plain) > _SHORT_NAME and not is_note


def _is_part_like(
    child: Loop, outer: Loop, children: dict[int, list[Loop]], names: list[Label]
) -> bool:
    """Whether what lies in a rectangle looks like a part drawn on a page, not like a hole in it.

    It has cut-outs of its own or a name in it, and isn't as small as a marker.
    """
    if _extent(child) < _MARKER_SHARE * _extent(outer):
        return False
    return id(child) in children or any(
        child.polygon.intersects(shapely.Point(label.at_mm)) for label in names
    )


def _extent(loop: Loop) -> float:
    return max(loop.box_mm[2] - loop.box_mm[0], loop.box_mm[3] - loop.box_mm[1])


def _is_square_cut(loop: Loop) -> bool:
    """Whether all its edges are level or upright: a border, also one that ends at a title block."""
    width = loop.box_mm[2] - loop.box_mm[0]
    return all(
        isinstance(c, Line)
        and min(abs(c.end[0] - c.start[0]), abs(c.end[1] - c.start[1])) <= LEVEL_SHARE * width
        for c in loop.chain.curves
    )


def _is_double_border(outer: Loop, inner: Loop, children: dict[int, list[Loop]]) -> bool:
    """Whether two rectangles run round each other and several things lie in the inner one."""
    x0, y0, x1, y1 = inner.box_mm
    is_box = inner.area_mm2 >= 0.999 * (x1 - x0) * (y1 - y0)
    return (
        is_box and len(children.get(id(inner), ())) >= 2 and inner.area_mm2 > 0.7 * outer.area_mm2
    )


def is_bought_size(long: float, short: float) -> bool:
    """Whether a rectangle has the size of a sheet of plywood or of drawing paper, within 1 %."""
    return any(
        abs(long / a - 1.0) < BOUGHT_SHARE and abs(short / b - 1.0) < BOUGHT_SHARE
        for a, b in _BOUGHT_MM
    )
