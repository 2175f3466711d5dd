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

from nestcut.errors import Finding
from nestcut.joints.band_division import Bend, bend_of
from nestcut.joints.bandline import band_line
from nestcut.joints.candidates import Choice, Offer, Positions, are_staggered, is_allowed
from nestcut.joints.division import overlap_mm
from nestcut.model.part import CutFrom, Hands, SheetPart, Turning
from nestcut.tolerances import SAME_LENGTH_MM

Floats = NDArray[np.float64]

GRID_MM = 20.0
"""Joint positions are tried this far apart. [mm]"""
_SPARSE = 5
"""Of the points along a band every so many are looked at while all stretches are measured. [-]"""
_SPARSE_MM = 0.1
"""What points left out may stick out by: the sagitta of 10 mm at a radius over 130 mm. [mm]"""
_MARGIN_MM = 1.0
"""Pieces are taken this much longer at each joint, so that what fits here fits when cut. [mm]"""
_MORE_PIECES = 2
"""Ways are offered with up to so many pieces more than the fewest. [-]"""


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


class Stretches:
    """All stretches of a band between two points of a grid: what board each takes.

    ``lengths`` and ``widths`` have shape (turns, n, n): of the stretch from grid point i to j,
    overlaps included, at every turn tried; infinite where it is too short, too long, or its grain
    would run out too far.
    """

    def __init__(self, part: SheetPart, longest_mm: float) -> None:
        rule, band = part.joint, band_line(part)
        if rule is None or isinstance(band, Finding):
            raise ValueError(f"{part.name} is no band with a joint rule")
        self.part, self.rule, self.band = part, rule, band
        self.overlap = overlap_mm(rule, part.thickness_mm)
        n = math.floor(band.length_mm / GRID_MM)
        self.grid = np.append(np.arange(n + 1) * GRID_MM, band.length_mm)
        if self.grid[-1] - self.grid[-2] < GRID_MM / 2.0:
            self.grid = np.delete(self.grid, -2)
        tight = max(band.tightest_mm() - band.width_mm / 2.0, 1.0)
        # On the inner edge an overlap square to the curve reaches further than on the middle line.
        self.extra = _MARGIN_MM + self.overlap / 2.0 * band.width_mm / 2.0 / tight
        n_turns = len(self.turns(np.zeros(1), np.zeros(1)))
        size = (n_turns, len(self.grid), len(self.grid))
        self.lengths, self.widths = np.full(size, np.inf), np.full(size, np.inf)
        self._measure(longest_mm)

    def turns(self, least: Floats, most: Floats) -> Floats:
        """Return directions of grain to try for pieces, shape (k, n); not a number: none. [deg]"""
        middle = (least + most) / 2.0
        if self.part.cut_from is not CutFrom.BOARD:
            return np.zeros((1, len(middle)))
        slack = math.degrees(math.atan(1.0 / self.rule.run_out)) - (most - least) / 2.0
        may = np.where(slack >= -1e-9, 0.0, np.nan)
        if self.part.turning is not Turning.SMALL:
            turns: Floats = (middle + may)[None, :]
            return turns
        slack = np.clip(slack, 0.0, self.part.small_angle_deg)
        return np.stack([middle + may + f * slack for f in (0.0, -1.0, -0.5, 0.5, 1.0)])

    def points(self, start: float, end: float, step: int = 1) -> Floats:
        """Return points that a stretch lies between; ends of the band with their corners. [mm]"""
        band = self.band
        a, b = np.searchsorted(band.along_mm, [start - self.extra, end + self.extra])
        b = min(int(b), len(band.along_mm) - 1)
        rows = [line[index] for line in (band.near, band.far) for index in (slice(a, b, step), [b])]
        if start <= 0.0:
            rows.append(band.first_end)
        if end >= band.length_mm:
            rows.append(band.last_end)
        return np.concatenate(rows)

    def _measure(self, longest_mm: float) -> None:
        band, n = self.band, len(self.grid)
        starts = np.maximum(self.grid - self.overlap / 2.0, 0.0)
        ends = np.minimum(self.grid + self.overlap / 2.0, band.length_mm)
        first, last = np.searchsorted(band.along_mm, starts), np.searchsorted(band.along_mm, ends)
        at_start, at_end = (np.interp(s, band.along_mm, band.angle_rad) for s in (starts, ends))
        from_, to = (
            np.column_stack([np.interp(s, band.along_mm, band.middle[:, k]) for k in (0, 1)])
            for s in (starts, ends)
        )
        least = max(self.rule.min_piece_mm, 2.0 * self.overlap) - SAME_LENGTH_MM
        for i in range(n - 1):
            chords = np.hypot(*(to - from_[i]).T)
            for j in range(i + 1, n):
                if chords[j] > longest_mm + band.width_mm:
                    break
                if ends[j] - starts[i] < least:
                    continue
                inside = band.angle_rad[first[i] : last[j]]
                low, high = inside.min(), inside.max()
                low, high = min(low, at_start[i], at_end[j]), max(high, at_start[i], at_end[j])
                turns = self.turns(np.degrees([low]), np.degrees([high]))[:, 0]
                if math.isnan(turns[0]):
                    break
                points = self.points(float(starts[i]), float(ends[j]), _SPARSE)
                length, width = _boxes(points, np.radians(turns))
                self.lengths[:, i, j], self.widths[:, i, j] = length, width + _SPARSE_MM


