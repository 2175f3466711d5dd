"""How deep two placed shapes overlap.

A shape in a certain turn is a *slot*: convex parts whose union it is. The depth of two convex
parts is the least shift that parts them: over the edge normals of both, the least overlap along the
normal (separating axis theorem; the half-planes of their no-fit polygon). The depth of two shapes
is the greatest over their parts: 0 exactly when they don't overlap.
"""

from __future__ import annotations

from typing import NamedTuple

import numba
import numpy as np

from nestcut.nesting.kernels.cells import Cells, cell_depth, cell_slope
from nestcut.nesting.kernels.grids import NoFits
from nestcut.nesting.kernels.lean import lean


class Slots(NamedTuple):
    """Shapes in certain turns, all about their own centre.

    Slot s has parts ``first[s] .. first[s+1]``, part p corners ``start[p] .. start[p+1]``.
    ``x, y``: corners; ``nx, ny``: outward unit normal of the edge that starts at a corner;
    ``reach``: normal times corner. ``part_box`` (P, 4), ``box`` (S, 4): min x, min y, max x, max y.
    """

    first: np.ndarray
    start: np.ndarray
    x: np.ndarray
    y: np.ndarray
    nx: np.ndarray
    ny: np.ndarray
    reach: np.ndarray
    part_box: np.ndarray
    box: np.ndarray


class Tables(NamedTuple):
    """No-fit polygons of slot pairs, worked out beforehand for slots that never turn.

    ``row[a, b]`` is the number of the pair in ``nofits`` and ``cells``, or -1. ``hint`` is the
    half-plane that last told a part pair apart: asked first, it mostly does so again.
    """

    row: np.ndarray
    nofits: NoFits
    cells: Cells
    hint: np.ndarray


@lean
def pose_slot(slots: Slots, source: int, target: int, c: float, s: float) -> None:
    """Write slot ``source`` turned by (cosine c, sine s) into ``target`` of the same structure.

    Parameters
    ----------
    source, target
        Numbers of the slots.
    c, s
        Cosine and sine of the turn.
    """
    p0, p1 = slots.first[source], slots.first[source + 1]
    t0 = slots.first[target]
    bx0 = by0 = 1e300
    bx1 = by1 = -1e300
    for p in range(p0, p1):
        t = t0 + p - p0
        v = slots.start[t]
        x0 = y0 = 1e300
        x1 = y1 = -1e300
        for u in range(slots.start[p], slots.start[p + 1]):
            x = slots.x[u] * c - slots.y[u] * s
            y = slots.x[u] * s + slots.y[u] * c
            slots.x[v] = x
            slots.y[v] = y
            slots.nx[v] = slots.nx[u] * c - slots.ny[u] * s
            slots.ny[v] = slots.nx[u] * s + slots.ny[u] * c
            slots.reach[v] = slots.reach[u]
            x0, x1 = min(x0, x), max(x1, x)
            y0, y1 = min(y0, y), max(y1, y)
            v += 1
        slots.part_box[t, 0], slots.part_box[t, 1] = x0, y0
        slots.part_box[t, 2], slots.part_box[t, 3] = x1, y1
        bx0, bx1 = min(bx0, x0), max(bx1, x1)
        by0, by1 = min(by0, y0), max(by1, y1)
    slots.box[target, 0], slots.box[target, 1] = bx0, by0
    slots.box[target, 2], slots.box[target, 3] = bx1, by1


@numba.njit(cache=True, inline="always")
def _part_depth(slots: Slots, p: int, q: int, dx: float, dy: float, floor: float) -> float:
    """Depth of two convex parts, q shifted by (dx, dy); cut short once it is up to ``floor``."""
    least = 1e300
    p0, p1 = slots.start[p], slots.start[p + 1]
    q0, q1 = slots.start[q], slots.start[q + 1]
    for e in range(p0, p1):
        nx, ny = slots.nx[e], slots.ny[e]
        low = 1e300
        for v in range(q0, q1):
            low = min(low, nx * slots.x[v] + ny * slots.y[v])
        least = min(least, slots.reach[e] - low - nx * dx - ny * dy)
        if least <= floor:
            return float(least)
    for e in range(q0, q1):
        nx, ny = slots.nx[e], slots.ny[e]
        low = 1e300
        for v in range(p0, p1):
            low = min(low, nx * slots.x[v] + ny * slots.y[v])
        least = min(least, slots.reach[e] - low + nx * dx + ny * dy)
        if least <= floor:
            return float(least)
    return float(least)


