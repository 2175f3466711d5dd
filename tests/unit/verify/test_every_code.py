"""Every code of the verifier has a plan that it alone is said of: one thing wrong, one code."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.planning.judge import judge_joints
from nestcut.verify import verify_plan
from nestcut.words import tell
from nestcut.words.codes.verify import SENTENCES
from nestcut.words.speech import Speech
from tests.builders import a_job, a_plan, rectangle
from tests.unit.verify.untrue import CASES
from tests.unit.verify.untrue.made import (
    a_holed_job,
    codes,
    grown_job,
    joined_twice,
    kept,
    pieces_changed,
)


def test_as_much_clear_wood_as_is_asked_for_is_enough() -> None:
    assert codes(*joined_twice(1520.0, 2480.0)) == set()
    assert codes(*joined_twice(1520.0, 2479.9)) == {"VER-066"}


@pytest.mark.parametrize("second_mm", [1940.0, 1940.0 - 1e-12, 1939.995])
def test_joints_that_touch_have_no_wood_between_them(second_mm: float) -> None:
    """Over each other by what the last digits make of it, they have less than is asked for."""
    assert codes(*joined_twice(1700.0, second_mm)) == {"VER-066"}
    job, plan = joined_twice(1700.0, second_mm, are_given=True)
    assert codes(job, plan) == {"VER-069"}
    told = judge_joints(job, plan.joints, ())[1]
    assert codes(job, replace(plan, findings=told)) == set()


def test_of_joints_that_run_into_each_other_the_piece_between_is_told() -> None:
    (found,) = verify_plan(*CASES["VER-064"]()).findings
    assert found.where == "rail 1 2/3"


@pytest.mark.parametrize("code", sorted(CASES))
def test_one_thing_wrong_has_one_code(code: str) -> None:
    job, plan = CASES[code]()
    findings = verify_plan(job, plan).findings

    assert {f.code for f in findings} == {code}
    for finding in findings:
        told = tell(finding, Speech())
        assert told.message
        assert told.remedy


def test_no_code_is_without_its_plan() -> None:
    """Whoever adds a code adds the plan that shows it."""
    assert set(CASES) == {c for c in SENTENCES if c.startswith("VER-")}


def test_a_net_outside_its_cut_is_refused() -> None:
    job = grown_job()
    plan = a_plan(job)
    assert codes(job, plan) == set()
    small = replace(plan.pieces[0].shape, outline=rectangle(399.0, 299.0).outline)
    assert codes(job, pieces_changed(plan, "plate 1", shape=small)) == {"VER-008"}


def test_a_good_plan_is_proven_and_what_was_looked_at_is_counted() -> None:
    for job in (a_job(), a_holed_job(), grown_job()):
        verification = verify_plan(job, kept(job, a_plan(job)))
        assert verification.findings == ()
        assert verification.is_proven
    counted = {f.code: f.values for f in verify_plan(a_job(), a_plan()).checks}
    assert counted["CHK-001"] == (("pieces", 8), ("parts", 4))
    assert counted["CHK-009"][0] == ("joints", 2)
    assert "CHK-011" not in counted  # nothing is told where there was nothing to look at
