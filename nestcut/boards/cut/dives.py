"""A dive: the relaxation rounded to whole patterns step by step, the rest priced out again.

The whole part of a solution is taken as it is.  Where there is none, a pattern with a large
fraction is taken once; of several, the first that leaves a plan below the target possible by the
relaxation of what remains.  When none does, the dive is given up: it can't end well any more.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

import numpy as np

from nestcut.boards.cut.relaxation import Column, PatternProgramme, Relaxed
from nestcut.search.settings import Deadline
from nestcut.tolerances.noise import SOLVER_SLACK

N_TRIED = 6
"""Patterns that are tried before a dive is given up."""


@dataclass(slots=True)
class _Depth:
    """Patterns taken so far, and what is left to cut."""

    left: list[int]
    taken: dict[int, int] = field(default_factory=dict)
    fixed: dict[Column, int] = field(default_factory=dict)

    def copy(self) -> _Depth:
        """Return a copy to go on from."""
        return _Depth(list(self.left), dict(self.taken), dict(self.fixed))

    def take(self, column: Column, times: int) -> None:
        """Take a pattern so often, without pieces that aren't wanted any more."""
        for _ in range(times):
            pattern = tuple((i, min(m, self.left[i])) for i, m in column.pattern if self.left[i])
            if not pattern:
                return
            for i, m in pattern:
                self.left[i] -= m
            self.taken[column.place] = self.taken.get(column.place, 0) + 1
            trimmed = Column(column.place, pattern)
            self.fixed[trimmed] = self.fixed.get(trimmed, 0) + 1


def dive(
    programme: PatternProgramme,
    target: float,
    luck: np.random.Generator | None,
    deadline: Deadline,
) -> dict[Column, int] | None:
    """Return patterns that give every piece, and how often each is used; None if given up.

    Parameters
    ----------
    target
        Cost that the plan must not exceed [as prices are]; infinite where any will do.
    luck
        Shuffles patterns of similar fractions; None: the largest first.
    """
    depth = _Depth([k.demand for k in programme.problem.kinds])
    relaxed: Relaxed | None = programme.solve(depth.left, depth.taken)
    while relaxed is not None and any(depth.left):
        if deadline.stop_reason() is not None or relaxed.missing > SOLVER_SLACK:
            return None
        whole = [
            (a, n)
            for a, v in sorted(relaxed.columns.items())
            if (n := math.floor(v + SOLVER_SLACK))
        ]
        if whole:
            for a, n in whole:
                depth.take(programme.columns[a], n)
            relaxed = _rest(programme, depth)
        else:
            step = _step(programme, depth, relaxed, target, luck)
            if step is None:
                return None
            depth, relaxed = step
    return depth.fixed


def _rest(programme: PatternProgramme, depth: _Depth) -> Relaxed | None:
    """Price out what is left; None if nothing is."""
    return programme.solve(depth.left, depth.taken) if any(depth.left) else None


def _step(
    programme: PatternProgramme,
    depth: _Depth,
    relaxed: Relaxed,
    target: float,
    luck: np.random.Generator | None,
) -> tuple[_Depth, Relaxed | None] | None:
    """Take one pattern that keeps the target within reach; None if none of those tried does."""
    rank = {
        a: v + (0.0 if luck is None else 0.3 * float(luck.random()))
        for a, v in sorted(relaxed.columns.items())
    }
    for a in sorted(rank, key=lambda a: (-rank[a], a))[:N_TRIED]:
        further = depth.copy()
        further.take(programme.columns[a], 1)
        rest = _rest(programme, further)
        if rest is None or _is_within(rest.value, target):
            return further, rest
    return None


def _is_within(value: float, target: float) -> bool:
    return math.isfinite(value) and value <= target + SOLVER_SLACK * max(1.0, target)
