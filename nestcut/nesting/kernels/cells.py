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


@numba.njit(cache=True, inline="always")
def edge_distance(edge: np.ndarray, e: int, x: float, y: float) -> float:
    """Square of the distance from (x, y) to edge e of a rim.

    Parameters
    ----------
    edge
        Start, vector and inverse square of the length of each edge, shape (E, 5).
    e
        Number of the edge.
    x, y
        The point. [mm]
    """
    ux, uy = edge[e, 2], edge[e, 3]
    vx, vy = x - edge[e, 0], y - edge[e, 1]
    t = min(1.0, max(0.0, (ux * vx + uy * vy) * edge[e, 4]))
    vx -= t * ux
    vy -= t * uy
    return float(vx * vx + vy * vy)


@numba.njit(cache=True, inline="always")
def cell_depth(cells: Cells, row: int, dx: float, dy: float, enough: float) -> float:
    """Depth of the pair of a row with cells at this shift, or less if that is ``enough``.

    Parameters
    ----------
    row
        Row of the table; it must have cells.
    dx, dy
        Shift of the second slot against the first. [mm]
    enough
        A depth of this much or more may be told too small, but not below it. [mm]
    """
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


@numba.njit(cache=True, inline="always")
def cell_slope(cells: Cells, row: int, dx: float, dy: float) -> tuple[float, float]:
    """Return the unit vector along which a shift that overlaps gets out of the depth soonest.

    Row's pair must have cells and :func:`cell_depth` a depth at this shift.

    Parameters
    ----------
    row
        Row of the table; it must have cells.
    dx, dy
        Shift of the second slot against the first. [mm]
    """
    head, item, side, edge = cells.head, cells.item, cells.side, cells.edge
    cx = int((dx - head[row, 0]) * head[row, 2])
    cy = int((dy - head[row, 1]) * head[row, 3])
    cell = cy * int(head[row, 5]) + cx + int(head[row, 4])
    k, end = cells.start[cell], cells.start[cell + 1]
    best, e0 = 1e300, item[k]
    if head[row, 7] < 0.0:
        for m in range(k, end):
            e = item[m]
            depth = side[e, 2] - side[e, 0] * dx - side[e, 1] * dy
            if depth < best:
                best, e0 = depth, e
        return float(side[e0, 0]), float(side[e0, 1])
    for m in range(k + 1, k + 1 + item[k]):
        far = edge_distance(edge, item[m], dx, dy)
        if far < best:
            best, e0 = far, item[m]
    ux, uy = edge[e0, 2], edge[e0, 3]
    vx, vy = edge[e0, 0] - dx, edge[e0, 1] - dy
    t = min(1.0, max(0.0, -(ux * vx + uy * vy) * edge[e0, 4]))
    vx += t * ux
    vy += t * uy
    far = np.sqrt(vx * vx + vy * vy)
    return float(vx / far), float(vy / far)
