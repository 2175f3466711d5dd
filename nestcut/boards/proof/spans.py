"""Stretches of positions: where an overlap may begin."""

from __future__ import annotations

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
    """Return the positions outside a stretch, both its ends included in it.

    Parameters
    ----------
    spans
        Stretches (first, last), in order and apart. [grid units]
    low, high
        Ends of the stretch to take out, positions among what goes. [grid units]
    """
    found: list[tuple[int, int]] = []
    for a, b in spans:
        found += [(a, min(b, low - 1))] * (a < low) + [(max(a, high + 1), b)] * (b > high)
    return tuple(found)


def nearest(begins: Spans, ends: Spans, apart: int) -> int:
    """Return the least distance from a begin to an end that is at least ``apart``.

    Parameters
    ----------
    begins, ends
        Stretches (first, last) from which a begin and an end may be chosen. [grid units]
    apart
        Least distance allowed. [grid units]
    """
    best = NEVER
    for a, b in begins:
        for c, d in ends:
            if d - a >= apart:
                best = min(best, max(c - b, apart))
    return best
