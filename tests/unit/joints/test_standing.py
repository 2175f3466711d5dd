"""A joint measured against every rule of its part."""

from __future__ import annotations

import pytest

from nestcut.joints.rules import JoinedPart, Neighbour
from nestcut.joints.standing import standings
from nestcut.model.joint import JointRule, KeepClear, Measured, Standing

RULE = JointRule(
    slope=12.0,
    keep_clear=(
        KeepClear(from_mm=2300.0, to_mm=2400.0, reason="frame 3"),
        KeepClear(from_mm=1500.0, to_mm=1600.0, reason="rowlock"),
    ),
    min_piece_mm=900.0,
    max_joints=2,
    stagger_mm=300.0,
)
PART = JoinedPart(name="rail", length_mm=5000.0, overlap_mm=240.0, rule=RULE, allowance_mm=30.0)
TWIN = (Neighbour(name="rail S1", at_mm=(1700.0, 3900.0)), 300.0)


def _measured(at_mm: tuple[float, ...], index: int) -> dict[Measured, list[Standing]]:
    found: dict[Measured, list[Standing]] = {}
    for s in standings(PART, at_mm, index, (TWIN,), (12.0, 11.0, 9.0)):
        found.setdefault(s.measured, []).append(s)
    return found


def test_every_rule_is_measured() -> None:
    """Worked by hand: overlap 1880 to 2120, pieces 0-2120, 1880-3720, 3480-5000 with allowance."""
    own = _measured((2000.0, 3600.0), 0)
    assert set(own) == set(Measured)
    assert [s.has - s.limit for s in own[Measured.KEEP_CLEAR]] == [180.0, 280.0]
    assert [s.what for s in own[Measured.KEEP_CLEAR]] == ["frame 3", "rowlock"]
    assert own[Measured.STAGGER] == [
        Standing(measured=Measured.STAGGER, what="rail S1", has=300.0, limit=300.0)
    ]
    (least,) = own[Measured.LEAST_PIECE]
    assert (least.what, least.has, least.limit) == ("piece 2 of 3", 1840.0, 900.0)
    (wood,) = own[Measured.CLEAR_WOOD]
    assert (wood.has, wood.limit) == (1360.0, 720.0)
    (most,) = own[Measured.MOST_JOINTS]
    assert (most.has, most.limit) == (2.0, 2.0)
    (grain,) = own[Measured.RUN_OUT]
    assert (grain.what, grain.has, grain.limit) == ("piece 2 of 3", 11.0, 10.0)
    assert all(s.is_kept for row in own.values() for s in row)


def test_broken_rules_are_measured_too() -> None:
    own = _measured((2200.0, 4320.0), 1)
    clear = _measured((2200.0, 4320.0), 0)[Measured.KEEP_CLEAR]
    assert [s.has - s.limit for s in clear] == [-20.0, 480.0]
    assert [s.is_kept for s in clear] == [False, True]
    (least,) = own[Measured.LEAST_PIECE]
    assert (least.has, least.is_kept) == (830.0, False)
    assert Measured.CLEAR_WOOD not in own
    assert not own[Measured.RUN_OUT][0].is_kept
    assert not Standing(measured=Measured.MOST_JOINTS, what="", has=3.0, limit=2.0).is_kept


def test_rules_that_a_part_does_not_have_are_left_out() -> None:
    bare = JoinedPart(name="rail", length_mm=5000.0, overlap_mm=240.0, rule=JointRule())
    assert standings(bare, (2500.0,), 0, ()) == ()
    assert standings(bare, (2500.0,), 0, (), (float("inf"), float("inf"))) == ()
    with pytest.raises(IndexError):
        standings(bare, (2500.0,), 1, ())
