"""Positions on offer obey the rules and give pieces that fit; equal stretches are among them."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from nestcut.geometry.polygons import bounds_mm
from nestcut.joints import candidates
from nestcut.joints.candidates import are_staggered, offer_more, offer_positions
from nestcut.joints.fitting import Fit
from nestcut.joints.offers import Offer
from nestcut.joints.split import split_part
from nestcut.model.joint import JointAxis, JointKind, JointRule, KeepClear
from nestcut.model.part import Grain, SheetPart, Turning
from nestcut.model.stock import SheetGrain, SheetStock
from tests.told import all_said, said
from tests.unit.joints.panels import curved_panel, plain_panel

SHEET = SheetStock(name="6 mm", material="ply", thickness_mm=6, length_mm=2440, width_mm=1220)


def _offer(part: SheetPart, rule: JointRule, sheet: SheetStock = SHEET) -> Offer:
    return offer_positions(replace(part, joint=rule), (sheet,))


def _fits(part: SheetPart, at: tuple[float, ...], sheet: SheetStock = SHEET) -> bool:
    for piece in split_part(part, at).pieces:
        a, b, c, d = bounds_mm(piece.shape.outline.points)
        if c - a > sheet.length_mm + 1e-6 or d - b > sheet.width_mm + 1e-6:
            return False
    return True


@pytest.mark.parametrize("length", [2500.0, 4000.0, 4800.0, 4832.0, 4833.0, 7000.0])
def test_every_way_offered_fits_the_sheet(length: float) -> None:
    part = plain_panel(length)
    offer = _offer(part, JointRule())
    assert offer.choices
    assert all(_fits(part, c.at_mm) for c in offer.choices)


@pytest.mark.parametrize(("length", "fewest"), [(2440.0, 0), (4832.0, 1), (4833.0, 2), (7224.0, 2)])
def test_fewest_joints_follow_the_joined_length(length: float, fewest: int) -> None:
    """n b - (n - 1) s t: two sheets at 8:1 in 6 mm make 4832 mm, three 7224 (plane geometry)."""
    offer = _offer(plain_panel(length), JointRule())
    assert len(offer.choices[0].at_mm) == fewest


def test_allowance_shortens_what_fits() -> None:
    offer = _offer(replace(plain_panel(4820.0), allowance_mm=10.0), JointRule())
    assert len(offer.choices[0].at_mm) == 2


def test_equal_stretches_are_on_offer() -> None:
    offer = _offer(plain_panel(4000.0), JointRule())
    assert offer.equal[0].at_mm == (2000.0,)
    assert set(offer.equal) <= set(offer.choices)


def test_no_joint_in_a_stretch_to_keep_clear() -> None:
    zone = KeepClear(from_mm=1900.0, to_mm=2300.0, reason="frame")
    offer = _offer(plain_panel(4000.0), JointRule(keep_clear=(zone,)))
    assert offer.choices
    for choice in offer.choices:
        assert all(at + 24.0 <= 1900.0 or at - 24.0 >= 2300.0 for at in choice.at_mm)
    assert (1876.0,) in [c.at_mm for c in offer.choices]


def test_twins_are_staggered() -> None:
    offer = _offer(plain_panel(4000.0), JointRule(stagger_mm=300.0))
    assert offer.choices
    for choice in offer.choices:
        assert choice.twin_at_mm is not None
        assert are_staggered(choice.at_mm, choice.twin_at_mm, 300.0)


def test_least_piece_and_most_joints_are_kept() -> None:
    rule = JointRule(min_piece_mm=1500.0, max_joints=2)
    offer = _offer(plain_panel(4000.0), rule)
    for choice in offer.choices:
        assert len(choice.at_mm) <= 2
        ends = (0.0, *choice.at_mm, 4000.0)
        assert all(b - a + 48.0 >= 1500.0 for a, b in pairwise(ends))


def test_demands_that_collide_are_told() -> None:
    zones = (KeepClear(from_mm=1000.0, to_mm=3000.0, reason="hardest bend"),)
    offer = _offer(plain_panel(4000.0), JointRule(max_joints=1, keep_clear=zones))
    assert offer.choices == ()
    assert "hardest bend" in said(offer.reasons[0])
    assert "at most 1" in said(offer.reasons[0])
    none = offer_positions(plain_panel(), ())
    assert none.choices == ()


def test_impossible_stagger_is_told() -> None:
    rule = JointRule(stagger_mm=2000.0, is_stagger_said=True, max_joints=1)
    offer = _offer(plain_panel(4000.0), rule)
    assert offer.choices == ()
    assert "2000" in said(offer.reasons[0])


def test_grain_across_and_sheets_with_grain_across_turn_the_sheet() -> None:
    """2000 mm along the grain fit along the sheet's length, not along its width."""
    part = replace(plain_panel(1200.0, 2000.0), grain=Grain.ACROSS)
    assert _offer(part, JointRule()).choices[0].at_mm == ()
    across = replace(SHEET, grain=SheetGrain.ALONG_WIDTH)
    assert _offer(part, JointRule(), across).choices == ()


