"""Closed loops before anything is known of holes: measured, checked, copies put aside."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.drawings.lines.chain import Chain
from nestcut.drawings.lines.crossings import box_of
from nestcut.drawings.lines.fineness import fineness_mm
from nestcut.drawings.records import LeftOut, Seen, Stroke
from nestcut.geometry.curves import flatten
from nestcut.geometry.rings import curves_area_mm2
from nestcut.model.curves import Point
from nestcut.tolerances import REDRAWN_MM, SAME_POINT_MM
from nestcut.tolerances.lengths import THINNEST_MM
from nestcut.tolerances.likeness import NOTHING_SHARE

MAX_LOOPS = 50_000
MAX_PAIRS = 200_000
"""Overlapping pairs of loops beyond which a drawing is a pattern, not parts. [-]"""


_REDRAWN_LEAST = 50.0
"""Outlines narrower than this many pencil lines may be meant to differ by one. [-]"""


@dataclass(slots=True, eq=False)
class Loop:
    """A closed loop. ``polygon`` is flattened with vertices on the curve, for comparing only."""

    chain: Chain
    polygon: BaseGeometry
    area_mm2: float
    box_mm: tuple[float, float, float, float]
    crossings: tuple[Point, ...] = ()
    also_on: list[str] = field(default_factory=list)
    parent: Loop | None = None
    depth: int = 0
    ring_at_mm: float = 0.0
    """Distance to another loop that runs round it, or in it, all the way; 0: none does. [mm]"""
    ring_layer: str = ""
    """Layer of that other loop."""
    is_ring: bool = False
    """Whether it is the outer one of such two."""
    is_over_edge: bool = False
    """Whether it lies in another loop and touches that one's edge: drawn over it, no cut-out."""
    is_crossed: bool = False
    """Whether another loop crosses its edge."""

    @property
    def stroke(self) -> Stroke:
        """The stroke that gives layer, block and colour: the one met most often."""
        return _most_common(self.chain.strokes)

    @property
    def layer(self) -> str:
        """Layer of most of it."""
        return self.stroke.layer

    @property
    def seen(self) -> Seen:
        """How its lines show: alike, since lines that show differently aren't joined."""
        return self.chain.strokes[0].seen


def _most_common(strokes: tuple[Stroke, ...]) -> Stroke:
    if len(strokes) == 1:
        return strokes[0]
    counts = Counter((s.layer, s.block, s.colour) for s in strokes)
    best = max(counts.values())
    return next(s for s in strokes if counts[(s.layer, s.block, s.colour)] == best)


MAX_CROSSINGS = 200
"""An outline that crosses itself more often is a scribble; cutting it apart would take minutes."""
_AT_ONCE = 64
"""Segments whose crossings are looked for at once. [-]"""


def measure(chain: Chain, flatness_mm: float) -> Loop | None:
    """Return a loop with its measures; None if it encloses nothing."""
    points = _around(chain, fineness_mm(chain.curves, flatness_mm))
    if len(points) < 3:
        points = _around(chain, THINNEST_MM)
    if len(points) < 3:
        return None
    box = box_of(chain.curves)
    area = abs(curves_area_mm2(chain.curves))
    width = max(box[2] - box[0], box[3] - box[1])
    if width <= SAME_POINT_MM:  # a dot, however many corners it has
        return None
    polygon: BaseGeometry = Polygon(points)
    nothing = max(NOTHING_SHARE * width, THINNEST_MM) * width
    crossings: tuple[Point, ...] = ()
    if not polygon.is_valid:
        crossings = self_crossings(points)
        if len(crossings) > MAX_CROSSINGS:
            polygon = polygon.convex_hull  # a scribble: it is at fault, whatever it encloses
        elif area <= nothing:
            area = float(shapely.make_valid(polygon).area)  # an eight sweeps nothing in sum
        if not crossings:  # repeated points or a spike: nothing a saw would notice
            polygon = shapely.make_valid(polygon)
    if area <= nothing:
        return None
    return Loop(chain, polygon, area, box, crossings)


def _around(chain: Chain, flatness_mm: float) -> list[Point]:
    points: list[Point] = []
    for curve in chain.curves:
        points += flatten(curve, flatness_mm)[:-1]
    return points


def self_crossings(points: list[Point]) -> tuple[Point, ...]:
    """Return places where a ring crosses or touches itself."""
    ring = np.asarray(points)
    ring = ring[np.any(ring != np.roll(ring, 1, axis=0), axis=1)]
    if not len(ring):  # all of it in one point
        return ()
    pairs = np.stack([ring, np.roll(ring, -1, axis=0)], axis=1)
    segments = np.asarray(shapely.linestrings(pairs))
    tree = shapely.STRtree(segments)
    n = len(segments)
    pairs_met: list[np.ndarray] = []
    for start in range(0, n, _AT_ONCE):
        left, right = tree.query(segments[start : start + _AT_ONCE], predicate="intersects")
        left += start
        apart = (right - left > 1) & ~((left == 0) & (right == n - 1))
        pairs_met.append(np.stack([left[apart], right[apart]]))
        if sum(found.shape[1] for found in pairs_met) > 2000:
            break
    left, right = np.concatenate(pairs_met, axis=1)[:, :2000]
    if not len(left):
        return ()
    met = shapely.intersection(segments[left], segments[right])
    found = shapely.get_coordinates(met)
    unique = np.unique(np.round(found, 3), axis=0)
    return tuple((x, y) for x, y in unique.tolist())


