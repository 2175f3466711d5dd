"""Is what a job wants in reserve proven: kept where the plan says, or really given up?"""

from __future__ import annotations

import json
from dataclasses import replace

import pytest

from nestcut.errors import Severity
from nestcut.model.job import CuttingRules, Job
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.model.stock import KeepOut
from nestcut.papers.view import Figures
from nestcut.papers.view.plan_words import told_findings
from nestcut.planfile.compare import contradictions
from nestcut.planfile.read import parse_plan_json
from nestcut.planfile.write import plan_document, plan_to_json
from nestcut.sheets.left.reserves import with_reserves
from nestcut.verify import tally, verify_plan
from nestcut.words import tell, tell_fact
from nestcut.words.speech import Speech
from tests.builders import PLY, a_job, a_part, a_plan, rectangle
from tests.damage.compound import compound_edits
from tests.damage.edits import single_edits
from tests.damage.judge import AS_A_FILE, BY_THE_VERIFIER, is_listed, verdict
from tests.unit.verify.untrue.made import codes, kept
from tests.unit.verify.untrue.reserves import given_up, moved, reserving, with_free


def told(job: Job, plan: Plan) -> dict[str, str]:
    """What is said, by code."""
    return {f.code: tell(f, Speech()).message for f in verify_plan(job, plan).findings}


def test_a_reserve_that_is_kept_is_proven() -> None:
    job, plan = reserving()
    (reserve,) = plan.reserves
    assert reserve.free is not None
    assert reserve.given_up is None
    assert (reserve.material, reserve.thickness_mm, reserve.free.stock) == ("ply", 6.0, PLY.name)
    verification = verify_plan(job, plan)
    assert verification.is_proven
    (looked_at,) = (c for c in verification.checks if c.code == "CHK-014")
    assert tell_fact(looked_at, Speech()).endswith("; 1 rectangle in reserve found to be free")
    assert not [f for f in plan.findings if f.code == "SHT-003"]


@pytest.mark.parametrize(
    ("x_mm", "y_mm", "what"),
    [
        (-0.1, 0.0, "no KEEP holds it"),
        (3000.0, 0.0, "it leaves its sheet"),
        (0.0, -5000.0, "it leaves its sheet"),
    ],
)
def test_a_reserve_that_lies_elsewhere_is_not_kept(x_mm: float, y_mm: float, what: str) -> None:
    job, plan = reserving()
    free = plan.reserves[0].free
    assert free is not None
    sheet = next(s for s in plan.sheets if s.number == free.sheet)
    keep = next(o for o in sheet.offcuts if o.from_mm[0] - 0.01 <= free.from_mm[0])
    at = with_free(
        plan, from_mm=keep.from_mm, to_mm=(keep.from_mm[0] + 600.0, keep.from_mm[1] + 400.0)
    )
    assert what in told(job, moved(at, x_mm, y_mm))["VER-077"]


def test_kerf_and_gap_are_kept_from_true_outlines() -> None:
    """A KEEP is a kerf from its pieces, 2 mm; what is in reserve is a gap of 3 mm further."""
    job = a_job(sheet_parts=(a_part("plate"),), rail_parts=())
    job = replace(job, cutting=replace(job.cutting, reserve_mm=(600.0, 400.0)))
    plan = kept(job, a_plan(job))  # the plate lies at 0 to 400 along, 0 to 300 across
    at = with_free(plan, from_mm=(405.0, 0.0), to_mm=(1005.0, 400.0))
    assert verify_plan(job, at).is_proven
    assert verify_plan(job, moved(at, -0.005, 0.0)).is_proven  # the verifier's slack
    assert "plate 1 lies there" in told(job, moved(at, -0.02, 0.0))["VER-077"]
    # across the sheet as well, and lying the other way
    up = with_free(plan, from_mm=(0.0, 305.0), to_mm=(400.0, 905.0))
    assert verify_plan(job, up).is_proven
    assert "plate 1 lies there" in told(job, moved(up, 0.0, -0.02))["VER-077"]


