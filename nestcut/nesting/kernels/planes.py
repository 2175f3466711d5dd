"""Half-planes between all parts of a layout that lie near each other, for linear programmes."""

from __future__ import annotations

import numba
import numpy as np

from nestcut.nesting.kernels.snap import planes_between
from nestcut.nesting.kernels.world import State, World


@numba.njit(cache=True)
def gather_planes(
    world: World, state: State, reach: float, pairs: np.ndarray, planes: np.ndarray
) -> int:
    """Write (i, j) and (nx, ny, depth) of each pair of parts nearer than ``reach``.

    i is -1 for what a container blocks. Returns how many there are, or -1 if the arrays are short.
    """
    m = 0
    shift = np.empty(2)
    for b in range(state.filled.shape[0]):
        for k in range(state.filled[b]):
            j = state.members[b, k]
            for h in range(-1, k):
                if h < 0:
                    i, a = -1, world.obstacle[b]
                    if a < 0:
                        continue
                    shift[0], shift[1] = state.x[j], state.y[j]
                else:
                    i = state.members[b, h]
                    a = state.slot[i]
                    shift[0], shift[1] = state.x[j] - state.x[i], state.y[j] - state.y[i]
                begin = m
                m = planes_between(world.slots, a, state.slot[j], shift, reach, planes, m)
                if m < 0:
                    return -1
                for r in range(begin, m):
                    pairs[r, 0], pairs[r, 1] = i, j
    return m
