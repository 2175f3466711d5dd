"""Exact steps by linear programming: all items move at once, each pair on its own side of a line.

Near a layout every two convex parts are told apart by one half-plane; as long as each pair keeps to
its own, moving is a linear programme. Used to take the last hair's breadth of overlap out of a
layout that is all but free of it, and to push items together. After Li & Milenkovic 1995 and
Bennell & Dowsland 2001 (compaction and separation of layouts by linear programming).
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np

from nestcut.nesting.kernels.planes import gather_planes
from nestcut.nesting.kernels.world import State, World
from nestcut.nesting.problem import FloatArray
from nestcut.search.settings import Deadline

ROUNDS = 6
"""Linear programmes solved in a row."""

REACH = 0.15
"""How far an item may move in one, as a share of the mean item size. [-]"""

LP_SETTINGS = "primal_feasibility_tolerance:1e-10 dual_feasibility_tolerance:1e-9"
"""Of GLOP, on lengths scaled by the container's side."""


def part(world: World, state: State, deadline: Deadline) -> FloatArray | None:
    """Find shifts of all items after which the present overlaps are least.

    Returns
    -------
    Shifts, shape (n, 2), or None if the programme has no answer, or none in time.
    """
    model = _Model(world, state, deadline)
    for pair, plane in model.rows():
        row = model.keep_apart(pair, plane)
        if plane[2] > 0.0:
            lack = model.variable(0.0, plane[2] / model.scale, 1.0)
            row.var_index.append(lack)
            row.coefficient.append(1.0)
    return model.shifts()


def shorten(
    world: World, state: State, b: int, axis: int, deadline: Deadline, reach: float = REACH
) -> FloatArray | None:
    """Find shifts that pull the far end of container b's items in, along axis 0 (x) or 1 (y).

    The layout must be free of overlaps; it stays so. ``reach`` is how far an item may move, as a
    share of the mean item size.

    Parameters
    ----------
    b
        Number of the container.
    axis
        0: its end along x is pulled in; 1: along y.
    reach
        How far an item may move, as a share of the mean item size. [-]
    """
    model = _Model(world, state, deadline, reach)
    for pair, plane in model.rows():
        model.keep_apart(pair, (plane[0], plane[1], min(0.0, plane[2])))
    inside = state.members[b, : state.filled[b]]
    ends = (state.x, state.y)[axis] + world.slots.box[state.slot, axis + 2]
    end = model.variable(-math.inf, float(ends[inside].max()) / model.scale, 1.0)
    for i in inside.tolist():
        model.row(float(ends[i]) / model.scale, (end, 2 * i + axis), (1.0, -1.0))
    return model.shifts()


class _Model:
    """A linear programme whose variables are the items' shifts, in units of the container.

    Variables 2 i and 2 i + 1 are item i's shifts along x and y. It is written down as a message
    and read by the solver at once: row by row through the solver's own calls took three times as
    long, and longer than solving it.
    """

    def __init__(
        self, world: World, state: State, deadline: Deadline, reach: float = REACH
    ) -> None:
        from ortools.linear_solver.linear_solver_pb2 import MPModelProto

        self.reach = reach * float(world.size.mean())
        self.scale = float((world.frame[:, 2:] - world.frame[:, :2]).min(axis=1).max())
        self.pairs, self.planes = gather(world, state, 2.0 * self.reach)
        self.deadline = deadline
        self.model: Any = MPModelProto()
        self.items = state.x.shape[0]
        for i in range(self.items):
            for axis in (0, 1):
                low, high = _range(world, state, i, axis, self.reach, self.scale)
                self.variable(low, high, 0.0)

    def variable(self, low: float, high: float, cost: float) -> int:
        """Add a variable between two bounds, whose cost counts; return its number."""
        self.model.variable.add(lower_bound=low, upper_bound=high, objective_coefficient=cost)
        return len(self.model.variable) - 1

    def row(self, least: float, variables: Sequence[int], factors: Sequence[float]) -> Any:
        """Add the row that a sum of variables times factors is ``least`` at least."""
        return self.model.constraint.add(
            lower_bound=least, var_index=variables, coefficient=factors
        )

    def rows(self) -> Iterator[tuple[tuple[int, int], tuple[float, float, float]]]:
        """Pairs of items and the half-planes between them."""
        yield from zip(
            map(tuple, self.pairs.tolist()), map(tuple, self.planes.tolist()), strict=True
        )

    def keep_apart(self, pair: tuple[int, int], plane: tuple[float, float, float]) -> Any:
        """Add the row that keeps a pair on the two sides of its half-plane."""
        (i, j), (nx, ny, depth) = pair, plane
        if i < 0:
            return self.row(depth / self.scale, (2 * j, 2 * j + 1), (nx, ny))
        both = (2 * j, 2 * j + 1, 2 * i, 2 * i + 1)
        return self.row(depth / self.scale, both, (nx, ny, -nx, -ny))

    def shifts(self) -> FloatArray | None:
        """Solve and return the shifts, shape (n, 2)."""
        from ortools.linear_solver import pywraplp

        solver = pywraplp.Solver.CreateSolver("GLOP")
        solver.LoadModelFromProto(self.model)
        solver.SetSolverSpecificParametersAsString(LP_SETTINGS)
        left = self.deadline.remaining_s()
        if left < math.inf:
            solver.SetTimeLimit(max(1, round(1000.0 * left)))
        if solver.Solve() != pywraplp.Solver.OPTIMAL:
            return None
        found = solver.variables()[: 2 * self.items]
        return np.array([v.solution_value() for v in found]).reshape(-1, 2) * self.scale


def gather(world: World, state: State, reach: float) -> tuple[np.ndarray, FloatArray]:
    """Return (i, j) and (nx, ny, depth) of every pair of parts within reach; i = -1: container.

    Parameters
    ----------
    reach
        Pairs farther apart than this are left out. [mm]
    """
    room = 4096
    while True:
        pairs = np.empty((room, 2), dtype=np.int64)
        planes = np.empty((room, 3))
        m = gather_planes(world, state, reach, pairs, planes)
        if m >= 0:
            return pairs[:m], planes[:m]
        room *= 4


def _range(
    world: World, state: State, i: int, axis: int, reach: float, scale: float
) -> tuple[float, float]:
    """How far item i may move along an axis, within reach and its container's frame."""
    b, s = int(state.where[i]), int(state.slot[i])
    if b < 0:
        return 0.0, 0.0
    at = float((state.x, state.y)[axis][i])
    low = float(world.frame[b, axis] - world.slots.box[s, axis]) - at
    high = float(world.frame[b, axis + 2] - world.slots.box[s, axis + 2]) - at
    low, high = max(low, -reach), min(high, reach)
    if low > high:
        low = high = (low + high) / 2.0
    return low / scale, high / scale
