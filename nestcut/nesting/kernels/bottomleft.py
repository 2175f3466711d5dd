"""Placing one item after another as far left, then as low as it goes.

For a given y the shifts at which a convex part would overlap one that lies there form an open
interval of x, bounded by the half-planes of the two; these are worked out once for all heights.
The leftmost free x is found by stepping out of one interval after the other.
Heights tried: the container's edges, those where the item's box stands on or hangs under another's,
and a regular ladder.
"""

# ruff: noqa: C901, PLR0912 - loops over plain numbers: records would be unpacked anyway
from __future__ import annotations

import numpy as np

from nestcut.nesting.kernels.depth import Slots
from nestcut.nesting.kernels.lean import lean
from nestcut.nesting.kernels.world import State, World, choose_pose, fits_frame
from nestcut.tolerances.noise import DUST


@lean
def _slot_of(world: World, state: State, b: int, k: int) -> int:
    """Slot of the k-th item in container b; k = -1: of what the container itself blocks, or -1."""
    return int(world.obstacle[b] if k < 0 else state.slot[state.members[b, k]])


@lean
def _write_pair(
    slots: Slots, p: int, q: int, sign: float, slack: float, plane: np.ndarray, n: int
) -> int:
    """Write the half-planes of p's edges against q's corners from number n on; return the next.

    With ``sign`` 1 it is q that is shifted, with -1 it is p.
    """
    for e in range(slots.start[p], slots.start[p + 1]):
        nx, ny = slots.nx[e], slots.ny[e]
        low = 1e300
        for v in range(slots.start[q], slots.start[q + 1]):
            low = min(low, nx * slots.x[v] + ny * slots.y[v])
        plane[n, 0], plane[n, 1], plane[n, 2] = sign * nx, sign * ny, slots.reach[e] - low - slack
        n += 1
    return n


@lean
def write_planes(
    world: World, state: State, b: int, s: int, pair: np.ndarray, plane: np.ndarray
) -> None:
    """Work out at which shifts slot s would overlap what lies in container b.

    A pair of parts overlaps at shift (x, y) if each of its half-planes (nx, ny, c) in
    ``plane[pair[m] .. pair[m + 1]]`` has c - nx x - ny y > 0. Pairs go by item, its parts, and the
    parts of s; there must be room for all of them.

    Parameters
    ----------
    b, s
        Numbers of the container and of the slot.
    pair
        Takes where the half-planes of each pair begin, and where the last ones end, shape (pairs +
        1,).
    plane
        Takes the half-planes (nx, ny, c), shape (planes, 3).
    """
    slots = world.slots
    slack = world.tolerance * 0.5
    m = n = 0
    for k in range(-1, state.filled[b]):
        a = _slot_of(world, state, b, k)
        if a < 0:
            continue
        for p in range(slots.first[a], slots.first[a + 1]):
            for q in range(slots.first[s], slots.first[s + 1]):
                pair[m] = n
                n = _write_pair(slots, p, q, 1.0, slack, plane, n)
                n = _write_pair(slots, q, p, -1.0, slack, plane, n)
                m += 1
    pair[m] = n


@lean
def _blocked_until(plane: np.ndarray, first: int, last: int, x: float, y: float) -> float:
    """Where an overlap at shift (x, y) ends to the right; x itself if there is none."""
    right = 1e300
    for e in range(first, last):
        nx = plane[e, 0]
        c = plane[e, 2] - plane[e, 1] * y
        if c - nx * x <= 0.0:
            return x
        if nx > DUST:
            right = min(right, c / nx)
    return right


@lean
def leftmost(
    world: World,
    state: State,
    b: int,
    s: int,
    y: float,
    least: float,
    most: float,
    pair: np.ndarray,
    plane: np.ndarray,
) -> float:
    """Leftmost free x in least .. most for slot s at height y of container b, or infinity.

    ``pair`` and ``plane`` are those of :func:`write_planes`.

    Parameters
    ----------
    b, s
        Numbers of the container and of the slot that shows the item's pose.
    y
        Height at which the slot is moved along. [mm]
    least, most
        Between which its x is looked for. [mm]
    pair
        Where the half-planes of each pair of parts begin, shape (pairs + 1,).
    plane
        Half-planes (nx, ny, c), shape (planes, 3); both as :func:`write_planes` writes them.
    """
    slots = world.slots
    own = slots.first[s + 1] - slots.first[s]
    x = least
    settled = state.filled[b]  # who moved x last: once round without a move, and x is free
    moved = True
    while moved:
        moved = False
        after = 0
        for k in range(-1, state.filled[b]):
            if k == settled:
                return x
            a = _slot_of(world, state, b, k)
            if a < 0:
                continue
            before = after
            after += (slots.first[a + 1] - slots.first[a]) * own
            ax = ay = 0.0
            if k >= 0:
                ax, ay = state.x[state.members[b, k]], state.y[state.members[b, k]]
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
                    m = before + (p - slots.first[a]) * own
                    for q in range(slots.first[s], slots.first[s + 1]):
                        if slots.part_box[p, 2] + ax <= slots.part_box[q, 0] + x:
                            continue
                        if slots.part_box[q, 2] + x <= slots.part_box[p, 0] + ax:
                            continue
                        t = m + q - slots.first[s]
                        end = ax + _blocked_until(plane, pair[t], pair[t + 1], x - ax, dy)
                        if end > x:
                            x = end
                            moved = again = True
                            settled = k
                            if x > most:
                                return np.inf
    return x


@lean
def bottom_left(
    world: World,
    state: State,
    i: int,
    b: int,
    rungs: int,
    most_x: float,
    spot: np.ndarray,
    pair: np.ndarray,
    plane: np.ndarray,
) -> bool:
    """Find the leftmost, then lowest place for item i in container b.

    ``spot`` (4,) takes option, turn, x, y; only places with a right end below ``most_x`` count.
    ``pair`` and ``plane`` give room for :func:`write_planes`.

    Parameters
    ----------
    i, b
        Numbers of the item and of the container.
    rungs
        How many evenly spaced heights are tried besides those that the frame and what lies there
        suggest.
    most_x
        Only places with a right end below it count. [mm]
    spot
        Takes the place found: option, turn [rad], x, y [mm], shape (4,).
    pair, plane
        Room for what :func:`write_planes` writes, shapes (pairs + 1,) and (planes, 3).
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
        write_planes(world, state, b, s, pair, plane)
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
            most = min(last, best - box[s, 2])
            x = leftmost(world, state, b, s, y, least, most, pair, plane)
            if x > last:
                continue
            end = x + box[s, 2]
            if end < best - world.tolerance or (end <= best and y < best_y):
                best, best_y, found = end, y, True
                spot[0], spot[1], spot[2], spot[3] = option, turn, x, y
    return found
