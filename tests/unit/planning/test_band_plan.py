"""A cap planned from boards to a verified plan, and the verifier's eye for its grain."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.model.job import CuttingRules, Job
from nestcut.model.part import Hands
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.model.stock import BoardLength, BoardStock
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.verify import verify_plan
from tests.unit.joints.caps import sheer_cap

BOARD = BoardStock(
    name="18 x 220",
    material="larch",
    thickness_mm=18.0,
    width_mm=220.0,
    end_trim_mm=10.0,
    lengths=(BoardLength(length_mm=2800.0, price_minor=1820),),
)


@pytest.fixture(scope="module")
def verified() -> VerifiedPlan:
    """One cap, joints free, from boards 220 mm wide."""
    job = Job(
        name="cap",
        file="job.toml",
        sha256="",
        cutting=CuttingRules(kerf_mm=2.0),
        board_stocks=(BOARD,),
        sheet_parts=(replace(sheer_cap(4000.0), hands=Hands.NONE),),
    )
    desk = Desk(settings=Settings(effort=Effort.QUICK), deadline=Deadline(), watcher=Silent())
    return plan_job(job, desk)


def _with_first_turned(plan: Plan, turn_deg: float) -> Plan:
    sheet = plan.sheets[0]
    first, *rest = sheet.placements
    turned = replace(first, turn_deg=first.turn_deg + turn_deg)
    changed = replace(sheet, placements=(turned, *rest))
    return replace(plan, sheets=(changed, *plan.sheets[1:]))


def test_cap_is_planned_and_proven(verified: VerifiedPlan) -> None:
    plan = verified.plan
    assert plan.is_complete
    assert len(plan.pieces) == 3
    assert {s.stock for s in plan.sheets} == {"18 x 220"}
    assert len(plan.joints) == 2
    assert plan.notes


def test_piece_turned_further_than_its_grain_allows_is_refused(verified: VerifiedPlan) -> None:
    for turn in (7.0, -7.0, 90.0):
        verification = verify_plan(verified.job, _with_first_turned(verified.plan, turn))
        assert "VER-024" in [f.code for f in verification.findings]


def test_piece_with_another_grain_is_refused(verified: VerifiedPlan) -> None:
    """The grain written on a piece isn't believed where its part is no band."""
    plain = replace(verified.job.sheet_parts[0], width_along_mm=None)
    job = replace(verified.job, sheet_parts=(plain,))
    verification = verify_plan(job, verified.plan)
    assert "VER-009" in [f.code for f in verification.findings]
