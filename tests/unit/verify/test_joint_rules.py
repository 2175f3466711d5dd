"""Every joint rule is checked by the verifier itself; a plan that breaks one is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.boards import Rail, divide_rail
from nestcut.errors import Finding, Severity
from nestcut.geometry.pose import MIRROR, move_shape
from nestcut.joints.kinds import KINDS as SEARCHED
from nestcut.joints.split import split_part, whole_pieces
from nestcut.joints.straps import strap_parts
from nestcut.model.job import Job
from nestcut.model.joint import Face, JointAxis, JointKind, JointRule, KeepClear, Measured
from nestcut.model.part import Hands, SheetPart
from nestcut.model.plan import Plan
from nestcut.verify import verify_plan
from nestcut.verify.kinds import KINDS
from tests.builders import a_job, a_part, a_plan, flat_pieces, in_rows, judged, rectangle
from tests.unit.verify.untrue.made import kept

ZONE = KeepClear(from_mm=1980.0, to_mm=2020.0, reason="rowlock")


def _rail_job(rule: JointRule) -> Job:
    """The ready job, whose rail of 4000 mm is joined at 2000 mm by 240 mm, under another rule."""
    job = a_job()
    return replace(job, rail_parts=(replace(job.rail_parts[0], joint=rule),))


def _codes(job: Job, plan: Plan) -> list[str]:
    return [f.code for f in verify_plan(job, kept(job, judged(job, plan))).findings]


def _saying(plan: Plan, code: str, where: str) -> Plan:
    told = Finding(code=code, severity=Severity.WARNING, where=where, about=where)
    return replace(plan, findings=(*plan.findings, told))


BROKEN = [
    (JointRule(slope=12.0, keep_clear=(ZONE,)), "VER-016", "JNT-002"),
    (JointRule(slope=12.0, min_piece_mm=2150.0), "VER-018", "JNT-003"),
    (JointRule(slope=12.0, max_joints=0), "VER-063", "JNT-004"),
]


@pytest.mark.parametrize(("rule", "code", "own"), BROKEN)
def test_positions_that_the_search_chose_keep_every_rule(
    rule: JointRule, code: str, own: str
) -> None:
    """Owning up doesn't help where the positions were free."""
    plan = a_plan()
    assert _codes(_rail_job(JointRule(slope=12.0)), plan) == []
    assert set(_codes(_rail_job(rule), plan)) == {code}
    assert set(_codes(_rail_job(rule), _saying(plan, own, "rail"))) == {code}


@pytest.mark.parametrize(("rule", "code", "own"), BROKEN)
def test_given_positions_may_break_a_rule_if_the_plan_says_so(
    rule: JointRule, code: str, own: str
) -> None:
    job = _rail_job(replace(rule, at_mm=(2000.0,)))
    plan = a_plan()
    assert set(_codes(job, plan)) == {code}
    assert _codes(job, _saying(plan, own, "rail")) == []
    assert set(_codes(job, _saying(plan, own, "another rail"))) == {code}


def test_joints_that_the_job_gives_are_made() -> None:
    """A panel and a rail that fit whole are cut in two all the same, where the job says so."""
    whole = a_part("panel", shape=rectangle(1000, 300))
    plan = a_plan(a_job(sheet_parts=(whole,), rail_parts=()))
    for at_mm, wanted in (((500.0,), ["VER-015"]), ((), []), (None, [])):
        panel = replace(whole, joint=JointRule(at_mm=at_mm))
        assert _codes(a_job(sheet_parts=(panel,), rail_parts=()), plan) == wanted
    base, made = a_job(sheet_parts=()), a_plan()
    for at_mm, wanted in (((1000.0,), ["VER-015"]), ((), []), (None, [])):
        rule = JointRule(slope=12.0, at_mm=at_mm)
        rail = replace(base.rail_parts[0], length_mm=2000.0, joint=rule)
        pieces, joints = divide_rail(Rail(part=rail, hand=None, copy=1), ())
        cut = replace(made.boards[0].cuts[0], piece=pieces[0].id, from_mm=0.0, to_mm=2000.0)
        plan = replace(
            made,
            sheets=(),
            pieces=(),
            joints=joints,
            rail_pieces=pieces,
            boards=(replace(made.boards[0], cuts=(cut,)),),
            buy=made.buy[1:],
        )
        assert _codes(replace(base, rail_parts=(rail,)), plan) == wanted


def test_just_enough_is_enough() -> None:
    """A zone that ends where the overlap begins, a least piece as long as the piece."""
    beside = KeepClear(from_mm=1500.0, to_mm=1880.0, reason="frame")
    rule = JointRule(slope=12.0, keep_clear=(beside,), min_piece_mm=2120.0, max_joints=1)
    assert _codes(_rail_job(rule), a_plan()) == []


def _pair_job(stagger: float, **rule: object) -> Job:
    panel = a_part(
        "panel",
        shape=rectangle(2000, 300),
        hands=Hands.PAIR,
        joint=JointRule(stagger_mm=stagger, **rule),  # type: ignore[arg-type]
    )
    return a_job(sheet_parts=(panel,), rail_parts=())


def _plan_at(job: Job, port: float, starboard: float, *more: tuple[float, float]) -> Plan:
    """A plan of a pair (drawn: port), each joined at a place or at more of them."""
    places = ((port, starboard), *more)
    split = split_part(job.sheet_parts[0], tuple(p for p, _ in places), tuple(s for _, s in places))
    sheets = in_rows(split.pieces)
    given = a_plan(replace(job, sheet_parts=()))
    buy = replace(a_plan().buy[0], count=len(sheets))
    return replace(given, pieces=split.pieces, joints=split.joints, sheets=sheets, buy=(buy,))


