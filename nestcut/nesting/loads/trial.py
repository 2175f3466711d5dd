"""Laying one load out in one container."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from nestcut.nesting.arrays import Arrays, Bin
from nestcut.nesting.problem import FloatArray
from nestcut.nesting.separation import Purse, Search

PATIENCE = 120
"""Passes without headway after which a load is thrown in anew. [-]"""

SHAKE = 0.7
"""Chance that two items of the layout that came nearest are thrown in anew, not all. [-]"""


@dataclass(frozen=True, slots=True, eq=False)
class Laid:
    """Poses of all items, those of the load in the container, and whether none overlap."""

    poses: FloatArray
    is_sound: bool


class Trial:
    """One container, in which loads are tried."""

    def __init__(self, arrays: Arrays, place: Bin, seed: int, name: str) -> None:
        self.search = Search(arrays.on((place,)), (place,), seed, name)

    def empty(self) -> None:
        """Take everything out."""
        for i in range(len(self.search.state.where)):
            self.search.put(i, -1, 0, 0.0, 0.0, 0.0)

    def lay_out(self, items: tuple[int, ...], tries: int, purse: Purse) -> Laid:
        """Try so often to part these items, thrown in by chance; return what came nearest to it.

        The purse is charged for the share of all items that these are.
        """
        search = self.search
        n = len(search.state.where)
        self.empty()
        own = Purse(purse.left, purse.deadline)
        nearest, poses, done = np.inf, search.poses(), False
        for _ in range(tries):
            if done or not own.left:
                break
            if nearest < np.inf and search.rng.random() < SHAKE:
                search.restore(poses)
                pair = search.rng.choice(items, size=min(2, len(items)), replace=False)
                self.throw(pair.tolist())
            else:
                self.throw(items)
            search.forget()
            done = search.separate(own, 10**9, PATIENCE)
            if search.best[n, 0] < nearest:
                nearest, poses = float(search.best[n, 0]), search.best[:n, :5].copy()
        purse.spent += -(-own.spent * len(items) // n)
        return Laid(search.poses() if done else poses, is_sound=done)

    def throw(self, items: Sequence[int]) -> None:
        """Put items anywhere, in any of their options that fits."""
        search = self.search
        world, rng = search.arrays.world, search.rng
        frame = world.frame[0]
        for i in items:
            first, last = (int(v) for v in world.option_first[i : i + 2])
            options = rng.permutation(np.arange(first, last)).tolist()
            boxes = world.slots.box[world.option_slot[options]]
            low, high = frame[:2] - boxes[:, :2], frame[2:] - boxes[:, 2:]
            fits = (low <= high + world.tolerance).all(axis=1)
            k = int(np.argmax(fits))
            x, y = rng.uniform(np.minimum(low[k], high[k]), np.maximum(low[k], high[k])).tolist()
            search.put(i, 0, options[k], float(world.option_turn[options[k]]), x, y)
        search.refresh()