@dataclass(slots=True)
class Copies:
    """Loops of which each place holds one; what was left out for it; the furthest offset."""

    kept: list[Loop]
    left_out: list[LeftOut] = field(default_factory=list)
    furthest_mm: float = 0.0


def without_copies(loops: list[Loop], gap_mm: float) -> Copies:
    """Put loops aside that are drawn again in the same place, on whatever layer, or nearly so."""
    exact = _once(loops, gap_mm, _is_copy)
    near = _once(exact.kept, REDRAWN_MM, _is_redrawn)
    return Copies(near.kept, [*exact.left_out, *near.left_out],
                  max(exact.furthest_mm, near.furthest_mm))  # fmt: skip


def _once(
    loops: list[Loop], near_mm: float, is_copy: Callable[[Loop, Loop, float], bool]
) -> Copies:
    cells: dict[tuple[int, ...], list[int]] = defaultdict(list)
    out = Copies([])
    size = 8.0 * near_mm
    for i, loop in enumerate(loops):
        keys, left = _cells(loop.box_mm, size), loop.box_mm[0]
        twin = next(
            (
                j
                for key in keys
                for j in cells[key][:50]
                if abs(loops[j].box_mm[0] - left) <= near_mm and is_copy(loop, loops[j], near_mm)
            ),
            None,
        )
        if twin is None:
            out.kept.append(loop)
            for key in keys:
                cells[key].append(i)
            continue
        first = loops[twin]
        layer = loop.layer
        if layer != first.layer and layer not in first.also_on:
            first.also_on.append(layer)
        off = max(abs(p - q) for p, q in zip(loop.box_mm, first.box_mm, strict=True))
        out.furthest_mm = max(out.furthest_mm, off)
        reason = f"it repeats an outline of layer '{first.layer}' in the same place"
        out.left_out += [
            leave_stroke(s, reason, loop.box_mm[:2]) for s in unique(loop.chain.strokes)
        ]
    return out


def _is_redrawn(a: Loop, b: Loop, near_mm: float) -> bool:
    """Whether two loops run so near to each other all round that no saw follows both."""
    if any(abs(p - q) > near_mm for p, q in zip(a.box_mm, b.box_mm, strict=True)):
        return False
    x0, y0, x1, y1 = a.box_mm
    if min(x1 - x0, y1 - y0) < _REDRAWN_LEAST * near_mm:
        return False
    if abs(a.area_mm2 - b.area_mm2) > float(a.polygon.length) * near_mm:
        return False
    return float(shapely.hausdorff_distance(a.polygon.boundary, b.polygon.boundary)) <= near_mm


def _cells(box: tuple[float, float, float, float], size: float) -> list[tuple[int, ...]]:
    """Two shifted grids over the middle of the box; near boxes share a cell of one of them."""
    cx, cy = (box[0] + box[2]) / 2.0 / size, (box[1] + box[3]) / 2.0 / size
    return [
        (i, j, int(np.floor(cx + i / 2.0)), int(np.floor(cy + j / 2.0)))
        for i in (0, 1)
        for j in (0, 1)
    ]


def _is_copy(a: Loop, b: Loop, gap_mm: float) -> bool:
    if any(abs(p - q) > gap_mm for p, q in zip(a.box_mm, b.box_mm, strict=True)):
        return False
    edge = float(a.polygon.length) * gap_mm
    if abs(a.area_mm2 - b.area_mm2) > edge:
        return False
    if not (a.polygon.is_valid and b.polygon.is_valid):
        return len(a.chain.curves) == len(b.chain.curves)
    return float(shapely.symmetric_difference(a.polygon, b.polygon).area) <= edge


def unique(strokes: tuple[Stroke, ...]) -> list[Stroke]:
    """Return each stroke once, in order."""
    seen: dict[int, Stroke] = {id(s): s for s in strokes}
    return list(seen.values())


def leave_stroke(stroke: Stroke, reason: str, at_mm: tuple[float, ...] | None = None) -> LeftOut:
    """Return a stroke as left out.

    Parameters
    ----------
    reason
        Why, in words.
    at_mm
        Where, (x, y); None: nowhere in particular. [mm]
    """
    return LeftOut(
        kind=stroke.kind,
        layer=stroke.layer,
        handle=stroke.handle,
        reason=reason,
        at_mm=None if at_mm is None else (at_mm[0], at_mm[1]),
        curves=stroke.curves,
    )
