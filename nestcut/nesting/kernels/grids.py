"""Laying the grids of :mod:`cells`: which half-planes and edges matter to which cell."""

from __future__ import annotations

from typing import NamedTuple

import numba
import numpy as np

from nestcut.nesting.kernels.cells import Cells, edge_distance
from nestcut.nesting.kernels.lean import lean
from nestcut.tolerances.noise import DUST, NOISE

BLOCK = 8
"""Cells of a line that are looked at together while grids are laid."""

SPLIT = 4
"""Pieces each way that a cell is looked at in, to leave out as many edges as can be."""


class NoFits(NamedTuple):
    """What the cells are made from: the half-planes and edges of a table (see there)."""

    pair: np.ndarray
    plane: np.ndarray
    nx: np.ndarray
    ny: np.ndarray
    c: np.ndarray
    box: np.ndarray
    rim: np.ndarray
    ax: np.ndarray
    ay: np.ndarray
    bx: np.ndarray
    by: np.ndarray


@numba.njit(cache=True)
def grown(array: np.ndarray, wanted: int) -> np.ndarray:
    """Return the array with room for so many entries."""
    if wanted <= array.shape[0]:
        return array
    more = np.empty(2 * wanted, array.dtype)
    for k in range(array.shape[0]):
        more[k] = array[k]
    return more


@numba.njit(cache=True)
def _pairs_near(
    nofits: NoFits, row: int, box: np.ndarray, least: float, out: np.ndarray
) -> tuple[np.ndarray, int]:
    """Write the part pairs that reach into a box (x0, y0, x1, y1), and return how many."""
    k0, k1 = nofits.pair[row], nofits.pair[row + 1]
    out = grown(out, k1 - k0)
    n = 0
    for k in range(k0, k1):
        if box[2] <= nofits.box[k, 0] or nofits.box[k, 2] <= box[0]:
            continue
        if box[3] <= nofits.box[k, 1] or nofits.box[k, 3] <= box[1]:
            continue
        away = False
        for e in range(nofits.plane[k], nofits.plane[k + 1]):
            nx, ny = nofits.nx[e], nofits.ny[e]
            low = min(nx * box[0], nx * box[2]) + min(ny * box[1], ny * box[3])
            if nofits.c[e] - low <= least:
                away = True
                break
        if not away:
            out[n] = k
            n += 1
    return out, n


