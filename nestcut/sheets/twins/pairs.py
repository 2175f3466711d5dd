"""Which pieces are twins, and how they lie: far apart, on one sheet, or beside each other.

Twins that lie beside each other are marked out, sawn and held against each other in one go.
"""

from __future__ import annotations

from enum import IntEnum

import shapely
from shapely.geometry import Polygon

from nestcut.model.part import Hand
from nestcut.model.pose import Placement
from nestcut.sheets.layouts import FilledSheet, moved_polygon
from nestcut.sheets.prepare import Group
from nestcut.tolerances.looks import TWINS_APART_MM, TWINS_SHARE

Pair = tuple[str, str]
"""Ids of the port and the starboard piece."""


class Nearness(IntEnum):
    """How twins lie; more is better."""

    APART = 0
    ON_ONE_SHEET = 1
    BESIDE = 2


def pairs_of(group: Group) -> tuple[Pair, ...]:
    """Return the twins of a material, the largest first."""
    port: dict[tuple[str, int, int, int], str] = {}
    found: list[Pair] = []
    pieces = [p.piece for p in group.pieces if p.piece is not None]
    for piece in sorted(pieces, key=lambda p: (p.hand is not Hand.PORT, p.id)):
        key = (piece.part, piece.copy, piece.share, piece.n_shares)
        if piece.hand is Hand.PORT:
            port[key] = piece.id
        elif piece.hand is Hand.STARBOARD and key in port:
            found.append((port[key], piece.id))
    area = {p.id: p.net.area for p in group.pieces}
    return tuple(sorted(found, key=lambda pair: (-area[pair[0]], pair)))


class Lying:
    """Filled sheets as twins are looked for on them; pieces may be put elsewhere.

    Outlines, and which of them lie beside each other, are worked out once a place.
    """

    def __init__(
        self, group: Group, stocks: tuple[str, ...], at: dict[str, tuple[int, Placement]]
    ) -> None:
        self.group = group
        self.stocks = stocks
        self._at = at
        self._outlines: dict[Placement, Polygon] = {}
        self._beside: dict[tuple[Placement, Placement], bool] = {}

    @classmethod
    def of(cls, group: Group, sheets: tuple[FilledSheet, ...]) -> Lying:
        """Look at sheets for the first time."""
        at = {p.piece: (k, p) for k, s in enumerate(sheets) for p in s.lying}
        return cls(group, tuple(s.stock for s in sheets), at)

    def copy(self) -> Lying:
        """Return one to go back to; what was worked out is shared."""
        other = Lying(self.group, self.stocks, dict(self._at))
        other._outlines, other._beside = self._outlines, self._beside
        return other

    @property
    def sheets(self) -> tuple[FilledSheet, ...]:
        """The sheets as they lie now, pieces sorted by id."""
        lying: list[list[Placement]] = [[] for _ in self.stocks]
        for _, (number, placed) in sorted(self._at.items()):
            lying[number].append(placed)
        return tuple(
            FilledSheet(stock=name, lying=tuple(some))
            for name, some in zip(self.stocks, lying, strict=True)
        )

    def where(self, piece: str) -> tuple[int, Placement] | None:
        """Return the number of a piece's sheet among these, and how it lies; None: unplaced."""
        return self._at.get(piece)

    def number_of(self, piece: str) -> int | None:
        """Return the number of a piece's sheet among these."""
        at = self._at.get(piece)
        return None if at is None else at[0]

    def put(self, number: int, placed: Placement) -> None:
        """Put a piece on the sheet of that number."""
        self._at[placed.piece] = (number, placed)

    def outline(self, placed: Placement) -> Polygon:
        """Return what a piece takes of its sheet. [mm]"""
        if placed not in self._outlines:
            net = self.group.piece_of(placed.piece).net
            self._outlines[placed] = moved_polygon(net, placed)
        return self._outlines[placed]

    def nearness(self, pair: Pair) -> Nearness:
        """Say how twins lie."""
        first, second = (self.where(i) for i in pair)
        if first is None or second is None or first[0] != second[0]:
            return Nearness.APART
        key = (first[1], second[1])
        if key not in self._beside:
            reach = self.group.clearance_mm + TWINS_APART_MM
            self._beside[key] = are_beside(self.outline(key[0]), self.outline(key[1]), reach)
        return Nearness.BESIDE if self._beside[key] else Nearness.ON_ONE_SHEET

    def sum_of(self, pairs: tuple[Pair, ...]) -> int:
        """Add up how near twins lie."""
        return sum(int(self.nearness(p)) for p in pairs)


def are_beside(a: Polygon, b: Polygon, reach_mm: float) -> bool:
    """Whether outlines run along each other, no farther apart than this, over half a side.

    The side is the shorter one of the box that fits the first as closely as any.  What runs round
    the other's corners doesn't count.

    Parameters
    ----------
    a, b
        Outlines of two pieces on one sheet. [mm]
    reach_mm
        How far apart they may lie. [mm]
    """
    if a.distance(b) > reach_mm:
        return False
    along = min(
        shapely.intersection(a.exterior, b.buffer(reach_mm)).length,
        shapely.intersection(b.exterior, a.buffer(reach_mm)).length,
    )
    return bool(along - 2.0 * reach_mm >= TWINS_SHARE * _shorter_side(a))


def _shorter_side(outline: Polygon) -> float:
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(outline))
    first, second = corners[1] - corners[0], corners[2] - corners[1]
    return float(min((first @ first) ** 0.5, (second @ second) ** 0.5))
