"""What fair hulls look like: families of lines drawn by lot, against which readings are weighed.

Third differences alone can't tell which of five readings is wrong: two figures a line are left of
them.  So the readings of a view are also weighed as a whole.  For each family of hulls (bows sharp
or blunt, power laws, battens over three ducks, arcs cut off) lines are drawn by lot at the table's
own stations, their size taken from the table; their mean and covariance make a normal prior, with
room for what no family has (a curve's third derivative as white noise).  Beside them stand smooth
lines of any kind.  A reading's shift is weighed against no shift by the Bayes factor, summed over
all of these (R. E. Kass and A. E. Raftery, Bayes Factors, J. Am. Stat. Assoc. 90, 1995).

The ranges of beam, spring and ends are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import Enum
from itertools import product

import numpy as np
from numpy.typing import NDArray

from nestcut.search.streams import stream
from nestcut.shapes.fair.fairness import READING_MM
from nestcut.tolerances.hulls import (
    BLUNT_MOST,
    CURVED_LEAST,
    HEIGHT_RATIO_LEAST,
    LEAN_SLOPE_SPREAD,
    LEAN_SPREAD,
    LINE_SIZE_LEAST,
    OWN_LEAST,
    ROUGH_LINE,
    TOP_MEAN,
    TOP_SPREAD,
    WIDEST_SPREAD,
)

Floats = NDArray[np.float64]

_DRAWN = 300
"""Hulls drawn by lot for each part of a family. [-]"""

_SLACK = (0.1, 1.0)
"""Third derivatives that a family doesn't have, in ranges over the cube of the length. [-]"""

_ROUGH = 0.55 * ROUGH_LINE
"""What a fair line may be off its batten, beside reading errors, as a share of its length. [-]"""

_HALVES = tuple(product((0.0, 0.5), (0.0, 0.5)))
"""A family is drawn in four parts, by halves of its two most telling figures: a normal prior fits
each of them better than all at once. [-]"""

_ANY_STRENGTHS, _ANY_OWN = (1.0, 3.0, 8.0, 20.0), (OWN_LEAST, 0.2, 0.6)
"""Third derivatives of lines of any kind, in ranges over the cube of the length, and a line's own
beside what all lines share. [-]"""

_ANY_LOG = -2.0
"""Log weight of lines of any kind against the families. [-]"""

_APART = 0.1
"""Weight of lines whose heights have nothing in common: sheer and keel are drawn apart. [-]"""


@dataclass(frozen=True, slots=True)
class Reading:
    """One line of a view: stations as shares of the view's length, and readings. [-], [mm]"""

    u: Floats
    y: Floats


@dataclass(frozen=True, slots=True)
class _Prior:
    """Normal prior of all readings of some lines, and its log weight. [mm], [mm2], [-]"""

    mean: Floats
    covariance: Floats
    log_weight: float


Family = Callable[[Sequence[Reading], float, np.random.Generator, tuple[float, float]], Floats]
"""Draws lines: readings, length [mm], chance, halves; shape (drawn, readings). [mm]"""


def heights_gains(
    lines: Sequence[Reading], long_mm: float, slips: Floats, slip_logs: Floats
) -> tuple[Floats, Floats]:
    """Log Bayes factor of each height's being misread, and the likely shift. [-], [mm]

    Parameters
    ----------
    lines
        Lines of the view; results are for their readings one after the other.
    long_mm
        Length of the view. [mm]
    slips, slip_logs
        How far a reading may have been misread, and the log weight of each, both shape (k,). [mm],
        [-]
    """
    together = _weighed(lines, _priors(lines, long_mm, _HEIGHTS), slips, slip_logs, long_mm)
    each = [
        _weighed([r], _priors([r], long_mm, _HEIGHTS), slips, slip_logs, long_mm) for r in lines
    ]
    plain = sum(e.plain for e in each)
    shifted = np.concatenate([plain - e.plain + e.shifted for e in each])
    apart = _Weighed(plain, shifted, np.concatenate([e.shifts for e in each]))
    return _gains(_mixed(together, apart, _APART))


def breadths_gains(
    lines: Sequence[Reading], long_mm: float, slips: Floats, slip_logs: Floats
) -> tuple[Floats, Floats]:
    """Return the same for half-breadths, as :func:`heights_gains`.

    Parameters
    ----------
    long_mm
        Length of the hull. [mm]
    slips, slip_logs
        As in :func:`heights_gains`.
    """
    return _gains(_weighed(lines, _priors(lines, long_mm, _BREADTHS), slips, slip_logs, long_mm))


