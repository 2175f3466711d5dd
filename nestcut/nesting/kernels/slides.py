"""Refining a pose of an item that keeps its turn: jumps to where the lines meet that hold it back.

Near a pose the depth of each overlap is all but linear: a line in the plane of shifts tells where
it ends. The sum of weighted depths, taken as linear, is least where two such lines cross, or at the
foot of one. What is met there gives more lines. (Cutting planes for a piecewise linear function;
Kelley 1960 for convex ones. Depths are not convex, so each jump is measured before it is made.)
"""

from __future__ import annotations

import numpy as np

from nestcut.nesting.kernels.depth import pair_depth, pair_slope
from nestcut.nesting.kernels.lean import lean, woven
from nestcut.nesting.kernels.world import State, World, clamp_x, clamp_y, find_near
from nestcut.tolerances.noise import NOISE
from nestcut.tolerances.search import PARALLEL, SAME_LINE, SAME_TURN, SLOPE_STEP

NX, NY, C, FACTOR = 0, 1, 2, 3
"""Columns of a line: depth(x, y) = C - NX x - NY y, which counts FACTOR times."""

FRAME = 4
"""Lines of the frame, which come first."""


@lean
def frame_lines(world: World, b: int, s: int, lines: np.ndarray) -> None:
    """Write the four lines that the frame of container b holds slot s within.

    Parameters
    ----------
    b, s
        Numbers of the container and of the slot.
    lines
        Rows (nx, ny, c, factor), shape (FRAME or more, 4); the first ones are written, their factor
        is 0.
    """
    for side in range(FRAME):
        axis = side % 2
        lines[side, NX], lines[side, NY] = 1.0 - axis, float(axis)
        lines[side, C] = world.frame[b, side] - world.slots.box[s, side]
        lines[side, FACTOR] = 0.0


@lean
def add_line(
    lines: np.ndarray, n: int, size: float, line: tuple[float, float, float, float]
) -> int:
    """Add a line unless it is known or there is no room; return how many there are.

    Parameters
    ----------
    lines
        Rows (nx, ny, c, factor), shape (room, 4).
    n
        How many there are so far.
    size
        Of the item; lines that differ by a small share of it are the same. [mm]
    line
        Unit normal, offset [mm] and weight; the overlap is c - nx x - ny y where that is positive.
    """
    nx, ny, c, factor = line
    for e in range(FRAME, n):
        turned = abs(lines[e, NX] - nx) + abs(lines[e, NY] - ny)
        if turned < SAME_TURN and abs(lines[e, C] - c) < SAME_LINE * size:
            return n
    if n == lines.shape[0]:
        return n
    lines[n, NX], lines[n, NY], lines[n, C], lines[n, FACTOR] = nx, ny, c, factor
    return n + 1


@woven
def _add_lines(
    world: World,
    state: State,
    i: int,
    b: int,
    s: int,
    x: float,
    y: float,
    lines: np.ndarray,
    n: int,
) -> tuple[int, float]:
    """Add a line for each thing that item i, shown by slot s, overlaps at (x, y).

    Returns how many there are and the cost there, the same as :func:`overlap_cost` has it.
    """
    slots, tables, size = world.slots, world.tables, world.size[i]
    cost, root = 0.0, world.root[i]
    for k in range(-1, find_near(world, state, i, b, s, x, y)):
        if k < 0:
            a, dx, dy = world.obstacle[b], x, y
            if a < 0:
                continue
            factor = state.wall_weight[i] * size
        else:
            j = state.near[k]
            a, dx, dy = state.slot[j], x - state.x[j], y - state.y[j]
            factor = state.weight[i, j] * root * world.root[j]
        depth = pair_depth(slots, tables, a, s, dx, dy, 1e300)
        if depth <= world.tolerance:
            continue
        cost += factor * (depth + world.offset)
        nx, ny = pair_slope(slots, tables, a, s, dx, dy, depth, SLOPE_STEP * size)
        if nx != 0.0 or ny != 0.0:
            n = add_line(lines, n, size, (nx, ny, depth + nx * x + ny * y, factor))
    return n, float(cost)


