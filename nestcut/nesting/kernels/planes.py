"""Half-planes between all parts of a layout that lie near each other, for linear programmes."""

from __future__ import annotations

import numba
import numpy as np

from nestcut.nesting.kernels.depth import Slots
from nestcut.nesting.kernels.lean import lean
from nestcut.nesting.kernels.world import State, World


@lean
def _separating_plane(
    slots: Slots, p: int, q: int, dx: float, dy: float, plane: np.ndarray
) -> None:
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


@lean
def _planes_between(
    slots: Slots, a: int, s: int, shift: np.ndarray, reach: float, planes: np.ndarray, m: int
) -> int:
    """Add the half-planes of slot a and slot s shifted by ``shift`` that matter within ``reach``.

    Of several with one normal (an edge and some parts of the other) only the deepest is added: it
    keeps the others. Returns how many there are now, or -1 if there is no room for more.
    """
    dx, dy = shift[0], shift[1]
    begin = m
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
            _separating_plane(slots, p, q, dx, dy, planes[m])
            if planes[m, 2] <= -reach:
                continue
            k = begin
            while planes[k, 0] != planes[m, 0] or planes[k, 1] != planes[m, 1]:
                k += 1  # ends at m itself
            planes[k, 2] = max(planes[k, 2], planes[m, 2])
            m += k == m
    return m


@numba.njit(cache=True)
def gather_planes(
    world: World, state: State, reach: float, pairs: np.ndarray, planes: np.ndarray
) -> int:
    """Write (i, j) and (nx, ny, depth) of each pair of parts nearer than ``reach``.

    i is -1 for what a container blocks. Returns how many there are, or -1 if the arrays are short.

    Parameters
    ----------
    reach
        Pairs farther apart than this are left out. [mm]
    pairs
        Takes (i, j) of each pair, shape (room, 2).
    planes
        Takes (nx, ny, depth) of each pair, shape (room, 3).
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
                m = _planes_between(world.slots, a, state.slot[j], shift, reach, planes, m)
                if m < 0:
                    return -1
                for r in range(begin, m):
                    pairs[r, 0], pairs[r, 1] = i, j
    return m