# -- weighing -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Weighed:
    """Log likelihood of the table as it stands, and with each reading shifted; likely shifts."""

    plain: float
    shifted: Floats
    shifts: Floats


def _gains(weighed: _Weighed) -> tuple[Floats, Floats]:
    return weighed.shifted - weighed.plain, weighed.shifts


def _mixed(a: _Weighed, b: _Weighed, share: float) -> _Weighed:
    """Two models, the second with a share of the weight."""
    log_a, log_b = math.log(1.0 - share), math.log(share)
    shifted = np.logaddexp(a.shifted + log_a, b.shifted + log_b)
    of_a = np.exp(a.shifted + log_a - shifted)
    plain = float(np.logaddexp(a.plain + log_a, b.plain + log_b))
    return _Weighed(plain, shifted, of_a * a.shifts + (1.0 - of_a) * b.shifts)


def _weighed(
    lines: Sequence[Reading],
    priors: Sequence[_Prior],
    slips: Floats,
    slip_logs: Floats,
    long_mm: float,
) -> _Weighed:
    y = np.concatenate([r.y for r in lines])
    eye = np.eye(len(y))
    noise = (READING_MM**2 + (_ROUGH * long_mm) ** 2) * eye
    plain, shifted, shifts = [], [], []
    for prior in priors:
        root = np.linalg.cholesky(prior.covariance + noise)
        z, effects = np.linalg.solve(root, y - prior.mean), np.linalg.solve(root, eye)
        base = prior.log_weight - float(np.sum(np.log(np.diag(root)))) - float(z @ z) / 2.0
        sizes, along = np.sum(effects**2, axis=0), effects.T @ z
        fits = np.outer(along, slips) - np.outer(sizes, slips**2) / 2.0 + slip_logs
        plain.append(base)
        shifted.append(base + np.logaddexp.reduce(fits, axis=1))
        shifts.append(along / sizes)
    logs = np.array(shifted)
    total = np.logaddexp.reduce(logs, axis=0)
    likely = (np.exp(logs - total) * np.array(shifts)).sum(axis=0)
    return _Weighed(float(np.logaddexp.reduce(plain)), total, likely)


def _priors(lines: Sequence[Reading], long_mm: float, families: Sequence[Family]) -> list[_Prior]:
    """Priors of all families in their parts, and of lines of any kind."""
    ranges = np.concatenate([np.full(len(r.u), _range_mm(r, long_mm)) for r in lines])
    which = np.repeat(np.arange(len(lines)), [len(r.u) for r in lines])
    same = (which[:, None] == which[None, :]).astype(np.float64)
    scale = np.outer(ranges, ranges)
    bent = _bent([r.u for r in lines])
    weight = -math.log(len(families) * len(_HALVES) * len(_SLACK))
    made = []
    for family in families:
        for half in _HALVES:
            drawn = family(lines, long_mm, stream(1, "fair hulls"), half)
            mean, spread = drawn.mean(axis=0), np.cov(drawn.T)
            slack = scale * bent * (0.5 + 0.5 * same)
            made += [_Prior(mean, spread + s**2 * slack, weight) for s in _SLACK]
    return [*made, *_any_lines(lines, scale, bent, same)]


def _any_lines(lines: Sequence[Reading], scale: Floats, bent: Floats, same: Floats) -> list[_Prior]:
    """Smooth lines: a parabola of which little is known, and a third derivative of white noise."""
    u = np.concatenate([r.u for r in lines]) - 0.5
    mean = np.concatenate([np.full(len(r.y), float(np.median(r.y))) for r in lines])
    terms = np.stack([0.6 * np.ones(len(u)), 1.5 * u, 4.0 * u**2], axis=1)
    parabola = (0.3 * same + 0.7) * (terms @ terms.T)
    weight = _ANY_LOG - math.log(len(_ANY_STRENGTHS) * len(_ANY_OWN))
    return [
        _Prior(mean, scale * (parabola + strength**2 * bent * (1.0 + own**2 * same)), weight)
        for strength in _ANY_STRENGTHS
        for own in _ANY_OWN
    ]


def _bent(stations: Sequence[Floats], steps: int = 60) -> Floats:
    """Covariance of curves whose third derivative is white noise of strength one over 0 to 1."""
    at = (np.arange(steps) + 0.5) / steps
    parts = [np.clip(u[:, None] - at, 0.0, None) ** 2 / 2.0 / math.sqrt(steps) for u in stations]
    effects = np.concatenate(parts)
    return np.asarray(effects @ effects.T)


# -- families -----------------------------------------------------------------------------------