def test_small_turns_let_longer_pieces_fit() -> None:
    """A strip longer than the sheet fits along its diagonal only if it may be turned."""
    strip = replace(plain_panel(2500.0, 100.0), turning=Turning.SMALL, small_angle_deg=20.0)
    assert _offer(strip, JointRule()).choices[0].at_mm == ()
    stiff = replace(strip, turning=Turning.HALF)
    assert len(_offer(stiff, JointRule()).choices[0].at_mm) == 1


def test_joint_along_the_part_is_offered_across_its_width() -> None:
    part = plain_panel(2400.0, 2000.0)
    offer = _offer(part, JointRule(axis=JointAxis.WIDTH))
    assert len(offer.choices[0].at_mm) == 1
    assert all(780.0 <= c.at_mm[0] <= 1220.0 for c in offer.choices if len(c.at_mm) == 1)


def test_heads_of_keys_count_into_the_piece() -> None:
    offer = _offer(plain_panel(4000.0), JointRule(kind=JointKind.KEYED, key_bit_mm=6.0))
    part = replace(plain_panel(4000.0), joint=JointRule(kind=JointKind.KEYED))
    assert offer.choices
    assert all(_fits(part, c.at_mm) for c in offer.choices[::6])


def test_curved_panel_has_ways_and_all_can_be_cut() -> None:
    part = curved_panel()
    offer = offer_positions(part, (SHEET,))
    assert len(offer.choices) > 10
    assert all(split_part(part, c.at_mm).pieces for c in offer.choices[:10])


def test_part_without_a_rule_is_a_fault_of_ours() -> None:
    with pytest.raises(ValueError, match="no joint rule"):
        offer_positions(replace(plain_panel(), joint=None), (SHEET,))


def test_more_joints_are_as_many_as_the_least_piece_leaves_room_for() -> None:
    """4000 mm, least piece an eighth, 48 mm of overlap: (4000 - 48) / (500 - 48) = 8.7 pieces."""
    part = replace(plain_panel(4000.0), joint=JointRule())
    first = offer_positions(part, (SHEET,))
    more = offer_more(first, (SHEET,))
    assert first.most_joints == 2
    assert more.choices[: len(first.choices)] == first.choices
    assert more.most_joints == 7
    assert {len(c.at_mm) for c in more.choices} == set(range(1, 8))
    assert all(_fits(part, c.at_mm) for c in more.choices)
    for choice in more.choices:
        ends = (-24.0, *choice.at_mm, 4024.0)
        assert all(b - a + 48.0 >= 500.0 for a, b in pairwise(ends))


