"""How fair a row of readings is.

Second differences show a bump as a dent between two humps (plus, minus, plus), the loftsman's own
check.  Third divided differences are the figures that doubts are weighed by
(:mod:`nestcut.shapes.table.doubts`): no straight or parabolic trend enters them.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from itertools import pairwise
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from nestcut.shapes.fair.fairing import fair_slopes
from nestcut.shapes.fair.stations import EdgeReadings
from nestcut.trade import shop

Floats = NDArray[np.float64]

READING_MM = shop.READING_MM.value
"""Usual error of a reading. [mm]"""

_ORDER = 3


class Doubted(Protocol):
    """A doubted reading: its line, place, likely error and the gain that speaks against it."""

    @property
    def line(self) -> str:
        """Name of its line or edge."""

    @property
    def x_mm(self) -> float:
        """Where it is. [mm]"""

    @property
    def off_mm(self) -> float:
        """Reading less what a fair line would read. [mm]"""

    @property
    def gain(self) -> float:
        """Gain in log likelihood if it is taken as wrong. [-]"""


def second_differences(stations_mm: Iterable[float], offsets_mm: Iterable[float]) -> Floats:
    """Second divided differences times two: mean curvature about each inner station. [1/m]"""
    x, y = np.array(list(stations_mm)), np.array(list(offsets_mm))
    chord = np.diff(y) / np.diff(x)
    return np.asarray(1000.0 * np.diff(chord) / ((x[2:] - x[:-2]) / 2.0))


def fairness_rows(
    edges: Iterable[tuple[str, EdgeReadings]], doubts: Iterable[Doubted]
) -> tuple[tuple[str, ...], ...]:
    """Table of all readings: edge, station, offset, second difference, likely error, gain, remark.

    Second differences are left empty at the ends; the remark names what should be read again.
    """
    found = {(d.line, d.x_mm): d for d in doubts}
    rows = []
    for name, edge in edges:
        bends = ["", *(f"{b:.4f}" for b in second_differences(edge.stations_mm, edge.offsets_mm))]
        bends += [""] * (len(edge.stations_mm) - len(bends))
        for x, y, bend in zip(edge.stations_mm, edge.offsets_mm, bends, strict=True):
            doubt = found.get((name, x))
            told = (
                ("", "", "")
                if doubt is None
                else (f"{doubt.off_mm:+.1f}", f"{doubt.gain:.1f}", "read again")
            )
            rows.append((name, f"{x:g}", f"{y:g}", bend, *told))
    return tuple(rows)


def curvature(edge: EdgeReadings, per_span: int = 8) -> tuple[Floats, Floats]:
    """Places along an edge and the signed curvature of its fair curve there. [mm, 1/mm]

    At a knuckle the curve ends and begins anew, so the comb jumps there.
    """
    x, y = np.array(edge.stations_mm), np.array(edge.offsets_mm)
    runs = [
        _run_curvature(x[a : b + 1], y[a : b + 1], edge, per_span)
        for a, b in pairwise(_breaks(x, edge.knuckles_mm))
        if b > a
    ]
    return np.concatenate([r[0] for r in runs]), np.concatenate([r[1] for r in runs])


def _run_curvature(
    x: Floats, y: Floats, edge: EdgeReadings, per_span: int
) -> tuple[Floats, Floats]:
    slopes = fair_slopes(x, y, edge.manner)
    t = (np.arange(per_span) + 0.5) / per_span
    at = (x[:-1, None] + np.diff(x)[:, None] * t).ravel()
    h = np.repeat(np.diff(x), per_span)
    rise = np.repeat(np.diff(y), per_span)
    left, right = np.repeat(slopes[:-1], per_span), np.repeat(slopes[1:], per_span)
    u = np.tile(t, len(x) - 1)
    first = 6.0 * u * (1.0 - u) * rise / h
    first += (1.0 - 4.0 * u + 3.0 * u**2) * left + (3.0 * u**2 - 2.0 * u) * right
    second = ((6.0 - 12.0 * u) * rise / h + (6 * u - 4) * left + (6 * u - 2) * right) / h
    return at, np.asarray(second / (1.0 + first**2) ** 1.5)


def _breaks(x: Floats, knuckles: tuple[float, ...]) -> list[int]:
    """Numbers of the stations where smooth runs begin and end."""
    return [0, *sorted(int(np.argmin(np.abs(x - k))) for k in knuckles), len(x) - 1]


def contrasts_of(x: Floats, knuckles: tuple[float, ...] = ()) -> Floats:
    """Third divided differences over each smooth run, scaled to unit strength."""
    rows = []
    for a, b in pairwise(_breaks(x, knuckles)):
        for i in range(a, b - _ORDER + 1):
            at = x[i : i + _ORDER + 1]
            row = np.zeros(len(x))
            for k in range(_ORDER + 1):
                others = np.delete(at, k)
                row[i + k] = math.factorial(_ORDER) / np.prod(at[k] - others)
            rows.append(row * math.sqrt((at[-1] - at[0]) / _ORDER))
    return np.array(rows)
