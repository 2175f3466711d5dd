"""Rails without joints or with given ones: ripping, crosscutting, defects, what is left out."""

import pytest

from nestcut.errors import Severity
from nestcut.model.joint import JointKind, JointRule, KeepClear
from nestcut.model.part import Hands
from nestcut.model.stock import Defect
from nestcut.verify import verify_plan
from nestcut.words import Speech, tell
from tests.benchmark.rails import plan_of
from tests.told import all_said, said
from tests.unit.boards.rails_to_cut import a_board, a_job, a_rail, cut


def test_strips_of_a_board_are_a_kerf_apart() -> None:
    """Two 45 mm strips and a kerf come out of 95 mm; three rails of 45 need two boards."""
    job = a_job((a_rail(length=2000.0, count=3),), (a_board((2400.0, 900), width=95.0),))
    outcome = cut(job)

    assert len(outcome.layouts) == 2
    spans = sorted({(c.rip_from_mm, c.rip_to_mm) for b in outcome.layouts for c in b.cuts})
    assert spans == [(0.0, 45.0), (48.0, 93.0)]
    assert verify_plan(job, plan_of(job, outcome)).is_proven


def test_strips_of_different_widths_share_a_board() -> None:
    rails = (a_rail("a", 2300.0, section=(20.0, 60.0)), a_rail("b", 2300.0, section=(20.0, 30.0)))
    outcome = cut(a_job(rails, (a_board((2400.0, 900), width=95.0),)))

    assert len(outcome.layouts) == 1
    assert outcome.bounds[0].is_proven_optimal


def test_the_board_may_be_as_thick_as_either_dimension() -> None:
    board = a_board((2400.0, 900), thickness=45.0, width=95.0)
    (layout,) = cut(a_job((a_rail(length=2000.0, count=4),), (board,))).layouts
    assert [c.rip_to_mm - c.rip_from_mm for c in layout.cuts] == [20.0] * 4


def test_pieces_stay_clear_of_defects_and_trims() -> None:
    knot = Defect(from_mm=1000.0, to_mm=1040.0, reason="knot")
    board = a_board((3000.0, 900), to_hand=(2400.0,), defects=(knot,), end_trim=10.0)
    job = a_job((a_rail(length=980.0), a_rail("b", 1300.0)), (board,))
    outcome = cut(job)

    (layout,) = outcome.layouts
    assert layout.length_mm == 2400.0
    assert {(c.from_mm, c.to_mm) for c in layout.cuts} == {(10.0, 990.0), (1040.0, 2340.0)}
    assert outcome.bounds[0].used == 0
    assert verify_plan(job, plan_of(job, outcome)).is_proven


def test_a_narrow_crack_still_costs_a_kerf() -> None:
    """A defect narrower than the saw doesn't let pieces come closer than a kerf."""
    crack = Defect(from_mm=1000.0, to_mm=1001.0, reason="crack")
    board = a_board(to_hand=(2000.0,), defects=(crack,))
    job = a_job((a_rail(length=1000.0), a_rail("b", 997.0)), (board,))
    outcome = cut(job)

    (layout,) = outcome.layouts
    assert sorted(c.from_mm for c in layout.cuts) == [0.0, 1003.0]


def test_given_joints_are_kept_and_counted_once() -> None:
    rule = JointRule(slope=12.0, at_mm=(2600.0,))
    job = a_job((a_rail(joint=rule, hands=Hands.PAIR, allowance=40.0),), (a_board((3000.0, 1000)),))
    outcome = cut(job)

    assert [j.at_mm for j in outcome.joints] == [2600.0, 2600.0]
    assert [p.length_mm for p in outcome.pieces] == [2760.0, 2460.0] * 2
    assert verify_plan(job, plan_of(job, outcome)).is_proven


def test_given_joints_that_break_rules_are_told() -> None:
    frame = KeepClear(from_mm=2500.0, to_mm=2700.0, reason="frame 3")
    rule = JointRule(slope=12.0, at_mm=(2600.0,), keep_clear=(frame,), stagger_mm=300.0)
    outcome = cut(a_job((a_rail(joint=rule, hands=Hands.PAIR),), (a_board((3000.0, 1000)),)))

    assert {f.code for f in outcome.findings} >= {"JNT-002", "JNT-006"}
    assert any("frame 3" in text for text in all_said(outcome.joints[0].rule_findings))


def test_given_joints_off_the_rail_are_an_error() -> None:
    rule = JointRule(slope=12.0, at_mm=(100.0,))
    outcome = cut(a_job((a_rail(joint=rule),), (a_board((6000.0, 1000)),)))
    assert [f.severity for f in outcome.findings if f.code == "BRD-006"] == [Severity.ERROR]


def test_a_butt_takes_no_overlap() -> None:
    rule = JointRule(kind=JointKind.BUTT_STRAP, at_mm=(2500.0,))
    outcome = cut(a_job((a_rail(joint=rule),), (a_board((3000.0, 1000)),)))
    assert sum(p.length_mm for p in outcome.pieces) == pytest.approx(4900.0)


def test_what_fits_no_board_is_named() -> None:
    rails = (
        a_rail("long", 5000.0),
        a_rail("thick", 900.0, section=(30.0, 50.0)),
        a_rail("ok", 900.0),
    )
    outcome = cut(a_job(rails, (a_board((3000.0, 1000)),)))

    reasons = {u.piece: said(u.reason) for u in outcome.unplaced}
    assert set(reasons) == {"long 1", "thick 1"}
    assert "3000 mm" in reasons["long 1"]
    assert "no larch board is 30 mm or 50 mm thick" in reasons["thick 1"]
    assert [c.piece for b in outcome.layouts for c in b.cuts] == ["ok 1"]


def test_stock_to_hand_that_runs_out_leaves_least_behind() -> None:
    outcome = cut(a_job((a_rail(length=1400.0, count=5),), (a_board(to_hand=(3000.0,)),)))

    assert len(outcome.unplaced) == 3
    assert "used up" in said(outcome.unplaced[0].reason)
    assert all(tell(f, Speech()).remedy for f in outcome.findings)


def test_without_prices_boards_are_counted() -> None:
    outcome = cut(a_job((a_rail(length=1400.0, count=4),), (a_board((3000.0, 0)),)))
    assert (outcome.bounds[0].measure, outcome.bounds[0].used) == ("boards", 2)


def test_without_prices_mixed_lengths_are_weighed_by_volume() -> None:
    outcome = cut(a_job((a_rail(length=1400.0),), (a_board((3000.0, 0), (1500.0, 0)),)))
    assert outcome.bounds[0].measure == "cm3 of wood"
    assert [b.length_mm for b in outcome.layouts] == [1500.0]


def test_nothing_to_cut() -> None:
    assert cut(a_job((), (a_board((3000.0, 1000)),))).layouts == ()


def test_solvers_keep_quiet(capfd: pytest.CaptureFixture[str]) -> None:
    """A dive that takes more boards than there are is given up without a word from the solver."""
    kinds = [(2150.0, 30.0, 1), (1530.0, 30.0, 1), (1360.0, 60.0, 4), (470.0, 45.0, 4)]
    rails = tuple(
        a_rail(f"rail {k}", length, section=(20.0, width), count=n)
        for k, (length, width, n) in enumerate(kinds)
    )
    job = a_job(rails, (a_board((3000.0, 1200), width=95.0, to_hand=(1500.0, 2400.0)),))
    outcome = cut(job)

    assert verify_plan(job, plan_of(job, outcome)).is_proven
    assert capfd.readouterr() == ("", "")
