"""Random numbers inside compiled loops: a 64-bit xorshift generator with multiplied output.

Its whole state is one number in an array, so a run can be stopped, copied and gone on with, and
repeats bit for bit. Method: Vigna 2016, "An experimental exploration of Marsaglia's xorshift
generators, scrambled" (the 12, 25, 27 variant).
"""

from __future__ import annotations

import numpy as np

from nestcut.nesting.kernels.lean import lean
from nestcut.nesting.problem import FloatArray

_A = np.uint64(12)
_B = np.uint64(25)
_C = np.uint64(27)
_MULTIPLIER = np.uint64(2685821657736338717)
_SHIFT = np.uint64(11)
_TO_UNIT = 1.0 / 9007199254740992.0


@lean
def uniform(state: np.ndarray) -> float:
    """Return the next number in [0, 1). ``state`` is one non-zero uint64."""
    s = state[0]
    s ^= s >> _A
    s ^= s << _B
    s ^= s >> _C
    state[0] = s
    return float((s * _MULTIPLIER) >> _SHIFT) * _TO_UNIT


@lean
def below(state: np.ndarray, n: int) -> int:
    """Return a whole number in 0 .. n-1."""
    k = int(uniform(state) * n)
    return k if k < n else n - 1


@lean
def shuffle(state: np.ndarray, order: np.ndarray, n: int) -> None:
    """Put the first n entries in random order.

    Parameters
    ----------
    state
        State of the random stream, shape (1,), uint64; moves on.
    order
        Entries to shuffle, in place, shape (n or more,).
    n
        How many of them.
    """
    for k in range(n - 1, 0, -1):
        j = below(state, k + 1)
        order[k], order[j] = order[j], order[k]


def chance_state(generator: np.random.Generator) -> FloatArray:
    """Draw a starting state, shape (1,), uint64, from a seeded stream."""
    return generator.integers(1, 2**63, size=1, dtype=np.uint64)  # type: ignore[return-value]
