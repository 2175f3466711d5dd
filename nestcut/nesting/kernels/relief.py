"""The weighted overlap of one item at every place of a grid at once.

A place that fits exactly is seldom met by chance. So the depths of each pair of slots are kept on a
grid of shifts; those of all that lies in a container, each times its weight, add up to a relief of
the item's overlap there. Where outlines have their corners on a grid it is exact for all that lies
on the grid, and near for the rest. (Overlaps on a raster, all places at once: Umetani & Murakami
2022, from memory; the depths as heights are ours.)
"""

from __future__ import annotations

from typing import NamedTuple

import numba
import numpy as np

from nestcut.nesting.kernels.depth import Slots, Tables, pair_depth
from nestcut.nesting.kernels.lean import lean


class Relief(NamedTuple):
    """Depths of slot pairs on grids of shifts.

    ``first[a, b]`` is where the grid of slot b, moving, about slot a begins in ``height``, or -1;
    ``head`` (pairs, 5) its row's least shift x and y, numbers of places each way, and that
    beginning; ``pitch`` the grid's step. ``height`` is the depth with the search's offset, 0 where
    nothing overlaps.
    """

    pitch: float
    first: np.ndarray
    head: np.ndarray
    height: np.ndarray


@lean
def spread(
    relief: Relief,
    a: int,
    b: int,
    factor: float,
    at: tuple[float, float],
    across: int,
    up: int,
    field: np.ndarray,
) -> None:
    """Add the overlap with slot a to a field of places of slot b.

    Parameters
    ----------
    a, b
        Numbers of the slot that lies there and of the one that moves.
    factor
        What a depth counts. [cost per mm]
    at
        Shift of slot b from slot a at the field's first place. [mm]
    across, up
        Places side by side, and one over the other.
    field
        Shape (across * up or more,); added to.
    """
    row = relief.first[a, b]
    if row < 0:
        return
    head = relief.head
    left = int(np.round((at[0] - head[row, 0]) / relief.pitch))
    low = int(np.round((at[1] - head[row, 1]) / relief.pitch))
    nx, ny, begin = int(head[row, 2]), int(head[row, 3]), int(head[row, 4])
    k0, k1 = max(0, -left), min(across, nx - left)
    r0, r1 = max(0, -low), min(up, ny - low)
    weight = np.float32(factor)
    n = k1 - k0
    if n <= 0:
        return
    for r in range(r0, r1):
        to = r * across + k0
        source = begin + (r + low) * nx + left + k0
        for k in range(n):
            field[to + k] += weight * relief.height[source + k]


@numba.njit(cache=True)
def fill_relief(
    slots: Slots, tables: Tables, relief: Relief, tolerance: float, offset: float
) -> None:
    """Work out the heights of all pairs into arrays of the right size.

    Parameters
    ----------
    relief
        Filled in; ``first`` and ``head`` are known.
    tolerance, offset
        A depth that counts as none, and what is added to every other. [mm]
    """
    n = relief.first.shape[0]
    for a in range(n):
        for b in range(n):
            row = relief.first[a, b]
            if row < 0:
                continue
            nx, ny, k = relief.head[row, 2], relief.head[row, 3], int(relief.head[row, 4])
            for r in range(int(ny)):
                dy = relief.head[row, 1] + r * relief.pitch
                for c in range(int(nx)):
                    dx = relief.head[row, 0] + c * relief.pitch
                    depth = pair_depth(slots, tables, a, b, dx, dy, 1e300)
                    relief.height[k] = depth + offset if depth > tolerance else 0.0
                    k += 1
