"""Where a fair curve is marked: on lines squared off the sheet's edges, as many as it needs.

Where the curve runs nearer the x direction, a station is a round x and the distance y is measured;
elsewhere a round y.  To the stations at the chosen spacing more are added, at halves and quarters
of it first, in every gap where the batten would leave the true curve.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from nestcut.papers.marking.batten import Ends, batten_points
from nestcut.papers.marking.lines import Run, Way
from nestcut.papers.marking.rules import MarkingRule

Array = NDArray[np.float64]

BATTEN_SHARE = 0.4
"""Share of the allowed distance that the batten alone may use; rounding has the rest."""
SAMPLES_A_GAP = 12
"""Points at which a batten is compared with the true curve, between two marked points."""
CLOSED_NEEDS = 6
"""Least stations on a batten that closes on itself."""
END_GAP = 0.2
"""No station nearer to another point than this share of the spacing it's on."""
ROUNDS = 40
"""Most rounds of adding stations; each halves gaps, so that a few do."""


@dataclass(frozen=True, slots=True)
class Station:
    """A point of a curve on a squared line: ``axis`` 0 where x is the round one, 1 where y is."""

    along_mm: float
    """Distance along the curve from its start. [mm]"""
    x: float
    y: float
    axis: int


def choose_stations(run: Run, rule: MarkingRule, ends: Ends) -> tuple[Station, ...]:
    """Return the stations between a run's ends; none unless it's drawn by a batten."""
    if run.way is not Way.BATTEN:
        return ()
    curve = _Curve(run.points)
    ladder = _spacings(rule)
    if ends is Ends.CLOSED:
        curve, stations = _open_up(curve, ladder)
    else:
        stations = _spread(curve, ladder[0])
    true = shapely.linestrings(run.points)
    for _ in range(ROUNDS):
        gaps = _gaps(curve, stations, ends)
        through = _through(curve, stations, ends)
        line = batten_points(through, ends, SAMPLES_A_GAP)
        off = shapely.distance(shapely.points(line[:-1]), true).reshape(-1, SAMPLES_A_GAP)
        poor = np.flatnonzero(off.max(axis=1) > rule.allowed_mm * BATTEN_SHARE)
        added = [s for k in poor if (s := _middle_station(curve, *gaps[k], ladder)) is not None]
        if not added:
            break
        stations = sorted([*stations, *added], key=lambda s: s.along_mm)
    return tuple(stations)


class _Curve:
    """A flattened curve with its distances along."""

    def __init__(self, points: Array) -> None:
        self.points = points
        self.steps = np.diff(points, axis=0)
        self.along = np.concatenate([[0.0], np.cumsum(np.hypot(*self.steps.T))])
        self.length = float(self.along[-1])
        self.axes = (np.abs(self.steps[:, 1]) > np.abs(self.steps[:, 0])).astype(int)

    def crossings(self, spacing: float, from_mm: float, to_mm: float) -> list[Station]:
        """Where the curve meets squared lines, between two distances along it."""
        first = max(0, int(np.searchsorted(self.along, from_mm, side="right")) - 1)
        found: list[Station] = []
        for k in range(first, len(self.steps)):
            if self.along[k] >= to_mm:
                break
            axis = int(self.axes[k])
            a, b = float(self.points[k, axis]), float(self.points[k + 1, axis])
            low, high = min(a, b), max(a, b)
            lines = range(math.ceil(low / spacing), math.floor(high / spacing) + 1)
            found += [
                self._station(k, axis, m * spacing, (m * spacing - a) / (b - a))
                for m in (lines if a <= b else reversed(lines))
            ]
        inside = [s for s in found if from_mm < s.along_mm < to_mm]
        return [
            s
            for k, s in enumerate(inside)
            if k == 0 or s.along_mm - inside[k - 1].along_mm > spacing / 10.0
        ]

    def _station(self, k: int, axis: int, value: float, share: float) -> Station:
        other = float(self.points[k, 1 - axis] + share * self.steps[k, 1 - axis])
        along = float(self.along[k] + share * (self.along[k + 1] - self.along[k]))
        return Station(along, *((value, other) if axis == 0 else (other, value)), axis)


def _spacings(rule: MarkingRule) -> tuple[float, ...]:
    """Return the chosen spacing, its halves while they stay whole steps, then five and one step."""
    step = rule.steps_mm[0]
    steps = round(rule.spacing_mm / step)
    ladder = [steps]
    while ladder[-1] % 2 == 0:
        ladder.append(ladder[-1] // 2)
    ladder += [k for k in (5, 1) if k < ladder[-1]]
    return tuple(k * step for k in ladder)


def _spread(curve: _Curve, spacing: float) -> list[Station]:
    margin = spacing * END_GAP
    kept: list[Station] = []
    for s in curve.crossings(spacing, margin, curve.length - margin):
        if not kept or s.along_mm - kept[-1].along_mm >= margin:
            kept.append(s)
    return kept


def _open_up(curve: _Curve, ladder: tuple[float, ...]) -> tuple[_Curve, list[Station]]:
    """Begin a closed curve at a station, the first of a spacing that gives it enough of them."""
    found: list[Station] = []
    for spacing in ladder:
        found = curve.crossings(spacing, 0.0, curve.length)
        if len(found) >= CLOSED_NEEDS:
            break
    if not found:
        return curve, [Station(0.0, float(curve.points[0, 0]), float(curve.points[0, 1]), 0)]
    first = found[0]
    at = int(np.searchsorted(curve.along, first.along_mm))
    start = np.array([[first.x, first.y]])
    opened = _Curve(np.vstack([start, curve.points[at:-1], curve.points[:at], start]))
    moved = [replace(s, along_mm=s.along_mm - first.along_mm) for s in found]
    return opened, moved


def _through(curve: _Curve, stations: list[Station], ends: Ends) -> Array:
    inner = np.array([(s.x, s.y) for s in stations], dtype=np.float64).reshape(-1, 2)
    if ends is Ends.CLOSED:
        return inner
    return np.vstack([curve.points[:1], inner, curve.points[-1:]])


def _gaps(curve: _Curve, stations: list[Station], ends: Ends) -> list[tuple[float, float]]:
    at = [s.along_mm for s in stations]
    if ends is Ends.FREE:
        return list(zip([0.0, *at], [*at, curve.length], strict=True))
    return list(zip(at, [*at[1:], curve.length], strict=True))


def _middle_station(
    curve: _Curve, from_mm: float, to_mm: float, ladder: tuple[float, ...]
) -> Station | None:
    """Return the roundest station in the middle part of a gap, the one nearest its middle."""
    middle, reach = (from_mm + to_mm) / 2.0, (to_mm - from_mm) / 4.0
    for spacing in ladder:
        found = curve.crossings(spacing, middle - reach, middle + reach)
        if found:
            return min(found, key=lambda s: (abs(s.along_mm - middle), s.along_mm))
    return None
