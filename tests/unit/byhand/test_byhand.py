"""Pieces moved by hand: they slide, never overlap, and the verifier has the word."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from shapely.geometry import Polygon, box

import nestcut
from nestcut.byhand import Bench, Hand, put_down, slide_to
from nestcut.byhand.left import measured
from nestcut.byhand.slide import outline_of
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.model.pose import Lie, Placement
from nestcut.model.stock import KeepOut
from nestcut.tolerances import FLATNESS_MM
from nestcut.verify import Prover, verify_plan
from tests.builders_demos import PARTS
from tests.unit.byhand.jobs import TWO_SHEETS

_LYING = {"VER-025", "VER-026", "VER-027", "VER-028"}


@cache
def planned(boat: str = "") -> VerifiedPlan:
    """Plan of a demo boat; without a name, of a small job."""
    job = (
        nestcut.read_job(PARTS / boat / "job.toml")
        if boat
        else nestcut.read_job(TWO_SHEETS, drawings={})
    )
    return nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))


def bench_of(done: VerifiedPlan, number: int, piece: str) -> Bench:
    layout = next(s for s in done.plan.sheets if s.number == number)
    pieces = {p.id: p for p in done.plan.pieces}
    return Bench.of(done.job, layout, pieces, piece)


def lying(done: VerifiedPlan) -> list[tuple[int, Placement]]:
    return [(s.number, p) for s in done.plan.sheets for p in s.placements]


def _random_moves(count: int, seed: int, boat: str = "") -> int:
    """Push pieces about at random; return how many pushes were bent or stopped."""
    done, luck, prover = planned(boat), np.random.default_rng(seed), Prover()
    plan, bent = done.plan, 0
    pieces = {p.id: p for p in plan.pieces}
    for _ in range(count):
        places = [(s, p) for s in plan.sheets for p in s.placements]
        sheet, at = places[luck.integers(len(places))]
        x0, y0, x1, y1 = outline_of(pieces[at.piece], at).bounds
        goal = (
            at.shift_mm[0] + luck.uniform(-x0 - 50, sheet.length_mm - x1 + 50),
            at.shift_mm[1] + luck.uniform(-y0 - 50, sheet.width_mm - y1 + 50),
        )
        bench = Bench.of(done.job, sheet, pieces, at.piece)
        end = slide_to(bench, pieces[at.piece], at, goal)
        assert end is not None
        bent += np.hypot(end.shift_mm[0] - goal[0], end.shift_mm[1] - goal[1]) > 0.1
        moved = put_down(done.job, plan, end, sheet.number, prover)
        assert moved.objections == ()
        plan = moved.plan
    return bent


def test_pieces_pushed_at_random_always_lie_well() -> None:
    assert _random_moves(120, seed=1) > 20


@pytest.mark.deep
@pytest.mark.parametrize("boat", ["", "punt", "beach-boat"])
def test_two_thousand_pushes_lie_well(boat: str) -> None:
    assert _random_moves(2000, seed=2, boat=boat) > 200


_SAFE_MM = 0.0101 + 2 * FLATNESS_MM
"""The bench is this much stricter than the verifier at most: its slack, and chords round curves."""


def _is_nearly_free(bench: Bench, outline: Polygon) -> bool:
    """Whether a piece lies too near by less than the bench is stricter: nobody could saw that."""
    near = [outline.distance(o) for o in bench.others]
    return min(near, default=9.0) > bench.clearance_mm - _SAFE_MM and bench.usable.buffer(
        _SAFE_MM, join_style="mitre"
    ).covers(outline)


def _random_drops(count: int, seed: int, boat: str = "") -> tuple[int, int]:
    """Drop pieces anywhere; the bench's word and the verifier's must be the same."""
    done, luck, prover = planned(boat), np.random.default_rng(seed), Prover()
    pieces = {p.id: p for p in done.plan.pieces}
    fits = 0
    for _ in range(count):
        places = lying(done)
        number, at = places[luck.integers(len(places))]
        sheet = next(s for s in done.plan.sheets if s.number == number)
        near = luck.choice([0.5, 8.0, 400.0])
        drop = replace(
            at,
            shift_mm=(
                at.shift_mm[0] + luck.uniform(-near, near),
                at.shift_mm[1] + luck.uniform(-near, near),
            ),
        )
        bench = Bench.of(done.job, sheet, pieces, at.piece)
        is_free = bench.is_free(outline_of(pieces[at.piece], drop))
        objections = put_down(done.job, done.plan, drop, number, prover).objections
        assert {o.code for o in objections} <= _LYING
        if is_free or not _is_nearly_free(bench, outline_of(pieces[at.piece], drop)):
            assert is_free == (objections == ())
        fits += is_free
    return fits, count


def test_what_the_bench_calls_free_the_verifier_does_too() -> None:
    fits, count = _random_drops(250, seed=3)
    assert 10 < fits < count - 10


@pytest.mark.deep
@pytest.mark.parametrize("boat", ["", "punt", "beach-boat"])
def test_two_thousand_drops_are_judged_alike(boat: str) -> None:
    fits, count = _random_drops(2000, seed=4, boat=boat)
    assert 100 < fits < count - 100


def test_a_piece_stops_at_its_neighbour_at_the_clearance_and_slides_along_it() -> None:
    done = planned()
    pieces = {p.id: p for p in done.plan.pieces}
    number, at = lying(done)[0]
    bench = bench_of(done, number, at.piece)
    far = (at.shift_mm[0] + 5000.0, at.shift_mm[1] + 5000.0)

    end = slide_to(bench, pieces[at.piece], at, far)

    assert end is not None
    outline = outline_of(pieces[at.piece], end)
    assert bench.usable.covers(outline)
    gaps = [outline.distance(o) for o in bench.others] + [
        outline.distance(bench.usable.boundary) + done.job.cutting.clearance_mm
    ]
    assert min(gaps) == pytest.approx(done.job.cutting.clearance_mm, abs=0.05)


def by_lot(plan: Plan, luck: np.random.Generator) -> tuple[Placement, int]:
    """A placement by lot: some pushed, some turned, flipped or carried to another sheet."""
    sheet = plan.sheets[luck.integers(len(plan.sheets))]
    at = sheet.placements[luck.integers(len(sheet.placements))]
    x, y = luck.uniform(-1.0, 1.0, 2) * luck.choice([0.5, 8.0, 300.0])
    other = plan.sheets[luck.integers(len(plan.sheets))] if luck.uniform() < 0.2 else sheet
    lies = [at.lie, at.lie, Lie.FACE_UP, Lie.FACE_DOWN]
    return replace(
        at,
        shift_mm=(at.shift_mm[0] + x, at.shift_mm[1] + y),
        turn_deg=(at.turn_deg + float(luck.choice([0.0, 0.0, 90.0, 180.0]))) % 360.0,
        lie=lies[luck.integers(len(lies))],
    ), other.number


def _words_of_a_prover(count: int, seed: int, boat: str = "") -> tuple[int, int]:
    done, luck, prover = planned(boat), np.random.default_rng(seed), Prover()
    plan, stands = done.plan, 0
    for _ in range(count):
        moved = put_down(done.job, plan, *by_lot(plan, luck), prover)
        assert moved.objections == prover.prove_unmeasured(done.job, moved.plan).findings
        kept = measured(done.job, moved.plan) if moved.stands else moved.plan
        told = prover.prove(done.job, kept)
        assert told == nestcut.verify_plan(done.job, kept)
        assert moved.stands == told.is_proven
        stands += moved.stands
        plan = (
            moved.plan if luck.uniform() < 0.5 else done.plan
        )  # bad ones are gone on from as well
    return stands, count


def test_a_piece_moved_by_hand_leaves_its_sheets_what_is_kept_of_them() -> None:
    done, luck = planned(), np.random.default_rng(5)
    hand, pieces = Hand(done.job), {p.id: p for p in done.plan.pieces}
    assert any(s.offcuts for s in done.plan.sheets)
    plan, n_kept = done.plan, 0
    for _ in range(12):
        places = [(s, p) for s in plan.sheets for p in s.placements]
        sheet, at = places[luck.integers(len(places))]
        shift = (at.shift_mm[0] + luck.uniform(-60, 60), at.shift_mm[1] + luck.uniform(-60, 60))
        tried = hand.try_out(plan, replace(at, shift_mm=shift), sheet.number)
        if not tried.moved.stands:
            continue
        kept = hand.let_go(tried.moved)
        assert kept.stands, kept.objections
        assert not verify_plan(done.job, kept.plan).findings
        plan = kept.plan
        now = next(s for s in plan.sheets if s.number == sheet.number)
        taken = [Polygon(outline_of(pieces[p.piece], p).exterior) for p in now.placements]
        for keep in now.offcuts:
            area = box(*keep.from_mm, *keep.to_mm)
            assert all(area.distance(t) > done.job.cutting.kerf_mm - 0.01 for t in taken)
        n_kept += bool(now.offcuts)
    assert n_kept > 3


def test_a_prover_that_remembers_says_what_a_new_one_says() -> None:
    stands, count = _words_of_a_prover(60, seed=5)
    assert 0 < stands < count


@pytest.mark.deep
@pytest.mark.parametrize("boat", ["punt", "beach-boat"])
def test_a_prover_that_remembers_says_what_a_new_one_says_of_the_demos(boat: str) -> None:
    stands, count = _words_of_a_prover(150, seed=6, boat=boat)
    assert 0 < stands < count


def test_a_prover_forgets_what_it_found_of_other_pieces() -> None:
    done, prover = planned(), Prover()
    assert prover.prove(done.job, done.plan).is_proven
    pieces = (replace(done.plan.pieces[0], thickness_mm=9.0), *done.plan.pieces[1:])
    wrong = replace(done.plan, pieces=pieces)
    found = prover.prove(done.job, wrong).findings
    assert "VER-009" in {f.code for f in found}
    assert found == nestcut.verify_plan(done.job, wrong).findings
    assert prover.prove(done.job, done.plan).is_proven


def test_a_piece_that_lies_over_another_cannot_be_pushed() -> None:
    done = planned()
    pieces = {p.id: p for p in done.plan.pieces}
    number, at = lying(done)[0]
    over = replace(at, shift_mm=(at.shift_mm[0] - 3000.0, at.shift_mm[1]))
    assert slide_to(bench_of(done, number, at.piece), pieces[at.piece], over, (0.0, 0.0)) is None


@pytest.mark.parametrize("turn", [0.0, 90.0])
def test_what_is_turned_or_carried_goes_to_the_nearest_free_place(turn: float) -> None:
    done = planned()
    number, at = next(lie for lie in lying(done) if lie[1].piece.startswith("knee"))
    sheet = next(s for s in done.plan.sheets if s.number != number)
    pieces = {p.id: p for p in done.plan.pieces}
    wanted = replace(at, turn_deg=(at.turn_deg + turn) % 360.0)

    tried = Hand(done.job).try_out(done.plan, wanted, sheet.number)

    assert tried.moved.stands
    assert {s.number for s in tried.moved.plan.sheets if tried.placement in s.placements}
    bench = Bench.of(done.job, sheet, pieces, at.piece)
    far = np.hypot(*np.subtract(tried.placement.shift_mm, wanted.shift_mm))
    for x in range(-600, 1200, 60):  # no place of a coarser net is free and nearer by far
        for y in range(-600, 1200, 60):
            there = replace(wanted, shift_mm=(at.shift_mm[0] + x, at.shift_mm[1] + y))
            if bench.is_free(outline_of(pieces[at.piece], there)):
                assert np.hypot(x, y) > far - 45.0


def test_where_nothing_is_free_the_word_is_no() -> None:
    done = planned()
    number, at = next(lie for lie in lying(done) if lie[1].piece.startswith("plank"))
    sheet = next(s for s in done.plan.sheets if s.number == number)
    full = replace(sheet, spent=(KeepOut(points=((0, 0), (1200, 0), (1200, 600)), reason="x"),))
    plan = replace(done.plan, sheets=tuple(full if s is sheet else s for s in done.plan.sheets))

    tried = Hand(done.job).try_out(plan, replace(at, turn_deg=at.turn_deg + 45.0), number)

    assert not tried.moved.stands


def test_a_push_goes_on_from_where_it_was_told_last() -> None:
    """Round an obstacle step by step, where a push from the start would stop at it."""
    done = planned()
    hand, plan = Hand(done.job), done.plan
    number, at = lying(done)[0]
    first = hand.try_out(plan, replace(at, shift_mm=(at.shift_mm[0] + 9.0, at.shift_mm[1])), number)
    goal = replace(at, shift_mm=(at.shift_mm[0] + 4000.0, at.shift_mm[1] + 4000.0))

    on = hand.try_out(plan, goal, number, first.placement.shift_mm)
    again = hand.try_out(plan, goal, number, on.placement.shift_mm)

    assert on.moved.stands
    assert again.placement.shift_mm == pytest.approx(on.placement.shift_mm, abs=0.05)


def test_a_piece_turned_against_its_grain_is_objected_to() -> None:
    done = planned()
    number, at = next(lie for lie in lying(done) if lie[1].piece.startswith("plank"))
    turned = replace(at, turn_deg=at.turn_deg + 90.0, lie=Lie.FACE_UP)
    codes = {o.code for o in put_down(done.job, done.plan, turned, number).objections}
    assert "VER-024" in codes


def test_a_sheet_that_becomes_empty_is_not_bought() -> None:
    done = planned()
    job, plan = done.job, done.plan
    assert len(plan.sheets) == 2
    last = plan.sheets[-1]
    for placement in last.placements:
        plan = put_down(job, plan, placement, 1).plan
    assert len(plan.sheets) == 1
    assert [b.count for b in plan.buy] == [1]
    assert plan.sheets[0].offcuts == ()
    with pytest.raises(ValueError, match="no sheet 7"):
        put_down(job, plan, last.placements[0], 7)


@pytest.mark.parametrize("share", [0.0, 0.4, 1.0])
def test_the_rest_is_searched_again_and_pinned_pieces_stay(share: float) -> None:
    done = planned()
    places = [p for _, p in lying(done)]
    luck = np.random.default_rng(7)
    pinned = {p.piece for p in places if luck.uniform() < share}

    again = nestcut.plan_rest(
        done.job, done.plan, pinned, nestcut.Budget(effort=nestcut.Effort.QUICK)
    )

    kept = {p.piece: p for s in again.plan.sheets for p in s.placements}
    assert set(kept) == {p.piece for p in places}
    assert {n: kept[n] for n in pinned} == {p.piece: p for p in places if p.piece in pinned}
    assert nestcut.verify_plan(done.job, again.plan).is_proven
    assert nestcut.money(again.plan) <= nestcut.money(done.plan) + 20.0


def test_a_search_around_pins_tells_whole_sums() -> None:
    """What is bought whatever it finds, sheets of pinned pieces and boards, counts on its way."""
    done = planned("punt")
    first = done.plan.sheets[0]
    watcher = _Heard()
    again = nestcut.plan_rest(
        done.job,
        done.plan,
        {first.placements[0].piece},
        nestcut.Budget(effort=nestcut.Effort.QUICK),
        watcher=watcher,
    ).plan

    last = [p for p in watcher.told if p.plan is None][-1]
    assert last.cost_minor == again.cost_minor
    bought: Counter[object] = Counter()
    for line in again.buy:
        bought[line.stock] += line.count
    assert {c.name: c.count for c in last.counts} == bought
    assert all((p.cost_minor or 0) >= (p.bound_minor or 0) for p in watcher.told)
    shown = [p.plan for p in watcher.told if p.plan is not None]
    assert shown, "the best plan so far is shown"
    assert all(verify_plan(done.job, plan).is_proven for plan in shown)
    assert min(plan.cost_minor for plan in shown) == again.cost_minor


class _Heard:
    """A watcher that keeps all that it is told."""

    def __init__(self) -> None:
        self.told: list[nestcut.Progress] = []

    def tell(self, progress: nestcut.Progress) -> None:
        self.told.append(progress)
