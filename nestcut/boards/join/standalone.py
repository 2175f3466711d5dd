"""Can the rules be kept at all?  Positions without boards: what collides, and a first answer."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from nestcut.boards.join.atonce import places_at_once
from nestcut.boards.join.joining import FreeRail, JoiningProblem, joined_part, stagger_between
from nestcut.boards.join.rows import Row, keep_apart
from nestcut.boards.wood.rails import Positions
from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Fact, Facts, Length, fact
from nestcut.joints.collisions import colliding_rules
from nestcut.search.settings import Deadline, Settings
from nestcut.search.solver import solver_for

WORK = 5.0
"""Work for one question, in the solver's deterministic seconds."""

_STEP_MM = 10.0
"""Longest pieces are told apart in such steps: to a micrometre a solver takes minutes. [mm]"""

PATIENCE_S = 1.0
"""Time that is taken for a first set of positions, whatever the deadline says. [s]"""


@dataclass(frozen=True, slots=True)
class _Found:
    """Positions that obey the rules (None: none were found), and whether that is certain."""

    at_mm: tuple[tuple[float, ...], ...] | None
    is_settled: bool

    @property
    def is_impossible(self) -> bool:
        """Whether it is certain that there are none."""
        return self.is_settled and self.at_mm is None


@dataclass(frozen=True, slots=True, kw_only=True)
class Possible:
    """What the rules leave.

    Parameters
    ----------
    problem
        The problem with the stagger that can be kept, and with given joints of neighbours as
        keep-clear stretches.
    hopeless
        Rails whose own rules collide: (rail, which do).
    at_mm
        Positions for every rail that obey the rules, whatever the boards. [mm]
    """

    problem: JoiningProblem
    hopeless: tuple[tuple[int, Fact], ...]
    at_mm: tuple[tuple[float, ...], ...] = ()
    findings: tuple[Finding, ...] = ()


def find_possible(
    problem: JoiningProblem, given: Positions, settings: Settings, deadline: Deadline
) -> Possible:
    """Find rails whose rules collide, stagger that can't be kept, and a first set of positions.

    A little time is taken even after the deadline: without positions there is no plan at all.
    Where there is none from the first, positions are found without a solver, and no rule is given
    up.

    Parameters
    ----------
    given
        By rail with known joints, where they lie along it. [mm]
    """
    is_hasty = deadline.stop_reason() is not None
    halt = Deadline(max(PATIENCE_S, deadline.remaining_s()))
    hopeless = tuple(
        (r, _collision(rail, problem)) for r, rail in enumerate(problem.rails) if not rail.numbers
    )
    if hopeless:
        return Possible(problem=problem, hopeless=hopeless)
    findings: list[Finding] = []
    rails = list(problem.rails)
    for r, rail in enumerate(rails):
        for other, at in given.items():
            least = stagger_between(rail.rail, other)
            if least <= 0.0 or not at:
                continue
            narrowed = _away_from(rails[r], at, least, problem)
            if is_hasty:
                rails[r] = rails[r] if places_at_once(narrowed, problem) is None else narrowed
            elif _solve(problem, (narrowed,), (), settings, halt).is_impossible:
                findings.append(_cannot_stagger(rail, other.id, least))
            else:
                rails[r] = narrowed
    problem = replace(problem, rails=_told_apart(rails))
    if is_hasty:
        return Possible(problem=problem, hopeless=(), at_mm=_one_by_one(problem, settings))
    kept: list[tuple[int, int, int]] = []
    whole = _solve(problem, problem.rails, problem.stagger, settings, halt)
    if whole.is_impossible and deadline.stop_reason() is None:
        for pair in problem.stagger:
            trial = _solve(problem, problem.rails, (*kept, pair), settings, halt)
            if deadline.stop_reason() is None and trial.is_impossible:
                i, j, least_units = pair
                least = problem.grid.to_mm(least_units)
                findings.append(_cannot_stagger(rails[i], rails[j].rail.id, least))
            else:
                kept.append(pair)
        problem = replace(problem, stagger=tuple(kept))
        whole = _solve(problem, problem.rails, problem.stagger, settings, halt)
    at_mm = whole.at_mm if whole.at_mm is not None else _one_by_one(problem, settings)
    return Possible(problem=problem, hopeless=(), at_mm=at_mm, findings=tuple(findings))