class BandSearch:
    """The ways to divide a band so that every piece fits one of some planks.

    Parameters
    ----------
    stretches
        A band, measured.
    planks
        What it may be cut from; the cheapest that a piece fits counts.
    """

    def __init__(self, stretches: Stretches, planks: tuple[Plank, ...]) -> None:
        self.stretches = stretches
        self.band, self.grid, self.rule = stretches.band, stretches.grid, stretches.rule
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
        most = len(self.grid) if self.rule.max_joints is None else self.rule.max_joints + 1
        for n in range(1, min(most, 24) + 1):
            if self._positions(n, self._may_part()) is not None:
                return n
        return None

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
        half = self.overlap / 2.0
        start = 0.0 if before is None else before - half
        end = self.band.length_mm if after is None else after + half
        bend = bend_of(self.band, start, end)
        turns = self.stretches.turns(np.array([bend.least_deg]), np.array([bend.most_deg]))[:, 0]
        points = self.stretches.points(start, end)
        length, width = _boxes(points, np.radians(turns))
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


def offer_band_positions(part: SheetPart, planks: tuple[Plank, ...]) -> Offer:
    """Return the ways to divide a band that come into question.

    For the fewest pieces, and up to two more where they save board: the cheapest from all planks,
    and the cheapest from planks up to each width, since narrow boards may nest better than wide
    ones.
    """
    rule = part.joint
    if rule is None:
        raise ValueError(f"{part.name} has no joint rule")
    band = band_line(part)
    if isinstance(band, Finding):
        return Offer(part=part, choices=(), equal=(), reasons=(band.message,))
    stretches = Stretches(part, max((p.length_mm for p in planks), default=0.0))
    search = BandSearch(stretches, planks)
    least = search.fewest()
    if least is None:
        return Offer(part=part, choices=(), equal=(), reasons=(_why_none(search),))
    limit = least + _MORE_PIECES
    if rule.max_joints is not None:
        limit = min(limit, rule.max_joints + 1)
    narrower = [
        tuple(p for p in planks if p.width_mm <= width)
        for width in sorted({p.width_mm for p in planks})[:-1]
    ]
    searches = [search, *(BandSearch(stretches, some) for some in narrower)]
    choices: list[Choice] = []
    equal: list[Choice] = []
    cheapest = math.inf
    for n in range(least, limit + 1):
        ways = [(one, way) for one in searches if (way := one.best(n)) is not None]
        for one, way in ways:
            if n == least or way.cost < cheapest:  # more pieces only where they may save board
                choices += _with_twin(one, way)
        cheapest = min([cheapest, *(way.cost for _, way in ways)])
        even = _equal(search, n)
        if even is not None:
            equal += _with_twin(search, even)
    choices = list(dict.fromkeys((*choices, *equal)))
    remarks = tuple(_remark(one) for one in (*searches[1:], search))
    plain = tuple(c for c in dict.fromkeys(equal) if c.twin_at_mm is None)
    return Offer(part=part, choices=tuple(choices), equal=plain, remarks=remarks)


