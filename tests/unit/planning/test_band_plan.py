"""A cap planned from boards to a verified plan, and the verifier's eye for its grain."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.model.job import CuttingRules, Job
from nestcut.model.part import Hands
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.verify import verify_plan
from tests.unit.joints.caps import BOARD, sheer_cap


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
    """Joints along a curve aren't believed where their part is no band."""
    plain = replace(verified.job.sheet_parts[0], width_along_mm=None)
    job = replace(verified.job, sheet_parts=(plain,))
    verification = verify_plan(job, verified.plan)
    assert "VER-038" in [f.code for f in verification.findings]


def test_grain_is_measured_on_the_board_whatever_the_piece_says(verified: VerifiedPlan) -> None:
    """A piece whose grain is said to run otherwise, and which lies so, still runs out too far."""
    plan = verified.plan
    name = plan.sheets[0].placements[0].piece
    turned = _with_first_turned(plan, 4.0)
    pieces = tuple(
        replace(p, grain_deg=p.grain_deg - 4.0) if p.id == name else p for p in plan.pieces
    )
    found = verify_plan(verified.job, replace(turned, pieces=pieces)).findings
    assert ("VER-017", name) in [(f.code, f.where) for f in found]
    assert "VER-024" not in [f.code for f in found]


def test_steeper_limit_than_the_plan_was_made_for_is_found_out(verified: VerifiedPlan) -> None:
    part = verified.job.sheet_parts[0]
    assert part.joint is not None
    strict = replace(part, joint=replace(part.joint, run_out=14.0))
    found = verify_plan(replace(verified.job, sheet_parts=(strict,)), verified.plan).findings
    assert {f.code for f in found} == {"VER-017"}
    assert all(dict(f.values)["limit"] == "14" for f in found)


def test_joint_of_a_curve_is_measured_along_it(verified: VerifiedPlan) -> None:
    """A joint said to lie 3 mm further, or to overlap 1 mm less than it is cut, is refused."""
    plan = verified.plan
    first, *rest = plan.joints
    moved = replace(plan, joints=(replace(first, at_mm=first.at_mm + 3.0), *rest))
    assert "VER-012" in [f.code for f in verify_plan(verified.job, moved).findings]
    short = replace(plan, joints=(replace(first, overlap_mm=first.overlap_mm - 1.0), *rest))
    assert "VER-013" in [f.code for f in verify_plan(verified.job, short).findings]
