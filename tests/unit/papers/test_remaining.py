"""What is left of a plan that is partly cut."""

from __future__ import annotations

import tomllib
from dataclasses import replace
from pathlib import Path

import pytest
from shapely.geometry import Polygon

from nestcut.intake.job import read_job
from nestcut.model.part import Hand
from nestcut.model.stock import SheetStock
from nestcut.papers.rest.progress_file import CutPiece, CutSource, Progress
from nestcut.papers.rest.remaining import remaining_text, started_sheets
from nestcut.papers.rest.remaining_parts import left_of_parts
from nestcut.papers.view.rows import PlanView, plan_view
from tests.builders_papers import random_plan, whole_boat

VIEW = plan_view(whole_boat())


def cut(view: PlanView, *pieces: str) -> Progress:
    places = {
        p.piece: CutPiece(piece=p.piece, source=CutSource.SHEET, stock=s.stock, number=s.number)
        for s in view.verified.plan.sheets
        for p in s.placements
    }
    return Progress(job_name="x", job_sha256="", plan="", cut=tuple(places[p] for p in pieces))


def test_what_is_cut_is_kept_out_and_the_rest_is_free() -> None:
    sheet = next(s for s in VIEW.sheets if len(s.placed) > 5)
    gone = [p.piece.id for p in sheet.placed[:3]]

    (stock,) = started_sheets(VIEW, cut(VIEW, *gone))

    assert stock.count == 1
    assert stock.price_minor == 0
    assert (stock.length_mm, stock.material) == (sheet.layout.length_mm, sheet.material)
    areas = [Polygon(k.points) for k in stock.keep_outs[len(sheet.layout.keep_outs) :]]
    assert len(areas) == 3
    for placed in sheet.placed:
        shape = Polygon(placed.shape.outline.points)
        if placed.piece.id in gone:
            assert any(a.covers(shape) for a in areas)
        else:
            assert not any(a.intersection(shape).area > 1e-6 for a in areas)


def test_a_begun_sheet_keeps_its_scarfs() -> None:
    sheet = next(s for s in VIEW.sheets if len(s.placed) > 5)
    assert isinstance(sheet.stock, SheetStock)
    glued = replace(sheet.stock, seams_mm=(1200.0,), seam_overlap_mm=96.0)
    view = replace(VIEW, sheets=(replace(sheet, stock=glued),))
    (stock,) = started_sheets(view, cut(VIEW, sheet.placed[0].piece.id))
    (band,) = (k for k in stock.keep_outs if k.reason.startswith("scarf"))
    xs = sorted({x for x, _ in band.points})
    assert xs == [1152.0, 1248.0]
    assert {y for _, y in band.points} == {0.0, sheet.layout.width_mm}


def test_untouched_sheets_are_not_begun() -> None:
    assert started_sheets(VIEW, cut(VIEW)) == ()


def test_parts_are_counted() -> None:
    progress = cut(VIEW, "pad 2", "pad 5", "quarter knee P1", "side panel S1 1/2", "transom 1")
    left = {p.part: p for p in left_of_parts(VIEW, progress)}

    assert left["pad"].whole == ((None, 6),)
    assert left["quarter knee"].whole == ((Hand.PORT, 0), (Hand.STARBOARD, 1))
    assert left["side panel"].whole == ((Hand.PORT, 1), (Hand.STARBOARD, 0))
    assert left["side panel"].begun == ("side panel S1 2/2",)
    assert left["transom"].is_done
    assert not left["pad"].is_done
    assert left["thwart"].whole == ((None, 2),)


def test_the_text_reads_as_tables_of_a_job_file() -> None:
    gone = ("pad 2", "quarter knee P1", "side panel S1 1/2", "transom 1")
    progress = cut(VIEW, *gone)

    text = remaining_text(VIEW, progress)

    read = tomllib.loads(text)
    begun = started_sheets(VIEW, progress)
    assert [s["name"] for s in read["sheet"]] == [s.name for s in begun]
    assert [len(s["keep_out"]) for s in read["sheet"]] == [len(s.keep_outs) for s in begun]
    for words in ("'transom': all cut", "'pad': 7 left of 8", 'hand = "starboard", count = 1'):
        assert words in text
    assert "side panel, starboard, piece B of 2: the rest of its part is cut" in text
    assert "thwart" not in text


