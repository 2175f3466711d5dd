"""The front and last pages: counts of what they name, in words that a builder has."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pypdf
import pytest

from nestcut.facts import fact
from nestcut.model.plan import Bound, Counted
from nestcut.papers.draw.paper import Paper
from nestcut.papers.view import Figures, PlanView, keeps_of, plan_view
from nestcut.papers.write import write_papers
from nestcut.units import LengthStyle
from nestcut.verify import tally
from tests.builders_demos import demo_on_shelves

OURS = (
    "setting",
    "nestcut explain",
    "rail piece",
    "saw's share",
    "own lengths",
    "chose its place",
    "held against",
    "ruled out",
    "runs out 1 in",
    "short of",
    "beyond",
    " | ",
)
"""What readers stumbled over: our words, and one sign between two lists."""


@lru_cache(maxsize=2)
def view_of(name: str) -> PlanView:
    """A demo with a bound and a note of every kind that its front and last page may have."""
    verified = demo_on_shelves(name)
    plan = replace(
        verified.plan,
        bounds=(
            Bound(name="ply", measure=Counted.SHEETS, lower=1.0, used=2.0, reason=fact("SHT-117", filled="0.9")),
            Bound(name="rails", measure=Counted.JOINTS, lower=0.0, used=0.0, reason=fact("BRD-114")),
            Bound(name="fir", measure=Counted.MONEY, lower=100.0, used=200.0, reason=fact("BRD-118")),
        ),
        notes=(
            fact("JNT-345", most=4),
            fact("SHT-101", name="ply", n=2, offcut=fact("SHT-103"), plain=3, plain_offcut=fact("SHT-103")),
        ),
    )  # fmt: skip
    return plan_view(replace(verified, plan=plan, checks=tally(verified.job, plan)))


def book_of(view: PlanView, folder: Path, style: LengthStyle = LengthStyle.MM) -> str:
    """All words of shop.pdf."""
    write_papers(view.verified, folder, Paper.A4, style)
    pages = pypdf.PdfReader(folder / "shop.pdf").pages
    return re.sub(r"\s+", " ", " ".join(p.extract_text() for p in pages))


@pytest.mark.parametrize("name", ["beach-boat", "punt"])
def test_last_page_counts_what_it_names(name: str, tmp_path: Path) -> None:
    """Sheets are sheets, boards boards, pieces no cuts, and KEEPs those that are drawn."""
    view = view_of(name)
    told = book_of(view, tmp_path)
    job, plan = view.verified.job, view.verified.plan
    sheets = sum(s.label.startswith("Sheet") for s in view.sheets)
    wide = len(view.sheets) - sheets
    where = f"{sheets} sheet{'s' * (sheets > 1)}"
    where += f" and {wide} board{'s' * (wide > 1)}" if wide else ""
    drawn = sum(len(keeps_of(s, job.cutting, Figures(LengthStyle.MM))) for s in view.sheets)
    straight = sum(len(b.cuts) for b in plan.boards)

    assert f"of pieces on {where} held apart" in told
    assert f"{drawn} KEEPs on {where} found to be left over" in told
    assert f"{straight} pieces on {len(plan.boards)} boards: section" in told
    assert f"{straight} straight pieces from {len(plan.boards)} boards" in told
    assert drawn > 1


@pytest.mark.parametrize(("name", "style"), itertools.product(["beach-boat", "punt"], LengthStyle))
def test_no_words_of_our_own_in_the_book(name: str, style: LengthStyle, tmp_path: Path) -> None:
    told = book_of(view_of(name), tmp_path, style)

    assert len(told) > 5000
    assert [w for w in OURS if w in told] == []