@lean
def slot_depth(slots: Slots, a: int, b: int, dx: float, dy: float) -> float:
    """Depth of slot a and slot b shifted by (dx, dy); 0 where they don't overlap.

    Parameters
    ----------
    a, b
        Numbers of the slots.
    dx, dy
        Shift of slot b. [mm]
    """
    deepest = 0.0
    bx0, by0 = slots.box[b, 0] + dx, slots.box[b, 1] + dy
    bx1, by1 = slots.box[b, 2] + dx, slots.box[b, 3] + dy
    for p in range(slots.first[a], slots.first[a + 1]):
        px0, py0 = slots.part_box[p, 0], slots.part_box[p, 1]
        px1, py1 = slots.part_box[p, 2], slots.part_box[p, 3]
        if min(px1 - bx0, bx1 - px0, py1 - by0, by1 - py0) <= deepest:
            continue
        for q in range(slots.first[b], slots.first[b + 1]):
            if px1 - slots.part_box[q, 0] - dx <= deepest:
                continue
            if slots.part_box[q, 2] + dx - px0 <= deepest:
                continue
            if py1 - slots.part_box[q, 1] - dy <= deepest:
                continue
            if slots.part_box[q, 3] + dy - py0 <= deepest:
                continue
            depth = _part_depth(slots, p, q, dx, dy, deepest)
            deepest = max(deepest, depth)
    return deepest


@lean
def _table_depth(tables: Tables, row: int, dx: float, dy: float) -> float:
    """Depth of a slot pair from its half-planes."""
    nofits = tables.nofits
    deepest = 0.0
    for k in range(nofits.pair[row], nofits.pair[row + 1]):
        if dx - nofits.box[k, 0] <= deepest or nofits.box[k, 2] - dx <= deepest:
            continue
        if dy - nofits.box[k, 1] <= deepest or nofits.box[k, 3] - dy <= deepest:
            continue
        e = tables.hint[k]
        least = nofits.c[e] - nofits.nx[e] * dx - nofits.ny[e] * dy
        if least <= deepest:
            continue
        for e in range(nofits.plane[k], nofits.plane[k + 1]):
            least = min(least, nofits.c[e] - nofits.nx[e] * dx - nofits.ny[e] * dy)
            if least <= deepest:
                tables.hint[k] = e
                break
        deepest = max(deepest, least)
    return deepest


@numba.njit(cache=True, inline="always")
def pair_depth(
    slots: Slots, tables: Tables, a: int, b: int, dx: float, dy: float, enough: float
) -> float:
    """Depth of slot a and slot b shifted by (dx, dy), from the table where there is one.

    It may be less than it is, but not less than ``enough``.

    Parameters
    ----------
    a, b
        Numbers of the slots.
    dx, dy
        Shift of slot b. [mm]
    enough
        A depth of this much or more may be told too small, but not below it. [mm]
    """
    if slots.box[a, 2] <= slots.box[b, 0] + dx or slots.box[b, 2] + dx <= slots.box[a, 0]:
        return 0.0
    if slots.box[a, 3] <= slots.box[b, 1] + dy or slots.box[b, 3] + dy <= slots.box[a, 1]:
        return 0.0
    if a < tables.row.shape[0] and b < tables.row.shape[0]:
        row = tables.row[a, b]
        if row < 0:
            row, dx, dy = tables.row[b, a], -dx, -dy
        if row >= 0:
            if tables.cells.head[row, 6] > 0.0:
                return cell_depth(tables.cells, row, dx, dy, enough)
            return _table_depth(tables, row, dx, dy)
        dx, dy = -dx, -dy
    return slot_depth(slots, a, b, dx, dy)


