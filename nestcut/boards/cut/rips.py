"""How many boards give the strips that patterns use, and the record of a whole choice."""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.boards.cut.relaxation import Column
from nestcut.boards.wood.problem import CuttingProblem
from nestcut.search.settings import Deadline
from nestcut.search.solver import solver_for

_WORK = 20.0
"""Work for one question, in the solver's deterministic seconds."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Used:
    """A choice: (pattern, how often), (rip, how often), (kind, how many left out)."""

    patterns: tuple[tuple[Column, int], ...]
    rips: tuple[tuple[int, int], ...]
    missing: tuple[tuple[int, int], ...] = ()


def choose_rips(
    problem: CuttingProblem, patterns: dict[Column, int], deadline: Deadline
) -> Used | None:
    """Choose the cheapest rips that give the bins these patterns fill.

    None if stock, work or time runs out.

    Parameters
    ----------
    patterns
        How often each column is used.
    """
    from ortools.sat.python import cp_model

    if not patterns:
        return _used({}, {})
    needs: dict[tuple[int, int], int] = {}
    taken: dict[int, int] = {}
    for column, n in patterns.items():
        taken[column.place] = taken.get(column.place, 0) + n
    for b, n in taken.items():
        key = (problem.bins[b].supply, problem.bins[b].strip_nm)
        needs[key] = max(needs.get(key, 0), n)
    rips = [
        r
        for r, rip in enumerate(problem.rips)
        if any((rip.supply, w) in needs for w, _ in rip.strips)
    ]
    single = _single_strips(problem, rips, needs)
    if single is not None:
        return None if not single else _used(patterns, dict(single))
    model = cp_model.CpModel()
    total = sum(needs.values())
    uses = {r: model.new_int_var(0, total, "") for r in rips}
    for (supply, width), n in needs.items():
        giving = [
            dict(problem.rips[r].strips).get(width, 0) * uses[r]
            for r in rips
            if problem.rips[r].supply == supply
        ]
        model.add(sum(giving) >= n)
    for s, supply_ in enumerate(problem.supplies):
        if supply_.limit is not None:
            model.add(sum(uses[r] for r in rips if problem.rips[r].supply == s) <= supply_.limit)
    weight = len(rips) * total + 1
    model.minimize(
        sum((problem.supplies[problem.rips[r].supply].price * weight + 1) * uses[r] for r in rips)
    )
    solver = solver_for(_WORK, deadline, seed=0)
    if solver.solve(model) not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return None
    return _used(patterns, {r: solver.value(v) for r, v in uses.items()})


def _single_strips(
    problem: CuttingProblem, rips: list[int], needs: dict[tuple[int, int], int]
) -> list[tuple[int, int]] | None:
    """Count boards where each gives strips of one width in one way only; [] if stock runs out."""
    by_supply: dict[int, list[int]] = {}
    for r in rips:
        by_supply.setdefault(problem.rips[r].supply, []).append(r)
    found: list[tuple[int, int]] = []
    for supply, own in by_supply.items():
        if len(own) > 1 or len(problem.rips[own[0]].strips) > 1:
            return None
        width, n = problem.rips[own[0]].strips[0]
        boards = -(-needs[supply, width] // n)
        limit = problem.supplies[supply].limit
        if limit is not None and boards > limit:
            return []
        found.append((own[0], boards))
    return found


def _used(patterns: dict[Column, int], rips: dict[int, int]) -> Used:
    return Used(
        patterns=tuple(sorted(patterns.items(), key=lambda p: (p[0].place, p[0].pattern))),
        rips=tuple((r, n) for r, n in sorted(rips.items()) if n),
    )
