"""No-fit polygons cut into cells, so that a depth costs the same however many corners there are.

The no-fit polygon of a pair lies under a grid. A cell knows which half-planes still tell inside
from outside within it, and which edges of the polygon can be the nearest to a shift in it; mostly
that is one or two of each, out of hundreds. What is left out can't matter there, so depths are
those of the whole polygon. (Uniform grids over distance and inclusion tests: common practice.)
"""

from __future__ import annotations

from typing import NamedTuple

import numba
import numpy as np

BLOCK = 8
"""Cells of a line that are looked at together while grids are laid."""


class Cells(NamedTuple):
    """Grids over the no-fit polygons of some rows of a table, packed for few looks at memory.

    ``head[r]`` is row r's grid: x and y of its corner, cells a unit of length each way, number of
    the first cell, of cells side by side, of cells (0: no grid), and the depth below which a shift
    counts as outside; negative for a pair of convex shapes. Cell c has ``item[start[c] ..
    start[c + 1]]`` (none: it lies outside): of a pair of convex shapes the half-planes that may be
    the least; else the number of edges that may be the nearest, these edges, and then part pairs
    that tell inside from outside, each the number of its half-planes and these (none: it lies
    inside). ``side`` (P, 3) are the half-planes (normal, offset), ``edge`` (E, 5) the edges of
    the rims (start, vector, inverse square of the length).
    """

    head: np.ndarray
    start: np.ndarray
    item: np.ndarray
    deep: np.ndarray
    side: np.ndarray
    edge: np.ndarray


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


@numba.njit(cache=True, inline="always")
def edge_distance(edge: np.ndarray, e: int, x: float, y: float) -> float:
    """Square of the distance from (x, y) to edge e of a rim."""
    ux, uy = edge[e, 2], edge[e, 3]
    vx, vy = x - edge[e, 0], y - edge[e, 1]
    t = min(1.0, max(0.0, (ux * vx + uy * vy) * edge[e, 4]))
    vx -= t * ux
    vy -= t * uy
    return float(vx * vx + vy * vy)


