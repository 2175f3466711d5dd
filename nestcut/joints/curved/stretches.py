"""Every stretch of a band between two points of a grid, measured: what board would it take?"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nestcut.errors import Finding
from nestcut.joints.curved.division import Bend, bend_between
from nestcut.joints.curved.line import band_line
from nestcut.joints.division import overlap_mm
from nestcut.model.part import CutFrom, SheetPart, Turning
from nestcut.tolerances import ANGLE_DEG, SAME_LENGTH_MM

Floats = NDArray[np.float64]

GRID_MM = 20.0
"""Joint positions are tried this far apart. [mm]"""
_SPARSE = 5
"""Of the points along a band every so many are looked at while all stretches are measured. [-]"""
_SPARSE_MM = 0.1
"""What points left out may stick out by: the sagitta of 10 mm at a radius over 130 mm. [mm]"""
_MARGIN_MM = 1.0
"""Pieces are taken this much longer at each joint, so that what fits here fits when cut. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Measured:
    """A piece between two joints, measured: at every turn tried, what board it takes.

    ``turns_deg`` are directions of grain [deg], ``lengths_mm`` and ``widths_mm`` what each takes,
    shape (turns,) [mm]; a turn that is not a number may not be taken.
    """

    bend: Bend
    turns_deg: Floats
    lengths_mm: Floats
    widths_mm: Floats


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
        self._between: dict[tuple[float | None, float | None], Measured] = {}
        self._measure(longest_mm)

    def turns(self, least: Floats, most: Floats) -> Floats:
        """Return directions of grain to try for pieces, shape (k, n); not a number: none. [deg]"""
        middle = (least + most) / 2.0
        if self.part.cut_from is not CutFrom.BOARD:
            return np.zeros((1, len(middle)))
        slack = math.degrees(math.atan(1.0 / self.rule.run_out)) - (most - least) / 2.0
        may = np.where(slack >= -ANGLE_DEG, 0.0, np.nan)
        if self.part.turning is not Turning.SMALL:
            turns: Floats = (middle + may)[None, :]
            return turns
        slack = np.clip(slack, 0.0, self.part.small_angle_deg)
        return np.stack([middle + may + f * slack for f in (0.0, -1.0, -0.5, 0.5, 1.0)])

    def between(self, before: float | None, after: float | None) -> Measured:
        """Measure the piece between two joints by all its points, each piece once."""
        if (before, after) not in self._between:
            bend = bend_between(self.band, before, after, self.overlap)
            turns = self.turns(np.array([bend.least_deg]), np.array([bend.most_deg]))[:, 0]
            half = self.overlap / 2.0
            start = 0.0 if before is None else before - half
            end = self.band.length_mm if after is None else after + half
            lengths, widths = boxes_mm(self._points(start, end), np.radians(turns))
            self._between[before, after] = Measured(
                bend=bend, turns_deg=turns, lengths_mm=lengths, widths_mm=widths
            )
        return self._between[before, after]

    def _points(self, start: float, end: float) -> Floats:
        """Return points that a stretch lies between; ends of the band with their corners. [mm]"""
        band = self.band
        a, b = np.searchsorted(band.along_mm, [start - self.extra, end + self.extra])
        b = min(int(b), len(band.along_mm) - 1)
        rows = [line[a : b + 1] for line in (band.near, band.far)]
        if start <= 0.0:
            rows.append(band.first_end)
        if end >= band.length_mm:
            rows.append(band.last_end)
        return np.concatenate(rows)

    def _sparse_points(self, start: float, ends: Floats) -> Floats:
        """Return some of the points of stretches from one start, shape (ends, n, 2). [mm]

        Shorter stretches repeat their last points, so that all have as many.
        """
        band = self.band
        a = int(np.searchsorted(band.along_mm, start - self.extra))
        b = np.searchsorted(band.along_mm, ends + self.extra)
        b = np.minimum(b, len(band.along_mm) - 1)
        index = np.minimum(np.arange(a, int(b.max(initial=a)) + _SPARSE, _SPARSE), b[:, None])
        rows = [band.near[index], band.far[index]]
        if start <= 0.0:
            rows.append(np.broadcast_to(band.first_end, (len(b), *band.first_end.shape)))
        reached = (ends >= band.length_mm)[:, None, None]
        if reached.any():
            rows.append(np.where(reached, band.last_end, band.near[b][:, None]))
        return np.concatenate(rows, axis=1)

    def _measure(self, longest_mm: float) -> None:
        band, n = self.band, len(self.grid)
        starts = np.maximum(self.grid - self.overlap / 2.0, 0.0)
        ends = np.minimum(self.grid + self.overlap / 2.0, band.length_mm)
        # The grain is held against all that the edges cover, a little more than the middle line.
        half = self.overlap / 2.0
        low_ends = np.array([max(band.reach_mm(a, -half), 0.0) for a in self.grid.tolist()])
        high_ends = np.array(
            [min(band.reach_mm(a, half), band.length_mm) for a in self.grid.tolist()]
        )
        low_ends[0], high_ends[-1] = 0.0, band.length_mm
        first, last = (np.searchsorted(band.along_mm, s) for s in (low_ends, high_ends))
        edges = np.stack([band.angle_rad, band.other_angle_rad])
        at_start, at_end = (
            np.stack([np.interp(s, band.along_mm, e) for e in edges]) for s in (low_ends, high_ends)
        )
        from_, to = (
            np.column_stack([np.interp(s, band.along_mm, band.middle[:, k]) for k in (0, 1)])
            for s in (starts, ends)
        )
        least = max(self.rule.min_piece_mm, 2.0 * self.overlap) - SAME_LENGTH_MM
        for i in range(n - 1):
            chords = np.hypot(*(to - from_[i]).T)
            later = np.arange(i + 1, n)
            later = later[_until_not(chords[later] <= longest_mm + band.width_mm)]
            later = later[ends[later] - starts[i] >= least]
            low, high = (
                _extreme(
                    take,
                    edges[:, first[i] :],
                    at_start[:, i],
                    at_end[:, later],
                    last[later] - first[i],
                )
                for take in (np.minimum, np.maximum)
            )
            turns = self.turns(np.degrees(low), np.degrees(high))
            may = _until_not(np.isfinite(turns[0]))
            later, turns = later[may], turns[:, may]
            points = self._sparse_points(float(starts[i]), ends[later])
            length, width = boxes_mm(points, np.radians(turns))
            self.lengths[:, i, later], self.widths[:, i, later] = length, width + _SPARSE_MM


