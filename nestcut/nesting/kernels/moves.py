"""One item looks for a better place: sampled candidates, the best of them refined."""

from __future__ import annotations

import numba
import numpy as np

from nestcut.nesting.kernels.candidates import BIN, COST, OPTION, TURN, X, Y, keep_best
from nestcut.nesting.kernels.chance import below, uniform
from nestcut.nesting.kernels.depth import Slots
from nestcut.nesting.kernels.lean import lean, woven
from nestcut.nesting.kernels.slides import slide
from nestcut.nesting.kernels.survey import survey
from nestcut.nesting.kernels.world import (
    State,
    World,
    choose_pose,
    clamp_x,
    clamp_y,
    fits_frame,
    measure,
    overlap_cost,
    set_pose,
)
from nestcut.tolerances.search import LEAST_REACH

UNIFORM, NEAR, TOUCH, STAY, COARSE, FINE, REACH, JUMPS, SURVEY = 0, 1, 2, 3, 4, 5, 9, 10, 11
"""Places in the settings of a search: numbers of candidates drawn anywhere, near and in touch;
chance of trying the item's own container, and of looking at all places of a relief instead of
drawing some. Of items that turn: last steps of the coarse and the
fine walk, as a share of the item's size; of the others: longest jump of a slide, in the same
measure, and number of jumps."""


@lean
def _draw_option(world: World, state: State, i: int) -> int:
    """Draw one of item i's options."""
    first = world.option_first[i]
    return int(first + below(state.chance, world.option_first[i + 1] - first))


@lean
def _draw_turn(world: World, state: State, i: int, option: int, b: int) -> float:
    """Draw a turn in an option: its own, the present one, along another item's edge, or any."""
    centre = world.option_turn[option]
    if world.own[i] < 0:
        return float(centre)
    low, high = world.option_low[option], world.option_high[option]
    kind = uniform(state.chance)
    if kind < 0.5:
        return float(centre)
    if kind < 0.6:
        return float(low + (high - low) * uniform(state.chance))
    if kind < 0.7 or state.filled[b] == 0:
        turn = state.turn[i]
    else:
        slots = world.slots
        v = _draw_edge(slots, state.chance, world.option_slot[option])
        j = state.members[b, below(state.chance, state.filled[b])]
        u = _draw_edge(slots, state.chance, state.slot[j])
        turn = np.arctan2(-slots.ny[u], -slots.nx[u]) - np.arctan2(slots.ny[v], slots.nx[v])
    middle = (low + high) / 2.0
    stray = (turn - middle + np.pi) % (2.0 * np.pi) - np.pi
    if abs(stray) > (high - low) / 2.0:
        return float(centre)
    return float(middle + stray)


@lean
def _draw_edge(slots: Slots, chance: np.ndarray, s: int) -> int:
    """Draw an edge of a slot, by its first corner."""
    first = slots.start[slots.first[s]]
    return int(first + below(chance, slots.start[slots.first[s + 1]] - first))


@lean
def _touch_shift(slots: Slots, chance: np.ndarray, a: int, b: int) -> tuple[float, float]:
    """Draw a shift of slot b that makes it touch slot a: an edge of a part and a corner of one."""
    p = slots.first[a] + below(chance, slots.first[a + 1] - slots.first[a])
    q = slots.first[b] + below(chance, slots.first[b + 1] - slots.first[b])
    sign = 1.0
    if uniform(chance) < 0.5:
        p, q = q, p
        sign = -1.0
    p0, p1 = slots.start[p], slots.start[p + 1]
    e = p0 + below(chance, p1 - p0)
    f = e + 1 if e + 1 < p1 else p0
    best, low = slots.start[q], 1e300
    for v in range(slots.start[q], slots.start[q + 1]):
        along = slots.nx[e] * slots.x[v] + slots.ny[e] * slots.y[v]
        if along < low:
            best, low = v, along
    kind = uniform(chance)
    t = 0.0 if kind < 0.3 else (1.0 if kind < 0.6 else uniform(chance))
    x = slots.x[e] + t * (slots.x[f] - slots.x[e]) - slots.x[best]
    y = slots.y[e] + t * (slots.y[f] - slots.y[e]) - slots.y[best]
    return sign * x, sign * y


