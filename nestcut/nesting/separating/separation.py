"""Running the separation kernel: budgets, best layouts, saved and restored poses."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from nestcut.geometry.pose import move_point
from nestcut.model.plan import StopReason
from nestcut.model.pose import Pose
from nestcut.nesting.kernels.chance import chance_state
from nestcut.nesting.kernels.separate import N_SETTINGS, separate
from nestcut.nesting.kernels.world import State, clamp_x, clamp_y, measure_all, set_pose, take_out
from nestcut.nesting.problem import Budget, FloatArray, NestPlacement
from nestcut.nesting.separating.arrays import Arrays, Bin, empty_state, placement
from nestcut.nesting.separating.compaction import ROUNDS, part
from nestcut.search.settings import Deadline
from nestcut.search.streams import stream
from nestcut.tolerances.search import COARSE_STEP, FINE_STEP, FINISH_BELOW

SETTINGS = {
    "uniform": 6.0,
    "near": 4.0,
    "touch": 12.0,
    "stay": 0.5,
    "coarse": COARSE_STEP,
    "fine": FINE_STEP,
    "grow_least": 1.2,
    "grow_most": 1.6,
    "fade": 0.98,
    "reach": 0.6,
    "jumps": 8.0,
    "survey": 0.3,
}
"""Of the guided search, in the order of the kernel's places."""


CHUNK = 20
"""Passes between two looks at the clock."""


def settings_array() -> FloatArray:
    """Return the settings as the kernels want them."""
    values = np.array(list(SETTINGS.values()))
    if len(values) != N_SETTINGS:
        raise ValueError("settings and kernel disagree")
    return values


@dataclass(slots=True)
class Purse:
    """Passes and time that are left. One search, one purse."""

    passes: int
    deadline: Deadline
    spent: int = 0

    @classmethod
    def of(cls, budget: Budget) -> Purse:
        """Open a purse with a budget's worth."""
        return cls(budget.passes, budget.deadline)

    @property
    def left(self) -> int:
        """Passes left; none once time is up."""
        return 0 if self.deadline.stop_reason() is not None else max(0, self.passes - self.spent)

    def gone(self) -> float:
        """Share of the work or of the time that is gone, whichever is more."""
        by_work = self.spent / max(1, self.passes)
        seconds = self.deadline.seconds
        if not seconds:
            return by_work
        return max(by_work, 1.0 - self.deadline.remaining_s() / seconds)

    def stopped_by(self) -> StopReason:
        """Why it is empty."""
        return self.deadline.stop_reason() or StopReason.WORK_DONE


