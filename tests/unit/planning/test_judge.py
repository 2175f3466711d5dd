"""Joints of the whole plan against all rules; rails that may not be joined so; prices in words."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.boards import BoardsOutcome, JointWay
from nestcut.errors import InputError, Severity
from nestcut.joints.offers import Choice, FromWidth, KeptBack, Offer
from nestcut.model.joint import JointKind, JointRule, KeepClear, Measured
from nestcut.model.part import CutFrom, Hands
from nestcut.model.plan import Bound, Counted
from nestcut.planning.fit import find_misfits, find_oversize
from nestcut.planning.joints_told import Prices, only_way, rail_ways_told, widths_told
from nestcut.planning.judge import judge_joints
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.units import LengthStyle
from nestcut.words import Speech, speech_of, tell
from tests.builders import a_job, a_part, flat_pieces, rectangle
from tests.told import all_said, said


def test_neighbours_in_different_parts_are_held_against_each_other() -> None:
    """The stagger that one part asks for is measured at both, and reported once for each copy."""
    asks = JointRule(at_mm=(1000.0,), stagger_mm=200.0, stagger_with=("first",))
    first = a_part("first", shape=rectangle(2000, 300), joint=JointRule(at_mm=(900.0,)))
    second = a_part("second", shape=rectangle(2000, 300), joint=asks)
    job = a_job(sheet_parts=(first, second), rail_parts=())
    _, joints = flat_pieces(job)
    judged, findings = judge_joints(job, joints, ())
    assert [(s.what, s.has, s.limit) for j in judged for s in j.standings] == [
        ("second 1", 100.0, 200.0),
        ("first 1", 100.0, 200.0),
    ]
    assert [(f.code, f.where) for f in findings] == [
        ("JNT-006", "first 1"),
        ("JNT-006", "second 1"),
    ]
    again, more = judge_joints(job, joints, findings)
    assert (again, more) == (judged, ())


def test_port_has_nothing_to_do_with_starboard_neighbours() -> None:
    asks = JointRule(at_mm=(1000.0,), stagger_mm=200.0, stagger_with=("first",))
    first = a_part(
        "first", shape=rectangle(2000, 300), hands=Hands.PORT, joint=JointRule(at_mm=(900.0,))
    )
    second = a_part("second", shape=rectangle(2000, 300), hands=Hands.STARBOARD, joint=asks)
    job = a_job(sheet_parts=(first, second), rail_parts=())
    judged, findings = judge_joints(job, flat_pieces(job)[1], ())
    assert findings == ()
    assert all(not j.standings for j in judged)


def test_distances_of_a_plan_are_to_the_ends_and_to_every_rule() -> None:
    zone = KeepClear(from_mm=1600.0, to_mm=1700.0, reason="frame")
    panel = a_part(
        "panel", shape=rectangle(3000, 400), joint=JointRule(at_mm=(1500.0,), keep_clear=(zone,))
    )
    job = a_job(sheet_parts=(panel,), rail_parts=())
    ((joint,), findings) = judge_joints(job, flat_pieces(job)[1], ())
    assert joint.distances == (("the part's other end", 1500.0), ("the end of either piece", 24.0))
    assert [(s.measured, s.has, s.limit) for s in joint.standings] == [
        (Measured.KEEP_CLEAR, 126.0, 50.0)
    ]
    assert findings == ()


def test_a_part_longer_than_every_sheet_is_asked_about_once_how_it_is_joined() -> None:
    """Whether by label, click or closed gaps: nothing says that it comes out in one length."""
    long = a_part("side", shape=rectangle(3200, 684), hands=Hands.PAIR, count=2)
    upright = a_part("post", shape=rectangle(300, 2800))
    wide = a_part("raft", shape=rectangle(3200, 1900))
    short = a_part("seat", shape=rectangle(1100, 350))
    job = a_job(sheet_parts=(long, upright, wide, short), rail_parts=())

    found = find_oversize(job)

    asked = [(f.where, f.severity) for f in found if f.code == "JNT-116"]
    assert asked == [("side", Severity.QUESTION), ("post", Severity.QUESTION)]
    assert {f.where for f in found if f.code == "JOB-019"} == {"raft"}, "no joint helps that one"
    said = tell(found[0], speech_of(job)).message
    assert said.startswith(
        "'side' is 3200 mm long, and the longest that it can be cut from is 2440"
    )
    joined = replace(long, joint=JointRule())
    assert find_oversize(replace(job, sheet_parts=(joined, short))) == ()


@pytest.mark.parametrize(
    ("kind", "code"), [(JointKind.BUTT_STRAP, "JNT-112"), (JointKind.KEYED, "JNT-115")]
)
def test_rails_are_scarfed_or_refused_with_the_reason(kind: JointKind, code: str) -> None:
    job = a_job(sheet_parts=())
    rail = replace(job.rail_parts[0], joint=JointRule(kind=kind))
    job = replace(job, rail_parts=(rail,))
    (finding,) = find_misfits(job)
    assert (finding.code, finding.where) == (code, "rail")
    assert "scarf" in tell(finding, speech_of(job)).remedy
    desk = Desk(settings=Settings(effort=Effort.QUICK), deadline=Deadline(), watcher=Silent())
    with pytest.raises(InputError, match=code):
        plan_job(job, desk)


def test_ways_with_other_numbers_of_joints_are_told_with_what_they_cost() -> None:
    def outcome(measure: Counted, used: float = 1120.0) -> BoardsOutcome:
        kept = JointWay(name="larch", joints=1, cost_minor=1120, is_chosen=True)
        more = replace(kept, joints=3, cost_minor=500, is_chosen=False)
        none = replace(more, joints=0, cost_minor=2000)
        bound = Bound(name="larch", measure=measure, lower=1.0, used=used)
        return BoardsOutcome(joint_ways=(none, kept, more), bounds=(bound,))

    assert all_said(rail_ways_told(outcome(Counted.MONEY))) == (
        "larch: 11.20 EUR with 1 joint as planned; found as well: 20.00 EUR with no joints, "
        "5.00 EUR with 3 joints",
    )
    assert all_said(rail_ways_told(outcome(Counted.BOARDS))) == ()
    assert all_said(rail_ways_told(outcome(Counted.MONEY, used=990.0))) == ()


def _offer_of(*widths: FromWidth) -> Offer:
    part = a_part("cap", cut_from=CutFrom.BOARD)
    return Offer(part=part, choices=(Choice(at_mm=(2000.0,)),), equal=(), widths=widths)


NARROW = FromWidth(
    width_mm=195.0,
    pieces_mm=(2000.0, 1300.0, 900.0),
    cost_minor=3300.0,
    run_out=11.0,
    kept_back=(KeptBack.WIDTH,),
)
WIDE = replace(NARROW, width_mm=245.0, pieces_mm=(2300.0, 1900.0), cost_minor=4100.0, run_out=10.2)


def test_what_wider_boards_change_is_said_in_plain_words() -> None:
    assert all_said(widths_told(_offer_of(NARROW, WIDE), Prices.KNOWN)) == (
        "cap from boards 195 mm wide: 3 pieces, 33.00 EUR by the length they "
        "take, grain run-out 1:11 at worst, fewer are ruled out by the board's width",
        "cap from boards 245 mm wide: 2 pieces, 41.00 EUR by the length they "
        "take, grain run-out 1:10.2 at worst, fewer are ruled out by the board's width",
        "cap: from 245 mm on 2 pieces instead of 3, since the piece may bend more within the "
        "board, for 8.00 EUR more; 195 mm wide is the cheapest by length",
    )


def test_boards_that_change_nothing_or_are_too_narrow_are_said_so() -> None:
    by_grain = replace(NARROW, kept_back=(KeptBack.GRAIN,))
    dearer = replace(by_grain, width_mm=245.0, cost_minor=4100.0)
    told = all_said(widths_told(_offer_of(by_grain, dearer), Prices.KNOWN))[-1]
    assert told == (
        "cap: wider boards save no piece: the grain is the limit, and wider ones don't change "
        "that; 195 mm wide is the cheapest by length"
    )
    slim = FromWidth(width_mm=120.0)
    told = " ".join(all_said(widths_told(_offer_of(slim, NARROW), Prices.KNOWN)))
    assert "120 mm wide: no number of pieces will do" in told
    assert "from 195 mm on it can be made at all, in 3 pieces" in told
    assert all_said(widths_told(_offer_of(slim), Prices.KNOWN)) == (
        "cap from boards 120 mm wide: no number of pieces will do",
    )


def test_words_follow_the_builder_s_units_and_silence_about_prices() -> None:
    inches = Speech(style=LengthStyle.INCH, fraction=16)
    told = " ".join(all_said(widths_told(_offer_of(NARROW, WIDE), Prices.UNKNOWN), inches))
    assert " mm" not in told
    assert "33.00" not in told
    assert '7 11/16"' in told
    assert said(only_way(_offer_of(NARROW), Prices.UNKNOWN)[-1], inches) == (
        "cap: joint at 6'-6 3/4\"; the cheapest of the fewest pieces"
    )


def test_neighbour_that_no_part_is_called_by_is_an_error() -> None:
    rule = JointRule(at_mm=(1500.0,), stagger_mm=100.0, stagger_with=("plate", "plat"))
    panel = a_part("panel", shape=rectangle(3000, 400), joint=rule)
    job = a_job(sheet_parts=(a_part("plate"), panel), rail_parts=())
    (finding,) = find_misfits(job)
    assert (finding.code, finding.where) == ("JNT-113", "panel")
    assert "'plat'" in said(finding)
