"""Fewest joints by linear programming: a bound, and which batches a plan near it may use.

Batches are columns; rails (each taken once) and strips (none taken twice) are rows.  The optimum
of the linear relaxation is a bound on the number of joints, and a batch whose reduced cost exceeds
what is left between the bound and a limit can't be part of a plan within that limit
(reduced-cost fixing).  Columns enter as they are needed (Gilmore and Gomory 1961).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from nestcut.search.settings import Deadline
from nestcut.tolerances.noise import REDUCED_COST_SLACK, SOLVER_SLACK

UNCOVERED = 1_000.0
"""What a rail that no batch takes costs, in joints: more than any plan has. [-]"""

N_FIRST, N_MORE = 300, 200
"""Columns that the programme starts with, and that it gets at a time."""


@dataclass(frozen=True, slots=True)
class FewestJoints:
    """A bound on the joints of any plan, and each column's reduced cost, shape (n,)."""

    bound: float
    reduced: np.ndarray

    def worth_keeping(self, most_joints: int) -> np.ndarray:
        """Return the numbers of the columns that a plan of so many joints may use."""
        return np.flatnonzero(self.reduced <= most_joints - self.bound + SOLVER_SLACK)


def bound_joints(
    rows: np.ndarray, joints: np.ndarray, wanted: np.ndarray, n_rails: int, deadline: Deadline
) -> FewestJoints:
    """Solve the linear relaxation; cut short by the deadline it bounds all the same, less well.

    Parameters
    ----------
    rows
        What each column takes of each row, shape (columns, rows).
    joints
        Of each column, shape (columns,).
    wanted
        Rails to be taken of each kind, then strips there are, shape (rows,).
    n_rails
        How many rows are kinds of rails; all of these must be taken.
    """
    from ortools.linear_solver import pywraplp

    solver = pywraplp.Solver.CreateSolver("GLOP")
    infinity = solver.infinity()
    conditions = [
        solver.Constraint(float(n) if r < n_rails else -infinity, float(n))
        for r, n in enumerate(wanted)
    ]
    objective = solver.Objective()
    objective.SetMinimization()
    for condition in conditions[:n_rails]:
        missing = solver.NumVar(0.0, infinity, "")
        condition.SetCoefficient(missing, 1.0)
        objective.SetCoefficient(missing, UNCOVERED)
    inside = np.zeros(len(joints), dtype=bool)

    def add(columns: np.ndarray) -> None:
        inside[columns] = True
        for c in columns:
            use = solver.NumVar(0.0, infinity, "")
            objective.SetCoefficient(use, float(joints[c]))
            for r in np.flatnonzero(rows[c]):
                conditions[r].SetCoefficient(use, float(rows[c, r]))

    add(np.argsort(rows[:, :n_rails].sum(axis=1), kind="stable")[:N_FIRST])
    while True:
        solver.Solve()
        worths = np.array([condition.dual_value() for condition in conditions])
        worths[n_rails:] = np.minimum(worths[n_rails:], 0.0)
        reduced = joints - rows @ worths
        better = np.flatnonzero((reduced < -REDUCED_COST_SLACK) & ~inside)
        if not len(better) or deadline.stop_reason() is not None:
            break
        add(better[np.argsort(reduced[better], kind="stable")[:N_MORE]])
    # what the worths prove: every batch takes a rail at least, so there are no more than rails
    lapse = min(0.0, float(reduced.min(initial=0.0)))
    bound = float(worths @ wanted) + lapse * float(wanted[:n_rails].sum())
    return FewestJoints(bound, np.maximum(reduced, 0.0))
