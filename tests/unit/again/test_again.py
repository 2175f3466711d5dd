"""Planning again after mishaps: what is cut stays, nothing in the shed is bought again.

The rules are checked from the plans alone, by code of this file.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from shapely.geometry import Polygon

import nestcut
from nestcut.again import Events, add_events, compare_plans
from nestcut.again.plan import continue_plan
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.planfile.compare import contradictions
from nestcut.planfile.read import parse_plan_json
from nestcut.search.settings import Deadline, Effort, Settings, Silent

JOB = """
[job]
name = "again"
[saw]
kerf = "3 mm"
gap = "1 mm"
[[sheet]]
name = "6 mm ply"
material = "ply"
length = "1200 mm"
width = "600 mm"
thickness = "6 mm"
price = 20
[[board]]
name = "fir"
material = "fir"
thickness = "20 mm"
width = "90 mm"
end_trim = "5 mm"
lengths = [{ length = "2.4 m", price = 8.00 }, { length = "3 m", price = 9.50 }]
[[part]]
name = "side"
thickness = "6 mm"
hand = "pair"
joint = { kind = "scarf", slope = "8:1", at = ["800 mm"] }
[part.shape]
kind = "rectangle"
length = "1500 mm"
width = "220 mm"
[[part]]
name = "plank"
thickness = "6 mm"
count = 3
[part.shape]
kind = "rectangle"
length = "700 mm"
width = "160 mm"
[[part]]
name = "pad"
thickness = "6 mm"
count = 5
[part.shape]
kind = "rectangle"
length = "180 mm"
width = "90 mm"
[[rail]]
name = "gunwale"
material = "fir"
section = ["20 mm", "40 mm"]
length = "3.9 m"
hand = "pair"
joint = { kind = "scarf", slope = "12:1", at = ["1900 mm"] }
[[rail]]
name = "cleat"
material = "fir"
section = ["20 mm", "40 mm"]
length = "600 mm"
count = 3
"""


@cache
def planned() -> VerifiedPlan:
    job = nestcut.read_job(JOB, drawings={})
    return nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))


def again(plan: Plan, events: Events) -> Plan:
    settings = Settings(seed=0, effort=Effort.QUICK)
    return continue_plan(planned().job, plan, events, settings, Deadline(), Silent()).plan


def where(plan: Plan) -> dict[str, object]:
    """Where each piece lies: number and place."""
    flat = {p.piece: (s.number, p) for s in plan.sheets for p in s.placements}
    rails = {c.piece: (b.number, c) for b in plan.boards for c in b.cuts}
    return {**flat, **rails}


def spend(plan: Plan) -> int:
    return sum(b.price_minor * b.count for b in plan.buy)


def check(old: Plan, new: Plan, events: Events) -> None:
    """What must hold after every mishap."""
    before, after = where(old), where(new)
    ids = {p.id for p in old.pieces} | {p.id for p in old.rail_pieces}
    assert set(after) == ids
    assert (new.pieces, new.rail_pieces, new.joints) == (old.pieces, old.rail_pieces, old.joints)
    stays = set(new.already_cut)
    assert stays >= (set(old.already_cut) | events.cut) - events.spoilt
    assert stays.isdisjoint(events.spoilt)
    assert {p: after[p] for p in stays} == {p: before[p] for p in stays}
    for first, second in zip(old.sheets, new.sheets, strict=False):
        assert (first.stock, first.number) == (second.stock, second.number)
    had = {(b.stock, b.length_mm): b.count + b.to_hand for b in old.buy}
    now = {(b.stock, b.length_mm): b for b in new.buy}
    assert all(now[k].to_hand == n for k, n in had.items())
    # A spoilt piece's place is not used again.
    for sheet in new.sheets:
        shapes = {p.id: p for p in new.pieces}
        for spent in sheet.spent:
            area = Polygon(spent.points).buffer(-1.0)
            for placement in sheet.placements:
                shape = nestcut.placed_shape(shapes[placement.piece], placement)
                assert not Polygon(shape.outline.points).intersects(area)
    told = compare_plans(old, new)
    assert {s.piece for s in told.shifts} == {p for p in ids if before.get(p) != after.get(p)}
    assert sum(p.count * p.price_minor for p in told.purchases) == spend(new)
    job = planned().job
    checks = nestcut.verify_plan(job, new).checks
    text = nestcut.plan_text(VerifiedPlan(job=job, plan=new, checks=checks))
    back = parse_plan_json(text, "plan.json")
    assert contradictions(back, job) == ()
    assert back.plan.already_cut == new.already_cut
    assert [s.spent for s in back.plan.sheets] == [s.spent for s in new.sheets]
    assert [b.spent for b in back.plan.boards] == [b.spent for b in new.boards]
    assert nestcut.verify_plan(planned().job, new).is_proven


def random_events(plan: Plan, luck: np.random.Generator) -> Events:
    ids = sorted(where(plan))
    uncut = [i for i in ids if i not in plan.already_cut]
    cut = {i for i in uncut if luck.uniform() < 0.4}
    spoilt = {str(i) for i in luck.choice(ids, size=int(luck.integers(1, 3)), replace=False)}
    return Events(cut=frozenset(cut - spoilt), spoilt=frozenset(spoilt))


@pytest.mark.parametrize("seed", range(6))
def test_after_a_mishap_what_is_cut_stays_and_the_rest_is_found_a_place(seed: int) -> None:
    old = planned().plan
    events = random_events(old, np.random.default_rng(seed))
    check(old, again(old, events), events)


@pytest.mark.deep
@pytest.mark.parametrize("seed", range(6, 46))
def test_forty_mishaps(seed: int) -> None:
    old = planned().plan
    events = random_events(old, np.random.default_rng(seed))
    check(old, again(old, events), events)


def test_ten_mishaps_one_after_the_other() -> None:
    plan, luck = planned().plan, np.random.default_rng(99)
    spent = spend(plan)
    for _ in range(10):
        events = random_events(plan, luck)
        new = again(plan, events)
        check(plan, new, events)
        told = compare_plans(plan, new)
        spent += sum(p.count * p.price_minor for p in told.purchases)
        plan = new
    prices = {("6 mm ply", 1200.0): 2000, ("fir", 2400.0): 800, ("fir", 3000.0): 950}
    lying = [(s.stock, s.length_mm) for s in plan.sheets]
    lying += [(b.stock, b.length_mm) for b in plan.boards]
    assert spent == sum(prices[key] for key in lying)
    assert sorted(where(plan)) == sorted(
        [*(p.id for p in plan.pieces), *(p.id for p in plan.rail_pieces)]
    )


def test_a_small_piece_spoilt_moves_nothing_else() -> None:
    old = planned().plan
    new = again(old, Events(spoilt=frozenset({"pad 1"})))
    assert [s.piece for s in compare_plans(old, new).shifts] == ["pad 1"]
    assert compare_plans(old, new).purchases == ()


def test_a_begun_sheet_keeps_its_rectangles_measured_anew() -> None:
    old = planned().plan
    sheet = max(old.sheets, key=lambda s: len(s.placements))
    lost = frozenset(p.piece for p in sheet.placements)
    new = again(old, Events(spoilt=lost))
    assert sheet.offcuts
    assert new.sheets[sheet.number - 1].offcuts


def test_half_of_a_scarfed_pair_spoilt_keeps_the_joint_of_its_twin() -> None:
    old = planned().plan
    (spoilt,) = [p.id for p in old.pieces if p.id.startswith("side P") and p.share == 1]
    events = Events(cut=frozenset(p.id for p in old.pieces) - {spoilt}, spoilt=frozenset({spoilt}))
    new = again(old, events)
    check(old, new, events)
    assert {j.at_mm for j in new.joints if j.part == "side"} == {800.0}


def test_a_rail_spoilt_is_cut_from_what_lies_there_if_it_can() -> None:
    old = planned().plan
    events = Events(spoilt=frozenset({"cleat 1"}))
    new = again(old, events)
    check(old, new, events)
    assert spend(new) in {0, 800}


def test_pieces_that_the_plan_has_not_are_refused() -> None:
    with pytest.raises(ValueError, match="no pieces of this plan: mast"):
        add_events(planned().plan, Events(cut=frozenset({"mast"})))