@woven
def _sample(
    world: World, state: State, i: int, settings: np.ndarray, bins: int, top: np.ndarray
) -> None:
    """Draw candidates for item i and keep the best in ``top``."""
    here = state.where[i]
    n_uniform, n_near, n_touch = int(settings[UNIFORM]), int(settings[NEAR]), int(settings[TOUCH])
    for k in range(n_uniform + n_near + n_touch):
        b = here
        near = n_uniform <= k < n_uniform + n_near
        if not near and bins > 1 and uniform(state.chance) >= settings[STAY]:
            b = below(state.chance, bins)
        option = _draw_option(world, state, i)
        if near and uniform(state.chance) < 0.7:
            option = state.option[i]
        if near and world.own[i] >= 0:
            turn = state.turn[i] if option == state.option[i] else world.option_turn[option]
        else:
            turn = _draw_turn(world, state, i, option, b)
        s = choose_pose(world, i, option, turn)
        if not fits_frame(world, b, s):
            continue
        if near:
            reach = world.size[i] * (LEAST_REACH + 0.6 * uniform(state.chance))
            x = state.x[i] + reach * (2.0 * uniform(state.chance) - 1.0)
            y = state.y[i] + reach * (2.0 * uniform(state.chance) - 1.0)
        elif k < n_uniform or state.filled[b] == 0:
            x = world.frame[b, 0] - world.slots.box[s, 0]
            y = world.frame[b, 1] - world.slots.box[s, 1]
            x += uniform(state.chance) * (world.frame[b, 2] - world.slots.box[s, 2] - x)
            y += uniform(state.chance) * (world.frame[b, 3] - world.slots.box[s, 3] - y)
            if k >= n_uniform:  # nothing to touch but the corners
                x = world.frame[b, 0] - 1e300 * (uniform(state.chance) < 0.5)
                y = world.frame[b, 1] - 1e300 * (uniform(state.chance) < 0.5)
        else:
            j = state.members[b, below(state.chance, state.filled[b])]
            if j == i:
                continue
            x, y = _touch_shift(world.slots, state.chance, state.slot[j], s)
            x += state.x[j]
            y += state.y[j]
        x, y = clamp_x(world, b, s, x), clamp_y(world, b, s, y)
        cost = overlap_cost(world, state, i, b, s, x, y, top[top.shape[0] - 1, COST])
        keep_best(top, cost, b, option, turn, x, y)
        if cost == 0.0:
            return


@woven
def _offer(
    world: World, state: State, i: int, settings: np.ndarray, bins: int, top: np.ndarray
) -> None:
    """Keep the best candidates in ``top``: of all places of a relief, or of some of chance."""
    if world.relief.head.shape[0] > 0 and uniform(state.chance) < settings[SURVEY]:
        b = state.where[i]
        if bins > 1 and uniform(state.chance) >= settings[STAY]:
            b = below(state.chance, bins)
        if survey(world, state, i, b, top):
            return
    _sample(world, state, i, settings, bins, top)


@lean
def walk(world: World, state: State, i: int, spot: np.ndarray, step: float, last: float) -> None:
    """Walk a candidate downhill along random axes, diagonals and turns until steps are ``last``.

    Parameters
    ----------
    i
        Number of the item.
    spot
        The candidate (container, option, turn, x, y, cost), shape (6,); read and written.
    step, last
        Length of the first step, and of the one below which it ends. [mm]
    """
    b, option = int(spot[BIN]), int(spot[OPTION])
    turn, x, y, cost = spot[TURN], spot[X], spot[Y], spot[COST]
    s = choose_pose(world, i, option, turn)
    low, high = world.option_low[option], world.option_high[option]
    turns = world.own[i] >= 0
    turn_step = step / world.size[i]
    while step > last and cost > 0.0:
        if turns and uniform(state.chance) < 0.35:
            better = False
            for sign in (1.0, -1.0):
                other = turn + sign * turn_step
                if high - low < 2.0 * np.pi:
                    other = max(low, min(high, other))
                s = choose_pose(world, i, option, other)
                if not fits_frame(world, b, s):
                    continue
                nx, ny = clamp_x(world, b, s, x), clamp_y(world, b, s, y)
                new = overlap_cost(world, state, i, b, s, nx, ny, cost)
                if new < cost:
                    turn, x, y, cost, better = other, nx, ny, new, True
                    break
            turn_step *= 1.2 if better else 0.5
            if not better:
                s = choose_pose(world, i, option, turn)
            continue
        axis = below(state.chance, 4)
        ux = 1.0 if axis == 0 else (0.0 if axis == 1 else 0.7071)
        uy = 0.0 if axis == 0 else (1.0 if axis == 1 else (0.7071 if axis == 2 else -0.7071))
        better = False
        for sign in (1.0, -1.0):
            nx = clamp_x(world, b, s, x + sign * step * ux)
            ny = clamp_y(world, b, s, y + sign * step * uy)
            if nx == x and ny == y:
                continue
            new = overlap_cost(world, state, i, b, s, nx, ny, cost)
            if new < cost:
                x, y, cost, better = nx, ny, new, True
                break
        step *= 1.1 if better else 0.6
    spot[TURN], spot[X], spot[Y], spot[COST] = turn, x, y, cost


