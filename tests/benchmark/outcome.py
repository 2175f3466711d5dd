"""What a benchmark run may spend and what it hands back; shared by all kinds."""

from __future__ import annotations

import time
from collections.abc import Callable
from concurrent.futures import Executor
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

Instance = dict[str, Any]
"""An instance file as read; the kinds know its keys."""


class Better(StrEnum):
    """Which way a value improves."""

    SMALLER = "smaller"
    LARGER = "larger"


@dataclass(frozen=True, slots=True, kw_only=True)
class Spend:
    """What one instance may cost. ``seconds`` is a limit by ``clock`` for the whole of it.

    ``executor`` runs the workers, if any are ready.
    """

    seconds: float = 60.0
    workers: int = 1
    seed: int = 0
    executor: Executor | None = None
    clock: Callable[[], float] = time.monotonic


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What came out.

    Parameters
    ----------
    value
        Used length, number of sheets or boards, or packed value.
    bound
        What no layout can beat, or None.
    best
        Best value known (from ``best_known.json``), or None.
    verified
        What the independent checker said of the layout.
    better
        Which way the value improves, for the ratio.
    beside
        More figures for the line, such as the plain method's value on the same instance.
    """

    pieces: int
    value: float
    bound: float | None
    best: float | None
    verified: bool
    better: Better = Better.SMALLER
    beside: dict[str, float | int | str | None] = field(default_factory=dict)

    @property
    def ratio(self) -> float | None:
        """Value against best: 1 is equal, less than 1 is worse."""
        if self.best is None or not self.value or not self.best:
            return None
        if self.better is Better.SMALLER:
            return self.best / self.value
        return self.value / self.best


Runner = Callable[[Instance, "Instance | None", Spend], Outcome]
"""Solves and checks one instance; the second argument is its entry in best_known.json."""
