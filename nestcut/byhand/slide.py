"""How far a piece goes when it is pushed, and where it slides when something is in its way."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree, affinity
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.model.part import HoleUse
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Lie, Placement, SheetLayout
from nestcut.tolerances import VERIFY_MM
from nestcut.tolerances.search import AXIS_LEAN

_BISECTIONS = 18
"""Halvings of a push: 2.4 m to a hundredth of a millimetre. [-]"""
_SLIDES = 4
"""Directions in a row that a push is bent into: along a neighbour, then along the next. [-]"""
_STEP_MM = 40.0
"""A push is looked at in steps no longer than this, so that it can't jump over a piece. [mm]"""
_SLACK_MM = VERIFY_MM / 2
"""Pieces that touch at exactly the clearance lie free; half of what the verifier grants. [mm]"""
_TOUCH_MM = 1.0
"""Edges this near beyond the clearance may be what a piece slides along. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """One sheet as a piece meets it: where it may lie, and what already lies there. [mm]

    Parameters
    ----------
    usable
        The sheet less trim and keep-outs.
    others
        Outlines of the other pieces; a hole whose material is to be used stays open.
    clearance_mm
        What pieces keep apart.
    """

    usable: BaseGeometry
    others: tuple[Polygon, ...]
    clearance_mm: float
    _tree: STRtree

    @classmethod
    def of(
        cls,
        layout: SheetLayout,
        pieces: dict[str, SheetPiece],
        without: str,
        clearance_mm: float,
    ) -> Bench:
        """Lay a sheet out without one of its pieces."""
        whole: BaseGeometry = (
            box(0.0, 0.0, layout.length_mm, layout.width_mm)
            if layout.outline is None
            else Polygon(layout.outline)
        )
        usable: BaseGeometry = whole.buffer(-layout.edge_trim_mm, join_style="mitre")
        if layout.end_trim_mm:
            end = layout.end_trim_mm
            usable = usable.intersection(box(end, 0.0, layout.length_mm - end, layout.width_mm))
        barred = shapely.union_all([Polygon(k.points) for k in layout.barred])
        usable = usable.difference(barred)
        usable = usable.buffer(_SLACK_MM, join_style="mitre")
        shapely.prepare(usable)
        others = tuple(
            _as_obstacle(pieces[p.piece], p) for p in layout.placements if p.piece != without
        )
        return cls(
            usable=usable, others=others, clearance_mm=clearance_mm, _tree=STRtree(list(others))
        )

    def is_free(self, outline: Polygon) -> bool:
        """Whether an outline lies inside, and apart from all others."""
        return self.usable.covers(outline) and not len(
            self._tree.query(outline, predicate="dwithin", distance=self.clearance_mm - _SLACK_MM)
        )

    def edges_near(self, outline: Polygon) -> NDArray[np.float64]:
        """Unit vectors along the edges that an outline touches, shape (n, 2)."""
        reach = self.clearance_mm + _TOUCH_MM
        near = [self.others[i] for i in self._tree.query(outline.buffer(reach))]
        rings = [self.usable.boundary, outline.exterior, *(p.exterior for p in near)]
        around = outline.buffer(reach)
        lines = [ring.intersection(around) for ring in rings]
        points = [
            np.diff(shapely.get_coordinates(part), axis=0)
            for line in lines
            for part in shapely.get_parts(line)
            if part.geom_type in {"LineString", "LinearRing"}
        ]
        steps = np.concatenate([*points, np.eye(2)])
        size = np.hypot(steps[:, 0], steps[:, 1])
        units = steps[size > 0] / size[size > 0, None]
        return np.unique(np.round(units * np.sign(units @ [1.0, AXIS_LEAN])[:, None], 4), axis=0)


def _as_obstacle(piece: SheetPiece, placement: Placement) -> Polygon:
    outline = outline_of(piece, placement)
    return outline if piece.hole_use is HoleUse.USE else Polygon(outline.exterior)


def outline_of(piece: SheetPiece, placement: Placement) -> Polygon:
    """Return a piece's outline where it lies on its sheet. [mm]"""
    shape = piece.shape
    polygon: BaseGeometry = Polygon(shape.outline.points, [h.points for h in shape.holes])
    if placement.lie is Lie.FACE_DOWN:
        polygon = affinity.scale(polygon, -1.0, 1.0, origin=(0.0, 0.0))
    turned = affinity.rotate(polygon, placement.turn_deg, origin=(0.0, 0.0))
    placed = affinity.translate(turned, *placement.shift_mm)
    assert isinstance(placed, Polygon)  # noqa: S101 - moving keeps the kind
    return placed


def slide_to(
    bench: Bench, piece: SheetPiece, start: Placement, wanted_mm: Point
) -> Placement | None:
    """Push a piece from where it lies towards a place.

    Parameters
    ----------
    bench
        The sheet without the piece.
    start
        Where it lies, and how: a push changes neither turn nor face.
    wanted_mm
        The shift that is wanted. [mm]

    Returns
    -------
    Placement or None
        As near as it gets by going straight and then along whatever stops it; it never lies over
        anything.  None: it doesn't lie free at the start, so that it can't be pushed.
    """
    outline = outline_of(piece, start)
    if not bench.is_free(outline):
        return None
    at, goal = np.array(start.shift_mm), np.array(wanted_mm)
    origin = at.copy()
    n_steps = max(1, math.ceil(float(np.hypot(*(goal - at))) / _STEP_MM))
    for k in range(1, n_steps + 1):
        aim = origin + (goal - origin) * (k / n_steps)
        at = _pushed(bench, outline, origin, at, aim)
    return replace(start, shift_mm=(float(at[0]), float(at[1])))


def _pushed(
    bench: Bench,
    outline: Polygon,
    origin: NDArray[np.float64],
    at: NDArray[np.float64],
    aim: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Go straight to ``aim`` as far as it goes, then along the edges that are in the way."""
    at = _straight(bench, outline, origin, at, aim)
    for _ in range(_SLIDES):
        rest = aim - at
        if np.hypot(*rest) < VERIFY_MM:
            break
        here = affinity.translate(outline, *(at - origin))
        along = bench.edges_near(here)
        gains = along @ rest
        order = np.argsort(-np.abs(gains))[:6]
        best = at
        for k in order:
            end = _straight(bench, outline, origin, at, at + along[k] * gains[k])
            if np.hypot(*(aim - end)) < np.hypot(*(aim - best)) - VERIFY_MM:
                best = end
        if best is at:
            break
        at = best
    return at


def _straight(
    bench: Bench,
    outline: Polygon,
    origin: NDArray[np.float64],
    start: NDArray[np.float64],
    end: NDArray[np.float64],
) -> NDArray[np.float64]:
    """Return the farthest free place between two places, found by halving. [mm]"""
    if bench.is_free(affinity.translate(outline, *(end - origin))):
        return end
    low, high = 0.0, 1.0
    for _ in range(_BISECTIONS):
        middle = (low + high) / 2
        place = start + (end - start) * middle
        if bench.is_free(affinity.translate(outline, *(place - origin))):
            low = middle
        else:
            high = middle
    return start + (end - start) * low
