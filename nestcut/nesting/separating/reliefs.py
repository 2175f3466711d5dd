"""For which problems a relief is worked out (:mod:`nestcut.nesting.kernels.relief`), and how fine.

Plates, boxes, steps and mitres: outlines whose edges run along two axes and their diagonals, with
corners on one grid. There exact fits lie on the grid too, and chance seldom meets them. Outlines
of other kinds touch between the places of any grid, and are better served by chance and slides.
"""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from nestcut.nesting.kernels.relief import Relief, fill_relief
from nestcut.nesting.kernels.world import World
from nestcut.nesting.problem import FloatArray, Item, Problem
from nestcut.tolerances.noise import NOISE
from nestcut.tolerances.search import ON_GRID, SQUARE_RUN

MOST_HEIGHTS = 2_000_000
"""Heights of all pairs together (8 MB; some 0.1 s). [-]"""

MOST_PLACES = 16_384
"""Places of one slot in a container that are looked at; where there are more, chance draws. [-]"""


def no_relief() -> Relief:
    """Return a relief that knows no pair."""
    return Relief(
        pitch=1.0,
        first=np.full((0, 0), -1, dtype=np.int64),
        head=np.empty((0, 5)),
        height=np.empty(0, dtype=np.float32),
    )


def relief_of(problem: Problem, world: World, n_fixed: int) -> Relief:
    """Work out the heights of all pairs of slots, where all items are of the kind for it.

    Parameters
    ----------
    world
        Of the problem, with its tables.
    n_fixed
        How many slots, the first ones, show items in discrete poses.
    """
    pitch = _pitch(problem, world) if n_fixed else 0.0
    if pitch == 0.0:
        return no_relief()
    first = np.full((n_fixed, n_fixed), -1, dtype=np.int64)
    head: list[tuple[float, float, int, int, int]] = []
    total, box = 0, world.slots.box
    for a in range(n_fixed):
        for b in range(n_fixed):
            # slots that lie on the frame's grid are shifted by this and whole steps
            base = box[a, :2] - box[b, :2]
            begin = base + pitch * np.floor((box[a, :2] - box[b, 2:] - base) / pitch)
            nx, ny = (int(n) + 1 for n in np.ceil((box[a, 2:] - box[b, :2] - begin) / pitch))
            first[a, b] = len(head)
            head.append((float(begin[0]), float(begin[1]), nx, ny, total))
            total += nx * ny
            if total > MOST_HEIGHTS:
                return no_relief()
    relief = Relief(pitch, first, np.array(head, dtype=float), np.empty(total, dtype=np.float32))
    fill_relief(world.slots, world.tables, relief, world.tolerance, world.offset)
    return relief


def _pitch(problem: Problem, world: World) -> float:
    """Step of the grid; 0 where a relief would be of no use, or too large."""
    items = problem.items
    is_turned_square = all(
        i.turns.is_discrete and all(math.remainder(t, 90.0) == 0.0 for t in i.turns.centres_deg)
        for i in items
    )
    if not is_turned_square or (world.obstacle >= 0).any():
        return 0.0
    if square_share(items) < SQUARE_RUN:
        return 0.0
    pitch = common_step(items)
    filled = float((world.size**2).sum())
    room = min(filled, float(np.prod(world.frame[:, 2:] - world.frame[:, :2], axis=1).max()))
    return pitch if room <= MOST_PLACES * pitch * pitch else 0.0


def _rings(items: tuple[Item, ...]) -> Iterator[FloatArray]:
    for item in items:
        yield from (item.outline, *item.holes)


def square_share(items: tuple[Item, ...]) -> float:
    """Share of the outlines' length that runs along the axes or their diagonals."""
    square = whole = 0.0
    for ring in _rings(items):
        dx, dy = np.abs(np.roll(ring, -1, axis=0) - ring).T
        length = np.hypot(dx, dy)
        off = np.minimum(np.minimum(dx, dy), np.abs(dx - dy))
        square += float(length[off <= NOISE * length].sum())
        whole += float(length.sum())
    return square / whole


def common_step(items: tuple[Item, ...]) -> float:
    """Return the greatest step of a grid that all corners of each outline lie on. [mm]

    It is that of its least corner on the axes; corners off by a hair's breadth count as on it. A
    very small step says that there is none.
    """
    step = slack = 0.0
    for item in items:
        corner = item.outline.min(axis=0)
        for ring in (item.outline, *item.holes):
            slack = max(slack, ON_GRID * float(np.ptp(ring, axis=0).max()))
            for length in np.unique(ring - corner).tolist():
                step = _common_measure(step, length, slack)
    return step


def _common_measure(a: float, b: float, slack: float) -> float:
    """Greatest common measure of two lengths, up to a slack (Euclid, Elements VII 2)."""
    while b > slack:
        rest = a % b
        a, b = b, 0.0 if b - rest <= slack else rest
    return a
