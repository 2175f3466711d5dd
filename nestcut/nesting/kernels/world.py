"""The arrays a search works on: what never changes (World) and what does (State)."""

from __future__ import annotations

from typing import NamedTuple

import numba
import numpy as np

from nestcut.nesting.kernels.depth import Slots, Tables, pair_depth, pose_slot
from nestcut.nesting.kernels.lean import lean, woven
from nestcut.nesting.kernels.relief import Relief, spread


class World(NamedTuple):
    """What is placed and where it may lie. n items, o options, b containers.

    An option is a lie in a turn: item i has options ``option_first[i] .. option_first[i+1]``.
    ``option_slot`` is its slot (of a discrete item), or the slot at turn 0 that is turned (of one
    that may turn within ``option_low .. option_high``); ``option_turn`` its turn in radians.
    ``own`` and ``trial`` are the slots that hold a turning item's present and tried pose (-1 for
    discrete items). ``size`` is the square root of an item's area, ``root`` the square root of
    that. ``frame`` (b, 4) bounds the containers, ``obstacle`` is the slot of what may not be
    touched in one, or -1. ``relief`` holds depths on a grid, of problems that have one.
    ``tolerance`` is a depth that counts as none, ``offset`` is added to every depth above it.
    """

    slots: Slots
    tables: Tables
    relief: Relief
    option_first: np.ndarray
    option_slot: np.ndarray
    option_turn: np.ndarray
    option_low: np.ndarray
    option_high: np.ndarray
    own: np.ndarray
    trial: np.ndarray
    size: np.ndarray
    root: np.ndarray
    frame: np.ndarray
    obstacle: np.ndarray
    tolerance: float
    offset: float


class State(NamedTuple):
    """A layout, overlaps allowed, and the memory of the search.

    ``where`` is an item's container, ``members`` (b, n) the items of each, ``filled`` how many,
    ``place`` an item's place among them. ``box`` (b, 4, n) are the members' boxes where they lie,
    side by side, so that the processor compares several at once. ``depth`` (n, n) are the present
    depths, ``weight`` (n, n) those of the guided search; with the container itself ``wall_depth``,
    ``wall_weight``. ``hit`` and ``near`` (n,) are room for the places whose boxes meet a tried
    pose's, and for the items that lie there; ``field`` is room for a relief.
    """

    where: np.ndarray
    option: np.ndarray
    turn: np.ndarray
    slot: np.ndarray
    x: np.ndarray
    y: np.ndarray
    members: np.ndarray
    filled: np.ndarray
    place: np.ndarray
    box: np.ndarray
    depth: np.ndarray
    weight: np.ndarray
    wall_depth: np.ndarray
    wall_weight: np.ndarray
    hit: np.ndarray
    near: np.ndarray
    field: np.ndarray
    chance: np.ndarray


@numba.njit(cache=True, inline="always")
def choose_pose(world: World, i: int, option: int, turn: float) -> int:
    """Return the slot that shows item i in this option and turn; a turning item's is worked out.

    Parameters
    ----------
    i
        Number of the item.
    option
        Number of the option.
    turn
        Turn of an item that may turn; others have that of their option. [rad]
    """
    slot = int(world.option_slot[option])
    if world.own[i] >= 0:
        target = int(world.trial[i])
        pose_slot(world.slots, slot, target, np.cos(turn), np.sin(turn))
        return target
    return slot


@woven
def find_near(world: World, state: State, i: int, b: int, s: int, x: float, y: float) -> int:
    """Write the items whose boxes meet that of item i at a tried pose; return how many.

    Parameters
    ----------
    state
        ``near`` takes the items.
    i, b, s
        Numbers of the item, the container and the slot that shows the item's pose.
    x, y
        Where the slot's origin lies. [mm]
    """
    size = world.slots.box[s]
    x0, y0, x1, y1 = size[0] + x, size[1] + y, size[2] + x, size[3] + y
    left, low, right, high = state.box[b]
    hit, near, members, n = state.hit, state.near, state.members[b], state.filled[b]
    for k in range(n):
        across = (right[k] > x0) & (left[k] < x1)
        hit[k] = across & (high[k] > y0) & (low[k] < y1)
    if state.where[i] == b:
        hit[state.place[i]] = 0
    # without a branch, which the processor would often guess wrong
    count = 0
    for k in range(n):
        near[count] = members[k]
        count += hit[k]
    return count