@lean
def weigh(lines: np.ndarray, n: int, x: float, y: float, limit: float) -> float:
    """Sum of the weighted depths at (x, y), as the lines have it; what it has beyond a limit.

    Parameters
    ----------
    lines
        Rows (nx, ny, c, factor), shape (room, 4).
    n
        How many there are.
    x, y
        The place. [mm]
    limit
        A sum beyond it may be told too small, but not below it. [as the sum]
    """
    total = 0.0
    for e in range(FRAME, n):
        depth = lines[e, C] - lines[e, NX] * x - lines[e, NY] * y
        total += lines[e, FACTOR] * max(0.0, depth)
        if total > limit:
            break
    return total


@woven
def least_point(
    world: World,
    b: int,
    s: int,
    lines: np.ndarray,
    n: int,
    here: tuple[float, float],
    reach: float,
) -> tuple[float, float, float]:
    """Find the crossing or foot within reach where the lines' sum is least, then nearest.

    Returns its x and y and the sum, 1e300 if there is none.

    Parameters
    ----------
    b, s
        Numbers of the container and of the slot.
    lines
        Rows (nx, ny, c, factor), the frame's first, shape (room, 4).
    n
        How many there are.
    here
        The place set out from, (x, y). [mm]
    reach
        How far from it a place may be. [mm]
    """
    x, y = here
    best, best_far, best_x, best_y = 1e300, 1e300, x, y
    even = NOISE * weigh(lines, n, x, y, 1e300)
    for e in range(FRAME, n):
        ex, ey, c = lines[e, NX], lines[e, NY], lines[e, C]
        for f in range(e + 1):
            fx, fy, d = lines[f, NX], lines[f, NY], lines[f, C]
            det = ex * fy - ey * fx
            if f == e:
                foot = c - ex * x - ey * y
                px, py = x + foot * ex, y + foot * ey
            elif abs(det) < PARALLEL:
                continue
            else:
                px, py = (c * fy - ey * d) / det, (ex * d - c * fx) / det
            px, py = clamp_x(world, b, s, px), clamp_y(world, b, s, py)
            far = (px - x) * (px - x) + (py - y) * (py - y)
            if far > reach * reach or far <= world.tolerance * world.tolerance:
                continue
            total = weigh(lines, n, px, py, best + even)
            if total < best - even or (total < best + even and far < best_far):
                best, best_far, best_x, best_y = total, far, px, py
    return best_x, best_y, best


@woven
def slide(
    world: World,
    state: State,
    i: int,
    b: int,
    s: int,
    spot: np.ndarray,
    lines: np.ndarray,
    settings: tuple[float, int],
) -> None:
    """Move a place of item i, shown by slot s in container b, to where it overlaps less.

    ``spot`` is (x, y, cost), read and written; ``lines`` (m, 4) is room for lines, more than FRAME;
    ``settings`` are the length of a jump at most and the number of jumps.

    Parameters
    ----------
    i, b, s
        Numbers of the item, the container and the slot that shows the item's pose.
    spot
        Place and its cost (x, y, cost), shape (3,); read and written.
    lines
        Room for lines, shape (m, 4), m more than ``FRAME``.
    settings
        Length of a jump at most [mm], and the number of jumps.
    """
    reach, jumps = settings
    x, y, cost = spot[0], spot[1], spot[2]
    frame_lines(world, b, s, lines)
    n, _ = _add_lines(world, state, i, b, s, x, y, lines, FRAME)
    for _ in range(jumps):
        if cost == 0.0:
            break
        px, py, hoped = least_point(world, b, s, lines, n, (x, y), reach)
        if hoped >= cost:
            break
        known = n
        n, new = _add_lines(world, state, i, b, s, px, py, lines, n)
        if new < cost:
            x, y, cost = px, py, new
        elif n == known:  # the same lines would lead to the same place
            break
    spot[0], spot[1], spot[2] = x, y, cost