def _until_not(may: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """Leave out everything from the first on that may not be."""
    return np.logical_and.accumulate(may)


def _extreme(
    take: np.ufunc, edges: Floats, at_start: Floats, at_ends: Floats, counts: NDArray[np.intp]
) -> Floats:
    """Return the least (or greatest) direction of both edges in stretches from one start.

    ``edges`` has shape (2, m), of which each stretch takes in the first so many; ``at_start``
    shape (2,) and ``at_ends`` shape (2, stretches) are the directions at its very ends.
    """
    inside = take.accumulate(take.reduce(edges))[counts - 1]
    found: Floats = take(take(inside, take.reduce(at_ends)), take.reduce(at_start))
    return found


def boxes_mm(points: Floats, turns_rad: Floats) -> tuple[Floats, Floats]:
    """Return length and width of points (..., n, 2), seen along directions (k, ...). [mm]"""
    x, y = (np.ascontiguousarray(points[..., k]) for k in (0, 1))
    boxes = np.array(
        [
            (np.ptp(c * x + s * y, axis=-1), np.ptp(c * y - s * x, axis=-1))
            for c, s in zip(np.cos(turns_rad)[..., None], np.sin(turns_rad)[..., None], strict=True)
        ]
    )
    return boxes[:, 0], boxes[:, 1]
