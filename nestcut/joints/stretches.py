"""Every stretch of a band between two points of a grid, measured: what board would it take?"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from nestcut.errors import Finding
from nestcut.joints.bandline import band_line
from nestcut.joints.division import overlap_mm
from nestcut.model.part import CutFrom, SheetPart, Turning
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
            for j in range(i + 1, n):
                if chords[j] > longest_mm + band.width_mm:
                    break
                if ends[j] - starts[i] < least:
                    continue
                inside = edges[:, first[i] : last[j]]
                low = min(inside.min(), at_start[:, i].min(), at_end[:, j].min())
                high = max(inside.max(), at_start[:, i].max(), at_end[:, j].max())
                turns = self.turns(np.degrees([low]), np.degrees([high]))[:, 0]
                if math.isnan(turns[0]):
                    break
                points = self.points(float(starts[i]), float(ends[j]), _SPARSE)
                length, width = boxes_mm(points, np.radians(turns))
                self.lengths[:, i, j], self.widths[:, i, j] = length, width + _SPARSE_MM


def boxes_mm(points: Floats, turns_rad: Floats) -> tuple[Floats, Floats]:
    """Return length and width of points, seen along each direction. [mm]"""
    c, s = np.cos(turns_rad)[:, None], np.sin(turns_rad)[:, None]
    along = c * points[:, 0] + s * points[:, 1]
    across = c * points[:, 1] - s * points[:, 0]
    return np.ptp(along, axis=1), np.ptp(across, axis=1)
