"""Counts of several kinds packed into one whole number: quick to add, take away and compare.

Each count has a byte of its own whose top bit stays free as a guard, so that a difference shows at
once whether any count would fall below zero.
"""

from __future__ import annotations

from itertools import product

BITS = 8
"""Bits for a count, the guard included; counts stay below 2 ** (BITS - 1)."""

MOST_COUNTED = (1 << (BITS - 1)) - 1
"""The greatest count."""


def pack(counts: tuple[int, ...]) -> int:
    """Return the counts as one number.

    Raises
    ------
    ValueError
        If a count doesn't fit.
    """
    if any(not 0 <= n <= MOST_COUNTED for n in counts):
        raise ValueError(f"counts {counts} don't fit {BITS - 1} bits each")
    return sum(n << BITS * k for k, n in enumerate(counts))


def guards(n: int) -> int:
    """Return the guard bits of ``n`` counts."""
    return sum(1 << (BITS * k + BITS - 1) for k in range(n))


def unpack(code: int, n: int) -> tuple[int, ...]:
    """Return ``n`` counts of a number."""
    return tuple(code >> (BITS * k) & ((1 << BITS) - 1) for k in range(n))


def parts_of(counts: tuple[int, ...]) -> list[tuple[int, ...]]:
    """Return every set within a set, the empty one and itself included."""
    return list(product(*(range(n + 1) for n in counts)))