def _second_mm(reading: Reading, place: int) -> float:
    """Second largest (-2) or second smallest (1) reading: one misread figure doesn't reach it."""
    return float(np.sort(reading.y)[place])


def _range_mm(reading: Reading, long_mm: float) -> float:
    return max(_second_mm(reading, -2) - _second_mm(reading, 1), CURVED_LEAST * long_mm)


class _Lot:
    """Draws figures for all hulls of a part at once."""

    def __init__(self, chance: np.random.Generator) -> None:
        self._chance = chance

    def between(self, low: float, high: float) -> Floats:
        """Evenly from low to high."""
        return self._chance.uniform(low, high, _DRAWN)

    def half(self, low: float, high: float, start: float) -> Floats:
        """Evenly over the lower (0) or upper half (0.5) of low to high."""
        return low + (high - low) * self.between(start, start + 0.5)

    def about(self, middle: Floats, spread: float) -> Floats:
        """Evenly about a figure that all lines share."""
        return middle + self._chance.uniform(-spread, spread, _DRAWN)

    def normal(self, middle: float, spread: float) -> Floats:
        """Normally about a figure."""
        return self._chance.normal(middle, spread, _DRAWN)


def _powers(u: Floats, low: Floats, fore: Floats, aft: Floats, p: Floats, q: Floats) -> Floats:
    """Rise from 0 at ``low`` to ``fore`` and ``aft`` at the ends by powers; shape (drawn, n)."""
    at, to = u[None, :], low[:, None]
    ahead = np.clip((at - to) / (1.0 - to), 0.0, 1.0) ** p[:, None]
    behind = np.clip((to - at) / to, 0.0, 1.0) ** q[:, None]
    return np.asarray(fore[:, None] * ahead + aft[:, None] * behind)


def _battens(u: Floats, low: Floats, fore: Floats, aft: Floats, b: Floats, e: Floats) -> Floats:
    """Battens through ``aft`` at 0, 0 at ``low`` and ``fore`` at 1, clamped at slopes b and e.

    Two cubics with one curvature where they meet; shape (drawn, n).
    """
    one, two = low, 1.0 - low
    chord_one, chord_two = -aft / one, fore / two
    slope = (6.0 * chord_two - 2.0 * e) / two + (6.0 * chord_one - 2.0 * b) / one
    slope = slope / (4.0 / one + 4.0 / two)
    at, to = u[None, :], low[:, None]
    zero = np.zeros_like(low)
    left = _cubic(at / to, one, (aft, zero), (b, slope))
    right = _cubic((at - to) / (1.0 - to), two, (zero, fore), (slope, e))
    return np.where(at < to, left, right)


def _cubic(
    t: Floats, h: Floats, ends: tuple[Floats, Floats], slopes: tuple[Floats, Floats]
) -> Floats:
    """Cubic by its ends and end slopes over a stretch ``h``."""
    (y0, y1), (s0, s1) = ([v[:, None] for v in pair] for pair in (ends, slopes))
    t2, t3, wide = t * t, t * t * t, h[:, None]
    humps = (t3 - 2.0 * t2 + t) * wide * s0 + (t3 - t2) * wide * s1
    return np.asarray((2.0 * t3 - 3.0 * t2 + 1.0) * y0 + (3.0 * t2 - 2.0 * t3) * y1 + humps)


def _profiles(law: Callable[[_Lot], Callable[[Reading, Floats, Floats, Floats], Floats]]) -> Family:
    """Heights that are lowest somewhere amidships and rise to both ends by a law."""

    def draw(
        lines: Sequence[Reading],
        long_mm: float,
        chance: np.random.Generator,
        half: tuple[float, float],
    ) -> Floats:
        lot = _Lot(chance)
        lowest = lot.half(0.25, 0.65, half[0])
        ends = np.exp(
            lot.half(math.log(HEIGHT_RATIO_LEAST), math.log(4.0), half[1])
        )  # aft rise to fore rise
        shape = law(lot)
        made = []
        for line in lines:
            base = _second_mm(line, 1)
            size = max(_second_mm(line, -2) - base, LINE_SIZE_LEAST * long_mm)
            low, level = lot.about(lowest, 0.1), base + size * lot.normal(-0.1, 0.25)
            top, ratio = size * np.exp(lot.normal(0.2, 0.4)), ends * np.exp(lot.normal(0.0, 0.6))
            fore = top / np.maximum(1.0, ratio)
            made.append(level[:, None] + shape(line, low, fore, fore * ratio))
        return np.concatenate(made, axis=1)

    return draw


