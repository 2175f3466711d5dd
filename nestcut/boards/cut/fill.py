"""The most valuable way to fill one stretch with pieces: a knapsack, exact."""

from __future__ import annotations

from collections.abc import Sequence

VALUE_SCALE = 10**9
"""Values are taken to a billionth, rounded down to whole numbers for the solver."""


class Filler:
    """Fills stretches; wraps OR-Tools' dynamic programme for knapsacks."""

    def __init__(self) -> None:
        from ortools.algorithms.python import knapsack_solver

        self._solver = knapsack_solver.KnapsackSolver(
            knapsack_solver.SolverType.KNAPSACK_DYNAMIC_PROGRAMMING_SOLVER, "fill"
        )

    def fill(
        self,
        capacity: int,
        weights: Sequence[int],
        values: Sequence[float],
        most: Sequence[int],
    ) -> tuple[float, dict[int, int]]:
        """Return the best value and how many of each piece give it.

        Parameters
        ----------
        capacity
            Room in the stretch, one kerf included. [grid units]
        weights, values, most
            Of each kind: length plus kerf [grid units], worth of a piece, how many at most.
        """
        weight: list[int] = []
        value: list[int] = []
        owner: list[int] = []
        for k, (w, v, m) in enumerate(zip(weights, values, most, strict=True)):
            worth = int(v * VALUE_SCALE)
            if worth <= 0 or w > capacity:
                continue
            n = min(m, capacity // w)
            weight += [w] * n
            value += [worth] * n
            owner += [k] * n
        if not owner:
            return 0.0, {}
        if sum(weight) <= capacity:
            chosen = list(range(len(owner)))
        else:
            self._solver.init(value, [weight], [capacity])
            self._solver.solve()
            chosen = [a for a in range(len(owner)) if self._solver.best_solution_contains(a)]
        found: dict[int, int] = {}
        for a in chosen:
            found[owner[a]] = found.get(owner[a], 0) + 1
        return sum(values[k] * n for k, n in found.items()), found
