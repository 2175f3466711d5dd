"""Boards keep their numbers, whatever is cut from them, and boards with rails and sawn parts."""

from __future__ import annotations

from functools import cache

import pytest

import nestcut
from nestcut.again import Events, compare_plans
from nestcut.again.plan import continue_plan
from nestcut.cli.verbs.again import _Pages
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.papers.view import plan_view
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.search.streams import stream

JOB = """
[job]
name = "boards"
[saw]
kerf = "3 mm"
[[board]]
name = "fir"
material = "fir"
thickness = "20 mm"
width = "140 mm"
end_trim = "5 mm"
lengths = [{ length = "2.4 m", price = 18 }]
[[board]]
name = "oak"
material = "oak"
thickness = "25 mm"
width = "120 mm"
lengths = [{ length = "1.2 m", price = 15 }]
[[rail]]
name = "gunwale"
material = "fir"
section = ["20 mm", "60 mm"]
length = "2.2 m"
count = 3
joints = "none"
[[rail]]
name = "cleat"
material = "fir"
section = ["20 mm", "40 mm"]
length = "600 mm"
count = 2
joints = "none"
[[part]]
name = "knee"
from = "board"
material = "oak"
thickness = "25 mm"
count = 2
shape = { kind = "taper", length = "500 mm", start = "110 mm", end = "30 mm" }
[[part]]
name = "chock"
from = "board"
material = "fir"
thickness = "20 mm"
count = 2
shape = { kind = "taper", length = "300 mm", start = "70 mm", end = "30 mm" }
"""


@cache
def planned() -> VerifiedPlan:
    job = nestcut.read_job(JOB, drawings={})
    return nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))


def again(plan: Plan, events: Events) -> VerifiedPlan:
    settings = Settings(seed=0, effort=Effort.QUICK)
    return continue_plan(planned().job, plan, events, settings, Deadline(), Silent())


def numbers(plan: Plan) -> list[int]:
    return [*(b.number for b in plan.boards), *(s.board for s in plan.sheets)]


def labels(done: VerifiedPlan) -> dict[str, str]:
    """On which board papers say that each piece lies."""
    view = plan_view(done)
    sawn = {p.piece.id: s.label for s in view.sheets for p in s.placed}
    return sawn | {c.piece.id: b.label for b in view.boards for c in b.cuts}


def test_the_job_has_a_board_of_each_kind() -> None:
    plan = planned().plan
    rails = {b.number for b in plan.boards}
    assert plan.cost_minor == 2 * 1800 + 1500
    assert {s.board in rails for s in plan.sheets} == {True, False}


def test_a_new_board_for_rails_gets_the_next_number_and_no_other_changes_its_own() -> None:
    done = planned()
    lost = Events(spoilt=frozenset({"gunwale 1", "gunwale 2", "gunwale 3"}))
    new = again(done.plan, lost)
    assert len(new.plan.boards) > len(done.plan.boards)
    known = set(numbers(done.plan))
    assert numbers(new.plan)[: len(done.plan.boards)] == [b.number for b in done.plan.boards]
    assert set(numbers(new.plan)) == known | {max(known) + 1, max(known) + 2}
    stays = labels(done).keys() - lost.spoilt
    moved = {s.piece for s in compare_plans(done.plan, new.plan).shifts}
    assert {p: labels(new)[p] for p in stays - moved} == {p: labels(done)[p] for p in stays - moved}


@pytest.mark.parametrize(
    "seed", [0, *(pytest.param(k, marks=pytest.mark.deep) for k in range(1, 12))]
)
def test_mishaps_in_a_row_leave_what_is_cut_where_it_was(seed: int) -> None:
    done, luck = planned(), stream(seed, "boards of both")
    ids = sorted(labels(done))
    for _ in range(3 if seed == 0 else 6):
        cut = {i for i in ids if luck.random() < 0.3}
        spoilt = frozenset(str(i) for i in luck.choice(ids, size=2, replace=False))
        events = Events(cut=frozenset(cut - spoilt), spoilt=spoilt)
        new = again(done.plan, events)
        kept = set(new.plan.already_cut)
        assert {p: labels(new)[p] for p in kept} == {p: labels(done)[p] for p in kept}
        assert sorted(labels(new)) == ids
        had = {(b.stock, b.length_mm): b.count + b.to_hand for b in done.plan.buy}
        now = {(b.stock, b.length_mm): b.to_hand for b in new.plan.buy}
        assert all(now[k] == n for k, n in had.items())
        done = new


def test_both_drawings_of_a_board_are_thrown_away_where_its_rails_change() -> None:
    done = planned()
    rails = {b.number: b for b in done.plan.boards}
    both = next(s for s in done.plan.sheets if s.board in rails)
    lost = rails[both.board].cuts[0].piece
    told = compare_plans(done.plan, again(done.plan, Events(spoilt=frozenset({lost}))).plan)
    pages = {("sheet", both.number), ("board", both.board)}
    assert pages <= {(source.value, number) for source, number in told.pages}
    said = _Pages.of(plan_view(done)).all_at(told.pages)
    assert said.count(f"board {both.board}") == 1
