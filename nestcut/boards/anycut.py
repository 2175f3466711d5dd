"""The least that rails cost however their boards are cut.

The search rips every board from end to end and then crosscuts its strips.  Where all strips of a
board are equally wide nothing is lost by that: pieces that no crosscut keeps apart are apart across
the board, so at most so many of them lie side by side as the board gives strips, and intervals of
which no more than so many overlap can be dealt to so many strips (interval graphs are perfect:
M. Golumbic, Algorithmic Graph Theory and Perfect Graphs, 1980, ch. 8).  Where widths differ, a
board that is crosscut first and ripped differently on either side may give more, so the patterns'
bound doesn't hold for it, nor where saws differ; this one does.

At every place along a board, the pieces that lie there, each with a kerf behind it, are strips of
some rip.  So every board's length is shared out among rips, and the strips' lengths must be enough
for all pieces: necessary, whatever is cut where.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Mapping
from dataclasses import replace

from nestcut.boards.join.joining import joined_part, joint_numbers
from nestcut.boards.wood.grid import Grid
from nestcut.boards.wood.groups import Group
from nestcut.boards.wood.problem import Section, Supply, make_bins_and_rips, priced, strip_nm
from nestcut.boards.wood.rails import Positions, Rail, divide_rail
from nestcut.facts import fact
from nestcut.model.job import CuttingRules
from nestcut.model.plan import Bound, Counted
from nestcut.search.settings import Deadline
from nestcut.search.solver import solver_for
from nestcut.tolerances import NM_PER_MM, UM_PER_MM

_WORK = 2.0
"""Deterministic time for one bound."""

HOWEVER_CUT = fact("BRD-118")


def however_cut(
    group: Group,
    given: Positions,
    bounds: tuple[Bound, ...],
    cutting: CuttingRules,
    deadline: Deadline,
) -> tuple[Bound, ...]:
    """Lower the bounds of a group to what holds for boards that aren't ripped first.

    Parameters
    ----------
    given
        By rail, where its joints lie along it. [mm] Rails that aren't named have free joints.
    """
    kerfs = {cutting.on(s.stock).kerf_mm for s in group.supplies}
    if not bounds or (len(kerfs) == 1 and group.gives_one_width):
        return bounds
    kerf = min(kerfs)
    wanted: Counter[Section] = Counter()
    for rail in group.rails:
        at = given.get(rail)
        need = _fewest_mm(rail, group.supplies, kerf) if at is None else _given_mm(rail, at, kerf)
        wanted[rail.section] += math.floor(need * UM_PER_MM)
    least = _least_cost(group, wanted, kerf, deadline)
    return tuple(
        replace(b, lower=least, reason=HOWEVER_CUT)
        if b.measure is not Counted.JOINTS and least < b.lower
        else b
        for b in bounds
    )


def _given_mm(rail: Rail, at_mm: tuple[float, ...], kerf_mm: float) -> float:
    return sum(p.length_mm + kerf_mm for p in divide_rail(rail, at_mm)[0])


def _fewest_mm(rail: Rail, supplies: tuple[Supply, ...], kerf_mm: float) -> float:
    """Return what a free rail takes with its fewest joints, a kerf behind every piece. [mm]"""
    longest = max((n for s in supplies for _, n in s.stretches), default=0.0)
    joints = (joint_numbers(joined_part(rail.part, rail.overlap_mm), longest) or (0,))[0]
    whole = rail.part.length_mm + 2.0 * rail.part.allowance_mm
    return whole + joints * rail.overlap_mm + (joints + 1) * kerf_mm


def _least_cost(
    group: Group, wanted_um: Mapping[Section, int], kerf_mm: float, deadline: Deadline
) -> float:
    """Return the least cost of boards with so much strip of each section, whatever is cut.

    Parameters
    ----------
    wanted_um
        Lengths of all pieces of a section, a kerf behind each. [um]

    Returns
    -------
    float
        In the group's own measure; infinite where no boards are enough.
    """
    from ortools.sat.python import cp_model

    supplies, _ = priced(group.supplies)
    sections = tuple(sorted(wanted_um))
    _, rips = make_bins_and_rips(sections, supplies, Grid(NM_PER_MM), kerf_mm)
    total = sum(wanted_um.values())
    model = cp_model.CpModel()
    strips: dict[Section, list[cp_model.LinearExprT]] = {s: [] for s in sections}
    boards: list[cp_model.IntVar] = []
    for s, supply in enumerate(supplies):
        capacity = sum(math.ceil((n + kerf_mm) * UM_PER_MM) for _, n in supply.stretches)
        most = -(-total // max(capacity, 1)) if supply.limit is None else supply.limit
        boards.append(model.new_int_var(0, most, ""))
        shares: list[cp_model.IntVar] = []
        for rip in (r for r in rips if r.supply == s):
            shares.append(model.new_int_var(0, capacity * most, ""))
            for width, count in rip.strips:
                own = [x for x in sections if strip_nm(x, supply.stock) == width]
                lengths = [model.new_int_var(0, count * capacity * most, "") for _ in own]
                model.add(sum(lengths) <= count * shares[-1])
                for section, length in zip(own, lengths, strict=True):
                    strips[section].append(length)
        model.add(sum(shares) <= capacity * boards[-1])
    for section in sections:
        model.add(sum(strips[section]) >= wanted_um[section])
    model.minimize(sum(s.price * b for s, b in zip(supplies, boards, strict=True)))
    solver = solver_for(_WORK, deadline)
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return math.inf
    return max(0.0, float(solver.best_objective_bound))