@woven
def overlap_cost(
    world: World, state: State, i: int, b: int, s: int, x: float, y: float, limit: float
) -> float:
    """Weighted overlap of item i, shown by slot s, at (x, y) in container b.

    Stops early, with what it has, once ``limit`` is reached.

    Parameters
    ----------
    i, b, s
        Numbers of the item, the container and the slot that shows the item's pose.
    x, y
        Where the slot's origin lies. [mm]
    limit
        A cost of this much or more may be told too small, but not below it. [as the cost]
    """
    cost = 0.0
    slots = world.slots
    if world.obstacle[b] >= 0:  # what the container itself blocks
        depth = pair_depth(slots, world.tables, world.obstacle[b], s, x, y, 1e300)
        if depth > world.tolerance:
            cost += state.wall_weight[i] * world.size[i] * (depth + world.offset)
    near, n_near = state.near, find_near(world, state, i, b, s, x, y)
    root = world.root[i]
    for k in range(n_near):
        j = near[k]
        factor = state.weight[i, j] * root * world.root[j]
        # a hair more, lest rounding tell a cost that reaches the limit to be below it
        enough = (limit - cost) / factor - world.offset + world.tolerance
        enough = max(world.offset, enough)
        dx, dy = x - state.x[j], y - state.y[j]
        depth = pair_depth(slots, world.tables, state.slot[j], s, dx, dy, enough)
        if depth > world.tolerance:
            cost += factor * (depth + world.offset)
            if cost >= limit:
                return float(cost)
    return float(cost)


@lean
def places(world: World, b: int, s: int) -> tuple[int, int]:
    """How many places of the relief's grid slot s has in container b, each way.

    Parameters
    ----------
    b, s
        Numbers of the container and of the slot; it must fit the frame.
    """
    pitch, slack = world.relief.pitch, world.tolerance
    wide = world.frame[b, 2] - world.frame[b, 0] - world.slots.box[s, 2] + world.slots.box[s, 0]
    high = world.frame[b, 3] - world.frame[b, 1] - world.slots.box[s, 3] + world.slots.box[s, 1]
    return int((wide + slack) / pitch) + 1, int((high + slack) / pitch) + 1


@lean
def overlap_field(world: World, state: State, i: int, b: int, s: int, across: int, up: int) -> None:
    """Write the weighted overlap of item i, shown by slot s, at all places of container b's grid.

    Parameters
    ----------
    state
        ``field`` takes it.
    i, b, s
        Numbers of the item, the container and the slot.
    across, up
        Places of the grid, from the frame's lower left corner on.
    """
    field = state.field
    for k in range(across * up):
        field[k] = 0.0
    x, y = world.frame[b, 0] - world.slots.box[s, 0], world.frame[b, 1] - world.slots.box[s, 1]
    root = world.root[i]
    for k in range(state.filled[b]):
        j = state.members[b, k]
        if j != i:
            factor = state.weight[i, j] * root * world.root[j]
            at = (x - state.x[j], y - state.y[j])
            spread(world.relief, state.slot[j], s, factor, at, across, up, field)


@numba.njit(cache=True, inline="always")
def fits_frame(world: World, b: int, s: int) -> bool:
    """Whether slot s is small enough for container b's frame.

    Parameters
    ----------
    b, s
        Numbers of the container and the slot.
    """
    slack = world.tolerance
    wide = world.slots.box[s, 2] - world.slots.box[s, 0]
    high = world.slots.box[s, 3] - world.slots.box[s, 1]
    return bool(
        wide <= world.frame[b, 2] - world.frame[b, 0] + slack
        and high <= world.frame[b, 3] - world.frame[b, 1] + slack
    )


@numba.njit(cache=True, inline="always")
def clamp_x(world: World, b: int, s: int, x: float) -> float:
    """Nearest x that keeps slot s in container b's frame.

    Parameters
    ----------
    b, s
        Numbers of the container and the slot; it must fit the frame.
    x
        Where one would like the slot's origin. [mm]
    """
    low = world.frame[b, 0] - world.slots.box[s, 0]
    return float(max(min(x, world.frame[b, 2] - world.slots.box[s, 2]), low))


@numba.njit(cache=True, inline="always")
def clamp_y(world: World, b: int, s: int, y: float) -> float:
    """Nearest y that keeps slot s in container b's frame.

    Parameters
    ----------
    b, s
        Numbers of the container and the slot; it must fit the frame.
    y
        Where one would like the slot's origin. [mm]
    """
    low = world.frame[b, 1] - world.slots.box[s, 1]
    return float(max(min(y, world.frame[b, 3] - world.slots.box[s, 3]), low))