def test_spoilt_pieces_are_made_again() -> None:
    """Their place on the sheet is gone, their part isn't done."""
    progress = cut(VIEW, "pad 2", "transom 1", "side panel S1 1/2", "side panel S1 2/2")
    spoilt = {"transom 1", "side panel S1 2/2"}
    marked = tuple(replace(c, is_spoilt=c.piece in spoilt) for c in progress.cut)
    progress = replace(progress, cut=marked)
    left = {p.part: p for p in left_of_parts(VIEW, progress)}

    assert left["transom"].whole == ((None, 1),)
    assert left["side panel"].begun == ("side panel S1 2/2",)
    text = remaining_text(VIEW, progress)
    read = tomllib.loads(text)
    reasons = [k["why"] for s in read["sheet"] for k in s["keep_out"]]
    assert {"transom 1 was cut and is spoilt", "pad 2 is cut"} <= set(reasons)
    assert "'transom'" not in text
    assert "spoilt, so still to make: side panel, starboard, piece B of 2; transom" in text


def test_a_missing_piece_of_a_joined_part_comes_as_planned(tmp_path: Path) -> None:
    """Its table, read by the job file's own reader, gives the piece's outline again."""
    progress = cut(VIEW, "side panel S1 1/2")
    head = '[job]\nname = "rest"\n[saw]\nkerf = "2 mm"\n'
    job = tmp_path / "job.toml"
    job.write_text(head + remaining_text(VIEW, progress), encoding="utf-8")

    (part,) = read_job(job).sheet_parts

    piece = next(p for p in VIEW.verified.plan.pieces if p.id == "side panel S1 2/2")
    made, planned = (Polygon(s.outline.points) for s in (part.shape, piece.shape))
    assert part.name == "side panel, starboard, piece B of 2"
    assert part.grain is piece.grain
    assert made.symmetric_difference(planned).area < 1.0
    assert "plane GOOD face" in part.note


def test_rails_are_counted_too() -> None:
    board = VIEW.verified.plan.boards[0]
    first = board.cuts[0].piece
    entry = CutPiece(piece=first, source=CutSource.BOARD, stock=board.stock, number=board.number)
    progress = replace(cut(VIEW), cut=(entry,))
    part = next(p.part for p in VIEW.verified.plan.rail_pieces if p.id == first)

    text = remaining_text(VIEW, progress)

    assert f"# rail '{part}'" in text
    tomllib.loads(text)


def test_a_job_file_takes_it(tmp_path: Path) -> None:
    progress = cut(VIEW, "pad 2", "transom 1", "frame 3 1")
    job = tmp_path / "job.toml"
    rest = '[[part]]\nname = "slat"\nmaterial = "okoume ply"\nthickness = "9 mm"\n'
    rest += '[part.shape]\nkind = "rectangle"\nlength = "300 mm"\nwidth = "80 mm"\n'
    head = '[job]\nname = "rest"\n[saw]\nkerf = "2 mm"\n'
    job.write_text(head + remaining_text(VIEW, progress) + rest, encoding="utf-8")

    stocks = read_job(job).sheet_stocks

    for read, made in zip(stocks, started_sheets(VIEW, progress), strict=True):
        assert read.name == made.name
        assert read.count == 1
        for a, b in zip(read.keep_outs, made.keep_outs, strict=True):
            assert a.reason == b.reason
            assert Polygon(a.points).symmetric_difference(Polygon(b.points)).area < 1e-3


@pytest.mark.parametrize("seed", [2, 7])
def test_hostile_names_stay_text(seed: int) -> None:
    view = plan_view(random_plan(seed))
    first = view.sheets[0]
    layout = replace(first.layout, stock='ply "6"\n[[part]]\x7f')
    sheets = (replace(first, layout=layout), *view.sheets[1:])
    strange = replace(view, sheets=sheets)
    ids = [p.piece.id for p in first.placed]
    entry = [
        CutPiece(piece=i, source=CutSource.SHEET, stock=layout.stock, number=layout.number)
        for i in ids
    ]

    text = remaining_text(strange, replace(cut(view), cut=tuple(entry)))

    read = tomllib.loads(text)
    assert set(read) == {"sheet"}
    assert layout.stock in read["sheet"][0]["name"]
