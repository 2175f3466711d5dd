"""In which order the pieces of a sheet are cut.

Common practice, no source: from the end away from the marking-out corner back to it, so that what
is still to be cut stays supported and keeps its corner; what lies in a hole, or in an island of
wood too small to be held that a cut would leave, comes before; pieces that wait for the dry fit
come last.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.model.job import CuttingRules
from nestcut.model.part import Timing
from nestcut.model.stock import BoardStock
from nestcut.papers.view.keeps import rest_after_keeps
from nestcut.papers.view.placed import PlacedPiece, SheetView
from nestcut.tolerances.lengths import LINE_LEFT_MM
from nestcut.trade.shop import BREAKS_MM, HOLD_MM

Turn = tuple[int, float, float, str]


def in_cutting_order(
    sheet: SheetView, cutting: CuttingRules, after: int
) -> tuple[PlacedPiece, ...]:
    """Number the pieces of a sheet, after so many that are parted from the board before them.

    Parameters
    ----------
    sheet
        Its pieces in any order.
    cutting
        The job's saws.
    after
        The greatest number that its board has given already.
    """
    ordered = sorted(sheet.placed, key=lambda p: _place(p, sheet.placed))
    if not isinstance(sheet.stock, BoardStock):  # all along one a piece is held by the board
        rest = rest_after_keeps(sheet, cutting)
        ordered = _Sawing(rest, ordered, cutting.on(sheet.stock).kerf_mm).ordered()
    return tuple(replace(p, number=k) for k, p in enumerate(ordered, start=after + 1))


def _turn(p: PlacedPiece) -> Turn:
    late = int(p.piece.timing is Timing.AFTER_DRY_FIT)
    return (late, -round(p.box_mm[2], 3), round(p.box_mm[1], 3), p.piece.id)


def _place(p: PlacedPiece, placed: Sequence[PlacedPiece]) -> tuple[Turn, int, str]:
    """By its end away from the corner; what lies in a hole by the piece round it, before it."""
    for other in placed:
        if other is not p and any(Polygon(h.points).contains(p.polygon) for h in other.shape.holes):
            return (min(_turn(other), _turn(p)), 0, p.piece.id)
    return (_turn(p), 1, p.piece.id)


class _Sawing:
    """What is left of a sheet while piece after piece is sawn out of it."""

    def __init__(self, rest: BaseGeometry, ordered: list[PlacedPiece], kerf_mm: float) -> None:
        self._rest = rest
        self._waiting = ordered
        self._bodies = {p.piece.id: p.polygon.simplify(LINE_LEFT_MM) for p in ordered}
        self._kerf_mm = kerf_mm

    def ordered(self) -> list[PlacedPiece]:
        """All pieces; one in a small island that a cut would leave goes before that cut."""
        done: list[PlacedPiece] = []
        held = self._in_islands(self._rest)
        while self._waiting:
            chosen, left, now = self._next(self._waiting[0], held, ())
            self._waiting.remove(chosen)
            done.append(chosen)
            self._rest, held = left, now
        return done

    def _next(
        self, piece: PlacedPiece, held: frozenset[str], before: tuple[str, ...]
    ) -> tuple[PlacedPiece, BaseGeometry, frozenset[str]]:
        """Return the piece, or what its cut would leave in a small island; with what is left."""
        own = self._bodies[piece.piece.id].buffer(self._kerf_mm, join_style="mitre")
        left = self._rest.difference(own)
        now = self._in_islands(left) - {piece.piece.id}
        waits = piece.piece.timing is Timing.AFTER_DRY_FIT
        for other in self._waiting:
            name = other.piece.id
            is_late = other.piece.timing is Timing.AFTER_DRY_FIT and not waits
            if name in now - held and name not in before and not is_late:
                return self._next(other, held, (*before, piece.piece.id))
        return piece, left, now

    def _in_islands(self, wood: BaseGeometry) -> frozenset[str]:
        """Ids of the pieces in parts of the wood, its largest aside, too small to be held.

        What hangs on by a narrow strip alone breaks off.
        """
        parts = shapely.get_parts(wood.buffer(-BREAKS_MM.value / 2.0))
        if len(parts) < 2:
            return frozenset()
        largest = max(parts, key=shapely.area)
        deep = (HOLD_MM.value - BREAKS_MM.value) / 2.0
        small = [p for p in parts if p is not largest and p.buffer(-deep).is_empty]
        if not small:
            return frozenset()
        tree = shapely.STRtree(small)
        return frozenset(
            p.piece.id
            for p in self._waiting
            if len(tree.query(self._bodies[p.piece.id], predicate="intersects"))
        )
