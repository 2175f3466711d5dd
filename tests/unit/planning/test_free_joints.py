"""Joints chosen by trials: never worse than equal stretches, rules kept, prices told."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.boards import JointPreference
from nestcut.geometry.polygons import bounds_mm
from nestcut.joints.candidates import offer_more, offer_positions
from nestcut.joints.offers import Offer
from nestcut.joints.split import whole_pieces
from nestcut.model.job import CuttingRules
from nestcut.model.joint import JointRule
from nestcut.model.part import Hands, SheetPart
from nestcut.model.piece import SheetPiece
from nestcut.model.stock import SheetStock
from nestcut.planning.free_joints import choose_joints, unsplittable
from nestcut.planning.more_joints import least_cost_of_area
from nestcut.planning.pieces import divide
from nestcut.planning.trials import Worth, nest_trial
from nestcut.search.settings import Deadline
from tests.unit.joints.panels import plain_panel

SHEET = SheetStock(
    name="6 mm", material="ply", thickness_mm=6, length_mm=2440, width_mm=1220, price_minor=5800
)
CUTTING = CuttingRules(kerf_mm=2.0)


def _lengths(pieces: tuple[SheetPiece, ...]) -> list[float]:
    boxes = [bounds_mm(p.shape.outline.points) for p in pieces]
    return sorted(b[2] - b[0] for b in boxes)


def _by_longest(pieces: tuple[SheetPiece, ...]) -> Worth:
    """Pretends that a piece over 2200 mm takes two sheets."""
    dear = sum(length > 2200.0 for length in _lengths(pieces))
    return Worth(n_unplaced=0, cost_minor=5800.0 * (len(pieces) + dear), n_sheets=1, spare_mm2=0.0)


def _offer(part: SheetPart, rule: JointRule | None = None) -> Offer:
    return offer_positions(replace(part, joint=rule or JointRule()), (SHEET,))


def test_better_positions_than_equal_ones_are_found() -> None:
    """Trials that like one long piece and one short one get them."""

    def trial(pieces: tuple[SheetPiece, ...]) -> Worth:
        long = _lengths(pieces)[-1]
        return Worth(n_unplaced=0, cost_minor=5000.0 - long, n_sheets=2, spare_mm2=0.0)

    part = replace(plain_panel(4000.0), hands=Hands.NONE)
    chosen = choose_joints((_offer(part),), (), trial, JointPreference.CHEAPEST, 100, Deadline())
    assert chosen.equal_worth is not None
    assert chosen.worth.cost_minor < chosen.equal_worth.cost_minor
    assert _lengths(chosen.made[0].pieces)[-1] == pytest.approx(2440.0)
    assert chosen.equal == (("panel", _offer(part).equal[0]),)


def test_equal_stretches_stand_where_nothing_is_better() -> None:
    def trial(pieces: tuple[SheetPiece, ...]) -> Worth:
        uneven = _lengths(pieces)[-1] - _lengths(pieces)[0]
        return Worth(n_unplaced=0, cost_minor=uneven, n_sheets=2, spare_mm2=0.0)

    offer = _offer(replace(plain_panel(4000.0), hands=Hands.NONE))
    chosen = choose_joints((offer,), (), trial, JointPreference.CHEAPEST, 100, Deadline())
    assert chosen.worth == chosen.equal_worth
    assert chosen.choices == chosen.equal


@pytest.mark.parametrize(
    ("preference", "worth", "joints"),
    [
        (JointPreference.FEWEST, 0.0, 1),
        (JointPreference.CHEAPEST, 0.0, 2),
        (JointPreference.BALANCED, 2000.0, 2),
        (JointPreference.BALANCED, 9000.0, 1),
    ],
)
def test_preference_weighs_joints_against_money(
    preference: JointPreference, worth: float, joints: int
) -> None:
    """One more joint saves 5000 here, and is wanted unless joints weigh more than that."""

    def trial(pieces: tuple[SheetPiece, ...]) -> Worth:
        cost = 15000.0 - 5000.0 * (len(pieces) - 2)
        return Worth(n_unplaced=0, cost_minor=cost, n_sheets=2, spare_mm2=0.0)

    offer = _offer(replace(plain_panel(4000.0), hands=Hands.NONE))
    chosen = choose_joints(
        (offer,), (), trial, preference, 100, Deadline(), joint_worth_minor=worth
    )
    assert len(chosen.made[0].joints) == joints
    assert [(w.joints, w.cost_minor) for w in chosen.ways] == [(1, 15000), (2, 10000)]
    assert [w.joints for w in chosen.ways if w.is_chosen] == [joints]


def test_neighbours_are_staggered() -> None:
    rule = JointRule(stagger_mm=250.0, stagger_with=("second",))
    first = replace(plain_panel(4000.0), name="first", hands=Hands.NONE, joint=rule)
    second = replace(plain_panel(4000.0), name="second", hands=Hands.NONE, joint=JointRule())
    offers = (offer_positions(first, (SHEET,)), offer_positions(second, (SHEET,)))
    chosen = choose_joints(offers, (), _by_longest, JointPreference.FEWEST, 60, Deadline())
    (_, one), (_, two) = chosen.choices
    assert all(abs(a - b) >= 250.0 for a in one.at_mm for b in two.at_mm)


def test_given_neighbours_count_too() -> None:
    rule = JointRule(stagger_mm=250.0, stagger_with=("fixed",))
    offer = _offer(replace(plain_panel(4000.0), hands=Hands.NONE), rule)
    chosen = choose_joints(
        (offer,),
        (),
        _by_longest,
        JointPreference.FEWEST,
        60,
        Deadline(),
        given_mm={"fixed": (2000.0,)},
    )
    ((_, choice),) = chosen.choices
    assert abs(choice.at_mm[0] - 2000.0) >= 250.0


def test_trials_are_counted_and_limited() -> None:
    seen: list[int] = []

    def trial(pieces: tuple[SheetPiece, ...]) -> Worth:
        seen.append(len(pieces))
        return Worth(n_unplaced=0, cost_minor=float(-len(seen)), n_sheets=1, spare_mm2=0.0)

    offer = _offer(plain_panel(4000.0))
    chosen = choose_joints((offer,), (), trial, JointPreference.CHEAPEST, 7, Deadline())
    assert chosen.n_trials == len(seen)
    assert 7 <= len(seen) <= 7 + 7 // 2  # half as many again, to do with fewer joints


def test_interrupted_search_still_hands_something_back() -> None:
    deadline = Deadline()
    deadline.interrupt()
    offer = _offer(plain_panel(4000.0))
    chosen = choose_joints((offer,), (), _by_longest, JointPreference.CHEAPEST, 50, deadline)
    assert chosen.n_trials == 1
    assert chosen.made[0].pieces


def test_closer_trial_has_the_last_word() -> None:
    def rough(pieces: tuple[SheetPiece, ...]) -> Worth:
        return Worth(
            n_unplaced=0, cost_minor=5000.0 - _lengths(pieces)[-1], n_sheets=2, spare_mm2=0.0
        )

    def closer(pieces: tuple[SheetPiece, ...]) -> Worth:
        uneven = _lengths(pieces)[-1] - _lengths(pieces)[0]
        return Worth(n_unplaced=0, cost_minor=uneven, n_sheets=2, spare_mm2=0.0)

    offer = _offer(replace(plain_panel(4000.0), hands=Hands.NONE))
    chosen = choose_joints(
        (offer,), (), rough, JointPreference.CHEAPEST, 50, Deadline(), closer=closer
    )
    assert chosen.choices == chosen.equal


def test_unsplittable_parts_are_named() -> None:
    offer = _offer(plain_panel(4000.0), JointRule(max_joints=0))
    (finding,) = unsplittable((offer,))
    assert finding.code == "JNT-110"
    assert finding.is_blocking
    with pytest.raises(ValueError, match="without any choice"):
        choose_joints((offer,), (), _by_longest, JointPreference.CHEAPEST, 5, Deadline())


def test_real_trials_choose_positions_that_save_a_sheet() -> None:
    """Four strips of 3000 x 590: equal halves of 1524 mm waste the sheets' ends.

    Two strips lie side by side on a sheet (2440 x 1220). Equal halves are eight pieces of 1524,
    of which a sheet holds two (two lengths don't fit in 2440): four sheets. Divided into 2440
    and 608, a sheet takes two long pieces, and one more sheet holds all four short ones twice
    over: three.
    """
    part = replace(plain_panel(3000.0, 590.0), count=2, hands=Hands.PAIR)
    offer = _offer(part, JointRule(max_joints=1))
    trial = nest_trial((SHEET,), CUTTING, 0, 0)
    chosen = choose_joints((offer,), (), trial, JointPreference.CHEAPEST, 25, Deadline())
    assert chosen.equal_worth is not None
    assert chosen.equal_worth.n_sheets == 4
    assert chosen.worth.n_sheets == 3
    assert chosen.worth.n_unplaced == 0


def test_trial_counts_what_has_no_sheet() -> None:
    trial = nest_trial((SHEET,), CUTTING, 0, 0)
    other = replace(plain_panel(500.0), material="larch", joint=None)
    assert trial(whole_pieces(other)).n_unplaced == 2


def test_straps_are_among_the_pieces() -> None:
    offer = _offer(plain_panel(4000.0), JointRule(kind=JointRule().kind.BUTT_STRAP))
    made = divide(offer.part, offer.choices[0].at_mm)
    assert len(made.pieces) == 6
    assert len(made.added_parts) == 1


def _by_number(pieces: tuple[SheetPiece, ...]) -> Worth:
    """Pretends that a part in five pieces or more takes half the sheets."""
    cost = 5800.0 if len(pieces) >= 5 else 11600.0
    return Worth(n_unplaced=0, cost_minor=cost, n_sheets=2, spare_mm2=0.0)


def test_more_joints_are_tried_where_they_can_pay() -> None:
    """Offers begin with one joint more than needed; asked once, they bring the fourth joint."""
    offer = _offer(replace(plain_panel(4000.0), hands=Hands.NONE))
    asked: list[float] = []

    def extend(best: Worth) -> tuple[Offer, ...]:
        asked.append(best.cost_minor)
        return (offer_more(offer, (SHEET,)),)

    chosen = choose_joints(
        (offer,), (), _by_number, JointPreference.CHEAPEST, 40, Deadline(), extend=extend
    )
    assert asked == [11600.0]
    assert len(chosen.made[0].pieces) == 5
    assert chosen.n_trials <= 60
    assert chosen.offers[0].most_joints == 7
    assert ("panel", chosen.offers[0].choices[0]) not in chosen.choices


def test_no_more_joints_where_the_answer_is_no() -> None:
    offer = _offer(replace(plain_panel(4000.0), hands=Hands.NONE))
    chosen = choose_joints(
        (offer,), (), _by_number, JointPreference.CHEAPEST, 40, Deadline(), extend=lambda _: None
    )
    assert chosen.offers == (offer,)
    assert len(chosen.made[0].pieces) <= 3


def test_area_alone_says_when_no_joint_more_can_pay() -> None:
    """Two panels of 4000 x 600 are 4.8 m2, a sheet 2.9768: two at least; to hand ones are free."""
    part = replace(plain_panel(4000.0), joint=JointRule())
    assert least_cost_of_area((part,), (), (SHEET,), CUTTING) == 2 * 5800
    larger = replace(SHEET, name="larger", length_mm=3050.0, width_mm=1525.0, price_minor=9000)
    per_mm2 = min(5800 / (2440 * 1220), 9000 / (3050 * 1525))
    both = least_cost_of_area((part,), (), (SHEET, larger), CUTTING)
    assert both == pytest.approx(per_mm2 * 4.8e6)
    shed = replace(SHEET, name="shed", price_minor=0, count=1)
    assert least_cost_of_area((part,), (), (SHEET, shed), CUTTING) == 5800
    assert least_cost_of_area((part,), (), (replace(shed, count=2), SHEET), CUTTING) == 0


def test_a_joint_more_that_others_have_made_needless_is_taken_away_again() -> None:
    """Two panels joined in the middle take four sheets; one with two joints helps at once.

    So does joining both near an end, which nobody comes across while one change is made at a time
    and layouts are few.
    """
    parts = [replace(plain_panel(4000.0), name=n, hands=Hands.NONE) for n in ("a", "b")]
    offers = tuple(_offer(p) for p in parts)

    def trial(pieces: tuple[SheetPiece, ...]) -> Worth:
        n_sheets = 4 if len(pieces) == 4 and _lengths(pieces)[2] < 2300.0 else 3
        uneven = _lengths(pieces)[-1]
        return Worth(
            n_unplaced=0, cost_minor=5800.0 * n_sheets, n_sheets=n_sheets, spare_mm2=-uneven
        )

    chosen = choose_joints(
        offers, (), trial, JointPreference.BALANCED, 12, Deadline(), joint_worth_minor=500.0
    )
    assert chosen.worth.n_sheets == 3
    assert [len(m.joints) for m in chosen.made] == [1, 1]
