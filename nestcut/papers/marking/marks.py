"""Lines marked on a piece, carried on to its edges.

Drawings end a frame's line a little inside the panel, and an allowance leaves it further in; on the
wood it is drawn to the edge, so that it can be squared round to the other face.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon

from nestcut.model.shape import Mark, Shape
from nestcut.tolerances.lengths import ALIKE_MM

Array = NDArray[np.float64]

SHORT_MM = 5.0
"""A line that ends so near an edge, beside the allowance, was meant to reach it. [mm]"""


def with_marks_to_edges(shape: Shape, allowance_mm: float) -> Shape:
    """Carry open marks that end near the outline straight on to it.

    Parameters
    ----------
    allowance_mm
        What the outline leaves to trim outside the part's own edge. [mm]
    """
    outline = LineString([*shape.outline.points, shape.outline.points[0]])
    body = Polygon(outline)
    reach = allowance_mm + SHORT_MM
    return replace(
        shape, marks=tuple(_to_edges(mark, outline, body, reach) for mark in shape.marks)
    )


def _to_edges(mark: Mark, outline: LineString, body: Polygon, reach: float) -> Mark:
    points = np.array(mark.points, dtype=np.float64)
    if len(points) < 2 or float(np.hypot(*(points[0] - points[-1]))) < ALIKE_MM:
        return mark
    first = _on_edge(points[0], points[1], outline, body, reach)
    last = _on_edge(points[-1], points[-2], outline, body, reach)
    if first is None and last is None:
        return mark
    told = [tuple(map(float, p)) for p in points]
    told = [*([] if first is None else [first]), *told, *([] if last is None else [last])]
    line = LineString(told)
    if len(points) == 2:  # a straight line stays one
        line = LineString([told[0], told[-1]])
    return replace(mark, points=tuple((float(x), float(y)) for x, y in line.coords), curves=())


def _on_edge(
    end: Array, before: Array, outline: LineString, body: Polygon, reach: float
) -> tuple[float, float] | None:
    """Where a line that ends inside the outline, near it, meets it; None where it needn't go."""
    run = end - before
    size = float(np.hypot(*run))
    if size == 0.0 or not body.contains(shapely.Point(end)):
        return None
    far = end + run / size * reach * 1.5
    met = shapely.get_coordinates(LineString([end, far]).intersection(outline))
    if not len(met):
        return None
    away = np.hypot(*(met - end).T)
    nearest = int(np.argmin(away))
    if not ALIKE_MM < away[nearest] <= reach * 1.5 or outline.distance(shapely.Point(end)) > reach:
        return None
    return float(met[nearest, 0]), float(met[nearest, 1])
