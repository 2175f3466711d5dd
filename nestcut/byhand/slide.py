"""How far a piece goes when it is pushed, and where it slides when something is in its way."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree, affinity
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.byhand.sweep import Contact, edges_of, grown_edges, reach
from nestcut.geometry.usable import free_area
from nestcut.model.curves import Point
from nestcut.model.job import Job
from nestcut.model.part import HoleUse
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import SheetLayout
from nestcut.model.pose import Placement
from nestcut.tolerances import VERIFY_MM

_SLIDES = 40
"""Times in a row that a push is bent along what is in its way. [-]"""
_HALVINGS = 12
"""Halvings of a way whose end isn't free after all. [-]"""
_SLACK_MM = VERIFY_MM / 2
"""Pieces that touch at exactly the clearance lie free; half of what the verifier grants. [mm]"""


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
    _border: NDArray[np.float64]
    """Edges round the usable area, outside to their left, shape (n, 4). [mm]"""
    _grown: dict[int, NDArray[np.float64]] = field(default_factory=dict)
    """Edges of the others grown by the clearance, as far as anyone has asked. [mm]"""

    @classmethod
    def of(
        cls,
        job: Job,
        layout: SheetLayout,
        pieces: dict[str, SheetPiece],
        without: str,
    ) -> Bench:
        """Lay a sheet out without one of its pieces.

        Parameters
        ----------
        pieces
            The plan's pieces by their ids.
        without
            Id of the piece left out.
        """
        stock = job.stock_named(layout.stock)
        usable: BaseGeometry = free_area(layout.usable(stock))
        # Wider by less than what counts as free: who stands at the border isn't over it.
        border = edges_of(usable.buffer(_SLACK_MM / 2, join_style="mitre"))
        usable = usable.buffer(_SLACK_MM, join_style="mitre")
        shapely.prepare(usable)
        others = tuple(
            _as_obstacle(pieces[p.piece], p) for p in layout.placements if p.piece != without
        )
        return cls(
            usable=usable,
            others=others,
            clearance_mm=job.cutting.on(stock).clearance_mm,
            _tree=STRtree(list(others)),
            _border=border[:, [2, 3, 0, 1]],
        )

    def is_free(self, outline: Polygon) -> bool:
        """Whether an outline lies inside, and apart from all others."""
        return self.usable.covers(outline) and not len(
            self._tree.query(outline, predicate="dwithin", distance=self.clearance_mm - _SLACK_MM)
        )

    def are_free(self, outlines: NDArray[np.object_]) -> NDArray[np.bool_]:
        """Say of each of many outlines whether it :meth:`is_free`."""
        free = np.asarray(shapely.covers(self.usable, outlines))
        within = self.clearance_mm - _SLACK_MM
        hit, _ = self._tree.query(outlines[free], predicate="dwithin", distance=within)
        free[np.flatnonzero(free)[hit]] = False
        return free

    def edges_in(self, low: NDArray[np.float64], high: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return edges that something within a box may run into, shape (n, 4). [mm]"""
        near = self._tree.query(box(*(low - self.clearance_mm), *(high + self.clearance_mm)))
        for index in near:
            if int(index) not in self._grown:
                self._grown[int(index)] = grown_edges(
                    self.others[index], self.clearance_mm - _SLACK_MM, _SLACK_MM
                )
        edges = np.concatenate([self._border, *(self._grown[int(i)] for i in near)])
        (x0, y0, x1, y1), slack = edges.T, VERIFY_MM
        within = (
            (np.maximum(x0, x1) >= low[0] - slack)
            & (np.minimum(x0, x1) <= high[0] + slack)
            & (np.maximum(y0, y1) >= low[1] - slack)
            & (np.minimum(y0, y1) <= high[1] + slack)
        )
        found: NDArray[np.float64] = edges[within]
        return found


def _as_obstacle(piece: SheetPiece, placement: Placement) -> Polygon:
    outline = outline_of(piece, placement)
    return outline if piece.hole_use is HoleUse.USE else Polygon(outline.exterior)


def outline_of(piece: SheetPiece, placement: Placement) -> Polygon:
    """Return a piece's outline where it lies on its sheet. [mm]"""
    shape = piece.shape
    polygon: BaseGeometry = Polygon(shape.outline.points, [h.points for h in shape.holes])
    if not placement.is_face_up:
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
        The wanted place where that is free.  Else as near as it gets by going straight and then
        along whatever stops it; it never lies over anything.  None: it doesn't lie free at the
        start, so that it can't be pushed.
    """
    way = _Way(bench, _as_obstacle(piece, start), np.array(start.shift_mm))
    goal = np.array(wanted_mm)
    if way.is_free(goal):
        return replace(start, shift_mm=(float(goal[0]), float(goal[1])))
    if not way.is_free(way.origin):
        return None
    at = way.along(goal)
    return replace(start, shift_mm=(float(at[0]), float(at[1])))


class _Way:
    """A piece on its way over a sheet; places are its shifts. [mm]"""

    def __init__(self, bench: Bench, outline: Polygon, origin: NDArray[np.float64]) -> None:
        self.bench = bench
        self.origin = origin
        self._outline = outline
        self._edges = edges_of(outline)
        self._low = self._edges[:, :2].min(axis=0)
        self._high = self._edges[:, :2].max(axis=0)

    def is_free(self, place: NDArray[np.float64]) -> bool:
        return self.bench.is_free(affinity.translate(self._outline, *(place - self.origin)))

    def along(self, goal: NDArray[np.float64]) -> NDArray[np.float64]:
        """Go straight as far as it goes, then along what is in the way, and so on."""
        at, contact = self._straight(self.origin, goal)
        for _ in range(_SLIDES):
            rest = goal - at
            best, best_left = None, float(np.hypot(*rest)) - VERIFY_MM
            for unit in contact.directions:
                end, _ = self._straight(at, at + unit * float(unit @ rest))
                left = float(np.hypot(*(goal - end)))
                if left < best_left:
                    best, best_left = end, left
            if best is None:
                return at
            at, contact = self._straight(best, goal)
        return at

    def _straight(
        self, start: NDArray[np.float64], end: NDArray[np.float64]
    ) -> tuple[NDArray[np.float64], Contact]:
        """Return the farthest free place between two, and what it touches there."""
        moved = start - self.origin
        step = end - start
        low = self._low + moved + np.minimum(step, 0.0)
        high = self._high + moved + np.maximum(step, 0.0)
        contact = reach(
            self._edges + np.tile(moved, 2), self.bench.edges_in(low, high), step, VERIFY_MM
        )
        place = start + step * contact.share
        return (place if self.is_free(place) else self._halved(start, place)), contact

    def _halved(self, start: NDArray[np.float64], end: NDArray[np.float64]) -> NDArray[np.float64]:
        """Return the farthest place that is free for sure, found by halving."""
        low, high = 0.0, 1.0
        for _ in range(_HALVINGS):
            middle = (low + high) / 2
            if self.is_free(start + (end - start) * middle):
                low = middle
            else:
                high = middle
        return start + (end - start) * low
