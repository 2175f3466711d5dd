"""Guided local search that drives a layout's overlaps to nothing.

Each pair of items has a weight that grows while the pair overlaps and fades while it doesn't, so
that local minima of the plain overlap are filled up. After Voudouris & Tsang 1999 (guided local
search), Egeblad, Nielsen & Odgaard 2007 and Umetani et al. 2009 (its use on overlaps).
"""

from __future__ import annotations

import numba
import numpy as np

from nestcut.nesting.kernels.chance import shuffle
from nestcut.nesting.kernels.lean import lean
from nestcut.nesting.kernels.moves import move_item
from nestcut.nesting.kernels.world import State, World, total_overlap

GROW_LEAST, GROW_MOST, FADE = 6, 7, 8
"""Places in the settings: factors on the weights of the least and the deepest overlap of a pass,
and on those of pairs that don't overlap."""

N_SETTINGS = 12

TOP, LINES = 3, 16
"""Candidates that are refined in a move; lines that a slide can keep in mind."""


@lean
def overlaps(state: State, i: int) -> bool:
    """Whether item i overlaps anything."""
    deepest = state.wall_depth[i]
    for j in range(state.x.shape[0]):
        deepest = max(deepest, state.depth[i, j])
    return bool(deepest > 0.0)


@numba.njit(cache=True)
def separate(
    world: World,
    state: State,
    best: np.ndarray,
    settings: np.ndarray,
    bins: int,
    passes: int,
) -> tuple[float, int]:
    """Run up to so many passes over the overlapping items in containers 0 .. bins-1.

    Parameters
    ----------
    best
        The least overlapping layout so far, shape (n + 1, 6): one row (container, option, turn, x,
        y, -) an item; the last row holds its overlap. Start with infinity there.
    settings
        As in :func:`move_item`, and how weights grow.
    bins
        How many containers are in use.
    passes
        How many at most.

    Returns
    -------
    Overlap of the present layout (0: done) and the passes made.
    """
    n = state.x.shape[0]
    order = np.empty(n, np.int64)
    top, lines = np.empty((TOP, 6)), np.empty((LINES, 4))
    overlap = total_overlap(world, state)
    done = 0
    while True:
        if overlap < best[n, 0]:
            best[n, 0] = overlap
            for i in range(n):
                best[i, 0], best[i, 1], best[i, 2] = state.where[i], state.option[i], state.turn[i]
                best[i, 3], best[i, 4] = state.x[i], state.y[i]
        if overlap == 0.0 or done >= passes:
            return overlap, done
        m = 0
        for i in range(n):
            if state.where[i] >= 0 and overlaps(state, i):
                order[m] = i
                m += 1
        shuffle(state.chance, order, m)
        for k in range(m):
            move_item(world, state, order[k], settings, bins, top, lines)
        reweigh(state, settings)
        overlap = total_overlap(world, state)
        done += 1


@lean
def reweigh(state: State, settings: np.ndarray) -> None:
    """Let the weights of overlapping pairs grow, by how deep they are, and the others fade."""
    n = state.x.shape[0]
    deepest = 0.0
    for i in range(n):
        deepest = max(deepest, state.wall_depth[i])
        for j in range(i):
            deepest = max(deepest, state.depth[i, j])
    if deepest <= 0.0:
        return
    least, most, fade = settings[GROW_LEAST], settings[GROW_MOST], settings[FADE]
    for i in range(n):
        for j in range(i):
            depth = state.depth[i, j]
            factor = fade if depth == 0.0 else least + (most - least) * depth / deepest
            state.weight[i, j] = max(1.0, state.weight[i, j] * factor)
            state.weight[j, i] = state.weight[i, j]
        depth = state.wall_depth[i]
        factor = fade if depth == 0.0 else least + (most - least) * depth / deepest
        state.wall_weight[i] = max(1.0, state.wall_weight[i] * factor)
