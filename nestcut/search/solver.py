"""CP-SAT as every room uses it: repeatable work, and an end when the search's time ends."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from nestcut.search.settings import Deadline
from nestcut.tolerances.search import LEAST_SOLVER_S

if TYPE_CHECKING:
    from ortools.sat.python import cp_model


def solver_for(work: float, deadline: Deadline, seed: int = 1) -> cp_model.CpSolver:
    """Return a solver with one worker, a fixed seed, no log, and no ear for signals.

    Parameters
    ----------
    work
        The same model, seed and work give the same answer. [deterministic seconds]
    deadline
        Cuts the work short where there is a limit, so that no call outlives the search.
    seed
        Source of the solver's own chance.
    """
    from ortools.sat.python import cp_model

    solver = cp_model.CpSolver()
    solver.parameters.catch_sigint_signal = False  # Ctrl-C is the command line's to handle
    solver.parameters.num_workers = 1
    solver.parameters.random_seed = seed
    solver.parameters.max_deterministic_time = work
    left = deadline.remaining_s()
    if left < math.inf:
        solver.parameters.max_time_in_seconds = max(LEAST_SOLVER_S, left)
    return solver