def test_many_stretches_kept_clear_leave_few_sets_to_look_at(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Nine frames make windows of some twenty places: twenty to the seventh power are no sets."""
    frames = tuple(
        KeepClear(from_mm=x - 25.0, to_mm=x + 25.0, reason="frame") for x in range(400, 4000, 400)
    )
    part = replace(plain_panel(4000.0), joint=JointRule(keep_clear=frames, stagger_mm=300.0))
    first = offer_positions(part, (SHEET,))
    looked_at = 0
    least = candidates._least_piece_mm

    def counted(fit: Fit, rule: JointRule, before: float | None, after: float | None) -> float:
        nonlocal looked_at
        looked_at += 1
        assert looked_at < 50_000
        return least(fit, rule, before, after)

    monkeypatch.setattr(candidates, "_least_piece_mm", counted)
    more = offer_more(first, (SHEET,))
    assert more.most_joints == 7
    assert max(len(c.at_mm) for c in more.choices) > first.most_joints
    places = {at for c in more.choices for at in (*c.at_mm, *(c.twin_at_mm or ()))}
    assert all(abs(at - x) >= 25.0 + 24.0 - 1e-6 for at in places for x in range(400, 4000, 400))


def test_builder_s_own_most_joints_end_the_search_for_more() -> None:
    part = replace(plain_panel(4000.0), joint=JointRule(max_joints=3))
    more = offer_more(offer_positions(part, (SHEET,)), (SHEET,))
    assert {len(c.at_mm) for c in more.choices} == {1, 2, 3}
    tight = replace(part, joint=JointRule(min_piece_mm=1500.0))
    first = offer_positions(tight, (SHEET,))
    assert offer_more(first, (SHEET,)).choices == first.choices


def test_several_collisions_of_a_panel_are_all_named_and_nothing_else() -> None:
    """4000 mm from 2440 mm sheets: one joint lies between 1584 and 2416 mm, in the centre case.

    Beside that no piece of 2500 mm fits a sheet. The rowlock forbids nothing that is wanted.
    """
    zones = (
        KeepClear(from_mm=1560.0, to_mm=2440.0, reason="centre case"),
        KeepClear(from_mm=300.0, to_mm=400.0, reason="rowlock"),
    )
    rule = JointRule(keep_clear=zones, max_joints=1, min_piece_mm=2500.0)
    offer = _offer(plain_panel(4000.0), rule)
    assert offer.choices == ()
    assert said(offer.reasons[0]) == "no piece is shorter than 2500 mm"
    assert said(offer.reasons[1]) == (
        "no joint in 'centre case', 1560 mm to 2440 mm together with at most 1 joint"
    )
    assert not any("rowlock" in r for r in all_said(offer.reasons))
    assert "the longest end piece that fits a sheet is 2440 mm" in all_said(offer.reasons)


@pytest.mark.parametrize("kind", [JointKind.BUTT_STRAP, JointKind.KEYED])
def test_a_strap_and_keys_keep_clear_of_stretches_whole(kind: JointKind) -> None:
    """A strap of 16 x 6 mm reaches 48 mm to either side, keys of 7.5 mm radius 22.5 mm."""
    zone = KeepClear(from_mm=1900.0, to_mm=2100.0, reason="frame")
    offer = _offer(plain_panel(4000.0), JointRule(kind=kind, keep_clear=(zone,)))
    reach = {JointKind.BUTT_STRAP: 48.0, JointKind.KEYED: 22.5}[kind]
    places = [at for choice in offer.choices for at in choice.at_mm]

    assert places
    assert all(at + reach <= 1900.0 or at - reach >= 2100.0 for at in places)


def test_three_straps_of_clear_wood_lie_between_straps() -> None:
    rule = JointRule(kind=JointKind.BUTT_STRAP, min_piece_mm=1.0)
    offer = _offer(plain_panel(5000.0), rule)
    between = [b - a for c in offer.choices for a, b in pairwise(c.at_mm)]

    assert between
    assert min(between) >= 96.0 + 3.0 * 96.0


def test_a_stagger_that_nobody_asked_for_is_given_up_where_it_cannot_be_kept() -> None:
    rule = JointRule(stagger_mm=2000.0, max_joints=1)
    alike = _offer(plain_panel(4000.0), rule)

    assert alike.choices
    assert all(c.twin_at_mm is None for c in alike.choices)
    assert _offer(plain_panel(4000.0), replace(rule, is_stagger_said=True)).choices == ()
