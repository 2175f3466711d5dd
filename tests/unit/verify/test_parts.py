"""What pieces say of themselves is their part's, and one fault doesn't hide another."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.model.joint import JointRule
from nestcut.model.part import Hands, Turning
from nestcut.verify import verify_plan
from tests.builders import a_job, a_part, a_plan, judged, rectangle
from tests.unit.verify.untrue.joints import a_band, rail_changed
from tests.unit.verify.untrue.made import codes, joint_changed, pieces_changed
from tests.unit.verify.untrue.pieces import crossing
from tests.unit.verify.untrue.sheets import laid


def test_one_fault_doesnt_hide_another() -> None:
    """What can be looked at without the faulty shape is looked at; a crossed outline can't be."""
    noted = pieces_changed(a_plan(), "plate 1", note="in oak")
    over = laid(noted, "plate 2", shift_mm=(-0.5, 0.0))
    assert {"VER-009", "VER-025"} <= codes(a_job(), over)
    job, crossed = crossing()
    both = pieces_changed(crossed, "plate 2", note="in oak")
    apart = laid(both, "plate 1", shift_mm=(-0.5, 0.0))
    told = {f.code for f in verify_plan(job, apart).findings}
    assert "VER-005" in told
    assert "VER-025" not in told


def test_a_small_angle_is_the_parts_own() -> None:
    """A whole piece that says another angle than its part is refused, smaller as well as larger."""
    part = a_part("plate", turning=Turning.SMALL, small_angle_deg=4.0)
    job = a_job(sheet_parts=(part,), rail_parts=())
    for angle_deg in (3.0, 0.0, 5.0):
        bad = pieces_changed(a_plan(job), "plate 1", small_angle_deg=angle_deg)
        assert codes(job, bad) == {"VER-009"}


@pytest.mark.parametrize(("angle_deg", "may"), [(0.0, True), (0.5, True), (-0.5, False)])
def test_a_bands_piece_may_turn_less_than_its_part(
    angle_deg: float,
    may: bool,  # noqa: FBT001
) -> None:
    job, plan = a_band()
    part = replace(job.sheet_parts[0], turning=Turning.SMALL, small_angle_deg=4.0)
    job = replace(job, sheet_parts=(part,))
    for piece in plan.pieces:
        plan = pieces_changed(plan, piece.id, turning=Turning.SMALL, small_angle_deg=angle_deg)
    assert ("VER-009" in codes(job, plan)) is not may


@pytest.mark.parametrize(
    ("run_out", "may"), [(110.0, True), (113.0, True), (125.0, False), (150.0, False)]
)
def test_the_grain_of_a_band_runs_out_as_far_as_may_be(run_out: float, may: bool) -> None:  # noqa: FBT001
    """Drawn half a degree off its board: 1 in 114.6."""
    job, plan = a_band()
    rule = replace(job.sheet_parts[0].joint or JointRule(), run_out=run_out)
    job = replace(job, sheet_parts=(replace(job.sheet_parts[0], joint=rule),))
    assert ("VER-017" in codes(job, judged(job, plan))) is not may


def test_rails_that_nobody_asked_for_or_that_lack_a_share_are_told_once() -> None:
    """What can't be held against its rail isn't looked at further, and stops nothing."""
    plan = a_plan()
    unasked = verify_plan(a_job(rail_parts=()), plan).findings
    assert "VER-003" in {f.code for f in unasked}
    assert not {f.code for f in unasked} & {"VER-009", "VER-010", "VER-014"}
    for number in (0, 1):
        assert codes(a_job(), rail_changed(plan, number, share=3)) == {"VER-004"}
        assert codes(a_job(), rail_changed(plan, number, copy=2)) >= {"VER-003", "VER-004"}
    for changed in ({"share": 3}, {"n_shares": 3}):
        for piece in ("panel 1 1/2", "panel 1 2/2"):
            assert codes(a_job(), pieces_changed(plan, piece, **changed)) == {"VER-004"}


@pytest.mark.parametrize("wrong", [{"grain_deg": 2.0}, {"small_angle_deg": 3.0}])
def test_only_pieces_of_a_divided_band_have_a_lean_of_their_own(wrong: dict[str, float]) -> None:
    """A plate's grain runs as its part's does, and so does that of a band in one piece."""
    turns: dict[str, object] = {"turning": Turning.SMALL, "small_angle_deg": 4.0}
    for width_mm in (None, 300.0):
        part = a_part("plate", **turns, width_along_mm=width_mm)
        job = a_job(sheet_parts=(part,), rail_parts=())
        assert codes(job, a_plan(job)) == set()
        assert codes(job, pieces_changed(a_plan(job), "plate 1", **wrong)) == {"VER-009"}


@pytest.mark.parametrize("wrong", [{"grain_deg": 2.0}, {"small_angle_deg": 3.0}])
def test_the_grain_of_plywood_doesnt_follow_a_band(wrong: dict[str, float]) -> None:
    """Sheets have one grain: pieces of a band from them lie as the part is drawn."""
    turns: dict[str, object] = {"turning": Turning.SMALL, "small_angle_deg": 4.0}
    rule = JointRule(at_mm=(600.0,))
    part = a_part("cap", shape=rectangle(1200, 90), width_along_mm=90.0, joint=rule, **turns)
    job = a_job(sheet_parts=(part,), rail_parts=())
    assert codes(job, a_plan(job)) == set()
    for piece in ("cap 1 1/2", "cap 1 2/2"):
        assert codes(job, pieces_changed(a_plan(job), piece, **wrong)) == {"VER-009"}


def test_a_rails_ends_are_planed_as_its_joint_says() -> None:
    plan = a_plan()
    for number, rail in enumerate(plan.rail_pieces):
        (end,) = rail.ends
        (joint,) = (j for j in plan.joints if j.id == end.joint)
        other = next(face for face in joint.planed if face != end.planed)
        for ends in ((), (replace(end, planed=other),), (end, end)):
            assert codes(a_job(), rail_changed(plan, number, ends=ends)) == {"VER-039"}


def test_a_joint_is_of_a_hand_that_there_is() -> None:
    """Whoever writes another word is told so; port and starboard are words that pass."""
    plan = a_plan()
    assert codes(a_job(), joint_changed(plan, 0, hand="middle")) == {"VER-038"}
    part = a_part("panel", shape=rectangle(2000, 300), hands=Hands.PAIR)
    job = a_job(sheet_parts=(replace(part, joint=JointRule(at_mm=(900.0,))),), rail_parts=())
    assert {j.hand for j in a_plan(job).joints} == {"port", "starboard"}
    assert not codes(job, a_plan(job)) & {"VER-038", "VER-010"}
