"""Which loop lies in which: outlines, their holes, islands, frames around everything."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray

from nestcut.drawings.labels import plain_name
from nestcut.drawings.loops import MAX_PAIRS, Loop
from nestcut.drawings.records import Label
from nestcut.model.curves import Point

_INSIDE = 1.0 - 1e-3
"""A loop of which this share lies in another is inside it; flattening explains the rest. [-]"""

_FRAME_LAYER = re.compile(
    r"frame[ _-]?(line|border)|border|title|drawing[ _-]?frame|sheet|page|paper|rahmen|blatt|cadre"
    r"|cartouche|marco|stock",
    re.IGNORECASE,
)


_BOUGHT_MM = (
    (2440.0, 1220.0), (2438.4, 1219.2), (2500.0, 1250.0), (2400.0, 1200.0), (3050.0, 1525.0),
    (3100.0, 1530.0), (3048.0, 1219.2), (1525.0, 1525.0),
    (1189.0, 841.0), (841.0, 594.0), (594.0, 420.0), (420.0, 297.0), (297.0, 210.0),
    (279.4, 215.9),
)  # fmt: skip
"""Usual sheets and ISO 216 or Letter paper: rectangles drawn around parts, seldom parts. [mm]"""

_MOST_LABELS = 2000


@dataclass(slots=True)
class Nested:
    """Loops with parents and depths set; crossing pairs and frames found on the way."""

    loops: list[Loop]
    crossing: list[tuple[Loop, Loop, Point]] = field(default_factory=list)
    frames: list[Loop] = field(default_factory=list)
    is_complete: bool = True


def nest(loops: list[Loop], labels: list[Label]) -> Nested:
    """Set each loop's parent, the smallest loop around it, and its depth."""
    out = Nested(list(loops))
    inside, out.crossing, out.is_complete = _containers(loops)
    overlaid = {frozenset((a.layer, b.layer)) for a, b, _ in out.crossing if a.layer != b.layer}
    for i, loop in enumerate(loops):
        around = [
            loops[j]
            for j in inside.get(i, ())
            if frozenset((loop.layer, loops[j].layer)) not in overlaid
        ]
        loop.parent = min(around, key=lambda other: other.area_mm2, default=None)
    _remove_frames(out, labels)
    for loop in sorted(out.loops, key=lambda other: -other.area_mm2):
        loop.depth = 0 if loop.parent is None else loop.parent.depth + 1
    return out


def _containers(
    loops: list[Loop],
) -> tuple[dict[int, list[int]], list[tuple[Loop, Loop, Point]], bool]:
    """Return which loops lie in which, which cross, and whether all pairs were looked at."""
    polygons = np.array([loop.polygon for loop in loops], dtype=object)
    inside: dict[int, list[int]] = defaultdict(list)
    crossing: list[tuple[Loop, Loop, Point]] = []
    left, right = _near_pairs(loops, polygons)
    if len(left) > MAX_PAIRS:
        return inside, crossing, False
    shapely.prepare(polygons)
    edges = shapely.boundary(polygons)
    shapely.prepare(edges)
    meet = shapely.intersects(edges[right], edges[left])
    starts = np.array([shapely.Point(loop.chain.start) for loop in loops], dtype=object)
    within = ~meet & shapely.intersects(polygons[right], starts[left])
    for i, j in zip(left[within].tolist(), right[within].tolist(), strict=True):
        inside[i].append(j)
    left, right = left[meet], right[meet]
    common = shapely.area(shapely.intersection(polygons[left], polygons[right]))
    share = common / shapely.area(polygons[left])
    for i, j, s in zip(left.tolist(), right.tolist(), share.tolist(), strict=True):
        if s >= _INSIDE:
            inside[i].append(j)
        elif s > 1.0 - _INSIDE:
            crossing.append((loops[i], loops[j], _meeting_point(loops[i], loops[j])))
    return inside, crossing, True


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
    if not inner or loop.area_mm2 < 0.999 * width * height:
        return False
    if _FRAME_LAYER.search(loop.layer) and any(c.layer != loop.layer for c in inner):
        return True
    if len(inner) < 2:
        return False
    if _is_bought_size(max(width, height), min(width, height)):
        return True
    part_like = sum(
        1
        for child in inner
        if id(child) in children
        or any(
            child.polygon.intersects(shapely.Point(label.at_mm))
            for label in labels[:_MOST_LABELS]
            if plain_name(label.text)
        )
    )
    return part_like >= 2


def _is_bought_size(long: float, short: float) -> bool:
    """Whether a rectangle has the size of a sheet of plywood or of drawing paper, within 1 %."""
    return any(abs(long / a - 1.0) < 0.01 and abs(short / b - 1.0) < 0.01 for a, b in _BOUGHT_MM)
