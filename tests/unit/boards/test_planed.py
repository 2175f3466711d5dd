"""A rail planed down from a thicker board: asked, sawn as thick as the board, told on papers."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

import nestcut
from nestcut.intake.job import understand_job
from nestcut.model.part import sawn_section
from nestcut.model.plan import VerifiedPlan
from nestcut.papers.lists.csv_lists import buying_list_csv, cut_list_csv
from nestcut.papers.lists.summary import summary_text
from nestcut.papers.view import Figures, plan_view, rail_words
from nestcut.units import LengthStyle
from nestcut.verify import verify_plan
from nestcut.words import Speech, tell

JOB = """
[saw]
kerf = "2 mm"
gap = "0 mm"
[[board]]
name = "pine board"
material = "pine"
thickness = "20 mm"
width = "95 mm"
lengths = [{ length = "4.2 m", price = 12 }]
[[rail]]
name = "gunwale"
section = ["18 mm", "32 mm"]
length = "1600 mm"
count = 4
material = "pine"
"""
PLANED = JOB + 'planed_from = "20 mm"\n'
MM = Figures(LengthStyle.MM, 16, "EUR")


@cache
def planned() -> VerifiedPlan:
    job = nestcut.check_job(PLANED, drawings={}).job
    return nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))


def blocking(tmp_path: Path, text: str) -> list[tuple[str, str, str]]:
    path = tmp_path / "job.toml"
    path.write_text(text, encoding="utf-8")
    found = [f for f in understand_job(path).findings if f.is_blocking]
    return [(f.code, f.where.rpartition(": ")[2], tell(f, Speech()).message) for f in found]


@pytest.mark.parametrize(
    ("section", "board", "sawn"),
    [
        ((18.0, 32.0), 20.0, (20.0, 32.0)),
        ((32.0, 18.0), 20.0, (32.0, 20.0)),
        ((18.0, 32.0), 34.0, (18.0, 34.0)),
        ((18.0, 32.0), None, (18.0, 32.0)),
    ],
)
def test_the_nearest_smaller_side_is_planed(
    section: tuple[float, float], board: float | None, sawn: tuple[float, float]
) -> None:
    assert sawn_section(*section, board) == sawn


def test_a_thicker_board_is_offered_and_asked_about_never_taken(tmp_path: Path) -> None:
    (asked,) = blocking(tmp_path, JOB)
    assert asked == (
        "JOB-111",
        "rail[1].planed_from",
        "no pine is 18 mm thick for 'gunwale', and 20 mm is the nearest: is it planed down by "
        "2 mm?",
    )
    assert blocking(tmp_path, PLANED) == []
    (far,) = blocking(tmp_path, JOB.replace('"20 mm"', '"26 mm"'))
    assert far[0] == "JOB-016", "8 mm are resawn, not planed"
    (other,) = blocking(tmp_path, JOB.replace('"pine"\nthickness', '"larch"\nthickness'))
    assert other[0] == "JOB-016", "another wood is no answer"


@pytest.mark.parametrize("said", ['"18 mm"', '"25 mm"', '"12 mm"'])
def test_what_is_no_planing_is_refused(tmp_path: Path, said: str) -> None:
    found = blocking(tmp_path, PLANED.replace('"20 mm"\n', f"{said}\n"))
    assert ("JOB-110", "rail[1].planed_from") in [f[:2] for f in found]


def test_it_is_sawn_as_thick_as_the_board_and_finished_as_asked() -> None:
    plan = planned().plan
    assert [b.thickness_mm for b in plan.boards] == [20.0]
    for piece in plan.rail_pieces:
        assert (piece.thickness_mm, piece.sawn_mm) == (18.0, (20.0, 32.0))
    assert {c.rip_to_mm - c.rip_from_mm for c in plan.boards[0].cuts} == {32.0}


def test_the_verifier_refuses_a_plan_that_forgets_the_planing() -> None:
    job, plan = planned().job, planned().plan
    assert verify_plan(job, plan).is_proven
    bare = tuple(replace(p, planed_from_mm=None) for p in plan.rail_pieces)
    codes = {f.code for f in verify_plan(job, replace(plan, rail_pieces=bare)).findings}
    assert "VER-032" in codes
    other = replace(job, rail_parts=(replace(job.rail_parts[0], planed_from_mm=None),))
    assert not verify_plan(other, plan).is_proven


def test_a_plan_file_keeps_it() -> None:
    job, text = planned().job, nestcut.plan_text(planned())
    again = nestcut.parse_plan(text, job)
    assert [p.planed_from_mm for p in again.rail_pieces] == [20.0] * 4


def test_every_paper_says_what_is_planed() -> None:
    view = plan_view(planned())
    words = "plane 20 to 18 mm"
    assert f"{words} (gunwale)" in buying_list_csv(view, MM)
    assert f"; {words} (gunwale)" in summary_text(planned(), LengthStyle.MM)
    head, *rows = cut_list_csv(view, MM).splitlines()
    assert head.endswith(",planed from mm")
    assert all(row.endswith(",20") for row in rows)
    for board in view.boards:
        assert all(words in rail_words(cut, view, MM) for cut in board.cuts)


def test_of_two_sides_that_fit_the_board_the_greater_is_planed() -> None:
    """18 x 32 mm from a board of 34 mm: sawn 18 x 34, which the verifier works out by itself."""
    text = PLANED.replace('thickness = "20 mm"', 'thickness = "34 mm"').replace(
        'planed_from = "20 mm"', 'planed_from = "34 mm"'
    )
    done = nestcut.plan_job(
        nestcut.check_job(text, drawings={}).job, nestcut.Budget(effort=nestcut.Effort.QUICK)
    )
    assert {p.sawn_mm for p in done.plan.rail_pieces} == {(18.0, 34.0)}
    cuts = [c for b in done.plan.boards for c in b.cuts]
    assert {c.rip_to_mm - c.rip_from_mm for c in cuts} == {18.0}
    assert verify_plan(done.job, done.plan).is_proven
