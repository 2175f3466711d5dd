"""How likely a load can be laid out: a guess by area that learns from what was tried."""

from __future__ import annotations

import numpy as np

from nestcut.nesting.problem import FloatArray, IntArray

WIDTH = 0.03
"""Of the step between fills that nearly always work and those that hardly ever do. [-]"""

LEARN = 0.02
"""How far one surprise moves the step, and the room that a kind counts for, as a share. [-]"""

DOUBT = 1.5
"""What a trial that failed adds to the doubt of its load and of all that hold more. [nats]"""

HOPELESS = 9.0
"""Doubt beyond which a load isn't looked at. [nats]"""


class Odds:
    """The loads of one kind of container: known, tried, or guessed at.

    The odds of a load fall with the room that it takes (logistic regression, one observation at a
    time). A kind that is found in failures more often than guessed counts for more than its area.
    What holds no more than a load that was laid out is known; what holds no less than one that
    failed is doubted with it.
    """

    def __init__(self, loads: IntArray, area: FloatArray, container: float, begin: float) -> None:
        self.loads = loads
        self.number = {load.tobytes(): k for k, load in enumerate(loads)}
        self.share = area / container
        self.step = begin
        self.known = np.full(len(loads), -1, dtype=np.int64)
        self.less = np.zeros(len(loads), dtype=bool)
        self.failed = np.zeros(len(loads), dtype=np.int64)

    def doubt(self) -> FloatArray:
        """Minus the logarithm of each load's odds; 0 of those that are known."""
        beyond = (self.loads @ self.share - self.step) / WIDTH
        guess = np.logaddexp(0.0, beyond) + DOUBT * self.failed
        return np.where(self.known >= 0, 0.0, guess)

    def worth_a_look(self, doubt: FloatArray) -> IntArray:
        """Numbers of the loads that aren't hopeless, nor less than a layout that is known."""
        return np.flatnonzero((doubt < HOPELESS) & ~self.less)

    def hit(self, load: int) -> None:
        """Take note that a load was laid out."""
        self._learn(load, 1.0)

    def miss(self, load: int) -> None:
        """Take note that a trial failed."""
        self._learn(load, 0.0)
        self.failed[(self.loads >= self.loads[load]).all(axis=1)] += 1

    def _learn(self, load: int, seen: float) -> None:
        room = self.loads[load] * self.share
        surprise = seen - 1.0 / (1.0 + np.exp((float(room.sum()) - self.step) / WIDTH))
        self.step += LEARN * surprise
        self.share *= 1.0 - LEARN * surprise * room / room.sum()

    def know(self, held: IntArray, layout: int) -> None:
        """Take note of a layout, by its number: all that holds no more can be laid out."""
        inside = (self.loads <= held).all(axis=1)
        self.known[inside & (self.known < 0)] = layout
        self.less |= inside & (self.loads < held).any(axis=1)