def _power_law(lot: _Lot) -> Callable[[Reading, Floats, Floats, Floats], Floats]:
    power = lot.between(1.85, 2.6)

    def shape(line: Reading, low: Floats, fore: Floats, aft: Floats) -> Floats:
        own = lot.about(power, 0.15)
        return _powers(line.u, low, fore, aft, own, own)

    return shape


def _parabola(_: _Lot) -> Callable[[Reading, Floats, Floats, Floats], Floats]:
    def shape(line: Reading, low: Floats, fore: Floats, _aft: Floats) -> Floats:
        bend = fore / (1.0 - low) ** 2
        return np.asarray(bend[:, None] * (line.u[None, :] - low[:, None]) ** 2)

    return shape


def _batten_law(lot: _Lot) -> Callable[[Reading, Floats, Floats, Floats], Floats]:
    begin, end = lot.between(1.3, 2.1), lot.between(1.3, 2.3)

    def shape(line: Reading, low: Floats, fore: Floats, aft: Floats) -> Floats:
        slopes = -aft / low * lot.about(begin, 0.25), fore / (1.0 - low) * lot.about(end, 0.3)
        return _battens(line.u, low, fore, aft, *slopes)

    return shape


class _Law(Enum):
    """How a waterline runs from where it is widest to its ends."""

    POWERS = "powers"
    BATTENS = "battens"


def _plans(bow: tuple[float, float], law: _Law) -> Family:
    """Half-breadths that are widest amidships; the bow's share of them from 0, sharp, on."""

    def draw(
        lines: Sequence[Reading],
        _long_mm: float,
        chance: np.random.Generator,
        half: tuple[float, float],
    ) -> Floats:
        lot = _Lot(chance)
        widest, stern = lot.half(0.36, 0.6, half[0]), lot.half(0.0, 1.0, half[1])
        blunt = lot.between(*bow)
        fullness = lot.between(1.7, 2.8), lot.between(1.7, 2.8)
        slopes = lot.between(1.3, 2.1), lot.between(1.3, 2.3)
        made = []
        for line in lines:
            top = _second_mm(line, -2) * np.exp(lot.normal(TOP_MEAN, TOP_SPREAD))
            at = lot.about(widest, WIDEST_SPREAD)
            aft = 1.0 - np.clip(stern * lot.between(0.9, 1.06), 0.0, 1.02)
            fore = (
                1.0
                - np.clip(blunt * lot.between(0.75, 1.1), 0.0, 1.0)
                - lot.between(0.0, BLUNT_MOST)
            )
            if law is _Law.BATTENS:
                ends = -aft / at * lot.about(slopes[0], 0.25), fore / (1.0 - at)
                lost = _battens(line.u, at, fore, aft, ends[0], ends[1] * lot.about(slopes[1], 0.3))
            else:
                p, q = (lot.about(f, 0.1) for f in fullness)
                lost = _powers(line.u, at, fore, aft, p, q)
            made.append(top[:, None] * (1.0 - lost))
        return np.concatenate(made, axis=1)

    return draw


def _arcs(
    lines: Sequence[Reading],
    _long_mm: float,
    chance: np.random.Generator,
    half: tuple[float, float],
) -> Floats:
    """Half-breadths of sides that lean alike all along: one arc, shifted outward line by line."""
    lot = _Lot(chance)
    start, end = lot.half(0.0, 0.35, half[0]), lot.half(0.7, 1.0, half[1])
    power = lot.between(0.8, 1.25)
    widest = max(_second_mm(line, -2) for line in lines) * np.exp(lot.normal(0.0, 0.15))
    made = []
    for line in lines:
        u = line.u[None, :]
        along = start[:, None] + (1.0 - start[:, None]) * u * end[:, None]
        arc = np.abs(np.sin(math.pi * np.clip(along, 0.0, 1.0))) ** power[:, None]
        top = _second_mm(line, -2) * np.exp(lot.normal(TOP_MEAN, TOP_SPREAD))
        lean = lot.normal(0.0, LEAN_SPREAD)[:, None] * (2.0 * u - 1.0) ** 2
        lean = lean + lot.normal(0.0, LEAN_SLOPE_SPREAD)[:, None] * (2.0 * u - 1.0)
        made.append(widest[:, None] * (arc - 1.0) + top[:, None] * (1.0 + lean))
    return np.concatenate(made, axis=1)


_HEIGHTS: tuple[Family, ...] = (
    _profiles(_power_law), _profiles(_parabola), _profiles(_batten_law),
)  # fmt: skip
_BREADTHS: tuple[Family, ...] = (
    *(_plans(bow, law) for law in _Law for bow in ((0.0, 0.0), (0.2, 0.8))), _arcs,
)  # fmt: skip