@lean
def take_out(state: State, i: int) -> None:
    """Take item i off its container's list."""
    b, k = state.where[i], state.place[i]
    end = state.filled[b] - 1
    last = state.members[b, end]
    state.members[b, k] = last
    for side in range(4):
        state.box[b, side, k] = state.box[b, side, end]
    state.place[last] = k
    state.filled[b] -= 1
    state.where[i] = -1


@lean
def _put_in(state: State, i: int, b: int) -> None:
    """Put item i on container b's list."""
    state.members[b, state.filled[b]] = i
    state.place[i] = state.filled[b]
    state.filled[b] += 1
    state.where[i] = b


@lean
def set_pose(
    world: World, state: State, i: int, b: int, option: int, turn: float, x: float, y: float
) -> None:
    """Put item i in container b in this pose; :func:`measure` brings its depths up to date.

    Parameters
    ----------
    i, b, option
        Numbers of the item, the container and the option.
    turn
        Turn of an item that may turn; others have that of their option. [rad]
    x, y
        Where the slot's origin goes. [mm]
    """
    if state.where[i] != b:
        if state.where[i] >= 0:
            take_out(state, i)
        _put_in(state, i, b)
    slot = int(world.option_slot[option])
    if world.own[i] >= 0:
        pose_slot(world.slots, slot, int(world.own[i]), np.cos(turn), np.sin(turn))
        slot = int(world.own[i])
    state.option[i], state.turn[i], state.slot[i] = option, turn, slot
    state.x[i], state.y[i] = x, y
    _set_box(world, state, i)


@lean
def _set_box(world: World, state: State, i: int) -> None:
    """Bring item i's box up to date."""
    b, k, s = state.where[i], state.place[i], state.slot[i]
    at = (state.x[i], state.y[i])
    for side in range(4):
        state.box[b, side, k] = world.slots.box[s, side] + at[side % 2]


@lean
def measure(world: World, state: State, i: int) -> None:
    """Bring item i's row of depths up to date.

    Parameters
    ----------
    state
        ``depth`` and ``wall_depth`` are changed in place.
    i
        Number of the item.
    """
    for j in range(state.x.shape[0]):
        state.depth[i, j] = state.depth[j, i] = 0.0
    state.wall_depth[i] = 0.0
    b = state.where[i]
    if b < 0:
        return
    slots = world.slots
    s, x, y = state.slot[i], state.x[i], state.y[i]
    for k in range(-1, state.filled[b]):
        a, j, ax, ay = world.obstacle[b], -1, 0.0, 0.0
        if k >= 0:
            j = state.members[b, k]
            a, ax, ay = state.slot[j], state.x[j], state.y[j]
        if a < 0 or j == i:
            continue
        depth = pair_depth(slots, world.tables, a, s, x - ax, y - ay, 1e300)
        if depth > world.tolerance:
            if j < 0:
                state.wall_depth[i] = depth
            else:
                state.depth[i, j] = state.depth[j, i] = depth
    # the frame is kept by construction, except after it has been made smaller
    stick = max(
        world.frame[b, 0] - slots.box[s, 0] - x,
        x + slots.box[s, 2] - world.frame[b, 2],
        world.frame[b, 1] - slots.box[s, 1] - y,
        y + slots.box[s, 3] - world.frame[b, 3],
    )
    if stick > world.tolerance:
        state.wall_depth[i] = max(state.wall_depth[i], stick)


@lean
def measure_all(world: World, state: State) -> float:
    """Bring all depths up to date and return the overlap: the sum of depths times sizes."""
    n = state.x.shape[0]
    for i in range(n):
        if state.where[i] >= 0:
            _set_box(world, state, i)
    for i in range(n):
        if state.where[i] >= 0:
            measure(world, state, i)
    return total_overlap(world, state)


@lean
def total_overlap(world: World, state: State) -> float:
    """Sum of depths times sizes over all pairs, unweighted; 0 where nothing overlaps."""
    n = state.x.shape[0]
    total = 0.0
    for b in range(state.filled.shape[0]):
        for k in range(state.filled[b]):
            i = state.members[b, k]
            total += state.wall_depth[i] * world.size[i]
            for m in range(k):
                j = state.members[b, m]
                if state.depth[i, j] > 0.0:
                    total += state.depth[i, j] * world.root[i] * world.root[j]
    return total if n > 0 else 0.0
