"""Lines that are no edge: kept on the outline they lie in, or left out with the reason."""

from __future__ import annotations

import math
import re
from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry import LineString
from shapely.geometry.base import BaseGeometry

from nestcut.drawings.lines.chain import Chain
from nestcut.drawings.lines.crossings import nearest
from nestcut.drawings.lines.fineness import fineness_mm
from nestcut.drawings.lines.loops import leave_stroke, unique
from nestcut.drawings.records import LeftOut, Pen
from nestcut.geometry.curves import evaluate, flatten, split_many
from nestcut.geometry.rings import mark_from_curves
from nestcut.model.curves import Curve, Point
from nestcut.model.shape import Mark
from nestcut.tolerances.likeness import MARKED_SHARE

_WHOLE = 0.999
_MOST_OUTLINES = 200
"""A line is laid on no more outlines than this. [-]"""

_DIMENSION_LAYER = re.compile(
    r"dim|measur|annot|bema|ma\u00df|mass|cota|cote|quote|defpoints", re.IGNORECASE
)


@dataclass(slots=True)
class Marked:
    """Marks by outline number; what was left out; how many lines were clipped at an edge."""

    marks: dict[int, list[Mark]] = field(default_factory=lambda: defaultdict(list))
    handles: dict[int, list[str]] = field(default_factory=lambda: defaultdict(list))
    left_out: list[LeftOut] = field(default_factory=list)
    open_chains: list[Chain] = field(default_factory=list)
    clipped: int = 0


def mark_lines(
    chains: list[Chain], areas: list[BaseGeometry], gap_mm: float, flatness_mm: float
) -> Marked:
    """Share lines out to the outlines in which they lie; ``areas`` are these, holes taken off.

    Parameters
    ----------
    areas
        What each outline covers, holes taken off. [mm]
    gap_mm
        How far a line may stick out. [mm]
    flatness_mm
        How far a polyline may be from its curve. [mm]
    """
    out = Marked()
    lines = [_flat(chain, flatness_mm) for chain in chains]
    candidates: dict[int, list[int]] = defaultdict(list)
    if areas and lines:
        shapely.prepare(areas)
        tree = shapely.STRtree(areas)
        for start in range(0, len(lines), 256):
            found = tree.query(lines[start : start + 256], predicate="intersects")
            for i, j in found.T.tolist():
                if len(candidates[i + start]) < _MOST_OUTLINES:
                    candidates[i + start].append(j)
    ground = _Ground(areas, gap_mm, flatness_mm)
    for i, chain in enumerate(chains):
        reason = _place(chain, lines[i], candidates.get(i, []), ground, out)
        if reason:
            out.left_out += [leave_stroke(s, reason, chain.start) for s in unique(chain.strokes)]
    return out


@dataclass(slots=True)
class _Ground:
    """Outlines to lay lines on, with a band along each edge made when first asked for."""

    areas: list[BaseGeometry]
    gap_mm: float
    flatness_mm: float
    bands: dict[int, BaseGeometry] = field(default_factory=dict)

    def runs_along(self, line: LineString, j: int) -> bool:
        """Whether a line follows the edge of outline j all the way."""
        if j not in self.bands:
            self.bands[j] = self.areas[j].boundary.buffer(self.gap_mm)
            shapely.prepare(self.bands[j])
        return bool(shapely.covers(self.bands[j], line))


def _flat(chain: Chain, flatness_mm: float) -> LineString:
    points: list[Point] = []
    fine = fineness_mm(chain.curves, flatness_mm)
    for curve in chain.curves:
        points += flatten(curve, fine)[1 if points else 0 :]
    return LineString(points)


def _place(
    chain: Chain, line: LineString, candidates: list[int], ground: _Ground, out: Marked
) -> str:
    """Give a line to its outlines; return why it is left out, empty if all of it was kept."""
    if all(_DIMENSION_LAYER.search(s.layer) for s in chain.strokes):
        return "a line on a layer of dimensions"
    clipped = False
    for j in sorted(candidates, key=lambda j: (ground.areas[j].area, j)):
        area = ground.areas[j]
        if not shapely.contains_properly(area, line):
            if ground.runs_along(line, j):
                return "it runs along the edge of an outline"
            inside = float(shapely.length(shapely.intersection(line, area)))
            if inside < _WHOLE * line.length and line.length - inside > ground.gap_mm:
                if inside > MARKED_SHARE * line.length and inside > 10.0 * ground.gap_mm:
                    out.marks[j] += _clip(chain, line, area, ground.flatness_mm)
                    clipped = True
                continue
        out.marks[j].append(_mark(chain.curves, ground.flatness_mm))
        out.handles[j] += [s.handle for s in unique(chain.strokes)]
        return ""
    out.clipped += clipped
    if clipped:
        return "the stretch outside of outlines of a line that is kept as a mark inside"
    if all(s.pen is Pen.BROKEN for s in chain.strokes):
        return "a centre line or hidden edge outside of all outlines"
    out.open_chains.append(chain)
    return "a line that encloses nothing and lies in no outline"


def _clip(chain: Chain, line: LineString, area: BaseGeometry, flatness_mm: float) -> list[Mark]:
    """Cut a line where it crosses the edge, and keep the runs inside."""
    met = shapely.get_coordinates(shapely.intersection(line, area.boundary))
    runs: list[list[Curve]] = [[]]
    for curve in chain.curves:
        us = []
        for x, y in met.tolist():
            u = nearest(curve, (x, y))
            if math.dist(evaluate(curve, u), (x, y)) <= 2.0 * flatness_mm:
                us.append(u)
        for part in split_many(curve, tuple(us)):
            if area.covers(shapely.Point(evaluate(part, 0.5))):
                runs[-1].append(part)
            elif runs[-1]:
                runs.append([])
    return [_mark(tuple(run), flatness_mm) for run in runs if run]


def _polygons(area: BaseGeometry) -> BaseGeometry:
    """Return the polygons of an area that may cross itself."""
    sound = shapely.make_valid(area)
    parts = [p for p in shapely.get_parts(sound) if p.geom_type == "Polygon"]
    return sound if sound.geom_type == "Polygon" else shapely.MultiPolygon(parts)


def _mark(curves: tuple[Curve, ...], flatness_mm: float) -> Mark:
    return mark_from_curves(curves, fineness_mm(curves, flatness_mm))


def areas_of(polygons: list[tuple[BaseGeometry, list[BaseGeometry]]]) -> list[BaseGeometry]:
    """Take the holes off outlines."""
    result = []
    for outer, holes in polygons:
        area = _polygons(outer)
        if holes:
            inner = [_polygons(h) for h in holes]
            area = shapely.difference(area, shapely.union_all(np.array(inner, dtype=object)))
        result.append(area)
    return result
