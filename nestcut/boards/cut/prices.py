"""Which totals the prices on sale can make at all."""

from __future__ import annotations

import math

from nestcut.boards.wood.problem import CuttingProblem
from nestcut.tolerances.noise import SOLVER_SLACK


class Sums:
    """Which totals the prices on sale can make at all."""

    def __init__(self, problem: CuttingProblem) -> None:
        self._step = 0
        for supply in problem.supplies:
            self._step = math.gcd(self._step, supply.price)
        self._prices = sorted({s.price for s in problem.supplies if s.price > 0})
        self._reached = 1
        self._horizon = 0

    def up(self, value: float) -> int:
        """Return the least total that isn't below a value."""
        if not self._prices:
            return 0
        low = max(0, math.ceil(value / self._step - SOLVER_SLACK))
        top = low + self._prices[-1] // self._step
        self._extend(top)
        while not self._reached >> low & 1:
            low += 1
        return low * self._step

    def next_below(self, total: int) -> int:
        """Return the greatest total below this one, or -1."""
        if not self._prices or total <= 0:
            return -1
        low = (total - 1) // self._step
        self._extend(low)
        while low >= 0 and not self._reached >> low & 1:
            low -= 1
        return low * self._step

    def _extend(self, horizon: int) -> None:
        if horizon <= self._horizon:
            return
        self._horizon = 2 * horizon
        mask = (1 << (self._horizon + 1)) - 1
        for price in self._prices:
            shift = price // self._step
            while shift <= self._horizon:
                self._reached |= (self._reached << shift) & mask
                shift *= 2