class Search:
    """A layout that is being separated. ``bins`` may be fewer than the arrays know."""

    def __init__(self, arrays: Arrays, bins: tuple[Bin, ...], seed: int, name: str) -> None:
        self.arrays = arrays
        self.bins = bins
        self.rng = stream(seed, name)
        self.state: State = empty_state(arrays, len(bins), chance_state(self.rng))
        self.settings = settings_array()
        self.active = len(bins)
        self.overlap = float("inf")
        self.index = {item.id: i for i, item in enumerate(arrays.problem.items)}
        n = len(arrays.problem.items)
        self.best = np.full((n + 1, 6), np.inf)

    def poses(self) -> FloatArray:
        """Return the present layout, shape (n, 5): container, option, turn, x, y."""
        s = self.state
        return np.column_stack((s.where, s.option, s.turn, s.x, s.y)).astype(np.float64)

    def restore(self, poses: FloatArray) -> None:
        """Go back to a saved layout."""
        for i, (b, option, turn, x, y, *_) in enumerate(poses):
            self.put(i, int(b), int(option), float(turn), float(x), float(y))
        self.refresh()

    def put(self, i: int, b: int, option: int, turn: float, x: float, y: float) -> None:
        """Put item i somewhere; b < 0 takes it out.

        Parameters
        ----------
        i, b, option
            Numbers of the item, the container (below 0: none) and the option.
        turn
            Turn of an item that may turn. [rad]
        x, y
            Where its slot's origin goes. [mm]
        """
        if b < 0:
            if self.state.where[i] >= 0:
                take_out(self.state, i)
            return
        set_pose(self.arrays.world, self.state, i, b, option, turn, x, y)

    def place(self, p: NestPlacement, b: int) -> None:
        """Put a placement's item into container b of this search."""
        i = self.index[p.item]
        arrays = self.arrays
        item = arrays.problem.items[i]
        options = arrays.options[i]
        fitting = [k for k, o in enumerate(options) if o.lie is p.lie]
        k = min(fitting, key=lambda k: abs((options[k].turn_deg - p.turn_deg + 180) % 360 - 180))
        turn = options[k].turn_deg if item.turns.is_discrete else p.turn_deg
        centre = arrays.figures[options[k].figure].centre
        at = move_point(centre, Pose(p.lie, turn % 360.0, p.shift_mm))
        option = int(arrays.world.option_first[i]) + k
        self.put(i, b, option, math.radians(turn), at[0], at[1])

    def swap_two(self) -> None:
        """Let two large items of unlike shape change places."""
        world, s, rng = self.arrays.world, self.state, self.rng
        size = world.size
        if len(size) < 2:
            return
        order = np.argsort(-size, kind="stable")
        # the items that together make up most of the area
        share = np.cumsum(size[order] ** 2) / (size**2).sum()
        large = order[: max(2, int(np.searchsorted(share, 0.75)) + 1)]
        i, j = (int(k) for k in rng.choice(large, size=2, replace=False))
        for _ in range(10):
            if self.arrays.figure_of[i] != self.arrays.figure_of[j]:
                break
            i, j = (int(k) for k in rng.choice(large, size=2, replace=False))
        first = world.option_first
        spots = [(int(s.where[k]), float(s.x[k]), float(s.y[k])) for k in (j, i)]
        for k, (b, x, y) in zip((i, j), spots, strict=True):
            option = int(first[k] + rng.integers(first[k + 1] - first[k]))
            self.put(k, b, option, float(world.option_turn[option]), x, y)

    def refresh(self) -> None:
        """Bring depths up to date after poses or frames have changed."""
        self.overlap = float(measure_all(self.arrays.world, self.state))

    def forget(self) -> None:
        """Set all weights back to 1."""
        self.state.weight[:] = 1.0
        self.state.wall_weight[:] = 1.0

    def separate(self, purse: Purse, most: int, patience: int) -> bool:
        """Search until nothing overlaps, ``most`` passes are spent or ``patience`` bring nothing.

        ``best`` holds the least overlapping layout seen, also on failure.

        Parameters
        ----------
        purse
            What is spent here is counted in it.
        most
            Passes over all items at most.
        patience
            Passes without a better layout after which it is given up.
        """
        n = len(self.arrays.problem.items)
        # time may be up before the first pass: what lies there now is the best seen then
        self.best[:n, :5], self.best[n, 0] = self.poses(), np.inf
        begin, idle, reached = purse.spent, 0, np.inf
        close = FINISH_BELOW * float(self.arrays.world.size.mean()) ** 2
        while True:
            chunk = min(CHUNK, max(1, CHUNK * 50 // max(n, 1)))
            passes = min(chunk, purse.left, most - (purse.spent - begin))
            if passes <= 0:
                return self.overlap == 0.0
            overlap, done = separate(
                self.arrays.world, self.state, self.best, self.settings, self.active, passes
            )
            self.overlap = float(overlap)
            purse.spent += int(done)
            if self.overlap == 0.0:
                return True
            if self.overlap <= close:
                if self.finish(purse.deadline):
                    return True
                close = 0.5 * self.overlap
            if self.best[n, 0] < 0.98 * reached:
                reached, idle = self.best[n, 0], 0
            else:
                idle += int(done)
                if idle >= patience:
                    return False

    def finish(self, deadline: Deadline) -> bool:
        """Take a hair's breadth of overlap out by moving all items at once, exactly."""
        world, state = self.arrays.world, self.state
        before, reached = self.poses(), self.overlap
        for _ in range(ROUNDS):
            shifts = part(world, state, deadline)
            if shifts is None:
                break
            self.shift_all(shifts)
            if self.overlap == 0.0:
                return True
            if self.overlap > 0.5 * reached:
                break
            reached = self.overlap
        self.restore(before)
        return False

    def shift_all(self, shifts: FloatArray) -> None:
        """Shift every item that has a place."""
        world, state = self.arrays.world, self.state
        for i in range(len(shifts)):
            b, s = int(state.where[i]), int(state.slot[i])
            if b >= 0:
                state.x[i] = clamp_x(world, b, s, state.x[i] + shifts[i, 0])
                state.y[i] = clamp_y(world, b, s, state.y[i] + shifts[i, 1])
        self.refresh()

    def placements(self) -> tuple[NestPlacement, ...]:
        """Return the present layout's placements, of the items that have a place."""
        return tuple(
            placement(self.arrays, self.state, i, self.bins)
            for i in range(len(self.arrays.problem.items))
            if self.state.where[i] >= 0
        )
