"""A job that has changed while it is being cut: the checks are those of the demos' mishaps."""

from __future__ import annotations

from dataclasses import replace

import pytest

import nestcut
from nestcut.again import Difference, Events, compare_plans
from nestcut.again.plan import continue_plan
from nestcut.model.held import Held
from nestcut.model.job import Job
from nestcut.model.plan import VerifiedPlan
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from tests import mishaps
from tests.unit.again.test_again import JOB, planned

LID = """
[[part]]
name = "lid"
thickness = "6 mm"
[part.shape]
kind = "rectangle"
length = "300 mm"
width = "250 mm"
"""


def read(text: str) -> Job:
    return nestcut.read_job(text, drawings={})


def go_on(
    old: VerifiedPlan, job: Job, cut: set[str], spoilt: set[str], touched: set[str]
) -> tuple[VerifiedPlan, Difference]:
    new = continue_plan(
        job,
        old.plan,
        Events(cut=frozenset(cut), spoilt=frozenset(spoilt)),
        Settings(effort=Effort.QUICK),
        Deadline(),
        Silent(),
        Held(sheets=old.job.sheet_stocks, boards=old.job.board_stocks),
    )
    told = compare_plans(old.plan, new.plan)
    name = "short boards" if "gunwale" in touched else "changed"
    mishap = mishaps.Mishap(name, frozenset(cut), frozenset(spoilt), job, frozenset(touched))
    mishaps.check(mishaps.document_of(old), mishaps.document_of(new), mishap, told)
    return new, told


def test_a_part_added_finds_room_beside_what_is_cut() -> None:
    _, told = go_on(planned(), read(JOB + LID), {"plank 1", "side P1 1/2"}, set(), {"lid"})
    assert told.added == ("lid 1",)
    assert (told.changed, told.gone, told.renamed) == ((), (), ())


def test_a_changed_part_is_made_again_and_what_was_cut_of_it_is_spent() -> None:
    job = read(JOB.replace('length = "700 mm"', 'length = "720 mm"'))
    new, told = go_on(planned(), job, {"plank 1", "pad 1"}, set(), {"plank"})
    assert told.changed == ("plank 1", "plank 2", "plank 3")
    assert {k.reason for s in new.plan.sheets for k in s.spent} == {"plank 1, not wanted any more"}
    assert new.plan.already_cut == ("pad 1",)


def test_a_copy_fewer_takes_what_is_cut_whatever_its_number() -> None:
    new, told = go_on(
        planned(), read(JOB.replace("count = 5", "count = 4")), {"pad 5"}, set(), set()
    )
    assert told.gone == ("pad 1",)
    assert told.renamed == (("pad 5", "pad 1"),)
    assert new.plan.already_cut == ("pad 1",)
    assert told.purchases == ()


def test_a_part_left_out_leaves_its_place_and_a_sheet_may_be_left_over_whole() -> None:
    head, tail = JOB.split('[[part]]\nname = "plank"')
    job = read(head + "[[part]]" + tail.split("[[part]]", 1)[1])
    new, told = go_on(planned(), job, set(), set(), {"plank"})
    assert told.gone == ("plank 1", "plank 2", "plank 3")
    assert told.purchases == ()
    assert len(new.plan.sheets) == len(planned().plan.sheets)
    (whole,) = [s for s in new.plan.sheets if not s.placements]
    assert [(o.from_mm, o.to_mm) for o in whole.offcuts] == [((0.0, 0.0), (1200.0, 600.0))]


def test_a_part_moved_in_its_drawing_is_the_same_part() -> None:
    old = planned()
    (pad,) = [p for p in old.job.sheet_parts if p.name == "pad"]
    moved = tuple((x + 40.0, y - 3.0) for x, y in pad.shape.outline.points)
    shape = replace(pad.shape, outline=replace(pad.shape.outline, points=moved, curves=()))
    parts = tuple(replace(p, shape=shape) if p is pad else p for p in old.job.sheet_parts)
    job = replace(old.job, sha256="moved", sheet_parts=parts)
    _, told = go_on(old, job, {"pad 1", "pad 2"}, set(), set())
    assert told.changed == told.added == told.gone == ()


