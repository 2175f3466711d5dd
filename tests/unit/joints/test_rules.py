"""Rules about joints: allowed stretches, findings that say why, numbers of joints, collisions."""

from dataclasses import replace

import numpy as np
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
    least_inner_piece_mm,
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


@pytest.mark.parametrize(
    ("rule", "least_mm"),
    [
        (JointRule(min_piece_mm=900.0), 1200.0),
        (JointRule(min_piece_mm=1500.0), 1500.0),
        (JointRule(), 1200.0),
        (JointRule(at_mm=(1000.0,)), 480.0),
        (JointRule(at_mm=(1000.0,), min_piece_mm=900.0), 900.0),
    ],
)
def test_clear_wood_makes_inner_pieces_longer_where_places_are_free(
    rule: JointRule, least_mm: float
) -> None:
    """Two overlaps of 240 mm and, unless the builder says where, three between them."""
    assert least_inner_piece_mm(replace(a_part(), rule=rule)) == least_mm


@pytest.mark.parametrize(
    ("at", "codes"),
    [
        ((740.0,), []), ((739.9,), ["JNT-003"]), ((4260.0,), []), ((4260.1,), ["JNT-003"]),
        ((1320.0, 1980.0), ["JNT-007"]), ((1320.0, 1979.9), ["JNT-003", "JNT-007"]),
        ((1320.0, 2280.0), []), ((1320.0, 2279.9), ["JNT-007"]),
    ],
)  # fmt: skip
def test_pieces_are_measured_with_overlaps_and_allowance(
    at: tuple[float, ...], codes: list[str]
) -> None:
    """End pieces of 900 mm: 740 + 120 + 40; inner ones: 660 + 240."""
    assert [f.code for f in check_positions(a_part(), at)] == codes


def test_a_stretch_may_leave_a_single_place() -> None:
    zone = KeepClear(from_mm=860.0, to_mm=4140.0, reason="case")
    assert allowed_positions(a_part(keep_clear=(zone,))) == ((740, 740), (4260, 4260))
    tight = KeepClear(from_mm=859.0, to_mm=4141.0, reason="case")
    assert allowed_positions(a_part(keep_clear=(tight,))) == ()


@pytest.mark.parametrize("seed", range(80))
def test_numbers_of_joints_against_every_place_tried(seed: int) -> None:
    """A part of round lengths, its places tried in steps of 10 mm one joint after the other."""
    draw = np.random.default_rng(seed)
    lengths = (10.0 * draw.integers(1, 400, 4)).tolist()
    zones = tuple(
        KeepClear(from_mm=a, to_mm=a + w, reason="z")
        for a, w in zip(lengths[:2], (10.0 * draw.integers(1, 60, 2)).tolist(), strict=True)
    )
    rule = JointRule(
        keep_clear=zones[: int(draw.integers(0, 3))],
        min_piece_mm=float(draw.choice([0.0, 300.0, 700.0])),
        max_joints=None if draw.random() < 0.7 else int(draw.integers(0, 3)),
        at_mm=None if draw.random() < 0.7 else (1.0,),
    )
    part = JoinedPart(
        name="rail",
        length_mm=1000.0 + 100.0 * float(draw.integers(0, 40)),
        overlap_mm=float(draw.choice([0.0, 60.0, 120.0])),
        rule=rule,
        allowance_mm=float(draw.choice([0.0, 20.0])),
    )
    longest = 600.0 + 100.0 * float(draw.integers(0, 24))
    assert possible_numbers(part, longest, 4) == _numbers_tried(part, longest, 4)


def _numbers_tried(part: JoinedPart, longest: float, most: int) -> tuple[int, ...]:
    half, over, least = part.overlap_mm / 2.0, part.allowance_mm, part.rule.min_piece_mm
    clear = 3.0 if part.rule.at_mm is None else 0.0
    inner = max(least, (2.0 + clear) * part.overlap_mm)
    places = [
        x
        for x in np.arange(0.0, part.length_mm + 1.0, 10.0).tolist()
        if half <= x <= part.length_mm - half
        and all(x + half <= z.from_mm or x - half >= z.to_mm for z in part.rule.keep_clear)
    ]

    def fits(x: float) -> bool:
        return least <= x + half + over <= longest

    here = [x for x in places if fits(x)]
    numbers = [0] if part.length_mm + 2.0 * over <= longest else []
    for k in range(1, most + 1):
        if part.rule.max_joints is not None and k > part.rule.max_joints:
            break
        if any(fits(part.length_mm - x) for x in here):
            numbers.append(k)
        here = [
            b for b in places if any(inner <= b - a + 2.0 * half <= longest for a in here)
        ]  # fmt: skip
    return tuple(numbers)