def test_size_stock_and_sheet_are_those_of_the_job() -> None:
    job, plan = reserving()
    free = plan.reserves[0].free
    assert free is not None
    (x, y), (far, high) = free.from_mm, free.to_mm
    small = with_free(plan, to_mm=(far - 0.5, high))
    assert told(job, small) == {
        "VER-077": "its rectangle in reserve isn't kept free: it isn't as large as the job asks."
    }
    turned_round = with_free(plan, from_mm=(far, high), to_mm=(x, y))
    assert "as large" in told(job, turned_round)["VER-077"]
    for changes in ({"sheet": 9}, {"sheet": 0}, {"stock": "9 mm ply"}, {"sheet": -1}):
        assert "no such sheet" in told(job, with_free(plan, **changes))["VER-077"]


def test_what_is_barred_is_no_reserve() -> None:
    knot = KeepOut(points=((1500, 500), (1600, 500), (1600, 600), (1500, 600)), reason="knot")
    job = a_job(sheet_parts=(a_part("plate"),), rail_parts=())
    job = replace(
        job,
        cutting=replace(job.cutting, reserve_mm=(600.0, 400.0)),
        sheet_stocks=(replace(PLY, keep_outs=(knot,)),),
    )
    plain = a_plan(job)
    plan = kept(
        job, replace(plain, sheets=tuple(replace(s, keep_outs=(knot,)) for s in plain.sheets))
    )
    assert verify_plan(job, plan).is_proven
    over = with_free(plan, from_mm=(1300.0, 400.0), to_mm=(1900.0, 800.0))
    assert "nothing is to be cut there" in told(job, over)["VER-077"]


def test_pieces_moved_into_the_reserve_are_seen() -> None:
    """The damage that started this: a plan whose pieces lie where it says that nothing does."""
    job = a_job(sheet_parts=(a_part("plate"),), rail_parts=())
    job = replace(job, cutting=replace(job.cutting, reserve_mm=(600.0, 400.0)))
    plan = kept(job, a_plan(job))
    plan = with_free(plan, from_mm=(405.0, 0.0), to_mm=(1005.0, 400.0))
    (sheet,) = plan.sheets
    there = tuple(replace(p, shift_mm=(500.0, 0.0)) for p in sheet.placements)
    fresh = replace(plan, sheets=(replace(sheet, placements=there, offcuts=()),))
    measured = replace(kept(job, fresh), reserves=plan.reserves)
    assert set(told(job, measured)) == {"VER-077"}


def filled(size_mm: tuple[float, float], cutting: CuttingRules | None = None) -> tuple[Job, Plan]:
    """One plate that leaves a strip of its sheet, 2440 by 240 mm less kerf and gap."""
    job = a_job(sheet_parts=(a_part("plate", shape=rectangle(2440, 980)),), rail_parts=())
    rules = cutting or job.cutting
    job = replace(job, cutting=replace(rules, reserve_mm=size_mm))
    return job, kept(job, a_plan(job))


def test_a_reserve_fits_to_a_hair() -> None:
    for size in ((2440.0, 235.0), (235.0, 2440.0)):
        job, plan = filled(size)
        assert plan.reserves[0].free is not None
        assert verify_plan(job, plan).is_proven
    job, plan = filled((600.0, 235.1))
    assert plan.reserves[0].free is None
    assert verify_plan(job, plan).is_proven


def test_a_reserve_that_has_no_place_is_said() -> None:
    job, plan = filled((600.0, 400.0))
    assert plan.reserves[0].free is None
    assert [f.code for f in plan.findings] == ["SHT-003"]
    assert verify_plan(job, plan).is_proven
    silent = replace(plan, findings=())
    assert set(told(job, silent)) == {"VER-079"}
    twice = replace(plan, findings=plan.findings * 2)
    assert set(told(job, twice)) == {"VER-079"}
    (reserve,) = plan.reserves
    without_reason = replace(plan, reserves=(replace(reserve, given_up=None),))
    assert set(told(job, without_reason)) == {"VER-079"}


def test_papers_say_that_it_found_no_place() -> None:
    job, plan = filled((600.0, 400.0))
    figures = Figures(job.style, job.fraction, job.currency)
    lines = told_findings(VerifiedPlan(job=job, plan=plan, checks=tally(job, plan)), figures)
    assert [words for severity, words in lines if severity is Severity.WARNING] == [
        "6 mm ply: the rectangle to keep in reserve found no place beside the pieces, and no sheet "
        "is bought for it alone. Buy a spare sheet, or ask for a smaller reserve."
    ]


