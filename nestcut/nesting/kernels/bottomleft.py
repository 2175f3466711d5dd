"""Placing one item after another as far left, then as low as it goes.

For a given y the shifts at which a convex part would overlap one that lies there form an open
interval of x, bounded by the half-planes of the two; the leftmost free x is found by stepping out
of one interval after the other. Heights tried: the container's edges, those where the item's box
stands on or hangs under another's, and a regular ladder.
"""

# ruff: noqa: C901, PLR0912 - loops over plain numbers: records would be unpacked anyway
from __future__ import annotations

import numpy as np

from nestcut.nesting.kernels.depth import Slots
from nestcut.nesting.kernels.lean import lean
from nestcut.nesting.kernels.world import State, World, choose_pose, fits_frame


@lean
def blocked_until(slots: Slots, p: int, q: int, x: float, y: float, slack: float) -> float:
    """Where an overlap of part p with q shifted by (x, y) ends to the right; x itself if none."""
    right = 1e300
    p0, p1 = slots.start[p], slots.start[p + 1]
    q0, q1 = slots.start[q], slots.start[q + 1]
    for turn in range(2):
        a0, a1 = (p0, p1) if turn == 0 else (q0, q1)
        b0, b1 = (q0, q1) if turn == 0 else (p0, p1)
        sign = 1.0 if turn == 0 else -1.0
        for e in range(a0, a1):
            nx, ny = slots.nx[e], slots.ny[e]
            low = 1e300
            for v in range(b0, b1):
                low = min(low, nx * slots.x[v] + ny * slots.y[v])
            # overlap needs c - nx x - ny y > slack
            c = slots.reach[e] - low - slack - sign * ny * y
            nx *= sign
            if c - nx * x <= 0.0:
                return x
            if nx > 1e-12:
                right = min(right, c / nx)
    return right


@lean
def leftmost(
    world: World, state: State, b: int, s: int, y: float, least: float, most: float
) -> float:
    """Leftmost free x in least .. most for slot s at height y of container b, or infinity."""
    slots = world.slots
    slack = world.tolerance * 0.5
    x = least
    moved = True
    while moved:
        moved = False
        for k in range(-1, state.filled[b]):
            if k < 0:
                a = world.obstacle[b]
                ax = ay = 0.0
                if a < 0:
                    continue
            else:
                j = state.members[b, k]
                a, ax, ay = state.slot[j], state.x[j], state.y[j]
            dy = y - ay
            if slots.box[a, 3] <= slots.box[s, 1] + dy or slots.box[s, 3] + dy <= slots.box[a, 1]:
                continue
            if slots.box[a, 2] + ax <= slots.box[s, 0] + x:
                continue
            again = True
            while again:
                again = False
                for p in range(slots.first[a], slots.first[a + 1]):
                    if slots.part_box[p, 2] + ax <= slots.box[s, 0] + x:
                        continue
                    for q in range(slots.first[s], slots.first[s + 1]):
                        if slots.part_box[p, 2] + ax <= slots.part_box[q, 0] + x:
                            continue
                        if slots.part_box[q, 2] + x <= slots.part_box[p, 0] + ax:
                            continue
                        end = ax + blocked_until(slots, p, q, x - ax, dy, slack)
                        if end > x:
                            x = end
                            moved = again = True
                            if x > most:
                                return np.inf
    return x


@lean
def bottom_left(
    world: World, state: State, i: int, b: int, rungs: int, most_x: float, spot: np.ndarray
) -> bool:
    """Find the leftmost, then lowest place for item i in container b.

    ``spot`` (4,) takes option, turn, x, y; only places with a right end below ``most_x`` count.
    """
    found = False
    best, best_y = most_x, np.inf
    for option in range(world.option_first[i], world.option_first[i + 1]):
        turn = world.option_turn[option]
        s = choose_pose(world, i, option, turn)
        if not fits_frame(world, b, s):
            continue
        box = world.slots.box
        low, high = world.frame[b, 1] - box[s, 1], world.frame[b, 3] - box[s, 3]
        high = max(high, low)
        least, last = world.frame[b, 0] - box[s, 0], world.frame[b, 2] - box[s, 2]
        last = max(last, least)
        n = state.filled[b]
        for k in range(2 * n + rungs + 2):
            if k < n:
                j = state.members[b, k]
                y = state.y[j] + box[state.slot[j], 3] - box[s, 1]
            elif k < 2 * n:
                j = state.members[b, k - n]
                y = state.y[j] + box[state.slot[j], 1] - box[s, 3]
            else:
                y = low + (high - low) * (k - 2 * n) / (rungs + 1)
            if y < low or y > high:
                continue
            x = leftmost(world, state, b, s, y, least, min(last, best - box[s, 2]))
            if x > last:
                continue
            end = x + box[s, 2]
            if end < best - world.tolerance or (end <= best and y < best_y):
                best, best_y, found = end, y, True
                spot[0], spot[1], spot[2], spot[3] = option, turn, x, y
    return found
