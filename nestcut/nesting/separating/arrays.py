"""From a problem's records to the arrays that the kernels work on, and back."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
import shapely
from shapely.geometry import Polygon

from nestcut.geometry.pose import move_vector
from nestcut.model.pose import Lie, Pose
from nestcut.nesting.kernels.world import State, World
from nestcut.nesting.problem import (
    Container,
    FloatArray,
    Item,
    NestPlacement,
    Problem,
)
from nestcut.nesting.separating.convex import convex_cover
from nestcut.nesting.separating.figures import Figure, Option, figures_of, options_of, rotated
from nestcut.nesting.separating.reliefs import MOST_PLACES, no_relief, relief_of
from nestcut.nesting.separating.slots import SlotWriter, build_tables, no_tables
from nestcut.tolerances.noise import NOISE, OVERLAP_DEPTH
from nestcut.tolerances.search import DEPTH_OFFSET, GRID_OFFSET


@dataclass(frozen=True, slots=True)
class Bin:
    """One container instance: its kind and its number among them."""

    container: Container
    number: int


@dataclass(frozen=True, slots=True)
class Arrays:
    """A problem compiled for the kernels."""

    problem: Problem
    figures: tuple[Figure, ...]
    figure_of: tuple[int, ...]
    options: tuple[tuple[Option, ...], ...]
    obstacle_of: dict[str, int]
    n_fixed: int
    n_tabled: int
    world: World

    def on(self, bins: tuple[Bin, ...]) -> Arrays:
        """Return the same problem on these container instances; slots are shared, not copied.

        Searches on shared slots must take turns, and restore their layout when theirs comes.
        """
        world = self.world._replace(
            frame=_frames(bins),
            obstacle=np.array([self.obstacle_of[b.container.id] for b in bins]),
        )
        return replace(self, world=world)

    def with_tables(self) -> Arrays:
        """Return the same with the no-fit tables worked out: slower to begin, faster to search."""
        tables = build_tables(self.world.slots, self.n_fixed, self.n_tabled)
        world = self.world._replace(tables=tables)
        on_grid = world._replace(offset=GRID_OFFSET * float(world.size.mean()))
        relief = relief_of(self.problem, on_grid, self.n_fixed)
        if len(relief.head):
            world = on_grid._replace(relief=relief)
        return replace(self, world=world)

    def area(self, i: int) -> float:
        """Area of item i."""
        return self.figures[self.figure_of[i]].area


def obstacles(container: Container) -> list[FloatArray]:
    """Return convex parts of what may not be touched: outside the outline, and blocked areas.

    The outside is taken up to a wide margin round the outline, so that an item that
    sticks far out is told how far.
    """
    outline = Polygon(container.outline)
    x0, y0, x1, y1 = outline.bounds
    blocked = [Polygon(b) for b in container.blocked]
    parts: list[FloatArray] = []
    frame = shapely.box(x0, y0, x1, y1)
    if frame.area - outline.area > NOISE * frame.area:
        margin = 0.5 * max(x1 - x0, y1 - y0)
        around = shapely.box(x0 - margin, y0 - margin, x1 + margin, y1 + margin)
        for piece in _polygons(around.difference(outline)):
            parts.extend(convex_cover(piece))
        # strips beside the frame add nothing: the frame itself keeps items in
        parts = [p for p in parts if shapely.Polygon(p).intersection(frame).area > 0.0]
    if blocked:
        inside = shapely.union_all(blocked).intersection(outline)
        for piece in _polygons(inside):
            parts.extend(convex_cover(piece))
    return parts


def _polygons(geometry: shapely.Geometry) -> list[Polygon]:
    parts = shapely.get_parts(geometry)
    return [p for p in parts if isinstance(p, Polygon) and p.area > 0.0]


def _frames(bins: tuple[Bin, ...]) -> FloatArray:
    return np.array(
        [[*b.container.outline.min(axis=0), *b.container.outline.max(axis=0)] for b in bins]
    )


def build(problem: Problem) -> Arrays:
    """Compile a problem, for one container of each kind; see :meth:`Arrays.on` for others."""
    bins = tuple(Bin(c, 0) for c in problem.containers)
    figures, which = figures_of(problem.items, problem.simplify)
    writer = SlotWriter()
    slot_of: dict[tuple[int, Lie, float], int] = {}
    options: list[tuple[Option, ...]] = []
    for item, f in zip(problem.items, which, strict=True):
        options.append(options_of(item, figures[f], f))
        if item.turns.is_discrete:
            for option in options[-1]:
                key = (f, option.lie, option.turn_deg)
                if key not in slot_of:
                    slot_of[key] = writer.add(
                        rotated(figures[f].parts, option.lie, option.turn_deg)
                    )
    n_fixed = len(slot_of)
    kinds = {}
    for b in bins:
        if b.container.id not in kinds:
            parts = obstacles(b.container)
            kinds[b.container.id] = writer.add(parts) if parts else -1
    n_tabled = len(writer.first) - 1
    own, trial, base = _turning_slots(problem.items, which, figures, options, writer)
    slots = writer.finish()
    slot_numbers = [
        slot_of[(o.figure, o.lie, o.turn_deg)] if item.turns.is_discrete else base[(f, o.lie)]
        for item, f, opts in zip(problem.items, which, options, strict=True)
        for o in opts
    ]
    size = np.sqrt([figures[f].area for f in which])
    frame = _frames(bins)
    largest = float((frame[:, 2:] - frame[:, :2]).max())
    world = World(
        slots=slots,
        tables=no_tables(),
        relief=no_relief(),
        option_first=np.cumsum([0, *(len(o) for o in options)]),
        option_slot=np.array(slot_numbers),
        option_turn=np.array([math.radians(o.turn_deg) for opts in options for o in opts]),
        option_low=np.array([math.radians(o.low_deg) for opts in options for o in opts]),
        option_high=np.array([math.radians(o.high_deg) for opts in options for o in opts]),
        own=np.array(own),
        trial=np.array(trial),
        size=size,
        root=np.sqrt(size),
        frame=frame,
        obstacle=np.array([kinds[b.container.id] for b in bins]),
        tolerance=OVERLAP_DEPTH * largest,
        offset=DEPTH_OFFSET * float(size.mean()),
    )
    return Arrays(
        problem, tuple(figures), tuple(which), tuple(options), kinds, n_fixed, n_tabled, world
    )


def _turning_slots(
    items: tuple[Item, ...],
    which: list[int],
    figures: list[Figure],
    options: list[tuple[Option, ...]],
    writer: SlotWriter,
) -> tuple[list[int], list[int], dict[tuple[int, Lie], int]]:
    """Add slots for items that turn: one at turn 0 a lie, one to try, one for each item."""
    base: dict[tuple[int, Lie], int] = {}
    tries: dict[int, int] = {}
    own, trial = [], []
    for item, f, opts in zip(items, which, options, strict=True):
        if item.turns.is_discrete:
            own.append(-1)
            trial.append(-1)
            continue
        for option in opts:
            if (f, option.lie) not in base:
                base[(f, option.lie)] = writer.add(rotated(figures[f].parts, option.lie, 0.0))
        if f not in tries:
            tries[f] = writer.add(list(figures[f].parts))
        trial.append(tries[f])
        own.append(writer.add(list(figures[f].parts)))
    return own, trial, base


def empty_state(arrays: Arrays, bins: int, chance: FloatArray) -> State:
    """Return a state with every item outside all containers and all weights 1.

    Parameters
    ----------
    bins
        How many containers the layout may use.
    chance
        State of the random stream, shape (1,), uint64; used in place.
    """
    n = len(arrays.problem.items)
    first = arrays.world.option_first[:-1]
    return State(
        where=np.full(n, -1),
        option=first.copy(),
        turn=arrays.world.option_turn[first].copy(),
        slot=arrays.world.option_slot[first].copy(),
        x=np.zeros(n),
        y=np.zeros(n),
        members=np.zeros((bins, n), dtype=np.int64),
        filled=np.zeros(bins, dtype=np.int64),
        place=np.zeros(n, dtype=np.int64),
        box=np.zeros((bins, 4, n)),
        depth=np.zeros((n, n)),
        weight=np.ones((n, n)),
        wall_depth=np.zeros(n),
        wall_weight=np.ones(n),
        hit=np.zeros(n, dtype=np.int8),
        near=np.zeros(n + 1, dtype=np.int64),
        field=np.empty(MOST_PLACES, dtype=np.float32),
        chance=chance,
    )


def placement(arrays: Arrays, state: State, i: int, bins: tuple[Bin, ...]) -> NestPlacement:
    """Return item i's placement in its own frame.

    Parameters
    ----------
    i
        Number of the item, in the order of the problem.
    bins
        The containers by the numbers that the state knows them by.
    """
    option = arrays.options[i][int(state.option[i] - arrays.world.option_first[i])]
    item = arrays.problem.items[i]
    turn = option.turn_deg if item.turns.is_discrete else math.degrees(float(state.turn[i]))
    turn %= 360.0
    at = move_vector(arrays.figures[option.figure].centre, Pose(option.lie, turn))
    where = bins[int(state.where[i])]
    return NestPlacement(
        item=item.id,
        container=where.container.id,
        number=where.number,
        lie=option.lie,
        turn_deg=turn,
        shift_mm=(float(state.x[i]) - at[0], float(state.y[i]) - at[1]),
    )
