"""Mishaps on the demo boats: spoilt, split, changed, added, thicker, short boards, a half lost."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
import pytest

import nestcut
from nestcut.again import Events, compare_plans
from nestcut.again.plan import continue_plan
from nestcut.model.held import Held
from nestcut.model.plan import VerifiedPlan
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from tests import mishaps

PARTS = Path(__file__).parents[3] / "parts"
N = len(mishaps.KINDS)


@cache
def planned(name: str, seconds: float | None) -> VerifiedPlan:
    job = nestcut.read_job(PARTS / name / "job.toml")
    return nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK, seconds=seconds))


def stock_of(verified: VerifiedPlan) -> Held:
    return Held(sheets=verified.job.sheet_stocks, boards=verified.job.board_stocks)


def after(old: VerifiedPlan, mishap: mishaps.Mishap, seconds: float | None) -> VerifiedPlan:
    return continue_plan(
        mishap.job,
        old.plan,
        Events(cut=mishap.cut, spoilt=mishap.spoilt),
        Settings(effort=Effort.QUICK),
        Deadline(seconds),
        Silent(),
        None if mishap.job is old.job else stock_of(old),
    )


def suffer(
    name: str, seed: int, seconds: float | None
) -> tuple[VerifiedPlan, VerifiedPlan, mishaps.Mishap]:
    old = planned(name, seconds)
    luck = np.random.default_rng(seed)
    mishap = mishaps.KINDS[seed % N](old.job, old.plan, luck)
    new = after(old, mishap, None)
    told = compare_plans(old.plan, new.plan)
    mishaps.check(mishaps.document_of(old), mishaps.document_of(new), mishap, told)
    return old, new, mishap


@pytest.mark.parametrize("seed", [8, 10, 13])
def test_a_mishap_on_the_punt(seed: int) -> None:
    suffer("punt", seed, 0.1)


def test_a_wall_spoilt_on_the_beach_boat_moves_nothing_that_is_cut() -> None:
    suffer("beach-boat", 6, 0.1)


@pytest.mark.deep
@pytest.mark.parametrize("seed", range(5 * N))
def test_forty_mishaps_on_the_demos(seed: int) -> None:
    name = ("punt", "beach-boat", "skiff")[seed % 3]
    old, new, mishap = suffer(name, seed, 30.0)
    assert new.plan.is_complete
    spent = mishaps.spent_minor(mishaps.document_of(new))
    if not spent:
        print(f"{name} {seed} {mishap.name}: nothing to buy")
        return
    document = mishaps.document_of(old)
    afresh = mishaps.cost_afresh_minor(mishap.job, document, new, Effort.QUICK)
    print(f"{name} {seed} {mishap.name}: {spent}, afresh {afresh} (minor units)")
    assert afresh is None or spent <= afresh
