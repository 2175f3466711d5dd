"""A place for each of several things, chosen so that all together cost least and none clash.

Each is given the cheapest place that is free; then one after the other takes a dearer or a cheaper
one, those in its way giving way to it, as long as that makes all of them together better.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

Flags = NDArray[np.bool_]

LOST = 1000.0
"""What a thing without a place costs. [as costs]"""
ROUNDS = 8
"""So often at most all are tried anew. [-]"""
MOST_OUT = 2
"""So many others at most give way to one. [-]"""


def chosen_places(
    costs: Sequence[NDArray[np.float64]], clash: Callable[[int, int], Flags]
) -> list[int | None]:
    """Return the index of each thing's place; None where there is none.

    Parameters
    ----------
    costs
        What each place costs, of every thing, the cheapest first.
    clash
        Says of two things which places of the first clash with which of the second.
    """
    return _Choice(costs, clash).settled()


class _Choice:
    """What is chosen so far; used inside this module only, while it is."""

    def __init__(
        self, costs: Sequence[NDArray[np.float64]], clash: Callable[[int, int], Flags]
    ) -> None:
        self.costs = costs
        self._find = clash
        self._clashes: dict[tuple[int, int], Flags] = {}

    def settled(self) -> list[int | None]:
        chosen: list[int | None] = [None] * len(self.costs)
        for k in sorted(range(len(chosen)), key=lambda k: (len(self.costs[k]), k)):
            chosen[k] = self._cheapest(k, chosen)
        for _ in range(ROUNDS):
            before = self._worth(range(len(chosen)), chosen)
            for k in range(len(chosen)):
                chosen = self._exchanged(k, chosen)
            if self._worth(range(len(chosen)), chosen) >= before:
                break
        return chosen

    def _worth(self, things: Sequence[int], chosen: Sequence[int | None]) -> float:
        """What some things cost as they stand."""
        own = [(self.costs[j], chosen[j]) for j in things]
        return round(sum(LOST if at is None else float(cost[at]) for cost, at in own), 3)

    def _exchanged(self, k: int, chosen: list[int | None]) -> list[int | None]:
        """The best way to place one anew, others in its way giving way to it."""
        every = range(len(chosen))
        best, least = chosen, self._worth(every, chosen)
        held = {j: at for j, at in enumerate(chosen) if at is not None and j != k}
        in_way = {j: self._clash(k, j)[:, at] for j, at in held.items()}
        for at in range(len(self.costs[k])):
            out = [j for j, clash in in_way.items() if clash[at]]
            if len(out) > MOST_OUT:
                continue
            fewest = float(self.costs[k][at]) + sum(float(self.costs[j][0]) for j in out)
            if fewest >= self._worth([k, *out], chosen):
                continue
            tried: list[int | None] = [None if j in out else c for j, c in enumerate(chosen)]
            tried[k] = at
            for j in out:
                tried[j] = self._cheapest(j, tried)
            if (worth := self._worth(every, tried)) < least:
                best, least = tried, worth
        return best

    def _cheapest(self, k: int, chosen: Sequence[int | None]) -> int | None:
        """The first place that clashes with none of those chosen."""
        free = np.ones(len(self.costs[k]), dtype=np.bool_)
        for j, at in enumerate(chosen):
            if at is not None and j != k:
                free &= ~self._clash(k, j)[:, at]
        found = np.flatnonzero(free)
        return int(found[0]) if len(found) else None

    def _clash(self, k: int, j: int) -> Flags:
        if (k, j) not in self._clashes:
            clash = self._find(k, j)
            self._clashes[k, j], self._clashes[j, k] = clash, clash.T
        return self._clashes[k, j]
