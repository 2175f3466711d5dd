"""Stretches of positions: where an overlap may begin; and values by position."""

from __future__ import annotations

import numpy as np

Spans = tuple[tuple[int, int], ...]
"""Stretches of positions, (least, greatest), rising and apart. [grid units]"""

NEVER = 10**15
"""Longer than any piece. [grid units]"""


def merge(spans: list[tuple[int, int]]) -> Spans:
    """Return the same positions as rising spans that lie apart."""
    found: list[tuple[int, int]] = []
    for a, b in sorted(spans):
        if a > b:
            continue
        if found and a <= found[-1][1] + 1:
            found[-1] = (found[-1][0], max(b, found[-1][1]))
        else:
            found.append((a, b))
    return tuple(found)


def meet(first: Spans, second: Spans) -> Spans:
    """Return the positions that lie in both."""
    return tuple(
        (max(a, c), min(b, d)) for a, b in first for c, d in second if max(a, c) <= min(b, d)
    )


def without(spans: Spans, low: int, high: int) -> Spans:
    """Return the positions outside a stretch, both its ends included in it."""
    found: list[tuple[int, int]] = []
    for a, b in spans:
        found += [(a, min(b, low - 1))] * (a < low) + [(max(a, high + 1), b)] * (b > high)
    return tuple(found)


def nearest(begins: Spans, ends: Spans, apart: int) -> int:
    """Return the least distance from a begin to an end that is at least ``apart``."""
    best = NEVER
    for a, b in begins:
        for c, d in ends:
            if d - a >= apart:
                best = min(best, max(c - b, apart))
    return best


def looked_up(values: np.ndarray, index: np.ndarray) -> np.ndarray:
    """Return values at an index, and ``NEVER`` outside."""
    inside = (index >= 0) & (index < len(values))
    found: np.ndarray = np.where(inside, values[np.clip(index, 0, len(values) - 1)], NEVER)
    return found


def next_at_least(spans: Spans, at: np.ndarray) -> np.ndarray:
    """Return the least position in the spans that isn't below each of these."""
    found = np.full(len(at), NEVER)
    for a, b in reversed(spans):
        found = np.where(at <= b, np.maximum(at, a), found)
    return found


def last_at_most(spans: Spans, at: np.ndarray) -> np.ndarray:
    """Return the greatest position in the spans that isn't above each of these."""
    found = np.full(len(at), -NEVER)
    for a, b in spans:
        found = np.where(at >= a, np.minimum(at, b), found)
    return found


def least_before(values: np.ndarray, near: int, far: int) -> np.ndarray:
    """Return the least value between ``far`` and ``near`` positions before each one."""
    width = far - near + 1
    padded: np.ndarray = np.concatenate([np.full(far, NEVER), values])
    span = 1
    while 2 * span <= width:
        padded = np.minimum(padded[: len(padded) - span], padded[span:])
        span *= 2
    first = padded[: len(values)]
    shift = width - span
    least: np.ndarray = np.minimum(first, padded[shift : shift + len(values)])
    return least
