"""Joints placed without a solver: within the rules, no more than a solver needs, never tight."""

from __future__ import annotations

import itertools

import pytest

from nestcut.boards.join import standalone
from nestcut.boards.join.atonce import places_at_once
from nestcut.boards.join.joining import FreeRail, JoiningProblem
from nestcut.model.joint import JointRule
from nestcut.model.part import Hands
from nestcut.search.settings import Deadline, Settings
from nestcut.tolerances.lengths import HAIR_MM
from nestcut.verify import verify_plan
from tests.benchmark.rails import plan_of
from tests.unit.boards.rails_to_cut import a_board, a_job, a_rail, cut
from tests.unit.boards.test_purchases import a_problem


def pieces_of(rail: FreeRail, starts: tuple[int, ...]) -> list[int]:
    begins = (-rail.allowance, *starts)
    ends = (*(s + rail.overlap for s in starts), rail.whole - rail.allowance)
    return [b - a for a, b in zip(begins, ends, strict=True)]


def longest_of(rail: FreeRail, problem: JoiningProblem) -> int:
    bins = problem.bins_of[rail.rail.section]
    return max(problem.bins[b].capacity for b in bins) - problem.kerf


@pytest.mark.parametrize("number", range(0, 200, 5))
def test_rules_are_kept_with_no_more_joints_than_a_solver_needs(number: int) -> None:
    """Held against CP-SAT, rail by rail, over the seeded rail jobs."""
    problem = a_problem(number)
    for rail in problem.rails:
        starts = places_at_once(rail, problem)
        exact = standalone._solve(problem, (rail,), (), Settings(), Deadline())
        if starts is None:
            continue
        assert exact.at_mm is not None
        assert len(starts) == len(exact.at_mm[0])
        assert all(any(a <= s <= b for a, b in rail.starts) for s in starts)
        assert all(t - s >= rail.apart for s, t in itertools.pairwise(starts))
        longest = longest_of(rail, problem) - problem.grid.up(HAIR_MM)
        assert all(piece <= longest for piece in pieces_of(rail, starts))


def test_pieces_come_out_even_where_nothing_stands_against_it() -> None:
    problem = a_problem(175)
    free = [rail for rail in problem.rails if rail.starts == (rail.span,)]
    placed = [(rail, starts) for rail in free if (starts := places_at_once(rail, problem))]
    assert placed
    for rail, starts in placed:
        pieces = pieces_of(rail, starts)
        assert max(pieces) - min(pieces) <= 2


@pytest.mark.parametrize("length", [6081.7012, 4191.8262, 3707.6387])
def test_a_staggered_pair_without_time_fits_its_boards(length: float) -> None:
    """Lengths along a sheer aren't on any grid: a piece as long as its board has none, rounded.

    A first-time user's gunwale was left out so, with the word that no board was on sale.
    """
    rule = JointRule(slope=8.0, stagger_mm=609.6)
    rail = a_rail(
        length=length, joint=rule, hands=Hands.PAIR, section=(19.05, 31.75), allowance=50.8
    )
    board = a_board((2438.4, 26), (3048.0, 33), (3657.6, 41), width=88.9, thickness=19.05)
    job = a_job((rail,), (board,), kerf=3.175)
    outcome = cut(job, deadline=Deadline(0.0))
    assert outcome.unplaced == ()
    assert verify_plan(job, plan_of(job, outcome)).is_proven
