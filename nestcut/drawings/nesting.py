"""Which loop lies in which: outlines, their holes, islands, frames around everything."""

from __future__ import annotations

import re
from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
import shapely

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
    polygons = np.array([loop.polygon for loop in loops], dtype=object)
    areas = np.array([loop.polygon.area for loop in loops])
    inside: dict[int, list[int]] = defaultdict(list)
    crossing: list[tuple[Loop, Loop, Point]] = []
    tree = shapely.STRtree(polygons)
    seen = 0
    sound = np.array([loop.polygon.is_valid for loop in loops], dtype=bool)
    for start in range(0, len(loops), 64):
        chunk = polygons[start : start + 64]
        left, right = tree.query(chunk)  # boxes only: cheap, so that a pattern is noticed early
        left = left + start
        seen += len(left)
        if seen > MAX_PAIRS:
            return inside, crossing, False
        keep = (areas[left] < areas[right]) & sound[left] & sound[right]
        left, right = left[keep], right[keep]
        shapely.prepare(polygons[right])
        within = shapely.contains(polygons[right], polygons[left])
        for i, j in zip(left[within].tolist(), right[within].tolist(), strict=True):
            inside[i].append(j)
        left, right = left[~within], right[~within]
        meet = shapely.intersects(polygons[right], polygons[left])
        left, right = left[meet], right[meet]
        share = shapely.area(shapely.intersection(polygons[left], polygons[right])) / areas[left]
        for i, j, s in zip(left.tolist(), right.tolist(), share.tolist(), strict=True):
            if s >= _INSIDE:
                inside[i].append(j)
            elif s > 1.0 - _INSIDE:
                crossing.append((loops[i], loops[j], _meeting_point(loops[i], loops[j])))
    return inside, crossing, True


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
    if not inner or loop.area_mm2 < 0.999 * (x1 - x0) * (y1 - y0):
        return False
    if _FRAME_LAYER.search(loop.layer) and any(c.layer != loop.layer for c in inner):
        return True
    if any(id(child) in children for child in inner):
        return True
    named = sum(
        1
        for child in inner
        if any(child.polygon.covers(shapely.Point(label.at_mm)) for label in labels[:2000])
    )
    return named >= 2
