"""What a plan tells of itself: what proves its bounds, and where its notes say that things lie."""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.facts import Area, Fact, Lengths, Names, fact
from nestcut.model.plan import Bound, Counted, Offcut, Plan
from nestcut.verify import verify_plan
from nestcut.verify.truth import placed, region
from tests.builders import a_job, a_plan
from tests.unit.verify.untrue.made import kept

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
