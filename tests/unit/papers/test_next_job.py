"""The next job file, written from ticks: both demos, and files that can't be changed safely."""

from __future__ import annotations

import shutil
from collections import Counter
from pathlib import Path

import pytest

from nestcut.errors import InputError
from nestcut.intake.job import read_job
from nestcut.model.part import Hands, RailPart, SheetPart
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.papers.rest.next_job import next_job
from nestcut.papers.rest.progress_file import CutPiece, CutSource, Progress
from nestcut.papers.view.rows import PlanView, plan_view
from tests.builders_demos import PARTS, demo_on_shelves

EACH = {Hands.NONE: 1, Hands.PAIR: 2, Hands.PORT: 1, Hands.STARBOARD: 1}


def ticks(view: PlanView, pieces: set[str], spoilt: set[str]) -> Progress:
    plan = view.verified.plan
    places = [
        (p.piece, CutSource.SHEET, s.stock, s.number) for s in plan.sheets for p in s.placements
    ]
    places += [(c.piece, CutSource.BOARD, b.stock, b.number) for b in plan.boards for c in b.cuts]
    cut = tuple(
        CutPiece(piece=piece, source=kind, stock=stock, number=number, is_spoilt=piece in spoilt)
        for piece, kind, stock, number in places
        if piece in pieces
    )
    return Progress(job_name="x", job_sha256="", plan="", cut=cut)


def next_file(demo: str, text: str, folder: Path) -> Path:
    """The next job file beside a copy of the demo's drawings."""
    shutil.copytree(PARTS / demo, folder / demo)
    path = folder / demo / "next.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
def test_what_is_left_is_counted(demo: str, tmp_path: Path) -> None:
    """Half the sheets and boards are cut, every fifth piece is spoilt."""
    view = plan_view(demo_on_shelves(demo))
    plan = view.verified.plan
    off = [p.piece for s in plan.sheets[::2] for p in s.placements]
    off += [c.piece for b in plan.boards[::2] for c in b.cuts]
    spoilt = set(off[::5])
    done = set(off) - spoilt
    old = (PARTS / demo / "job.toml").read_text(encoding="utf-8")

    made = next_job(old, view, ticks(view, set(off), spoilt))

    job = read_job(next_file(demo, made.text, tmp_path))
    added = {p.name for p in plan.added_parts} | {
        p.part for p in plan.pieces if " strap " in p.part
    }
    copies: dict[tuple[str, str, int], list[str]] = {}
    pieces: tuple[SheetPiece | RailPiece, ...] = (*plan.pieces, *plan.rail_pieces)
    for piece in pieces:
        if piece.part not in added:
            key = (piece.part, piece.hand or "", piece.copy)
            copies.setdefault(key, []).append(piece.id)
    whole = Counter(part for (part, _, _), ids in copies.items() if not done & set(ids))
    singles = {
        view.name_of(i) for ids in copies.values() if done & set(ids) for i in ids if i not in done
    }
    left: Counter[str] = Counter()
    parts: tuple[SheetPart | RailPart, ...] = (*job.sheet_parts, *job.rail_parts)
    for part in parts:
        name = part.name.removesuffix(", port").removesuffix(", starboard")
        if part.name not in singles:
            left[name] += part.count * EACH[part.hands]
    straps = {name: n for name, n in left.items() if " strap " in name}
    assert left - Counter(straps) == whole
    named = {p.name for p in parts}
    assert {s for s in singles if s not in named} <= holed(view)
    assert job.name.endswith(" - rest")


def holed(view: PlanView) -> set[str]:
    """Pieces with holes, whose outline is left to the builder."""
    return {view.name_of(p.id) for p in view.verified.plan.pieces if p.shape.holes} | {
        view.name_of(p.id) for p in view.verified.plan.pieces if p.cut_from.value == "board"
    }


def test_begun_sheets_lie_as_they_are(tmp_path: Path) -> None:
    """A sheet to hand that is begun is whole no more; bought ones that aren't are offered."""
    view = plan_view(demo_on_shelves("beach-boat"))
    sheets = view.verified.plan.sheets
    first = sheets[0].placements[0].piece
    old = (PARTS / "beach-boat" / "job.toml").read_text(encoding="utf-8")

    made = next_job(old, view, ticks(view, {first}, set()))

    stocks = read_job(next_file("beach-boat", made.text, tmp_path)).sheet_stocks
    begun = [s for s in stocks if "begun" in s.name]
    assert [s.count for s in begun] == [1]
    assert any(first in k.reason for k in begun[0].keep_outs)
    assert f"{sheets[0].stock}, in the shed" in made.text
    assert made.by_hand == ()


def test_comments_and_the_rest_stay() -> None:
    view = plan_view(demo_on_shelves("punt"))
    old = (PARTS / "punt" / "job.toml").read_text(encoding="utf-8")

    made = next_job(old, view, ticks(view, set(), set()))

    assert (
        made.text.splitlines() == old.replace('name = "punt"', 'name = "punt - rest"').splitlines()
    )


def test_the_next_rest_is_numbered() -> None:
    view = plan_view(demo_on_shelves("punt"))
    old = (PARTS / "punt" / "job.toml").read_text(encoding="utf-8")
    progress = ticks(view, set(), set())

    once = next_job(old, view, progress).text
    twice = next_job(once, view, progress).text

    assert 'name = "punt - rest 2"' in twice


def test_what_cannot_be_changed_safely_is_left() -> None:
    """A key that stands in a text of several lines is never touched by mistake."""
    view = plan_view(demo_on_shelves("punt"))
    first = view.verified.plan.sheets[0].placements[0].piece
    old = (PARTS / "punt" / "job.toml").read_text(encoding="utf-8")
    strange = old.replace("[[part]]", '[[part]]\nnote = """\n[[part]]\ncount = 1\n"""', 1)

    with pytest.raises(InputError, match="TCK-006"):
        next_job(strange, view, ticks(view, {first}, set()))