@numba.njit(cache=True, inline="always")
def cell_depth(cells: Cells, row: int, dx: float, dy: float, enough: float) -> float:
    """Depth of the pair of a row with cells at this shift, or less if that is ``enough``."""
    head, item, side = cells.head, cells.item, cells.side
    cx = int((dx - head[row, 0]) * head[row, 2])
    cy = int((dy - head[row, 1]) * head[row, 3])
    across = int(head[row, 5])
    k = cy * across + cx
    if cx < 0 or cy < 0 or cx >= across or k >= int(head[row, 6]):
        return 0.0
    k += int(head[row, 4])
    if cells.deep[k] >= enough:
        return float(cells.deep[k])
    end = cells.start[k + 1]
    k = cells.start[k]
    if k == end:
        return 0.0
    least = head[row, 7]
    if least < 0.0:
        depth = 1e300
        while k < end:
            e = item[k]
            depth = min(depth, side[e, 2] - side[e, 0] * dx - side[e, 1] * dy)
            k += 1
        return depth if depth > -least else 0.0
    e0 = k + 1
    e1 = e0 + item[k]
    k = e1
    inside = k == end
    while k < end and not inside:
        last = k + 1 + item[k]
        inside = True
        for m in range(k + 1, last):
            e = item[m]
            if side[e, 2] - side[e, 0] * dx - side[e, 1] * dy <= least:
                inside = False
                break
        k = last
    if not inside:
        return 0.0
    nearest = 1e300
    for k in range(e0, e1):
        nearest = min(nearest, edge_distance(cells.edge, item[k], dx, dy))
    return float(np.sqrt(nearest))


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
def pairs_near(
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


@numba.njit(cache=True)
def write_tests(
    nofits: NoFits, pairs: np.ndarray, box: np.ndarray, least: float, out: np.ndarray, n: int
) -> tuple[np.ndarray, int, bool]:
    """Write those of some part pairs that tell inside from outside within a box.

    Returns the array, its new end, and whether anything lies inside. If a part pair fills the
    box, nothing is written.
    """
    begin = n
    for k in pairs:
        if box[2] <= nofits.box[k, 0] or nofits.box[k, 2] <= box[0]:
            continue
        if box[3] <= nofits.box[k, 1] or nofits.box[k, 3] <= box[1]:
            continue
        head = n
        out = grown(out, n + 2 + nofits.plane[k + 1] - nofits.plane[k])
        n += 1
        away = False
        for e in range(nofits.plane[k], nofits.plane[k + 1]):
            nx, ny = nofits.nx[e], nofits.ny[e]
            low = min(nx * box[0], nx * box[2]) + min(ny * box[1], ny * box[3])
            high = max(nx * box[0], nx * box[2]) + max(ny * box[1], ny * box[3])
            if nofits.c[e] - low <= least:
                away = True
                break
            if nofits.c[e] - high <= least:
                out[n] = e
                n += 1
        if away:
            n = head
        elif n == head + 1:
            return out, begin, True
        else:
            out[head] = n - head - 1
    return out, n, n > begin


@numba.njit(cache=True)
def write_edges(
    edge: np.ndarray, edges: np.ndarray, box: np.ndarray, out: np.ndarray, n: int
) -> tuple[np.ndarray, int, float]:
    """Write how many of some edges may be the nearest to a point of a box, and these.

    Returns the array, its new end, and the least distance of any point of the box.
    """
    head = n
    out = grown(out, n + 1 + edges.shape[0])
    x, y = (box[0] + box[2]) / 2.0, (box[1] + box[3]) / 2.0
    radius = np.hypot(box[2] - box[0], box[3] - box[1]) / 2.0
    nearest = 1e300
    for e in edges:
        nearest = min(nearest, edge_distance(edge, e, x, y))
    # of a point within the radius the nearest edge is at most this far from the middle
    reach = np.sqrt(nearest) + 2.0 * radius
    n += 1
    for e in edges:
        if edge_distance(edge, e, x, y) <= reach * reach:
            out[n] = e
            n += 1
    out[head] = n - head - 1
    return out, n, max(0.0, np.sqrt(nearest) - radius)


@numba.njit(cache=True)
def write_planes(
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
    """
    rows = sides.shape[0]
    head = np.zeros((rows, 8))
    start = np.zeros(int((sides * sides).sum()) + 1, np.int32)
    deep = np.zeros(start.shape[0] - 1)
    item, test = np.empty(1024, np.int32), np.empty(64, np.int32)
    pairs, some = np.empty(64, np.int64), np.empty(64, np.int32)
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
        slack = 1e-9 * cells * (wide + high)
        least = 1e-12 * cells * (wide + high)
        head[r, 0], head[r, 1], head[r, 2], head[r, 3] = x0, y0, 1.0 / wide, 1.0 / high
        head[r, 4], head[r, 5], head[r, 6] = cell, cells, cells * cells
        head[r, 7] = -least if convex else least
        for cy in range(cells):
            box[1], box[3] = y0 + cy * high - slack, y0 + (cy + 1) * high + slack
            for cx in range(cells):
                box[0], box[2] = x0 + cx * wide - slack, x0 + (cx + 1) * wide + slack
                if convex:
                    item, n, deep[cell] = write_planes(nofits, nofits.pair[r], box, least, item, n)
                    cell += 1
                    start[cell] = n
                    continue
                if cx % BLOCK == 0:  # what may matter to the next few cells of the line
                    block[0], block[1], block[3] = box[0], box[1], box[3]
                    block[2] = x0 + (cx + BLOCK) * wide + slack
                    pairs, some_pairs = pairs_near(nofits, r, block, least, pairs)
                    if some_pairs:
                        some, some_edges, _ = write_edges(edge, all_edges, block, some, 0)
                met = some_pairs > 0
                if met:
                    test, m, met = write_tests(nofits, pairs[:some_pairs], box, least, test, 0)
                if met:
                    item, n, far = write_edges(edge, some[1:some_edges], box, item, n)
                    deep[cell] = far if m == 0 else 0.0
                    item = grown(item, n + m)
                    for k in range(m):
                        item[n] = test[k]
                        n += 1
                cell += 1
                start[cell] = n
    return Cells(head, start, item[:n].copy(), deep, side, edge)