def test_a_reserve_is_not_given_up_where_there_is_room() -> None:
    job, plan = filled((600.0, 233.9))
    assert set(told(job, given_up(plan, (600.0, 233.9)))) == {"VER-078"}
    # what a millimetre decides is left to the search
    job, plan = filled((600.0, 234.8))
    assert told(job, given_up(plan, (600.0, 234.8))) == {}


def test_what_is_kept_is_not_said_to_have_no_place() -> None:
    job, plan = reserving()
    both = replace(plan, findings=given_up(plan).findings)
    assert set(told(job, both)) == {"VER-079"}


def test_a_whole_sheet_to_hand_is_a_place() -> None:
    job, plan = filled((600.0, 400.0))
    spare = replace(
        PLY, name="rest of ply", length_mm=700.0, width_mm=500.0, price_minor=0, count=1
    )
    more = replace(job, sheet_stocks=(*job.sheet_stocks, spare))
    again = with_reserves(more, plan)
    free = again.reserves[0].free
    assert free is not None
    assert (free.stock, free.sheet) == ("rest of ply", 0)
    assert verify_plan(more, again).is_proven
    assert set(told(more, plan)) == {"VER-078"}
    # none is left of it
    gone = replace(job, sheet_stocks=(*job.sheet_stocks, replace(spare, count=0)))
    assert "no such sheet" in told(gone, again)["VER-077"]


def test_every_kind_of_sheets_has_its_word_and_no_other() -> None:
    job, plan = reserving()
    (reserve,) = plan.reserves
    assert set(told(job, replace(plan, reserves=(reserve, reserve)))) == {"VER-076"}
    other = replace(reserve, thickness_mm=9.0)
    assert set(told(job, replace(plan, reserves=(reserve, other)))) == {"VER-076"}
    plain = replace(job, cutting=replace(job.cutting, reserve_mm=None))
    assert set(told(plain, plan)) == {"VER-076"}
    assert with_reserves(plain, plan).reserves == ()
    thick = a_part("block", thickness_mm=18.0)
    two = replace(
        job,
        sheet_parts=(*job.sheet_parts, thick),
        sheet_stocks=(PLY, replace(PLY, name="18 mm ply", thickness_mm=18.0)),
    )
    assert len(with_reserves(two, a_plan(two)).reserves) == 2


def test_a_plan_without_any_reserve_is_as_it_was() -> None:
    job = a_job()
    assert codes(job, a_plan(job)) == set()
    plan = kept(job, a_plan(job))
    document = plan_document(VerifiedPlan(job=job, plan=plan, checks=tally(job, plan)))
    assert "reserves" not in document


@pytest.mark.parametrize("size_mm", [(600.0, 400.0), (2400.0, 1200.0)])
def test_plan_files_hold_it(size_mm: tuple[float, float]) -> None:
    job, plan = reserving(size_mm)
    text = plan_to_json(VerifiedPlan(job=job, plan=plan, checks=tally(job, plan)))
    read = parse_plan_json(text, "plan.json")
    assert read.plan.reserves == plan.reserves
    assert contradictions(read, job) == ()


@pytest.mark.parametrize("size_mm", [(600.0, 400.0), (2400.0, 1200.0)])
def test_every_field_of_it_made_untrue_is_refused(size_mm: tuple[float, float]) -> None:
    """By the verifier itself, as if the file had been sealed anew, but for what is listed."""
    job, plan = reserving(size_mm)
    document = json.loads(plan_to_json(VerifiedPlan(job=job, plan=plan, checks=tally(job, plan))))
    own = {"reserves": document.pop("reserves")}
    told = {}
    for edit in single_edits(own, 5):
        told[edit.path] = verdict({**document, **edit.document}, job, plan)
    assert told
    left = {
        path: who
        for path, who in told.items()
        if who not in {AS_A_FILE, BY_THE_VERIFIER} and not is_listed(path, who)
    }
    assert left == {}
    assert sum(who == BY_THE_VERIFIER for who in told.values()) >= 10