@lean
def pair_slope(
    slots: Slots, tables: Tables, a: int, b: int, dx: float, dy: float, depth: float, step: float
) -> tuple[float, float]:
    """Return the unit vector along which slot b, shifted by (dx, dy), gets out of slot a soonest.

    ``depth`` is their depth, more than 0. Without cells the slope is that over a short ``step``; it
    is (0, 0) on a ridge, from where no way is out.

    Parameters
    ----------
    a, b
        Numbers of the slots.
    dx, dy
        Shift of slot b. [mm]
    depth
        How deep they overlap there, more than 0. [mm]
    step
        Step over which a slope is taken where there are no cells. [mm]
    """
    if a < tables.row.shape[0] and b < tables.row.shape[0]:
        row, sign = tables.row[a, b], 1.0
        if row < 0:
            row, sign = tables.row[b, a], -1.0
        if row >= 0 and tables.cells.head[row, 6] > 0.0:
            nx, ny = cell_slope(tables.cells, row, sign * dx, sign * dy)
            return sign * nx, sign * ny
    # a step that stays inside the overlap: beyond its end the depth is 0, not linear
    h = min(step, 0.25 * depth)
    gx = pair_depth(slots, tables, a, b, dx + h, dy, 1e300) - depth
    gy = pair_depth(slots, tables, a, b, dx, dy + h, 1e300) - depth
    slope = np.sqrt(gx * gx + gy * gy)
    if slope < 0.1 * h:
        return 0.0, 0.0
    return -gx / slope, -gy / slope


@numba.njit(cache=True)
def fill_tables(slots: Slots, tables: Tables, n: int) -> None:
    """Work out the half-planes of all slot pairs a <= b < n into arrays of the right size.

    Parameters
    ----------
    tables
        Filled in; ``row`` is negative for the pairs to pass over.
    n
        How many slots, the first ones, have a row.
    """
    nofits = tables.nofits
    k = 0
    e = 0
    r = 0
    for a in range(n):
        for b in range(a, n):
            if tables.row[a, b] < 0:
                continue
            tables.row[a, b] = r
            nofits.pair[r] = k
            for p in range(slots.first[a], slots.first[a + 1]):
                for q in range(slots.first[b], slots.first[b + 1]):
                    nofits.plane[k] = e
                    tables.hint[k] = e
                    e = _planes(slots, nofits, p, q, e)
                    nofits.box[k, 0] = slots.part_box[p, 0] - slots.part_box[q, 2]
                    nofits.box[k, 1] = slots.part_box[p, 1] - slots.part_box[q, 3]
                    nofits.box[k, 2] = slots.part_box[p, 2] - slots.part_box[q, 0]
                    nofits.box[k, 3] = slots.part_box[p, 3] - slots.part_box[q, 1]
                    k += 1
            r += 1
            nofits.pair[r] = k
            nofits.plane[k] = e


@lean
def _planes(slots: Slots, nofits: NoFits, p: int, q: int, e: int) -> int:
    """Write the half-planes of two parts from place e on; return the next place."""
    for f in range(slots.start[p], slots.start[p + 1]):
        low = 1e300
        for v in range(slots.start[q], slots.start[q + 1]):
            low = min(low, slots.nx[f] * slots.x[v] + slots.ny[f] * slots.y[v])
        nofits.nx[e], nofits.ny[e] = slots.nx[f], slots.ny[f]
        nofits.c[e] = slots.reach[f] - low
        e += 1
    for f in range(slots.start[q], slots.start[q + 1]):
        low = 1e300
        for v in range(slots.start[p], slots.start[p + 1]):
            low = min(low, slots.nx[f] * slots.x[v] + slots.ny[f] * slots.y[v])
        nofits.nx[e], nofits.ny[e] = -slots.nx[f], -slots.ny[f]
        nofits.c[e] = slots.reach[f] - low
        e += 1
    return e
