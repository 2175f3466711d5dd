"""Bounds are proven: never above what a layout reaches, and sharp where they should be."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely import affinity

from nestcut.model.job import CuttingRules
from nestcut.model.part import Grain, Turning
from nestcut.search.settings import Deadline
from nestcut.sheets.least import bounds
from nestcut.sheets.least.bounds import least_buy
from nestcut.sheets.least.facts import Facts, facts_of, sides_at_any_angle
from nestcut.sheets.least.proof import cannot_do_with, nothing_costs_less
from nestcut.sheets.prepare import prepare_group
from tests.unit.sheets.cases import SAW, box, piece, sheet


def conflict_rows(facts: Facts, kind: int) -> list[tuple[int, int]]:
    """Pairs of pieces that can't share a sheet."""
    of, n = facts.class_of, len(facts.class_of)
    return [
        (i, j) for i in range(n) for j in range(i + 1, n) if facts.conflicts[kind][of[i], of[j]]
    ]


def test_area_alone_counts_the_saw() -> None:
    """Two halves of a sheet fill it exactly; with a saw between them they don't."""
    halves = tuple(piece(f"p{k}", box(2440, 610)) for k in range(2))
    exact = least_buy(
        facts_of(prepare_group(halves, (sheet(),), CuttingRules(kerf_mm=0.0))), Deadline()
    )
    sawn = least_buy(
        facts_of(prepare_group(halves, (sheet(),), CuttingRules(kerf_mm=2.0))), Deadline()
    )

    assert exact is not None
    assert (exact.sheets, exact.cost) == (1, 6000.0)
    assert sawn is not None
    assert sawn.sheets == 2


def test_pieces_of_which_no_two_share_a_sheet_each_need_one() -> None:
    pieces = tuple(piece(f"p{k}", box(1300, 640)) for k in range(3))
    facts = facts_of(prepare_group(pieces, (sheet(),), SAW))

    assert conflict_rows(facts, 0) == [(0, 1), (0, 2), (1, 2)]
    least = least_buy(facts, Deadline())
    assert least is not None
    assert least.sheets == 3


class _CutShort:
    """A solver that time runs out for as it finds that nothing is possible."""

    best_objective_bound = math.inf

    def solve(self, model: object) -> object:
        """Say that nothing is known."""
        from ortools.sat.python import cp_model

        del model
        return cp_model.UNKNOWN


