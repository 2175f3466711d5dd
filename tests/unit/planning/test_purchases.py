"""What is bought, against a model of its own that HiGHS solves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import pytest

import nestcut
from nestcut.model.job import Job
from nestcut.model.plan import BuyLine, Delivery, Plan
from tests.purchases_by_highs import board_job, least_cost, mixed_job, sheet_job


def planned(job: Job) -> Plan:
    return nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK)).plan


def compare(job: Job) -> None:
    plan = planned(job)
    assert plan.is_complete
    least = least_cost(job)
    print(f"{job.name}: {plan.cost_minor} against {least}")
    assert plan.cost_minor == least
    for bound in plan.bounds:
        if bound.measure == "money in all":
            assert bound.lower <= least + 1e-6


def test_a_plan_made_at_once_buys_no_board_that_nothing_is_cut_from() -> None:
    compare(board_job(28))


@pytest.mark.parametrize("seed", range(5))
@pytest.mark.parametrize("draw", [board_job, sheet_job])
def test_cost_is_that_of_an_independent_model(draw: Callable[[int], Job], seed: int) -> None:
    compare(draw(seed))


@pytest.mark.parametrize("seed", range(3))
def test_packs_limits_and_deliveries_cost_what_an_independent_model_says(seed: int) -> None:
    compare(mixed_job(seed))


@pytest.mark.deep
@pytest.mark.parametrize("seed", range(200))
def test_two_hundred_jobs_of_boards(seed: int) -> None:
    compare(board_job(seed))


@pytest.mark.deep
@pytest.mark.parametrize("seed", range(50))
def test_fifty_jobs_of_rectangles(seed: int) -> None:
    compare(sheet_job(seed))


@pytest.mark.deep
@pytest.mark.parametrize("seed", range(50))
def test_fifty_mixed_jobs(seed: int) -> None:
    compare(mixed_job(seed))


def objections(job: Job, plan: Plan) -> set[str]:
    return {f.code for f in nestcut.verify_plan(job, plan).findings}


def test_the_verifier_adds_the_money_up_by_itself() -> None:
    job = mixed_job(0)
    plan = planned(job)
    assert objections(job, plan) == set()
    line: BuyLine = plan.buy[0]
    more = replace(line, count=line.count + 1, over=line.over + 1)
    assert "VER-043" in objections(job, replace(plan, buy=(more, *plan.buy[1:])))
    assert "VER-043" in objections(
        job, replace(plan, buy=(replace(line, supplier="east"), *plan.buy[1:]))
    )
    free = (*plan.deliveries, Delivery(supplier="east", fee_minor=100))
    assert "VER-065" in objections(job, replace(plan, deliveries=free))
    few = tuple(replace(s, most=0) for s in job.sheet_stocks)
    assert "VER-042" in objections(replace(job, sheet_stocks=few), plan)
