"""Rails without time: a plan all the same, proven, whatever the solvers have come to."""

from __future__ import annotations

import pytest

from nestcut.boards import BoardsOutcome, JointPreference, cut_boards
from nestcut.boards.join import find_possible, standalone
from nestcut.boards.join.standalone import _Found
from nestcut.boards.proof import PurchaseSearch
from nestcut.model.job import Job
from nestcut.model.plan import StopReason
from nestcut.search.settings import Deadline, Settings, Silent
from nestcut.verify import verify_plan
from tests.benchmark.rail_jobs import draw_job
from tests.benchmark.rails import plan_of
from tests.unit.boards.test_purchases import a_problem

NUMBERS = (26, 35, 51, 55, 124, 150)


def cut(job: Job, deadline: Deadline) -> BoardsOutcome:
    return cut_boards(
        job.rail_parts, job.board_stocks, job.cutting, JointPreference.CHEAPEST, Settings(),
        deadline, Silent(),
    )  # fmt: skip


@pytest.mark.parametrize("number", NUMBERS)
def test_no_time_at_all_gives_a_proven_plan_that_claims_nothing(number: int) -> None:
    job = draw_job(0, number).job
    outcome = cut(job, Deadline(0.0))
    assert not outcome.unplaced
    assert verify_plan(job, plan_of(job, outcome)).is_proven
    money = [b for b in outcome.bounds if b.measure == "money"]
    assert money
    assert all(b.lower < b.used for b in money)


@pytest.mark.parametrize("number", NUMBERS)
def test_positions_are_found_rail_by_rail_where_all_at_once_are_too_many(
    monkeypatch: pytest.MonkeyPatch, number: int
) -> None:
    """A question that stays open is no proof that the rules collide: no stagger is given up."""
    real = standalone._solve

    def only_small(problem, rails, stagger, settings, deadline):  # type: ignore[no-untyped-def]
        if len(rails) > 1:
            return _Found(None, is_settled=False)
        return real(problem, rails, stagger, settings, deadline)

    monkeypatch.setattr(standalone, "_solve", only_small)
    problem = a_problem(number)
    possible = find_possible(problem, {}, Settings(), Deadline())
    assert possible.findings == ()
    assert possible.problem.stagger == problem.stagger
    assert len(possible.at_mm) == len(problem.rails)

    job = draw_job(0, number).job
    outcome = cut(job, Deadline(0.0))
    assert not outcome.unplaced
    assert verify_plan(job, plan_of(job, outcome)).is_proven


def test_a_stop_in_the_middle_is_heard_by_every_solver(monkeypatch: pytest.MonkeyPatch) -> None:
    """Once stopped, no call begins work that takes longer than handing back what it knows."""
    job = draw_job(0, 162).job  # minutes of work
    deadline = Deadline()
    look = PurchaseSearch._look

    def stopped(search, *matter):  # type: ignore[no-untyped-def]
        deadline.interrupt()
        return look(search, *matter)

    monkeypatch.setattr(PurchaseSearch, "_look", stopped)
    outcome = cut(job, deadline)
    assert outcome.pieces
    assert outcome.stopped_by is StopReason.INTERRUPTED