@woven
def _leaves_frame(world: World, state: State, i: int) -> bool:
    """Whether item i sticks out of its container's frame."""
    b, s, x, y = state.where[i], state.slot[i], state.x[i], state.y[i]
    stray = max(abs(clamp_x(world, b, s, x) - x), abs(clamp_y(world, b, s, y) - y))
    return bool(stray > world.tolerance)


@woven
def _present_cost(world: World, state: State, i: int) -> float:
    """Weighted overlap of item i where it lies, by the depths that the state knows."""
    b, root = state.where[i], world.root[i]
    cost = 0.0
    if state.wall_depth[i] > 0.0:
        cost += state.wall_weight[i] * world.size[i] * (state.wall_depth[i] + world.offset)
    for k in range(state.filled[b]):
        j = state.members[b, k]
        if state.depth[i, j] > 0.0:
            factor = state.weight[i, j] * root * world.root[j]
            cost += factor * (state.depth[i, j] + world.offset)
    return float(cost)


@lean
def _keep_inside(world: World, state: State, i: int, top: np.ndarray) -> None:
    """Keep the place in the frame that is the nearest to where item i sticks out of it."""
    b, option, turn = state.where[i], state.option[i], state.turn[i]
    s = choose_pose(world, i, option, turn)
    if fits_frame(world, b, s):
        x, y = clamp_x(world, b, s, state.x[i]), clamp_y(world, b, s, state.y[i])
        cost = overlap_cost(world, state, i, b, s, x, y, 1e300)
        keep_best(top, cost, b, option, turn, x, y)


@numba.njit(cache=True)
def move_item(
    world: World,
    state: State,
    i: int,
    settings: np.ndarray,
    bins: int,
    top: np.ndarray,
    lines: np.ndarray,
) -> bool:
    """Move item i to the best place found, if that is better than where it is.

    Parameters
    ----------
    i
        Number of the item.
    settings
        The search's numbers at the places named in this module, shape (12 or more,).
    bins
        How many containers are in use.
    top
        Room for the best candidates, shape (k, 6); what it holds before is overwritten.
    lines
        Room for the lines of :func:`slide`, shape (m, 4).
    """
    here, size, turns = state.where[i], world.size[i], world.own[i] >= 0
    now = _present_cost(world, state, i)
    if now == 0.0:
        return False
    for k in range(top.shape[0]):
        top[k, COST] = 1e300
    _offer(world, state, i, settings, bins, top)
    if _leaves_frame(world, state, i):
        now = 1e300
        _keep_inside(world, state, i, top)
    else:
        keep_best(top, now, here, state.option[i], state.turn[i], state.x[i], state.y[i])
    best = 0
    for k in range(top.shape[0]):
        if top[k, COST] >= 1e300:
            break
        if turns:
            walk(world, state, i, top[k], 0.1 * size, settings[COARSE] * size)
        else:
            s = int(world.option_slot[int(top[k, OPTION])])
            jump = (settings[REACH] * size, int(settings[JUMPS]))
            slide(world, state, i, int(top[k, BIN]), s, top[k, X:], lines, jump)
        if top[k, COST] < top[best, COST]:
            best = k
        if top[best, COST] == 0.0:
            break
    spot = top[best]
    if turns and spot[COST] > 0.0 and spot[COST] < 1e300:
        walk(world, state, i, spot, settings[COARSE] * size, settings[FINE] * size)
    if spot[COST] < now:
        set_pose(world, state, i, int(spot[BIN]), int(spot[OPTION]), spot[TURN], spot[X], spot[Y])
        measure(world, state, i)
        return True
    return False
