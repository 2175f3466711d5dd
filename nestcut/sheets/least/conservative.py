"""Weights that prove how little fits: dual feasible functions on sides of rectangles.

A function u on [0, 1] is dual feasible if ``sum x_i <= 1`` implies ``sum u(x_i) <= 1``.  If
rectangles of relative sides (a_i, b_i) lie upright and apart in the unit square, then for any two
dual feasible u and v ``sum u(a_i) v(b_i) <= 1``. (Fekete and Schepers 2004, Mathematical Methods
of Operations Research 60:311-329, theorem on conservative scales; the first three
functions below are those of their section 3.)  All weights are rounded down, so a bound built on
them stays valid.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nestcut.tolerances.noise import NUDGE

Scale = Callable[[float], float]
"""A dual feasible function on [0, 1]."""


@dataclass(frozen=True, slots=True)
class Sides:
    """Relative sides, each in (0, 1], of rectangles inside one piece.

    ``choices`` holds one or more rectangles, any of which may stand for the piece, each with its
    sides in every allowed quarter turn.
    """

    choices: tuple[tuple[tuple[float, float], ...], ...]


def same(x: float) -> float:
    """Return x itself: weights become areas."""
    return x


def rounded(k: int) -> Scale:
    """Return the function that rounds (k+1) x down and divides by k, whole multiples left alone."""

    def scale(x: float) -> float:
        y = (k + 1) * x
        if abs(y - round(y)) < NUDGE * (k + 1):
            return round(y) / (k + 1)
        return math.floor(y) / k

    return scale


def large_counts_whole(eps: float) -> Scale:
    """Return the function that takes x > 1 - eps for 1 and x < eps for 0, with eps in (0, 1/2]."""

    def scale(x: float) -> float:
        if x > 1.0 - eps + NUDGE:
            return 1.0
        return x if x >= eps else 0.0

    return scale


def counted(eps: float) -> Scale:
    """Return the function that counts how many pieces of side eps fit beside x; eps in (0, 1/2]."""
    most = math.floor(1.0 / eps + NUDGE)

    def scale(x: float) -> float:
        if x > 0.5 + NUDGE:
            return 1.0 - math.floor((1.0 - x) / eps + NUDGE) / most
        return 1.0 / most if x >= eps else 0.0

    return scale


def stepped(eps: float) -> Scale:
    """Return the function that rounds short sides down to steps of eps and long ones up.

    Sides above one half count what their complement leaves, one half counts one half. (Carlier,
    Clautiaux and Moukrim 2007, Computers and Operations Research 34:2223-2250, function f2; eps
    in (0, 1/2].)
    """
    most = math.floor(1.0 / eps + NUDGE)

    def scale(x: float) -> float:
        if x > 0.5 + NUDGE:
            return 1.0 - math.floor((1.0 - x) / eps + NUDGE) / most
        if x >= 0.5 - NUDGE:
            return 0.5
        return math.floor(x / eps + NUDGE) / most

    return scale


def scales_for(lengths: NDArray[np.float64]) -> tuple[Scale, ...]:
    """Return the functions worth trying for these relative lengths, thresholds taken from them.

    Parameters
    ----------
    lengths
        Relative sides, shape (n,).
    """
    halves = {round(float(x), 12) for x in lengths if 0.0 < x <= 0.5}
    halves |= {round(1.0 - float(x), 12) for x in lengths if 0.5 <= x < 1.0}
    thresholds = sorted(halves | {0.5})
    if len(thresholds) > _MOST_THRESHOLDS:
        picked = np.linspace(0, len(thresholds) - 1, _MOST_THRESHOLDS).round().astype(int)
        thresholds = [thresholds[k] for k in sorted(set(picked.tolist()))]
    return (
        same,
        *(rounded(k) for k in range(1, 9)),
        *(large_counts_whole(e) for e in thresholds),
        *(counted(e) for e in thresholds),
        *(stepped(e / part) for e in thresholds for part in (1, 2, 3)),
    )


_MOST_THRESHOLDS = 24


def best_weights(
    pieces: tuple[Sides | None, ...], counts: tuple[int, ...], most: int
) -> list[tuple[float, NDArray[np.float64]]]:
    """Return the pairs of functions that weigh the pieces heaviest, as (total, weights).

    Parameters
    ----------
    pieces
        Relative sides; None for a piece of which nothing is known (weight 0).
    counts
        How many there are of each.
    most
        How many pairs to return.

    Returns
    -------
    list
        Weights have shape (n,); a piece weighs the most that any of its rectangles weighs, and a
        rectangle that may be turned the least of its turns.
    """
    known = [t for p in pieces if p is not None for c in p.choices for t in c]
    if not known:
        return []
    picks = max(len(p.choices) for p in pieces if p is not None)
    ways = max(len(c) for p in pieces if p is not None for c in p.choices)
    a = np.zeros((picks, ways, len(pieces)))
    b = np.zeros((picks, ways, len(pieces)))
    for i, p in enumerate(pieces):
        for m in range(picks if p is not None else 0):
            turns = p.choices[m % len(p.choices)] if p is not None else ()
            for k in range(ways):
                a[m, k, i], b[m, k, i] = turns[k % len(turns)]
    us = [np.vectorize(u, otypes=[float])(a) for u in scales_for(np.array([t[0] for t in known]))]
    vs = [np.vectorize(v, otypes=[float])(b) for v in scales_for(np.array([t[1] for t in known]))]
    vv = np.stack(vs)
    found: list[tuple[float, int, int]] = []
    for ku, u in enumerate(us):
        totals = (u[None] * vv).min(axis=2).max(axis=1) @ np.asarray(counts)
        found += [(float(t), ku, kv) for kv, t in enumerate(totals)]
    found.sort(key=lambda f: (-f[0], f[1], f[2]))
    chosen: list[tuple[float, NDArray[np.float64]]] = []
    for total, ku, kv in found:
        weights = (us[ku] * vs[kv]).min(axis=1).max(axis=0)
        if any(np.allclose(weights, w) for _, w in chosen):
            continue
        chosen.append((total, weights))
        if len(chosen) >= most:
            break
    return chosen
