"""Candidates for an item's place: rows of numbers, the best kept in order."""

from __future__ import annotations

import numpy as np

from nestcut.nesting.kernels.lean import lean

BIN, OPTION, TURN, X, Y, COST = 0, 1, 2, 3, 4, 5
"""Columns of a candidate."""


@lean
def keep_best(
    top: np.ndarray, cost: float, b: int, option: int, turn: float, x: float, y: float
) -> None:
    """Keep a candidate if it is among the best so far, the best first.

    Parameters
    ----------
    top
        The best so far, shape (k, 6), written in place.
    cost
        The candidate's weighted overlap. [as the search's costs]
    b, option
        Numbers of its container and option.
    turn
        Its turn. [rad]
    x, y
        Where its slot's origin lies. [mm]
    """
    n = top.shape[0]
    if cost >= top[n - 1, COST]:
        return
    k = n - 1
    while k > 0 and top[k - 1, COST] > cost:
        for e in range(6):
            top[k, e] = top[k - 1, e]
        k -= 1
    top[k, BIN], top[k, OPTION], top[k, TURN] = b, option, turn
    top[k, X], top[k, Y], top[k, COST] = x, y, cost
