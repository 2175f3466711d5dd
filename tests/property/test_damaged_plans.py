"""Each field of a plan file made untrue in turn, alone and with what goes with it.

A sample of the edits is tried in CI, all of them by hand: ``pytest -m deep
tests/property/test_damaged_plans.py``; what came of that stands in ``tests/benchmark/RESULTS.md``.
"""

from __future__ import annotations

import json
from functools import cache, lru_cache
from itertools import islice

import pytest

from nestcut.intake.job import read_job
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.planfile.write import plan_to_json
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.verify import tally, verify_plan
from tests.builders_demos import PARTS
from tests.builders_joined import joined_plan
from tests.damage.compound import compound_edits
from tests.damage.edits import single_edits
from tests.damage.judge import SEAL, is_harmless, refusal


@lru_cache(maxsize=4)
def proven(name: str) -> VerifiedPlan:
    """A plan: of the small job, or the first one of a demo, made before any search."""
    if name == "small job":
        return joined_plan()
    settings = Settings(effort=Effort.QUICK, seed=0, workers=1, seconds=None)
    desk = Desk(settings=settings, deadline=Deadline(0.0), watcher=Silent())
    return plan_job(read_job(PARTS / name / "job.toml"), desk)


SINGLE = [("small job", 60), ("punt", 80), ("beach-boat", 500)]
COMPOUND = [("small job", 20), ("punt", 25), ("beach-boat", 120)]


N_DAMAGES = 92


def deep(rows: list[tuple[str, int]]) -> list[object]:
    """A sample of each document, one in so many, and all of it by hand."""
    return [*rows, *(pytest.param(name, 1, marks=pytest.mark.deep) for name, _ in rows)]


@pytest.mark.parametrize(("name", "every"), deep(SINGLE))
def test_every_field_made_untrue_is_refused_or_listed(name: str, every: int) -> None:
    verified = proven(name)
    document = json.loads(plan_to_json(verified))
    assert refusal(document, verified.job) == set()
    passed = [
        edit.path
        for edit in single_edits(document, 1, every)
        if not refusal(edit.document, verified.job) and not is_harmless(edit.path)
    ]
    assert passed == []


@pytest.mark.parametrize(("name", "every"), deep(COMPOUND))
def test_fields_changed_together_are_refused_by_the_job(name: str, every: int) -> None:
    """The file agrees with itself, seal included: the verifier alone says what is wrong."""
    verified = proven(name)
    for what, plan in islice(compound_edits(verified.job, verified.plan), 0, None, every):
        refused_by_the_job(verified, plan, what)


def refused_by_the_job(verified: VerifiedPlan, plan: Plan, what: str) -> None:
    """See that a damaged plan is refused, and not by its seal."""
    assert plan != verified.plan, what
    written = VerifiedPlan(job=verified.job, plan=plan, checks=tally(verified.job, plan))
    codes = refusal(json.loads(plan_to_json(written)), verified.job)
    assert any(c.startswith("VER-") for c in codes), what
    assert SEAL not in codes, what


@cache
def damages() -> list[tuple[str, Plan]]:
    """The small job's plan damaged in every way."""
    verified = proven("small job")
    return list(compound_edits(verified.job, verified.plan))


@pytest.mark.deep
@pytest.mark.parametrize("number", range(N_DAMAGES))
def test_each_damage_of_the_small_job_is_refused(number: int) -> None:
    """One at a time, by the verifier alone: faults planted in it are tried on these."""
    what, plan = damages()[number]
    assert verify_plan(proven("small job").job, plan).findings, what


@pytest.mark.deep
def test_no_damage_of_the_small_job_is_passed_over() -> None:
    assert len(damages()) == N_DAMAGES
