"""Where a band along a curve is divided, so that its pieces come out of boards on sale.

Fewest pieces first, then least board: found exactly, for positions on a grid, by dynamic
programming over the positions (R. Bellman, Dynamic Programming, 1957): the best way to cut the
first j stretches into k pieces is a best way for k - 1 pieces up to some i, and one piece more.
A piece counts if it fits a board's width and length, overlaps included, at a turn that lets its
grain run out no more than the builder allows.  What one board gives several pieces, curves lying
in each other, isn't known here: the nest decides among the ways offered.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nestcut.joints.candidates import are_staggered, is_allowed
from nestcut.joints.curved.division import Bend
from nestcut.joints.curved.stretches import Stretches
from nestcut.joints.offers import Positions
from nestcut.model.joint import JointRule
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.trade.joints import MOST_BAND_PIECES

Floats = NDArray[np.float64]

_MOST_PIECES = int(MOST_BAND_PIECES.value)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plank:
    """What pieces may be cut from: one board (or sheet) by its usable size. [mm]

    ``price_minor`` is that of the whole board; 0 where none is known or it lies in the shed.
    """

    name: str
    length_mm: float
    width_mm: float
    price_minor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BandPiece:
    """One piece of a way to divide a band.

    Parameters
    ----------
    plank
        The least board it fits.
    bend
        Its stretch, chord, sagitta and the directions its edges take.
    needs_mm
        Length and width of board that it takes. [mm]
    grain_deg
        Direction of the board on the drawing that takes so much. [deg]
    run_out
        Grain running out at an edge when it lies so, as the run in "1 in run". [-]
    """

    plank: Plank
    bend: Bend
    needs_mm: tuple[float, float]
    grain_deg: float
    run_out: float


@dataclass(frozen=True, slots=True, kw_only=True)
class BandWay:
    """One way to divide a band: positions, pieces from the reference end, cost by length used."""

    at_mm: Positions
    pieces: tuple[BandPiece, ...]
    cost: float


class BandSearch:
    """The ways to divide a band so that every piece fits one of some planks.

    Parameters
    ----------
    stretches
        A band, measured.
    planks
        What it may be cut from; the cheapest that a piece fits counts.
    rule
        A rule of the same grain and least piece as the stretches' own; None: that one.
    """

    def __init__(
        self, stretches: Stretches, planks: tuple[Plank, ...], rule: JointRule | None = None
    ) -> None:
        self.stretches = stretches
        self.band, self.grid, self.rule = stretches.band, stretches.grid, rule or stretches.rule
        self.overlap = stretches.overlap
        self.planks = tuple(
            sorted(planks, key=lambda p: (_rate(p, planks), p.width_mm, p.length_mm, p.name))
        )
        self.cost = np.full(stretches.lengths.shape[1:], np.inf)
        for plank in self.planks:
            fits = _fits(stretches.lengths, stretches.widths, plank)
            length = np.where(fits, stretches.lengths, np.inf).min(axis=0)
            self.cost = np.minimum(self.cost, _rate(plank, planks) * length)

    def best(self, n_pieces: int) -> BandWay | None:
        """Return the cheapest way with so many pieces; None where there is none."""
        at = self._positions(n_pieces, self._may_part())
        return None if at is None else self.way(at)

    def staggered(self, n_pieces: int, theirs: Positions) -> BandWay | None:
        """Return the cheapest way whose joints keep their distance from others'."""
        clear = [
            are_staggered((float(at),), theirs, self.rule.stagger_mm) for at in self.grid.tolist()
        ]
        at = self._positions(n_pieces, self._may_part() & np.asarray(clear))
        return None if at is None else self.way(at)

    def fewest(self) -> int | None:
        """Return the least number of pieces; None where no number will do."""
        may_part = self._may_part()
        for n in range(1, self.most() + 1):
            if self._positions(n, may_part) is not None:
                return n
        return None

    def most(self) -> int:
        """Return the number of pieces beyond which none is thought of.

        As many as the builder allows, or as go into the band at their least length: no piece is
        shorter than two overlaps.  Never more than two dozen.
        """
        if self.rule.max_joints is not None:
            return min(self.rule.max_joints + 1, _MOST_PIECES)
        least = max(self.rule.min_piece_mm, 2.0 * self.overlap, self.overlap + 1.0)
        most = 1 + math.floor((self.band.length_mm - self.overlap) / (least - self.overlap))
        return min(most, _MOST_PIECES)

    def way(self, at_mm: Positions) -> BandWay | None:
        """Return the pieces that given positions make; None where one fits no plank."""
        pieces = []
        for before, after in zip((None, *at_mm), (*at_mm, None), strict=True):
            piece = self.piece(before, after)
            if piece is None:
                return None
            pieces.append(piece)
        cost = sum(_rate(p.plank, self.planks) * p.needs_mm[0] for p in pieces)
        return BandWay(at_mm=at_mm, pieces=tuple(pieces), cost=cost)

    def piece(self, before: float | None, after: float | None) -> BandPiece | None:
        """Return the piece between two joints on the plank that gives it cheapest, or None."""
        measured = self.stretches.between(before, after)
        bend, turns = measured.bend, measured.turns_deg
        length, width = measured.lengths_mm, measured.widths_mm
        for plank in self.planks:
            fits = _fits(length, width, plank) & np.isfinite(turns)
            if fits.any():
                k = int(np.flatnonzero(fits)[np.argmin(width[fits])])
                off = max(turns[k] - bend.least_deg, bend.most_deg - turns[k])
                return BandPiece(
                    plank=plank,
                    bend=bend,
                    needs_mm=(float(length[k]), float(width[k])),
                    grain_deg=float(turns[k]),
                    run_out=math.inf if off <= 0.0 else 1.0 / math.tan(math.radians(off)),
                )
        return None

    def _may_part(self) -> NDArray[np.bool_]:
        """Return which points of the grid may be joints."""
        inner = [is_allowed(float(at), self.rule, self.overlap) for at in self.grid.tolist()]
        inner[0] = inner[-1] = False
        return np.asarray(inner)

    def _positions(self, n_pieces: int, may_part: NDArray[np.bool_]) -> Positions | None:
        """Dynamic programming over the grid; ties go to the joint further from the near end."""
        n = len(self.grid)
        best = np.full((n_pieces + 1, n), np.inf)
        came = np.zeros((n_pieces + 1, n), dtype=np.int64)
        best[0, 0] = 0.0
        for k in range(1, n_pieces + 1):
            total = best[k - 1][:, None] + self.cost
            came[k] = n - 1 - np.argmin(total[::-1], axis=0)
            best[k] = total[came[k], np.arange(n)]
            if k < n_pieces:
                best[k, ~may_part] = np.inf
        if not math.isfinite(best[n_pieces, n - 1]):
            return None
        at: list[float] = []
        j = n - 1
        for k in range(n_pieces, 1, -1):
            j = int(came[k, j])
            at.append(float(self.grid[j]))
        return tuple(reversed(at))


def has_prices(planks: tuple[Plank, ...]) -> bool:
    """Whether any plank has a price, so that money and not width is compared."""
    return any(p.price_minor > 0.0 for p in planks)


def _rate(plank: Plank, planks: tuple[Plank, ...]) -> float:
    """Return what a mm of a plank costs: money, or its width where no prices are known."""
    if has_prices(planks):
        return plank.price_minor / plank.length_mm
    return plank.width_mm


def _fits(length: Floats, width: Floats, plank: Plank) -> NDArray[np.bool_]:
    return (length <= plank.length_mm + SAME_LENGTH_MM) & (width <= plank.width_mm + SAME_LENGTH_MM)
