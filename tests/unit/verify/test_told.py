"""What a plan tells of itself: what proves its bounds, and where its notes say that things lie."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import box

from nestcut.facts import Area, Fact, Length, Lengths, Names, fact
from nestcut.joints.split import split_part
from nestcut.model.joint import JointRule
from nestcut.model.plan import Bound, Counted, Offcut, Plan
from nestcut.model.stock import KeepOut
from nestcut.units import format_mm
from nestcut.verify import Prover, verify_plan
from nestcut.verify.stock.reasons import check_reasons
from nestcut.verify.truth import placed, region
from tests.builders import a_job, a_part, a_plan, in_rows, judged, rectangle
from tests.unit.verify.test_joint_rules import _pair_job, _plan_at
from tests.unit.verify.untrue.made import codes as said
from tests.unit.verify.untrue.made import kept, pieces_changed
from tests.unit.verify.untrue.sheets import laid

ON_SHEETS = {p.piece: s.number for s in a_plan().sheets for p in s.placements}


def bound(code: str, lower: float = 1.0, **values: object) -> Bound:
    return Bound(
        name="6 mm ply",
        measure=Counted.SHEETS,
        lower=lower,
        used=float(len(a_plan().sheets)),
        reason=fact(code, **values),  # type: ignore[arg-type]
    )


def codes(**changes: object) -> set[str]:
    plan = replace(a_plan(), **changes)  # type: ignore[arg-type]
    return {f.code for f in verify_plan(a_job(), kept(a_job(), plan)).findings}


def test_what_holds_passes() -> None:
    """1,440,000 mm2 of plates, panel and knees, grown by 2.5 mm, on sheets of 2,440 x 1,220 mm."""
    alone = min(ON_SHEETS)
    for reason in (
        bound("SHT-116"),
        bound("SHT-114", names=Names((alone,))),
        bound("BRD-113", lower=float(len(a_plan().sheets))),
        bound("BRD-115", lower=0.0),
    ):
        assert codes(bounds=(reason,)) == set(), reason


@pytest.mark.parametrize(
    "untrue",
    [
        bound("SHT-116", lower=0.5),
        bound("BRD-113", lower=0.0),
        bound("BRD-115", lower=1.0),
        bound("SHT-117", filled="1.99"),
        bound("SHT-117", filled="0.01"),
        bound("SHT-114", names=Names(("plate 1", "plate 9"))),
        bound("SHT-114", names=Names(("plate 1", "plate 1"))),
        bound("SHT-114", names=Names(("plate 1", "plate 2"))),
        replace(bound("SHT-116"), measure=Counted.SHEETS_TO_BUY),
    ],
    ids=str,
)
def test_a_reason_that_contradicts_itself_or_the_job_is_refused(untrue: Bound) -> None:
    assert codes(bounds=(untrue,)) == {"VER-072"}


def note(n: int = 1, offcut: Fact = fact("SHT-103"), plain: int = 9) -> Fact:  # noqa: B008
    none = fact("SHT-103")
    return fact("SHT-101", name="6 mm ply", n=n, offcut=offcut, plain=plain, plain_offcut=none)


def with_offcut() -> tuple[Plan, float]:
    """All that lies behind the last piece, a kerf of 2 mm beyond it; and its area."""
    plan = a_plan()
    first, *others = plan.sheets
    pieces = {p.id: p for p in plan.pieces}
    ends = [placed(region(pieces[p.piece].shape), p).bounds[2] for p in first.placements]
    low = first.edge_trim_mm, first.width_mm - first.edge_trim_mm
    start, end = max(ends) + 2.0, first.length_mm - first.edge_trim_mm
    kept = Offcut(from_mm=(start, low[0]), to_mm=(end, low[1]))
    changed = replace(plan, sheets=(replace(first, offcuts=(kept,)), *others))
    return changed, (end - start) * (low[1] - low[0])


def test_a_note_of_sheets_is_worked_out_again() -> None:
    plan, mm2 = with_offcut()
    n, sheets = len(plan.sheets), plan.sheets
    area, wrong = (fact("SHT-102", area=Area(a)) for a in (mm2, 1.02 * mm2))

    assert codes(sheets=sheets, notes=(note(n, area),)) == set()
    for untrue in (note(n + 1, area), note(n, wrong), note(n, area, plain=n - 1)):
        assert codes(sheets=sheets, notes=(untrue,)) == {"VER-073"}


def test_a_note_of_places_is_worked_out_again() -> None:
    def told(*at: float, part: str = "panel") -> Fact:
        return fact("JNT-313", part=part, places=fact("JNT-305", at=Lengths(at)))

    assert codes(notes=(told(1500.0),)) == set()
    for untrue in (told(1501.0), told(1500.0, 1700.0), told(1500.0, part="keel")):
        assert codes(notes=(untrue,)) == {"VER-073"}
    none = fact("JNT-313", part="panel", places=fact("JNT-304"))
    assert codes(notes=(none,)) == {"VER-073"}


def _places(*at: float) -> Fact:
    return fact("JNT-305", at=Lengths(at))


def _of_hands(first: tuple[str, Fact], second: tuple[str, Fact]) -> Fact:
    (hand, own), (twin, theirs) = first, second
    return fact("JNT-307", hand=hand, own=own, twin=twin, theirs=theirs)


PORT, STARBOARD = ("port", _places(900.0)), ("starboard", _places(1150.0))


@pytest.mark.parametrize(
    ("places", "is_true"),
    [
        (_of_hands(PORT, STARBOARD), True),
        (_of_hands(STARBOARD, PORT), True),
        (_of_hands(("port", _places(1150.0)), ("starboard", _places(900.0))), False),
        (_of_hands(PORT, ("starboard", _places(900.0))), False),
        (_of_hands(PORT, PORT), False),
        (_places(900.0), False),
        (_places(1150.0), False),
    ],
)
def test_a_note_tells_each_hands_places(places: Fact, is_true: bool) -> None:  # noqa: FBT001
    """A pair joined at 900 mm to port and at 1150 mm to starboard."""
    job = _pair_job(250.0)
    plan = _plan_at(job, 900.0, 1150.0)
    told = replace(plan, notes=(fact("JNT-313", part="panel", places=places),))
    assert ("VER-073" in said(job, judged(job, told))) is not is_true


def test_a_note_may_tell_both_hands_at_once() -> None:
    """A pair joined at the same place; a part that has no joint has none that could be told."""
    job = _pair_job(0.0)
    plan = judged(job, _plan_at(job, 900.0, 900.0))
    for places, wanted in ((_places(900.0), set()), (_places(901.0), {"VER-073"})):
        note_of = fact("JNT-313", part="panel", places=places)
        assert said(job, replace(plan, notes=(note_of,))) == wanted
    none = fact("JNT-313", part="plate", places=fact("JNT-304"))
    assert codes(notes=(none,)) == set()
    for places in (_places(200.0), _places(150.0, 250.0)):
        assert codes(notes=(fact("JNT-313", part="plate", places=places),)) == {"VER-073"}


def test_the_largest_offcut_is_told() -> None:
    """One plate amid its sheet leaves rectangles on several sides of it."""
    stock = replace(a_job().sheet_stocks[0], edge_trim_mm=10.0)
    job = a_job(sheet_stocks=(stock,), sheet_parts=(a_part(),), rail_parts=())
    plan = laid(a_plan(job), "plate 1", shift_mm=(700.0, 500.0))
    plan = kept(job, replace(plan, sheets=(replace(plan.sheets[0], edge_trim_mm=10.0),)))
    areas = sorted(box(*o.from_mm, *o.to_mm).area for o in plan.sheets[0].offcuts)
    assert len(areas) > 1
    assert min(min(o.from_mm) for o in plan.sheets[0].offcuts) >= 10.0
    largest, least = (fact("SHT-102", area=Area(a)) for a in (areas[-1], areas[0]))
    assert said(job, replace(plan, notes=(note(1, largest),))) == set()
    assert said(job, replace(plan, notes=(note(1, least),))) == {"VER-073"}


@pytest.mark.parametrize(
    ("board", "length_mm", "wanted"),
    [
        ("20 x 95 spruce", 2400.0, set()),
        ("20 x 95 spruce", 2401.0, {"VER-072"}),
        ("20 x 95 oak", 2400.0, {"VER-072"}),
    ],
)
def test_boards_of_a_bound_are_called_by_their_length(
    board: str, length_mm: float, wanted: set[str]
) -> None:
    name = f"20 x 95 spruce, {format_mm(2400.0, decimals=1)} mm"
    told = fact("SHT-106", board=board, length=Length(length_mm))
    least = Bound(name=name, measure=Counted.BOARDS, lower=0.0, used=0.0, said=told)
    assert codes(bounds=(least,)) == wanted


def test_a_length_that_is_none_calls_no_boards() -> None:
    name = f"20 x 95 spruce, {format_mm(2400.0, decimals=1)} mm"
    told = fact("SHT-106", board="20 x 95 spruce", length="2400")
    least = Bound(name=name, measure=Counted.BOARDS, lower=0.0, used=0.0, said=told)
    assert codes(bounds=(least,)) == {"VER-072"}


@pytest.mark.parametrize(
    ("measure", "used"),
    [(Counted.WOOD, 2.4 * 9.5 * 2.0 * 100.0), (Counted.BOARDS, 1.0), (Counted.MONEY, 900.0)],
)
def test_boards_of_a_bound_are_counted_as_it_says(measure: Counted, used: float) -> None:
    """One board of 2,400 x 95 x 20 mm, in cubic centimetres, boards and cents."""
    for by, wanted in ((0.0, set()), (1.0, {"VER-048"})):
        least = Bound(name="20 x 95 spruce", measure=measure, lower=0.0, used=used + by)
        assert codes(bounds=(least,)) == wanted


def test_sheets_to_hand_are_no_sheets_to_buy() -> None:
    plan, n = a_plan(), len(a_plan().sheets)
    (ply,) = a_job().sheet_stocks
    job = replace(a_job(), sheet_stocks=(replace(ply, held=1),))
    line = replace(plan.buy[0], count=n - 1, to_hand=1)
    plan = replace(plan, buy=(line, *plan.buy[1:]))
    for measure, each in ((Counted.SHEETS_TO_BUY, 1.0), (Counted.MONEY, ply.price_minor)):
        for used, wanted in ((n - 1, set()), (n, {"VER-048"})):
            least = Bound(name="6 mm ply", measure=measure, lower=0.0, used=used * each)
            assert said(job, replace(plan, bounds=(least,))) == wanted


def test_the_kerf_round_pieces_isnt_counted_among_what_they_fill_at_least() -> None:
    """120 strips of 600 x 4 mm fill a tenth of a sheet; a millimetre wider a quarter more."""
    strip = a_part("strip", shape=rectangle(600, 4), count=120)
    job = a_job(sheet_parts=(strip,), rail_parts=())
    told = bound("SHT-117", filled="0.10")
    assert check_reasons(job, replace(a_plan(job), bounds=(told,))) == []


def test_pieces_may_reach_over_narrow_knots_by_half_the_clearance() -> None:
    """Twelve plates fill one sheet; streaks of 4 mm take none of it where 5 mm are kept clear."""
    streaks = tuple(
        KeepOut(points=((x, 0.0), (x + 4.0, 0.0), (x + 4.0, 1220.0), (x, 1220.0)), reason="streak")
        for x in range(20, 2420, 24)
    )
    plate = a_part("plate", shape=rectangle(610, 405), count=12)
    job = a_job(sheet_parts=(plate,), rail_parts=())
    plan = replace(a_plan(job), bounds=(bound("SHT-117", filled="1.00"),))
    for width_mm, wanted in ((0.0, set()), (12.0, {"VER-072"})):
        knots = tuple(
            replace(
                k,
                points=(*k.points[:1], *((x + width_mm, y) for x, y in k.points[1:3]), k.points[3]),
            )
            for k in streaks
        )
        stock = replace(job.sheet_stocks[0], keep_outs=knots)
        found = check_reasons(replace(job, sheet_stocks=(stock,)), plan)
        assert {f.code for f in found} == wanted


def test_other_bounds_of_the_same_pieces_are_looked_at_again() -> None:
    """Whoever proves one plan after another remembers pieces, not what is said of them."""
    prover = Prover()
    for least, wanted in (
        (bound("SHT-116"), set()),
        (bound("SHT-117", filled="0.01"), {"VER-072"}),
        (bound("SHT-116"), set()),
        (bound("BRD-113", lower=0.0), {"VER-072"}),
    ):
        plan = kept(a_job(), replace(a_plan(), bounds=(least,)))
        assert {f.code for f in prover.prove(a_job(), plan).findings} == wanted


def test_a_note_of_places_holds_for_every_copy() -> None:
    """Of two panels one is joined at 900 mm and one at 1,000 mm."""
    part = a_part("panel", shape=rectangle(2000, 300), count=2, joint=JointRule())
    job = a_job(sheet_parts=(part,), rail_parts=())
    first, second = split_part(part, (900.0,)), split_part(part, (1000.0,))
    pieces = tuple(p for k, s in enumerate((first, second), 1) for p in s.pieces if p.copy == k)
    joints = tuple(j for k, s in enumerate((first, second), 1) for j in s.joints if j.copy == k)
    plan = a_plan(replace(job, sheet_parts=()))
    plan = replace(plan, pieces=pieces, joints=joints, sheets=in_rows(pieces), buy=a_plan().buy[:1])
    plan = judged(job, plan)
    assert said(job, plan) == set()
    for at in (900.0, 1000.0):
        told = fact("JNT-313", part="panel", places=_places(at))
        assert said(job, replace(plan, notes=(told,))) == {"VER-073"}


def test_other_pieces_are_looked_at_afresh() -> None:
    prover = Prover()
    sound = kept(a_job(), a_plan())
    noted = pieces_changed(sound, "plate 1", note="in oak")
    for plan, wanted in ((sound, set()), (noted, {"VER-009"}), (sound, set())):
        assert {f.code for f in prover.prove(a_job(), plan).findings} == wanted
    fewer = replace(a_job(), sheet_parts=a_job().sheet_parts[1:])
    assert "VER-003" in {f.code for f in prover.prove(fewer, sound).findings}