def test_damages_of_a_reserve_are_refused() -> None:
    job, plan = reserving()
    own = [made for name, made in compound_edits(job, plan) if name.startswith("reserve")]
    assert [set(told(job, changed)) for changed in own] == [{"VER-077"}, {"VER-078"}]


def test_a_plan_file_from_before_says_what_to_do() -> None:
    job, plan = reserving()
    document = json.loads(plan_to_json(VerifiedPlan(job=job, plan=plan, checks=tally(job, plan))))
    del document["reserves"]
    read = parse_plan_json(json.dumps(document), "plan.json")
    (objection,) = verify_plan(job, read.plan).findings
    words = tell(objection, Speech())
    assert objection.where == "6 mm ply"
    assert "tells of 0" in words.message
    assert "before 30 November 2026" in words.message
    assert "make it again with 'nestcut plan'" in words.remedy


def on_knots(
    length_mm: float, width_mm: float, boxes: tuple[tuple[float, float, float, float], ...]
) -> tuple[Job, Plan]:
    """A plate across the end of a sheet of this size that has knots in these boxes."""
    knots = tuple(
        KeepOut(points=((x0, y0), (x1, y0), (x1, y1), (x0, y1)), reason="knot")
        for x0, y0, x1, y1 in boxes
    )
    plate = a_part("plate", shape=rectangle(400, width_mm))
    size = {"length_mm": length_mm, "width_mm": width_mm}
    stock = replace(PLY, **size, keep_outs=knots)  # type: ignore[arg-type]
    job = a_job(sheet_parts=(plate,), rail_parts=(), sheet_stocks=(stock,))
    plain = a_plan(job)
    (sheet,), (line, *_) = plain.sheets, plain.buy
    sheet = replace(sheet, **size, keep_outs=knots)  # type: ignore[arg-type]
    return job, replace(plain, sheets=(sheet,), buy=(replace(line, **size),))  # type: ignore[arg-type]


def test_a_keep_that_holds_it_need_not_be_larger_for_being_narrower() -> None:
    """Three hundredths of a millimetre narrower it would be longer by a fifth."""
    boxes = ((401, 0, 490, 740), (890, 0, 981, 600), (889.97, 600, 981, 740))
    job, plain = on_knots(981.0, 740.0, boxes)
    job = replace(job, cutting=replace(job.cutting, reserve_mm=(600.0, 400.0)))
    plan = kept(job, plain)
    sides = [
        tuple(round(b - a, 2) for a, b in zip(o.from_mm, o.to_mm, strict=True))
        for o in plan.sheets[0].offcuts
    ]
    assert sides == [(400.0, 600.0)]
    assert verify_plan(job, plan).is_proven
    assert set(told(job, replace(plan, reserves=()))) == {"VER-074"}


def test_a_keep_holds_it_that_need_not_be_the_largest() -> None:
    """A cross between knots: its broad bar is the larger one, its high bar holds what is asked."""
    corners = ((401, 490), (900, 981)), ((0, 36), (574, 610))
    boxes = tuple((x0, y0, x1, y1) for x0, x1 in corners[0] for y0, y1 in corners[1])
    job, plain = on_knots(981.0, 610.0, boxes)
    (largest, *_) = kept(job, plain).sheets[0].offcuts
    assert largest.to_mm[0] - largest.from_mm[0] > 570.0

    job = replace(job, cutting=replace(job.cutting, reserve_mm=(600.0, 400.0)))
    plan = kept(job, plain)
    free = plan.reserves[0].free
    assert free is not None
    assert (free.to_mm[0] - free.from_mm[0], free.to_mm[1] - free.from_mm[1]) == (400.0, 600.0)
    assert any(
        (o.to_mm[0] - o.from_mm[0], o.to_mm[1] - o.from_mm[1]) == (410.0, 610.0)
        for o in plan.sheets[0].offcuts
    )
    assert verify_plan(job, plan).is_proven
    largest_first = replace(plan, sheets=kept(replace(job, cutting=a_job().cutting), plain).sheets)
    assert "no KEEP holds it" in told(job, largest_first)["VER-077"]