def test_another_thickness_and_no_more_of_the_old_sheets() -> None:
    job = JOB.replace("price = 20\n", "count = 3\n").replace(
        'name = "pad"\nthickness = "6 mm"', 'name = "pad"\nthickness = "9 mm"'
    )
    job += """
[[sheet]]
name = "9 mm ply"
material = "ply"
length = "1200 mm"
width = "600 mm"
thickness = "9 mm"
price = 30
"""
    new, told = go_on(planned(), read(job), {"plank 1", "pad 1"}, set(), {"pad"})
    assert told.changed == tuple(f"pad {k}" for k in range(1, 6))
    assert [p.stock for p in told.purchases] == ["9 mm ply"]
    assert {s.stock for s in new.plan.sheets} == {"6 mm ply", "9 mm ply"}
    assert [s.held for s in new.job.sheet_stocks if s.name == "6 mm ply"] == [3]


def test_a_spoilt_rail_gets_a_joint_more_where_only_short_boards_are_left() -> None:
    free = JOB.replace(
        'joint = { kind = "scarf", slope = "12:1", at = ["1900 mm"] }',
        'joint = { kind = "scarf", slope = "12:1", keep_clear = "none" }',
    )
    old = nestcut.plan_job(read(free), nestcut.Budget(effort=nestcut.Effort.QUICK))
    longest = max(
        (p for p in old.plan.rail_pieces if p.part == "gunwale"), key=lambda p: p.length_mm
    )
    short = free.replace(
        '{ length = "2.4 m", price = 8.00 }, { length = "3 m", price = 9.50 }',
        '{ length = "1.5 m", price = 6.00 }',
    )
    others = {p.id for p in old.plan.rail_pieces} - {longest.id}
    new, told = go_on(old, read(short), others, {longest.id}, {"gunwale"})
    assert new.plan.is_complete
    before = {j.at_mm for j in old.plan.joints if j.part == "gunwale"}
    assert before <= {j.at_mm for j in new.plan.joints if j.part == "gunwale"}
    assert {p.length_mm for p in told.purchases} == {1500.0}


def test_a_stock_that_is_otherwise_now_keeps_the_old_one_under_a_name_of_its_own() -> None:
    job = JOB.replace(
        'length = "1200 mm"\nwidth = "600 mm"', 'length = "1250 mm"\nwidth = "620 mm"'
    )
    new, told = go_on(planned(), read(job), {"plank 1"}, {"plank 2"}, set())
    assert {s.stock for s in new.plan.sheets} <= {"6 mm ply", "6 mm ply, bought before"}
    assert {p.stock for p in told.purchases} <= {"6 mm ply"}


def test_spares_lie_in_the_shed_when_a_sheet_is_spoilt() -> None:
    job = read(JOB.replace("price = 20\n", "price = 20\nspare = 1\n"))
    old = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))
    (line,) = [b for b in old.plan.buy if b.stock == "6 mm ply"]
    assert line.over == 1
    sheet = max(old.plan.sheets, key=lambda s: len(s.placements))
    lost = {p.piece for p in sheet.placements}
    new = continue_plan(
        job, old.plan, Events(spoilt=frozenset(lost)), Settings(effort=Effort.QUICK), Deadline(),
        Silent(),
    )  # fmt: skip
    (again,) = [b for b in new.plan.buy if b.stock == "6 mm ply"]
    assert (again.count, again.to_hand) == (0, line.count)


@pytest.mark.parametrize(("share", "need", "over"), [("10 %", 3, 1), ("0 %", 3, 0), ("50 %", 3, 2)])
def test_spares_may_be_a_share_of_what_is_bought(share: str, need: int, over: int) -> None:
    job = read(JOB.replace("price = 20\n", f'price = 20\nspare = "{share}"\n'))
    plan = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK)).plan
    (line,) = [b for b in plan.buy if b.stock == "6 mm ply"]
    assert (line.count - line.over, line.over) == (need, over)
