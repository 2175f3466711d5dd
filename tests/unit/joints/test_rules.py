"""Rules about joints: allowed stretches, findings that say why, numbers of joints, collisions."""

from dataclasses import replace

import pytest

from nestcut.errors import Severity
from nestcut.joints.arithmetic import equal_positions_mm
from nestcut.joints.collisions import colliding_rules
from nestcut.joints.rules import (
    JoinedPart,
    Neighbour,
    allowed_positions,
    check_positions,
    distances,
    possible_numbers,
)
from nestcut.model.joint import JointRule, KeepClear
from nestcut.words import SENTENCES
from tests.told import all_said, said


def _colliding(part: JoinedPart, longest_mm: float) -> tuple[str, ...]:
    return all_said(colliding_rules(part, longest_mm))


FRAME = KeepClear(from_mm=1000, to_mm=1200, reason="frame 2")
ROWLOCK = KeepClear(from_mm=2400, to_mm=2600, reason="rowlock")


def a_part(**changes: object) -> JoinedPart:
    """A 5 m rail with 240 mm scarfs, two keep-clear stretches and a least piece of 900 mm."""
    rule = JointRule(slope=12, keep_clear=(FRAME, ROWLOCK), min_piece_mm=900)
    part = JoinedPart(name="gunwale", length_mm=5000, overlap_mm=240, rule=rule, allowance_mm=40)
    return replace(part, rule=replace(rule, **changes))  # type: ignore[arg-type]


def test_allowed_positions_keep_the_whole_overlap_clear() -> None:
    """Half an overlap each side of frame 2 and the rowlock; end pieces of 900 mm with allowance."""
    assert allowed_positions(a_part()) == ((740, 880), (1320, 2280), (2720, 4260))


def test_allowed_positions_may_be_none() -> None:
    wall = KeepClear(from_mm=0, to_mm=5000, reason="everything")
    assert allowed_positions(a_part(keep_clear=(wall,))) == ()


def test_zones_that_overlap_are_one() -> None:
    other = KeepClear(from_mm=1100, to_mm=1500, reason="knee")
    assert allowed_positions(a_part(keep_clear=(FRAME, other)))[1][0] == 1620


@pytest.mark.parametrize("at", [880.0, 1320.0, 2280.0, 2720.0])
def test_a_joint_may_touch_a_keep_clear_stretch(at: float) -> None:
    assert check_positions(a_part(min_piece_mm=0.0), (at,)) == ()


@pytest.mark.parametrize(
    ("at", "code", "why"),
    [
        ((1250.0,), "JNT-002", "hardest bend"),
        ((60.0,), "JNT-001", "end of the part"),
        ((600.0,), "JNT-003", "short piece"),
        ((1400.0, 1600.0), "JNT-005", "run into each other"),
    ],
)
def test_broken_rules_say_why(at: tuple[float, ...], code: str, why: str) -> None:
    findings = [f for f in check_positions(a_part(), at) if f.code == code]

    assert findings
    assert why in said(findings[0])
    assert SENTENCES[findings[0].code].remedy
    assert findings[0].severity is Severity.WARNING


def test_too_many_joints() -> None:
    findings = check_positions(a_part(max_joints=1), (1700.0, 3400.0))
    assert [f.code for f in findings] == ["JNT-004"]


def test_stagger_is_measured_from_middle_to_middle() -> None:
    part = a_part(stagger_mm=300)
    twin = Neighbour(name="gunwale S1", at_mm=(2000.0,))

    assert check_positions(part, (1700.0,), (twin,)) == ()
    findings = check_positions(part, (1701.0,), (twin,))
    assert [f.code for f in findings] == ["JNT-006"]
    assert "gunwale S1" in said(findings[0])
    assert "abreast" in said(findings[0])


def test_distances_are_signed() -> None:
    near = Neighbour(name="twin", at_mm=(1000.0, 2100.0))
    found = dict(distances(a_part(stagger_mm=300), 1300.0, (near,)))
    assert found == {"frame 2": -20.0, "rowlock": 980.0, "twin": 300.0}


def test_possible_numbers() -> None:
    """One joint needs pieces of 2610 mm at least; 2000 mm boards need two or more."""
    part = a_part()
    assert possible_numbers(part, 5080.0, 3) == (0, 1, 2, 3)
    assert possible_numbers(part, 3000.0, 3) == (1, 2, 3)
    assert possible_numbers(part, 2000.0, 3) == (2, 3)


def test_possible_numbers_see_what_lengths_alone_do_not() -> None:
    """2700 mm boards reach by length, but the only middle that works lies in the rowlock."""
    assert possible_numbers(a_part(keep_clear=()), 2700.0, 1) == (1,)
    assert possible_numbers(a_part(), 2700.0, 1) == ()


def test_collision_names_the_smallest_set() -> None:
    part = a_part(max_joints=1)
    words = _colliding(part, 2700.0)

    assert any("rowlock" in w and "at most 1 joint" in w for w in words)
    assert not any("frame 2" in w for w in words)
    assert "2700 mm" in words[-1]


def test_several_collisions_at_once_are_all_named() -> None:
    """A least piece longer than any board, and beside it one joint that only fits the rowlock."""
    *sets, stock = _colliding(a_part(min_piece_mm=3100.0, max_joints=1), 2700.0)
    assert len(sets) == 2
    assert sets[0] == "no piece is shorter than 3100 mm"
    assert "rowlock" in sets[1]
    assert sets[1].endswith("together with at most 1 joint")
    assert "2700 mm" in stock


def test_rules_that_can_be_kept_do_not_collide() -> None:
    assert _colliding(a_part(), 3000.0) == ()


def test_least_piece_longer_than_the_stock() -> None:
    words = _colliding(a_part(min_piece_mm=3100.0), 3000.0)
    assert words[0] == "no piece is shorter than 3100 mm"


def test_equal_positions() -> None:
    assert equal_positions_mm(4800.0, 3) == (1600.0, 3200.0)


def test_less_clear_wood_than_spars_have_is_noted() -> None:
    """Overlaps of 240 mm: 720 mm of clear wood between them, so 960 mm from middle to middle."""
    part = a_part(keep_clear=(), min_piece_mm=0)
    assert check_positions(part, (1500.0, 2460.0)) == ()
    (note,) = check_positions(part, (1500.0, 2459.0))
    assert (note.code, note.severity) == ("JNT-007", Severity.NOTE)
    assert "719 mm" in said(note)
    butts = replace(part, overlap_mm=0.0)
    assert check_positions(butts, (1500.0, 1510.0)) == ()