def test_a_bound_that_is_cut_short_where_nothing_is_possible_is_none(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A job by lot ended with a float that no number stands for."""
    monkeypatch.setattr(bounds, "solver_for", lambda work, deadline: _CutShort())
    kinds = (sheet(), sheet(name="small", length_mm=1200.0))
    facts = facts_of(prepare_group((piece("p", box(900, 640)),), kinds, SAW))

    assert least_buy(facts, Deadline()) is None


@pytest.mark.parametrize(("length", "expected"), [(1000.0, [(0, 1)]), (1600.0, [])])
def test_free_pieces_conflict_by_their_discs(
    length: float, expected: list[tuple[int, int]]
) -> None:
    """Discs of radius 380 have their centres 278 mm apart at most on 1000 x 900, 851 on 1600."""
    turns = np.linspace(0.0, 2.0 * math.pi, 60, endpoint=False)
    disc = tuple((float(380 * math.cos(t)), float(380 * math.sin(t))) for t in turns)
    pieces = tuple(piece(f"p{k}", disc, grain=Grain.ANY, turning=Turning.FREE) for k in range(2))
    small = sheet(length_mm=length, width_mm=900.0)
    assert conflict_rows(facts_of(prepare_group(pieces, (small,), SAW)), 0) == expected


def test_stock_that_cannot_hold_the_pieces_has_no_bound() -> None:
    pieces = tuple(piece(f"p{k}", box(1300, 640)) for k in range(3))
    assert least_buy(facts_of(prepare_group(pieces, (sheet(count=2),), SAW)), Deadline()) is None


def test_two_kinds_are_mixed_at_least_cost() -> None:
    pieces = tuple(piece(f"p{k}", box(1150, 550)) for k in range(5))
    small = sheet("small", length_mm=1220.0, width_mm=1220.0, price_minor=2900)

    least = least_buy(facts_of(prepare_group(pieces, (sheet(), small), SAW)), Deadline())

    assert least is not None
    assert least.cost == 3 * 2900.0


@pytest.mark.parametrize("sides", [(2100.0, 500.0), (300.0, 280.0), (900.0, 60.0)])
@pytest.mark.parametrize("span", [0.5, 5.0, 12.0])
def test_rectangles_at_any_angle_lie_inside(sides: tuple[float, float], span: float) -> None:
    outer = shapely.box(-sides[0] / 2, -sides[1] / 2, sides[0] / 2, sides[1] / 2)
    found = sides_at_any_angle(sides, span, [2440.0, 1220.0])
    for w, h in found:
        inner = shapely.box(-w / 2, -h / 2, w / 2, h / 2)
        for turn in np.linspace(-span, span, 41):
            turned = affinity.rotate(outer, float(turn), origin=(0, 0))
            assert turned.buffer(1e-6).covers(inner)
    assert found or math.tan(math.radians(span)) * sides[0] > sides[1] / 4


def test_small_turning_still_shows_conflicts() -> None:
    pieces = tuple(
        piece(f"p{k}", box(1500, 900), turning=Turning.SMALL, small_angle_deg=3.0) for k in range(2)
    )
    assert conflict_rows(facts_of(prepare_group(pieces, (sheet(),), SAW)), 0) == [(0, 1)]


def test_an_exact_proof_sees_what_weights_do_not() -> None:
    """Five 40 x 30 fit no 100 x 60 upright: 6000 of area, yet each row holds two."""
    pieces = tuple(piece(f"p{k}", box(40, 30), turning=Turning.NONE) for k in range(5))
    tight = sheet(length_mm=100.0, width_mm=60.0)
    facts = facts_of(prepare_group(pieces, (tight,), CuttingRules(kerf_mm=0.0)))

    assert cannot_do_with(facts, 1, 5.0, Deadline())
    four = facts_of(prepare_group(pieces[:4], (tight,), CuttingRules(kerf_mm=0.0)))
    assert not cannot_do_with(four, 1, 5.0, Deadline())


def test_a_turned_exact_proof_allows_both_turns() -> None:
    """Two 60 x 40 and one 20 x 80 go on 80 x 80 only if one of them may be turned."""
    shapes = [(60.0, 40.0), (60.0, 40.0), (80.0, 20.0)]
    square = sheet(length_mm=80.0, width_mm=80.0)
    for turning, expected in ((Turning.NONE, True), (Turning.QUARTER, False)):
        pieces = tuple(
            piece(f"p{k}", box(*s), turning=turning, grain=Grain.ANY) for k, s in enumerate(shapes)
        )
        facts = facts_of(prepare_group(pieces, (square,), CuttingRules(kerf_mm=0.0)))
        assert cannot_do_with(facts, 1, 5.0, Deadline()) is expected


def test_without_clearance_an_outline_stays_as_it_is() -> None:
    """A regular 24-gon's area is 12 r^2 sin(2 pi / 24): plane geometry."""
    turns = np.arange(24) * math.pi / 12.0
    ring = tuple((float(2.0 * math.cos(t)), float(2.0 * math.sin(t))) for t in turns)
    group = prepare_group((piece("disc", ring),), (sheet(),), CuttingRules(kerf_mm=0.0))
    outline = shapely.Polygon(group.pieces[0].item.outline)
    assert outline.area == pytest.approx(12.0 * 4.0 * math.sin(math.pi / 12.0), rel=1e-12)


def test_of_several_kinds_every_cheaper_purchase_is_ruled_out() -> None:
    """Five 40 x 30 fit no 100 x 60 upright, but a 120 x 60; two of the small cost more than it."""
    small = sheet(name="small", length_mm=100.0, width_mm=60.0, price_minor=600)
    large = sheet(name="large", length_mm=120.0, width_mm=60.0, price_minor=1000)
    pieces = tuple(piece(f"p{k}", box(40, 30), turning=Turning.NONE) for k in range(5))
    facts = facts_of(prepare_group(pieces, (small, large), CuttingRules(kerf_mm=0.0)))
    assert nothing_costs_less(facts, 1000.0, 5.0, Deadline())
    assert not nothing_costs_less(facts, 1001.0, 5.0, Deadline())
    four = facts_of(prepare_group(pieces[:4], (small, large), CuttingRules(kerf_mm=0.0)))
    assert not nothing_costs_less(four, 1000.0, 5.0, Deadline())
    assert nothing_costs_less(four, 600.0, 5.0, Deadline())  # nothing at all holds no piece
    many = facts_of(prepare_group(pieces * 3, (small, large), CuttingRules(kerf_mm=0.0)))
    assert not nothing_costs_less(many, 1000.0, 5.0, Deadline())  # not tried


def test_sheets_to_hand_are_in_every_purchase() -> None:
    pieces = tuple(piece(f"p{k}", box(40, 30), turning=Turning.NONE) for k in range(5))
    small = sheet(name="small", length_mm=100.0, width_mm=60.0, price_minor=600)
    large = sheet(name="large", length_mm=120.0, width_mm=60.0, price_minor=1000)
    spare = sheet(name="spare", length_mm=40.0, width_mm=30.0, price_minor=0, count=1)
    facts = facts_of(prepare_group(pieces, (small, large, spare), CuttingRules(kerf_mm=0.0)))
    assert not nothing_costs_less(facts, 1000.0, 5.0, Deadline())
    assert nothing_costs_less(facts, 600.0, 5.0, Deadline())
