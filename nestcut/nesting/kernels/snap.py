"""The exact last step: from nearly free of overlap to just touching.

Near a good place every pair of convex parts is kept apart by one half-plane, the one that is least
violated. The shift wanted is the shortest that satisfies them all: the origin's projection on an
intersection of half-planes, which in the plane lies on one of their lines or where two of them
meet.
"""

from __future__ import annotations

import numba
import numpy as np

from nestcut.nesting.kernels.depth import Slots
from nestcut.nesting.kernels.world import State, World

MOST_PLANES = 40
"""Half-planes looked at; beyond that the place is too crowded for an exact step."""


@numba.njit(cache=True)
def separating_plane(slots: Slots, p: int, q: int, dx: float, dy: float, plane: np.ndarray) -> None:
    """Write the least violated half-plane of part p and part q shifted by (dx, dy).

    ``plane`` takes (nx, ny, depth): a shift of q by t along the normal leaves depth - t.
    """
    plane[2] = 1e300
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
            depth = slots.reach[e] - low - sign * (nx * dx + ny * dy)
            if depth < plane[2]:
                plane[0], plane[1], plane[2] = sign * nx, sign * ny, depth


@numba.njit(cache=True)
def planes_between(
    slots: Slots, a: int, s: int, shift: np.ndarray, reach: float, planes: np.ndarray, m: int
) -> int:
    """Add the half-planes of slot a and slot s shifted by ``shift`` that matter within ``reach``.

    Returns how many there are now, or -1 if there is no room for more.
    """
    dx, dy = shift[0], shift[1]
    for p in range(slots.first[a], slots.first[a + 1]):
        for q in range(slots.first[s], slots.first[s + 1]):
            if slots.part_box[p, 2] + reach <= slots.part_box[q, 0] + dx:
                continue
            if slots.part_box[q, 2] + dx + reach <= slots.part_box[p, 0]:
                continue
            if slots.part_box[p, 3] + reach <= slots.part_box[q, 1] + dy:
                continue
            if slots.part_box[q, 3] + dy + reach <= slots.part_box[p, 1]:
                continue
            if m >= planes.shape[0]:
                return -1
            separating_plane(slots, p, q, dx, dy, planes[m])
            if planes[m, 2] > -reach:
                m += 1
    return m


@numba.njit(cache=True)
def shortest_shift(planes: np.ndarray, m: int, slack: float, shift: np.ndarray) -> bool:
    """Write the shortest shift that satisfies all half-planes to within ``slack``."""
    best = 1e300
    for j in range(m):
        if planes[j, 2] <= 0.0:
            continue
        for k in range(-1, m):
            if k < 0:
                x, y = planes[j, 2] * planes[j, 0], planes[j, 2] * planes[j, 1]
            else:
                turn = planes[j, 0] * planes[k, 1] - planes[j, 1] * planes[k, 0]
                if k == j or abs(turn) < 1e-9:
                    continue
                x = (planes[j, 2] * planes[k, 1] - planes[k, 2] * planes[j, 1]) / turn
                y = (planes[j, 0] * planes[k, 2] - planes[k, 0] * planes[j, 2]) / turn
            far = x * x + y * y
            if far >= best:
                continue
            good = True
            for i in range(m):
                if planes[i, 2] - planes[i, 0] * x - planes[i, 1] * y > slack:
                    good = False
                    break
            if good:
                best = far
                shift[0], shift[1] = x, y
    return best < 1e300


@numba.njit(cache=True)
def snap(
    world: World, state: State, i: int, b: int, s: int, spot: np.ndarray, reach: float
) -> bool:
    """Find the nearest place without overlap within about ``reach`` of ``spot`` (x, y).

    Writes it into ``spot`` and returns True; leaves ``spot`` alone and returns False if there is
    none.
    """
    slots = world.slots
    planes = np.empty((MOST_PLANES, 3))
    shift = np.empty(2)
    x, y = spot[0], spot[1]
    m = 0
    obstacle = world.obstacle[b]
    if obstacle >= 0:
        shift[0], shift[1] = x, y
        m = planes_between(slots, obstacle, s, shift, reach, planes, m)
    for k in range(state.filled[b]):
        j = state.members[b, k]
        if j == i or m < 0:
            continue
        shift[0], shift[1] = x - state.x[j], y - state.y[j]
        m = planes_between(slots, state.slot[j], s, shift, reach, planes, m)
    if m < 0 or m + 4 > MOST_PLANES:
        return False
    frame, box = world.frame, slots.box
    # the frame: shifts must keep the box inside
    for side in range(4):
        planes[m, 0] = 1.0 if side == 0 else (-1.0 if side == 2 else 0.0)
        planes[m, 1] = 1.0 if side == 1 else (-1.0 if side == 3 else 0.0)
        at = x if side in {0, 2} else y
        gap = frame[b, side] - box[s, side] - at
        planes[m, 2] = gap if side < 2 else -gap
        m += 1
    if not shortest_shift(planes, m, 0.3 * world.tolerance, shift):
        return False
    if shift[0] * shift[0] + shift[1] * shift[1] > reach * reach:
        return False
    spot[0], spot[1] = x + shift[0], y + shift[1]
    return True
