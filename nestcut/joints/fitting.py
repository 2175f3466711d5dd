"""How long a piece of a part may be so that it still fits a sheet, at a turn that it may take."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from nestcut.geometry.pose import move_shape
from nestcut.geometry.usable import beds_mm
from nestcut.joints.division import head_depth_mm, overlap_mm, with_allowance
from nestcut.joints.kinds import KINDS
from nestcut.model.joint import JointAxis, JointRule
from nestcut.model.part import Grain, SheetPart, Turning
from nestcut.model.pose import Pose
from nestcut.model.stock import SheetGrain, SheetStock
from nestcut.tolerances import SAME_LENGTH_MM

_TURN_STEP_DEG = 0.5
"""Turns are tried this far apart where a part may be turned a little. [deg]"""
_BISECTIONS = 26
"""Halvings of a part's length when the longest piece is sought: 10 m to a tenth of a micrometre."""


class Fit:
    """Whether a stretch of a part fits a sheet, remembered."""

    def __init__(self, part: SheetPart, rule: JointRule, stocks: tuple[SheetStock, ...]) -> None:
        across = rule.axis is JointAxis.WIDTH
        pose = Pose(turn_deg=270.0) if across else Pose()
        shape, net = move_shape(with_allowance(part), pose), move_shape(part.shape, pose)
        self.polygon = Polygon(shape.outline.points)
        self.origin = min(x for x, _ in net.outline.points)
        self.length = max(x for x, _ in net.outline.points) - self.origin
        self.overlap = overlap_mm(rule, part.thickness_mm)
        self.heads = head_depth_mm(rule, part.thickness_mm)
        self.taken = 2.0 * KINDS[rule.kind].reach_mm(rule, part.thickness_mm)
        self.beds = tuple(
            (_turns(part, s, rule.axis), *bed) for s in stocks for bed in beds_mm(s.usable)
        )
        self.known: dict[tuple[float, float], bool] = {}

    def fits(self, start: float, end: float) -> bool:
        """Whether the stretch between two distances from the reference end fits a sheet."""
        key = (start, end)
        if key not in self.known:
            self.known[key] = self._fits(start, end)
        return self.known[key]

    def _fits(self, start: float, end: float) -> bool:
        low_x, low, high_x, high = self.polygon.bounds
        a = low_x if start <= 0.0 else self.origin + start
        b = high_x if end >= self.length else self.origin + end
        points = shapely.get_coordinates(
            self.polygon.intersection(shapely.box(a, low - 1.0, b, high + 1.0)).convex_hull
        )
        return any(_fits_turned(points, turns, length, width) for turns, length, width in self.beds)

    def piece(self, before: float | None, after: float | None) -> bool:
        """Whether the piece between two joints fits; None stands for an end of the part."""
        half = self.overlap / 2.0
        start = 0.0 if before is None else before - half
        end = self.length if after is None else after + half + self.heads
        return end > start and self.fits(start, end)

    def furthest(self, before: float | None) -> float:
        """Furthest next joint that leaves a piece that fits. [mm]"""
        low, high = before or 0.0, self.length
        for _ in range(_BISECTIONS):
            middle = (low + high) / 2.0
            low, high = (middle, high) if self.piece(before, middle) else (low, middle)
        return low

    def nearest(self, after: float | None) -> float:
        """Nearest joint before this one that leaves a piece that fits. [mm]"""
        low, high = 0.0, self.length if after is None else after
        for _ in range(_BISECTIONS):
            middle = (low + high) / 2.0
            low, high = (low, middle) if self.piece(middle, after) else (middle, high)
        return high


def _turns(part: SheetPart, stock: SheetStock, axis: JointAxis) -> NDArray[np.float64]:
    """Return the turns that a piece may take, from the frame in which x runs across the joints."""
    frame = 90.0 if axis is JointAxis.WIDTH else 0.0
    if part.grain is Grain.ANY:
        base = [0.0, 90.0] if part.turning is Turning.QUARTER else [0.0]
        if part.turning is Turning.FREE:
            base = list(np.arange(0.0, 180.0, _TURN_STEP_DEG))
    else:
        along = (part.grain is Grain.ALONG) == (stock.grain is SheetGrain.ALONG_LENGTH)
        base = [0.0 if along else 90.0]
    if part.turning is Turning.SMALL:
        n = math.ceil(part.small_angle_deg / _TURN_STEP_DEG)
        steps = np.linspace(-part.small_angle_deg, part.small_angle_deg, 2 * n + 1)
        base = [b + float(s) for b in base for s in steps]
    return np.radians(np.asarray(base, dtype=np.float64) + frame)


def _fits_turned(
    points: NDArray[np.float64], turns: NDArray[np.float64], length: float, width: float
) -> bool:
    c, s = np.cos(turns), np.sin(turns)
    x = np.outer(c, points[:, 0]) - np.outer(s, points[:, 1])
    y = np.outer(s, points[:, 0]) + np.outer(c, points[:, 1])
    fits = (np.ptp(x, axis=1) <= length + SAME_LENGTH_MM) & (
        np.ptp(y, axis=1) <= width + SAME_LENGTH_MM
    )
    return bool(fits.any())
