"""Whole, given and free parts of a job, divided together."""

from __future__ import annotations

from dataclasses import replace

from nestcut.boards import JointPreference
from nestcut.errors import blocking
from nestcut.model.job import CuttingRules, Job
from nestcut.model.joint import JointRule, KeepClear
from nestcut.model.part import CutFrom, Hands, SheetPart
from nestcut.model.plan import StopReason
from nestcut.model.stock import BoardLength, BoardStock, SheetStock
from nestcut.planning.divide_job import DividedJob, divide_parts
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from tests.told import all_said, said
from tests.unit.joints.caps import sheer_cap
from tests.unit.joints.panels import plain_panel

SHEET = SheetStock(
    name="6 mm", material="ply", thickness_mm=6, length_mm=2440, width_mm=1220, price_minor=5800
)
BOARD = BoardStock(
    name="18 x 195",
    material="larch",
    thickness_mm=18.0,
    width_mm=195.0,
    end_trim_mm=10.0,
    lengths=(BoardLength(length_mm=2400.0, price_minor=1820),),
)


def _job(*parts: SheetPart) -> Job:
    return Job(
        name="test",
        file="job.toml",
        sha256="",
        cutting=CuttingRules(kerf_mm=2.0),
        sheet_stocks=(SHEET,),
        board_stocks=(BOARD,),
        sheet_parts=parts,
        currency="EUR",
    )


def _divide(job: Job, preference: JointPreference = JointPreference.BALANCED) -> DividedJob:
    return divide_parts(job, Settings(effort=Effort.QUICK), Deadline(), Silent(), preference)


def test_whole_given_and_free_parts_come_in_the_job_s_order() -> None:
    free = replace(plain_panel(3000.0, 590.0), name="free", hands=Hands.NONE)
    given = replace(free, name="given", joint=JointRule(at_mm=(1300.0,)))
    whole = replace(plain_panel(600.0, 300.0), name="whole", joint=None, hands=Hands.NONE)
    divided = _divide(_job(whole, free, given))
    assert [p.part for p in divided.made.pieces] == ["whole", "free", "free", "given", "given"]
    assert divided.made.joints[-1].at_mm == 1300.0
    assert divided.stopped_by is StopReason.WORK_DONE
    assert not blocking(divided.made.findings)


def test_free_joints_are_compared_with_equal_stretches_and_said_in_words() -> None:
    free = replace(plain_panel(3000.0, 590.0), count=2, joint=JointRule(max_joints=1))
    divided = _divide(_job(free), JointPreference.CHEAPEST)
    (comparison,) = divided.comparisons
    assert comparison.equal is not None
    assert comparison.chosen < comparison.equal
    assert comparison.chosen.cost_minor == 3 * 5800
    assert comparison.equal.cost_minor == 4 * 5800
    told = " ".join(all_said(divided.made.notes))
    assert "174.00 EUR" in told
    assert "232.00 EUR" in told


def test_cap_is_divided_on_its_boards_and_widths_are_compared() -> None:
    divided = _divide(_job(sheer_cap(4000.0)))
    assert len(divided.made.pieces) == 6
    assert {p.cut_from for p in divided.made.pieces} == {CutFrom.BOARD}
    assert any("boards 195 mm wide: 3 pieces" in n for n in all_said(divided.made.notes))


def test_impossible_rules_are_named_and_block_the_plan() -> None:
    rule = JointRule(
        max_joints=1, keep_clear=(KeepClear(from_mm=900.0, to_mm=3100.0, reason="centre case"),)
    )
    divided = _divide(_job(replace(plain_panel(4000.0), joint=rule)))
    (finding,) = blocking(divided.made.findings)
    assert finding.code == "JNT-110"
    assert "centre case" in said(finding)


def test_same_job_gives_the_same_positions() -> None:
    job = _job(replace(plain_panel(4000.0, 500.0), count=2, joint=JointRule()))
    first, second = _divide(job), _divide(job)
    assert first.made.joints == second.made.joints


def test_no_time_left_still_divides_and_says_so() -> None:
    job = _job(replace(plain_panel(4000.0, 500.0), joint=JointRule()))
    divided = divide_parts(
        job, Settings(effort=Effort.QUICK), Deadline(0.0), Silent(), JointPreference.BALANCED
    )
    assert divided.made.pieces
    assert divided.stopped_by is StopReason.TIME_UP