@lean
def covers(nofits: NoFits, k: int, box: np.ndarray, least: float) -> int:
    """How many of 4 by 4 points of a box lie inside part pair k.

    Parameters
    ----------
    k
        Number of the part pair.
    box
        Least x and y, greatest x and y, shape (4,). [mm]
    least
        A depth no greater than this counts as outside. [mm]
    """
    count = 0
    for point in range(SPLIT * SPLIT):
        x = box[0] + (point % SPLIT + 0.5) / SPLIT * (box[2] - box[0])
        y = box[1] + (point // SPLIT + 0.5) / SPLIT * (box[3] - box[1])
        inside = True
        for e in range(nofits.plane[k], nofits.plane[k + 1]):
            if nofits.c[e] - nofits.nx[e] * x - nofits.ny[e] * y <= least:
                inside = False
                break
        count += inside
    return count


@numba.njit(cache=True)
def _by_cover(nofits: NoFits, pairs: np.ndarray, box: np.ndarray, least: float) -> np.ndarray:
    """Return part pairs, those first that fill most of a box: they are asked first."""
    cover = np.empty(pairs.shape[0], np.int64)
    for r in range(pairs.shape[0]):
        cover[r] = -covers(nofits, pairs[r], box, least)
    return pairs[np.argsort(cover, kind="mergesort")]


@numba.njit(cache=True)
def _write_tests(
    nofits: NoFits, pairs: np.ndarray, box: np.ndarray, least: float, out: np.ndarray, n: int
) -> tuple[np.ndarray, int, bool]:
    """Write those of some part pairs that tell inside from outside within a box.

    Returns the array, its new end, and whether anything lies inside. If a part pair fills the
    box, nothing is written.
    """
    begin = n
    x, y = (box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0
    for k in pairs:
        if box[2] <= nofits.box[k, 0] or nofits.box[k, 2] <= box[0]:
            continue
        if box[3] <= nofits.box[k, 1] or nofits.box[k, 3] <= box[1]:
            continue
        head = n
        out = grown(out, n + 2 + nofits.plane[k + 1] - nofits.plane[k])
        n += 1
        away = False
        least_middle = 1e300
        for e in range(nofits.plane[k], nofits.plane[k + 1]):
            nx, ny = nofits.nx[e], nofits.ny[e]
            low = min(nx * box[0], nx * box[2]) + min(ny * box[1], ny * box[3])
            high = max(nx * box[0], nx * box[2]) + max(ny * box[1], ny * box[3])
            if nofits.c[e] - low <= least:
                away = True
                break
            if nofits.c[e] - high <= least:
                middle = nofits.c[e] - nx * x - ny * y
                out[n] = e
                if middle < least_middle:  # the likeliest to say no is asked first
                    out[n], out[head + 1] = out[head + 1], e
                    least_middle = middle
                n += 1
        if away:
            n = head
        elif n == head + 1:
            return out, begin, True
        else:
            out[head] = n - head - 1
    return out, n, n > begin


@lean
def _mark_edges(edge: np.ndarray, edges: np.ndarray, box: np.ndarray, mark: np.ndarray) -> float:
    """Mark those of some edges that may be the nearest to a point of a box.

    Returns the least distance of any point of the box.
    """
    x, y = (box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0
    radius = np.hypot(box[2] - box[0], box[3] - box[1]) / 2.0
    nearest = 1e300
    for e in edges:
        nearest = min(nearest, edge_distance(edge, e, x, y))
    # of a point within the radius the nearest edge is at most this far from the middle
    reach = np.sqrt(nearest) + 2.0 * radius
    for r in range(edges.shape[0]):
        if edge_distance(edge, edges[r], x, y) <= reach * reach:
            mark[r] = True
    return float(max(0.0, np.sqrt(nearest) - radius))


@numba.njit(cache=True)
def _write_edges(
    edge: np.ndarray, edges: np.ndarray, box: np.ndarray, split: int, out: np.ndarray, n: int
) -> tuple[np.ndarray, int, float]:
    """Write how many of some edges may be the nearest to a point of a box, and these.

    The box is looked at in ``split`` by ``split`` pieces: the finer, the fewer edges. Returns the
    array, its new end, and the least distance of any point of the box.
    """
    head = n
    out = grown(out, n + 1 + edges.shape[0])
    mark = np.zeros(edges.shape[0], np.bool_)
    far, piece = 1e300, np.empty(4)
    for k in range(split * split):
        for axis in range(2):
            place = k % split if axis == 0 else k // split
            step = (box[2 + axis] - box[axis]) / split
            piece[axis] = box[axis] + place * step
            piece[2 + axis] = box[axis] + (place + 1) * step
        far = min(far, _mark_edges(edge, edges, piece, mark))
    n += 1
    for r in range(edges.shape[0]):
        if mark[r]:
            out[n] = edges[r]
            n += 1
    out[head] = n - head - 1
    return out, n, far


@numba.njit(cache=True)
def _write_sides(
    nofits: NoFits, k: int, box: np.ndarray, least: float, out: np.ndarray, n: int
) -> tuple[np.ndarray, int, float]:
    """Write the half-planes of part pair k that may be the least in a box; none outside it.

    Returns the array, its new end, and the least depth of any point of the box.
    """
    p0, p1 = nofits.plane[k], nofits.plane[k + 1]
    out = grown(out, n + p1 - p0)
    bar = deep = 1e300
    for e in range(p0, p1):
        nx, ny = nofits.nx[e], nofits.ny[e]
        low = min(nx * box[0], nx * box[2]) + min(ny * box[1], ny * box[3])
        bar = min(bar, nofits.c[e] - low)
    if bar <= least:
        return out, n, 0.0
    for e in range(p0, p1):
        nx, ny = nofits.nx[e], nofits.ny[e]
        high = max(nx * box[0], nx * box[2]) + max(ny * box[1], ny * box[3])
        deep = min(deep, nofits.c[e] - high)
        if nofits.c[e] - high <= bar:
            out[n] = e
            n += 1
    return out, n, max(0.0, deep)


@numba.njit(cache=True)
def build_cells(
    nofits: NoFits, sides: np.ndarray, frames: np.ndarray, side: np.ndarray, edge: np.ndarray
) -> Cells:
    """Lay a grid of ``sides[r]`` by ``sides[r]`` cells over each row; 0 for no grid.

    ``frames`` (R, 4) bound the rows' no-fit polygons; ``side`` and ``edge`` as in Cells.

    Parameters
    ----------
    sides
        How many cells a row's grid has each way, shape (R,); 0: no grid.
    frames
        Box of each row's no-fit polygon, shape (R, 4). [mm]
    side
        Half-planes (nx, ny, c), shape (P, 3).
    edge
        Edges of the rims, shape (E, 5), as in :class:`Cells`.
    """
    rows = sides.shape[0]
    head = np.zeros((rows, 8))
    start = np.zeros(int((sides * sides).sum()) + 1, np.int32)
    deep = np.zeros(start.shape[0] - 1)
    item, test = np.empty(1024, np.int32), np.empty(64, np.int32)
    pairs, some = np.empty(64, np.int64), np.empty(64, np.int32)
    few = np.empty(64, np.int32)
    n = m = cell = some_pairs = some_edges = 0
    box, block = np.empty(4), np.empty(4)
    for r in range(rows):
        cells = sides[r]
        if cells == 0:
            continue
        all_edges = np.arange(nofits.rim[r], nofits.rim[r + 1])
        convex = all_edges.shape[0] == 0
        x0, y0 = frames[r, 0], frames[r, 1]
        wide, high = (frames[r, 2] - x0) / cells, (frames[r, 3] - y0) / cells
        # rounding must not put a shift into a cell that doesn't know its edges
        slack = NOISE * cells * (wide + high)
        least = DUST * cells * (wide + high)
        head[r, 0], head[r, 1], head[r, 2], head[r, 3] = x0, y0, 1.0 / wide, 1.0 / high
        head[r, 4], head[r, 5], head[r, 6] = cell, cells, cells * cells
        head[r, 7] = -least if convex else least
        for cy in range(cells):
            box[1], box[3] = y0 + cy * high - slack, y0 + (cy + 1) * high + slack
            for cx in range(cells):
                box[0], box[2] = x0 + cx * wide - slack, x0 + (cx + 1) * wide + slack
                if convex:
                    item, n, deep[cell] = _write_sides(nofits, nofits.pair[r], box, least, item, n)
                    cell += 1
                    start[cell] = n
                    continue
                if cx % BLOCK == 0:  # what may matter to the next few cells of the line
                    block[0], block[1], block[3] = box[0], box[1], box[3]
                    block[2] = x0 + (cx + BLOCK) * wide + slack
                    pairs, some_pairs = _pairs_near(nofits, r, block, least, pairs)
                    if some_pairs:
                        some, some_edges, _ = _write_edges(edge, all_edges, block, 1, some, 0)
                met = some_pairs > 0
                if met:
                    test, m, met = _write_tests(nofits, pairs[:some_pairs], box, least, test, 0)
                if met and m > 0:
                    order = _by_cover(nofits, pairs[:some_pairs], box, least)
                    test, m, met = _write_tests(nofits, order, box, least, test, 0)
                if met:
                    few, some_few, _ = _write_edges(edge, some[1:some_edges], box, 1, few, 0)
                    item, n, far = _write_edges(edge, few[1:some_few], box, SPLIT, item, n)
                    deep[cell] = far if m == 0 else 0.0
                    item = grown(item, n + m)
                    for k in range(m):
                        item[n] = test[k]
                        n += 1
                cell += 1
                start[cell] = n
    return Cells(head, start, item[:n].copy(), deep, side, edge)