def test_twins_abreast_are_refused() -> None:
    job = _pair_job(250.0)
    assert _codes(job, _plan_at(job, 900.0, 1150.0)) == []
    near = _plan_at(job, 900.0, 1149.0)
    assert set(_codes(job, near)) == {"VER-019"}
    assert _codes(job, _saying(near, "JNT-006", "panel")) == []
    assert _codes(_pair_job(0.0), near) == []


def test_the_nearest_joint_of_the_twin_counts() -> None:
    """Of two joints in either hand each tells how near the nearest one is."""
    job = _pair_job(150.0)
    far = _plan_at(job, 500.0, 800.0, (1000.0, 1300.0))
    assert _codes(job, far) == []
    told = [s for j in judged(job, far).joints for s in j.standings]
    assert {round(s.has) for s in told if s.measured is Measured.STAGGER} == {200, 300}


def test_neighbours_abreast_are_refused_from_either_side() -> None:
    """The rule of one part counts for both; a neighbour that isn't named doesn't."""
    rule = JointRule(at_mm=(900.0,))
    first = a_part("first", shape=rectangle(2000, 300), joint=rule)
    asks = replace(rule, stagger_mm=200.0, stagger_with=("first",))
    for second_rule, wanted in ((asks, {"VER-019"}), (replace(asks, stagger_with=()), set())):
        second = a_part(
            "second", shape=rectangle(2000, 300), joint=replace(second_rule, at_mm=(1000.0,))
        )
        job = a_job(sheet_parts=(first, second), rail_parts=())
        assert set(_codes(job, a_plan(job))) == wanted


def _strapped(face: Face, axis: JointAxis = JointAxis.LENGTH) -> tuple[Job, Plan]:
    rule = JointRule(kind=JointKind.BUTT_STRAP, at_mm=(200.0,), strap_face=face, axis=axis)
    panel = a_part("panel", shape=rectangle(1000, 420), hands=Hands.PAIR, joint=rule)
    job = a_job(sheet_parts=(panel,), rail_parts=())
    straps, _ = strap_parts(panel, rule, (200.0,), Hands.PAIR)
    return job, _with_straps(job, straps)


def _with_straps(job: Job, straps: tuple[SheetPart, ...]) -> Plan:
    pieces, joints = flat_pieces(job)
    pieces = (*pieces, *(p for s in straps for p in whole_pieces(s)))
    return replace(
        a_plan(job), pieces=pieces, joints=joints, sheets=in_rows(pieces), added_parts=straps
    )


@pytest.mark.parametrize("face", list(Face))
@pytest.mark.parametrize("axis", list(JointAxis))
def test_every_butt_has_its_strap(face: Face, axis: JointAxis) -> None:
    job, plan = _strapped(face, axis)
    assert set(_codes(job, plan)) <= {"VER-024"}  # rows of pieces don't mind the grain
    assert "VER-050" in _codes(job, _with_straps(job, ()))


def test_straps_of_the_wrong_size_face_hand_or_number_are_refused() -> None:
    job, plan = _strapped(Face.BACK)
    (strap,) = plan.added_parts
    panel = job.sheet_parts[0]
    rule = panel.joint
    assert rule is not None
    slim = replace(rule, strap_width_thicknesses=15.0)
    narrow, _ = strap_parts(panel, slim, (200.0,), Hands.PAIR)
    wrong_face = replace(strap, shape=move_shape(strap.shape, MIRROR))
    for bad, code in (
        (narrow[0], "VER-050"),
        (wrong_face, "VER-050"),
        (replace(strap, hands=Hands.PORT), "VER-050"),
        (replace(strap, count=2), "VER-009"),
        (replace(strap, shape=replace(strap.shape, marks=())), "VER-050"),
        (replace(strap, material="pine"), "VER-009"),
    ):
        assert code in _codes(job, _with_straps(job, (bad,)))
    assert "VER-051" in _codes(job, _with_straps(job, (strap, replace(strap, name="spare"))))


def test_a_strap_is_made_in_no_hand_that_has_no_joint_there() -> None:
    rule = JointRule(kind=JointKind.BUTT_STRAP)
    panel = a_part("panel", shape=rectangle(1000, 420), hands=Hands.PAIR, joint=rule)
    job = a_job(sheet_parts=(panel,), rail_parts=())
    made = split_part(panel, (200.0,), (260.0,))
    assert {s.hands for s in made.straps} == {Hands.PORT, Hands.STARBOARD}
    for hands in ({}, *({s.name: Hands.PAIR} for s in made.straps)):
        straps = tuple(replace(s, hands=hands.get(s.name, s.hands)) for s in made.straps)
        pieces = (*made.pieces, *(p for s in straps for p in whole_pieces(s)))
        sheets = in_rows(pieces)
        plan = replace(
            a_plan(job), pieces=pieces, joints=made.joints, sheets=sheets, added_parts=straps
        )
        assert ("VER-051" in _codes(job, plan)) is bool(hands)


@pytest.mark.parametrize("kind", JointKind)
@pytest.mark.parametrize("thickness", [4.0, 6.0, 18.0])
def test_how_far_a_joint_reaches_is_worked_out_twice(kind: JointKind, thickness: float) -> None:
    rule = JointRule(kind=kind, slope=9.0, strap_width_thicknesses=17.0, key_bit_mm=8.0)
    searched = SEARCHED[kind].reach_mm(rule, thickness)

    assert searched > 0.0
    assert KINDS[kind].reach_mm(rule, thickness) == pytest.approx(searched)