def _one_by_one(problem: JoiningProblem, settings: Settings) -> tuple[tuple[float, ...], ...]:
    """Place the joints of one rail after the other, away from those placed before if that can be.

    Quick, whatever the number of rails; what doesn't keep its distance is told with the joints.
    """
    placed: list[tuple[float, ...]] = []
    for r, rail in enumerate(problem.rails):
        narrowed = rail
        for i, j, least in problem.stagger:
            if r in (i, j) and min(i, j) < r:
                at_mm = placed[min(i, j)]
                narrowed = _away_from(narrowed, at_mm, problem.grid.to_mm(least), problem)
        found = _alone(narrowed, problem, settings)
        placed.append((_alone(rail, problem, settings) if found is None else found) or ())
    return tuple(placed)


def _alone(rail: FreeRail, problem: JoiningProblem, settings: Settings) -> tuple[float, ...] | None:
    """Place the joints of one rail; a solver is asked only where the plain way finds nothing."""
    starts = places_at_once(rail, problem)
    if starts is not None:
        half = rail.rail.overlap_mm / 2.0
        return tuple(problem.grid.to_mm(s) + half for s in starts)
    found = _solve(problem, (rail,), (), settings, Deadline(PATIENCE_S))
    return found.at_mm[0] if found.at_mm else None


def _told_apart(rails: list[FreeRail]) -> tuple[FreeRail, ...]:
    """Let only those rails count as alike whose joints may lie in the same places."""
    same = [(rail.alike, rail.starts) for rail in rails]
    return tuple(
        replace(rail, alike=same.index(own)) for rail, own in zip(rails, same, strict=True)
    )


def _collision(rail: FreeRail, problem: JoiningProblem) -> Fact:
    """Say which rules of one rail collide."""
    own = [problem.bins[b] for b in problem.bins_of[rail.rail.section]]
    if not own:
        return fact("BRD-104")
    longest = max(problem.supplies[b.supply].stretches[b.stretch][1] for b in own)
    part = joined_part(rail.rail.part, rail.rail.overlap_mm)
    return fact("BRD-105", rules=Facts(colliding_rules(part, longest)))


def _cannot_stagger(rail: FreeRail, other: str, least: float) -> Finding:
    found = finding("BRD-005", Severity.WARNING, rail.rail.id, least=Length(least), other=other)
    return replace(found, about=rail.rail.part.name)


def _away_from(
    rail: FreeRail, at_mm: tuple[float, ...], least_mm: float, problem: JoiningProblem
) -> FreeRail:
    """Take the neighbourhood of given joints out of where a rail's overlaps may begin."""
    starts = list(rail.starts)
    half = rail.rail.overlap_mm / 2.0
    for at in at_mm:
        low = problem.grid.down(at - least_mm - half)
        high = problem.grid.up(at + least_mm - half)
        cut: list[tuple[int, int]] = []
        for a, b in starts:
            cut += [(a, min(b, low))] * (a <= low) + [(max(a, high), b)] * (high <= b)
        starts = sorted(set(cut))
    return replace(rail, starts=tuple(starts))


def _solve(
    problem: JoiningProblem,
    rails: tuple[FreeRail, ...],
    stagger: tuple[tuple[int, int, int], ...],
    settings: Settings,
    deadline: Deadline,
) -> _Found:
    """Find positions with fewest joints, pieces no longer than the stock gives.

    Among those, the longest piece is as short as can be, to a centimetre: it then fits more boards,
    and none to the last hair, which rounding would take away.
    """
    from ortools.sat.python import cp_model

    model = cp_model.CpModel()
    rows: dict[int, Row] = {}
    whole = max((rail.whole for rail in rails), default=0)
    step = max(1, problem.grid.up(_STEP_MM))
    most = model.new_int_var(0, whole // step + 1, "")
    for r, rail in enumerate(rails):
        if not rail.starts and rail.numbers[0] > 0:
            return _Found(None, is_settled=True)
        longest = max(problem.bins[b].capacity for b in problem.bins_of[rail.rail.section])
        rows[r] = Row(model, rail, rail.numbers[-1] if rail.starts else 0)
        for length in rows[r].length:
            model.add(length <= longest - problem.kerf)
            model.add(length <= step * most)
    keep_apart(model, rows, stagger)
    weight = whole // step + 2
    model.minimize(weight * sum(e for row in rows.values() for e in row.exists) + most)
    solver = solver_for(WORK, deadline, settings.seed)
    status = solver.solve(model)
    if status not in {cp_model.OPTIMAL, cp_model.FEASIBLE}:
        return _Found(None, is_settled=status == cp_model.INFEASIBLE)
    at_mm = tuple(_read(solver, rows[r], problem) for r in range(len(rails)))
    return _Found(at_mm, is_settled=True)


def _read(solver: Any, row: Row, problem: JoiningProblem) -> tuple[float, ...]:
    n = sum(solver.value(e) for e in row.exists)
    half = row.rail.rail.overlap_mm / 2.0
    return tuple(problem.grid.to_mm(solver.value(s)) + half for s in row.start[:n])