def _remark(search: BandSearch) -> str:
    """Say what boards up to a width make of a band, and what keeps the pieces from being fewer."""
    part, width = search.stretches.part, max(p.width_mm for p in search.planks)
    least = search.fewest()
    way = None if least is None else search.best(least)
    if way is None:
        return f"{part.name} from boards up to {width:.0f} mm: no number of pieces will do"
    lengths = ", ".join(f"{p.bend.to_mm - p.bend.from_mm:.0f}" for p in way.pieces)
    told = f"{part.name} from boards up to {width:.0f} mm: {len(way.pieces)} pieces ({lengths} mm)"
    told += f", {way.cost / 100:.2f} of board by length" if _priced(search.planks) else ""
    return (
        f"{told}, grain runs out 1 in {min(p.run_out for p in way.pieces):.1f} at most; "
        f"{_why_not_fewer(search, way)}"
    )


def _why_not_fewer(search: BandSearch, way: BandWay) -> str:
    """Say which limit the pieces run into: the board's width, its length, or the grain."""
    if not way.at_mm:
        return "one piece is the least there is"
    limits: list[str] = []
    ends: tuple[float | None, ...] = (None, *way.at_mm, None)
    for k, piece in enumerate(way.pieces[:-1]):
        longer = ends[k + 2]
        bend = bend_of(
            search.band,
            piece.bend.from_mm,
            search.band.length_mm if longer is None else longer + search.overlap / 2.0,
        )
        if (
            search.stretches.part.cut_from is CutFrom.BOARD
            and bend.slack_deg(search.rule.run_out) < 0.0
        ):
            limits.append("the grain")
        elif bend.chord_mm > max(p.length_mm for p in search.planks):
            limits.append("the boards' length")
        else:
            limits.append("the boards' width")
    told = " and ".join(dict.fromkeys(limits))
    return f"fewer are kept back by {told}"


def _equal(search: BandSearch, n_pieces: int) -> BandWay | None:
    """Return equal stretches, if the rules allow them and their pieces fit."""
    at = tuple(float(round(search.band.length_mm * k / n_pieces)) for k in range(1, n_pieces))
    if not all(is_allowed(a, search.rule, search.overlap) for a in at):
        return None
    return search.way(at)


def _with_twin(search: BandSearch, way: BandWay) -> list[Choice]:
    if (
        search.stretches.part.hands is not Hands.PAIR
        or search.rule.stagger_mm <= 0.0
        or not way.at_mm
    ):
        return [Choice(at_mm=way.at_mm)]
    twin = search.staggered(len(way.pieces), way.at_mm)
    return [] if twin is None else [Choice(at_mm=way.at_mm, twin_at_mm=twin.at_mm)]


def _why_none(search: BandSearch) -> str:
    rule, band = search.rule, search.band
    widest = max((p.width_mm for p in search.planks), default=0.0)
    told = [
        f"{search.stretches.part.name} is {band.length_mm:.0f} mm long",
        f"it is {band.width_mm:.0f} mm wide",
        f"the widest board gives {widest:.0f} mm",
        f"the grain may run out 1 in {rule.run_out:g}",
        f"its tightest bend has a radius of {band.tightest_mm():.0f} mm",
    ]
    told += [
        f"{z.from_mm:.0f} to {z.to_mm:.0f} mm is to be kept clear ({z.reason})"
        for z in rule.keep_clear
    ]
    return "; ".join(told)


def _priced(planks: tuple[Plank, ...]) -> bool:
    return any(p.price_minor > 0.0 for p in planks)


def _rate(plank: Plank, planks: tuple[Plank, ...]) -> float:
    """Return what a mm of a plank costs: money, or its width where no prices are known."""
    if _priced(planks):
        return plank.price_minor / plank.length_mm
    return plank.width_mm


def _boxes(points: Floats, turns_rad: Floats) -> tuple[Floats, Floats]:
    """Return length and width of points, seen along each direction. [mm]"""
    c, s = np.cos(turns_rad)[:, None], np.sin(turns_rad)[:, None]
    along = c * points[:, 0] + s * points[:, 1]
    across = c * points[:, 1] - s * points[:, 0]
    return np.ptp(along, axis=1), np.ptp(across, axis=1)


def _fits(length: Floats, width: Floats, plank: Plank) -> NDArray[np.bool_]:
    return (length <= plank.length_mm + SAME_LENGTH_MM) & (width <= plank.width_mm + SAME_LENGTH_MM)
