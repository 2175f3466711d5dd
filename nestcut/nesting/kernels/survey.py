"""Looking at all places of a relief at once: its hollows are an item's candidates.

On a grid that all corners lie on, a fit is met if there is one, where chance would pass it by.
(Local minima of a penalty on a raster: common in the literature on raster overlap minimisation,
from memory; what is offered here is measured exactly, and then slid.)
"""

from __future__ import annotations

import numpy as np

from nestcut.nesting.kernels.candidates import COST, OPTION, X, Y, keep_best
from nestcut.nesting.kernels.chance import below
from nestcut.nesting.kernels.lean import lean
from nestcut.nesting.kernels.world import (
    State,
    World,
    clamp_x,
    clamp_y,
    fits_frame,
    overlap_cost,
    overlap_field,
    places,
)


@lean
def survey(world: World, state: State, i: int, b: int, top: np.ndarray) -> bool:
    """Keep the lowest hollows of item i's reliefs in ``top``; False: the container is too large.

    Parameters
    ----------
    i, b
        Numbers of the item and the container. The world has a relief.
    top
        The best candidates, shape (k, 6), written in place.
    """
    wide, high = world.frame[b, 2] - world.frame[b, 0], world.frame[b, 3] - world.frame[b, 1]
    pitch = world.relief.pitch
    if (wide / pitch + 1.0) * (high / pitch + 1.0) > state.field.shape[0]:
        return False
    for option in range(world.option_first[i], world.option_first[i + 1]):
        s = int(world.option_slot[option])
        if fits_frame(world, b, s):
            across, up = places(world, b, s)
            overlap_field(world, state, i, b, s, across, up)
            _keep_hollows(world, state, option, b, across, up, top)
    for k in range(top.shape[0]):  # off the grid the relief is only near
        if top[k, COST] < 1e300:
            s = int(world.option_slot[int(top[k, OPTION])])
            top[k, COST] = overlap_cost(world, state, i, b, s, top[k, X], top[k, Y], 1e300)
    for k in range(1, top.shape[0]):
        m = k
        while m > 0 and top[m, COST] < top[m - 1, COST]:
            for e in range(6):
                top[m, e], top[m - 1, e] = top[m - 1, e], top[m, e]
            m -= 1
    return True


@lean
def _keep_hollows(
    world: World, state: State, option: int, b: int, across: int, up: int, top: np.ndarray
) -> None:
    """Keep those places of a field that are no higher than their neighbours, if among the lowest.

    Of places alike the first is kept: the rows are looked at from one of chance on.
    """
    field, s, last = state.field, int(world.option_slot[option]), top.shape[0] - 1
    pitch = world.relief.pitch
    x0, y0 = world.frame[b, 0] - world.slots.box[s, 0], world.frame[b, 1] - world.slots.box[s, 1]
    begin = below(state.chance, up)
    for k in range(up):
        r = (begin + k) % up
        for c in range(across):
            at = r * across + c
            cost = field[at]
            if (
                cost >= top[last, COST]
                or (c > 0 and field[at - 1] < cost)
                or (c + 1 < across and field[at + 1] < cost)
                or (r > 0 and field[at - across] < cost)
                or (r + 1 < up and field[at + across] < cost)
            ):
                continue
            x = clamp_x(world, b, s, x0 + c * pitch)
            y = clamp_y(world, b, s, y0 + r * pitch)
            keep_best(top, cost, b, option, world.option_turn[option], x, y)
