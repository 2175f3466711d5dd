"""How fair a row of readings is, and which reading is most likely misread.

Second differences show a bump as a dent between two humps (plus, minus, plus), the loftsman's own
check.  The ranking puts figures to it: readings are taken as a smooth curve plus reading errors of
known size, the curve's third derivative as white noise of unknown strength (the smoothing spline's
model: G. Wahba, Spline Models for Observational Data, SIAM 1990, chapter 1), and each reading in
turn as shifted by an unknown amount (mean-shift outlier model: R. D. Cook and S. Weisberg,
Residuals and Influence in Regression, 1982, section 2.2).  The strength and the shift are those of
greatest likelihood; the reading whose shift gains most likelihood is the most likely misread one.
Only contrasts of four neighbouring readings enter, so no straight, parabolic trend counts as error.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from nestcut.shapes.fairing import fair_slopes
from nestcut.shapes.stations import EdgeReadings

Floats = NDArray[np.float64]

READING_MM = 1.0
"""Usual error of a reading: tables are written to 1 mm or 1/16 in (common practice, no source).
[mm]"""

_ORDER = 3
_STRENGTHS = tuple(10.0 ** (k / 4.0) for k in range(-60, -3))
"""Trial strengths of the third derivative. [mm^(-1/2) ... scaled]"""
_CLEAR_GAIN = 6.0
"""Gain in log likelihood from which a reading is pointed at: odds of about e^6 to 1 before the
number of readings is allowed for."""
_LEAST_SLIP_MM = 3.0
"""Smaller shifts disappear under the batten. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Suspect:
    """A reading and what speaks against it.

    Parameters
    ----------
    edge
        Name of the edge.
    station_mm, reading_mm
        Where, and what was read. [mm]
    off_by_mm
        Most likely error: reading minus fair value. [mm]
    gain
        Gain in log likelihood if this reading is taken as wrong. [-]
    """

    edge: str
    station_mm: float
    reading_mm: float
    off_by_mm: float
    gain: float

    @property
    def is_clear(self) -> bool:
        """Whether it should be pointed at."""
        return self.gain >= _CLEAR_GAIN and abs(self.off_by_mm) >= _LEAST_SLIP_MM


def second_differences(stations_mm: Iterable[float], offsets_mm: Iterable[float]) -> Floats:
    """Second divided differences times two: mean curvature about each inner station. [1/m]"""
    x, y = np.array(list(stations_mm)), np.array(list(offsets_mm))
    chord = np.diff(y) / np.diff(x)
    return np.asarray(1000.0 * np.diff(chord) / ((x[2:] - x[:-2]) / 2.0))


def rank_misreadings(
    edges: Iterable[tuple[str, EdgeReadings]], reading_error_mm: float = READING_MM
) -> tuple[Suspect, ...]:
    """Rank every reading of every edge by how likely it is to be misread, worst first."""
    suspects = [s for name, edge in edges for s in _edge_suspects(name, edge, reading_error_mm)]
    return tuple(sorted(suspects, key=lambda s: (-s.gain, s.edge, s.station_mm)))


def fairness_rows(
    edges: Iterable[tuple[str, EdgeReadings]], suspects: Iterable[Suspect]
) -> tuple[tuple[str, ...], ...]:
    """Table of all readings: edge, station, offset, second difference, likely error, gain, remark.

    Second differences are left empty at the ends; the remark names what should be read again.
    """
    found = {(s.edge, s.station_mm): s for s in suspects}
    rows = []
    for name, edge in edges:
        bends = ["", *(f"{b:.4f}" for b in second_differences(edge.stations_mm, edge.offsets_mm))]
        bends += [""] * (len(edge.stations_mm) - len(bends))
        for x, y, bend in zip(edge.stations_mm, edge.offsets_mm, bends, strict=True):
            suspect = found.get((name, x))
            told = (
                ("", "", "")
                if suspect is None
                else (
                    f"{suspect.off_by_mm:+.1f}",
                    f"{suspect.gain:.1f}",
                    "read again" if suspect.is_clear else "",
                )
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


def _edge_suspects(name: str, edge: EdgeReadings, error_mm: float) -> list[Suspect]:
    x, y = np.array(edge.stations_mm), np.array(edge.offsets_mm)
    contrasts = _contrasts(x, edge.knuckles_mm)
    if len(contrasts) < 2:
        return []
    gains = np.full(len(x), -math.inf)
    slips = np.zeros(len(x))
    plain = -math.inf
    for strength in _STRENGTHS:
        free, shifted, slip = _likelihoods(contrasts, y, error_mm, strength)
        plain = max(plain, free)
        better = shifted > gains
        gains, slips = np.where(better, shifted, gains), np.where(better, slip, slips)
    return [
        Suspect(
            edge=name,
            station_mm=float(x[i]),
            reading_mm=float(y[i]),
            off_by_mm=float(slips[i]),
            gain=float(gains[i] - plain),
        )
        for i in range(len(x))
        if math.isfinite(gains[i])
    ]


def _contrasts(x: Floats, knuckles: tuple[float, ...]) -> Floats:
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


def _likelihoods(
    contrasts: Floats, y: Floats, error_mm: float, strength: float
) -> tuple[float, Floats, Floats]:
    """Log likelihood without a shift, with each reading shifted, and the shifts. [mm]"""
    covariance = error_mm**2 * contrasts @ contrasts.T + strength**2 * np.eye(len(contrasts))
    root = np.linalg.cholesky(covariance)
    z = np.linalg.solve(root, contrasts @ y)
    effects = np.linalg.solve(root, contrasts)
    sizes = np.sum(effects**2, axis=0)
    known = sizes > 1e-12 * sizes.max()
    along = effects.T @ z
    base = -float(np.sum(np.log(np.diag(root)))) - float(z @ z) / 2.0
    safe = np.where(known, sizes, 1.0)
    shifted = np.where(known, base + along**2 / safe / 2.0, -math.inf)
    return base, shifted, along / safe
