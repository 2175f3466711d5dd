"""The front and last pages: counts of what they name, in words that a builder has."""

from __future__ import annotations

import itertools
import re
from dataclasses import replace
from functools import lru_cache
from io import BytesIO

import pdfplumber
import pypdf
import pytest

from nestcut.facts import fact
from nestcut.model.plan import Bound, Counted
from nestcut.papers.book import board_pages, joints_under, shop_pdf
from nestcut.papers.draw.paper import Paper
from nestcut.papers.lists import buy_rows, usage_of
from nestcut.papers.page import PageMaker
from nestcut.papers.sheet import curved_board_pages
from nestcut.papers.view import Figures, PlanView, bevel_words, keeps_of, plan_view
from nestcut.units import LengthStyle
from nestcut.verify import tally
from nestcut.words import Speech, tell_fact
from nestcut.words.how_to_use import Has, how_to_use
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
    "check rule",
    "max_joints",
    "own proof",
    "usage.csv",
    " | ",
)
"""What readers stumbled over: our words, and one sign between two lists."""


FOUR = list(itertools.product(["beach-boat", "punt"], LengthStyle))


@lru_cache(maxsize=2)
def view_of(name: str) -> PlanView:
    """A demo with a bound and a note of every kind that its front and last page may have."""
    verified = demo_on_shelves(name)
    told = (
        (Counted.SHEETS, 1.0, 2.0, fact("SHT-117", filled="0.9")),
        (Counted.JOINTS, 0.0, 0.0, fact("BRD-114")),
        (Counted.MONEY, 100.0, 200.0, fact("BRD-118")),
    )
    none = fact("SHT-103")
    plan = replace(
        verified.plan,
        bounds=tuple(
            Bound(name=f"stock {k}", measure=measure, lower=lower, used=used, reason=reason)
            for k, (measure, lower, used, reason) in enumerate(told)
        ),
        notes=(
            fact("JNT-345", most=4),
            fact("SHT-101", name="ply", n=2, offcut=none, plain=3, plain_offcut=none),
        ),
    )
    return plan_view(replace(verified, plan=plan, checks=tally(verified.job, plan)))


@lru_cache(maxsize=4)
def pages_of(name: str, style: LengthStyle) -> bytes:
    """The PDF of shop.pdf but sheets' own pages."""
    view = view_of(name)
    figures = Figures(style)
    maker = PageMaker(Paper.A4, figures, view)
    curved = [s for s in view.sheets if s.label.startswith("Board")]
    drawings = (*board_pages(view.boards, maker), *curved_board_pages(curved, maker))
    return shop_pdf(view, usage_of(view, figures), joints_under(drawings, maker), Paper.A4, figures)


def book_of(name: str, style: LengthStyle) -> str:
    """All words of shop.pdf but those of sheets' own pages."""
    pages = pypdf.PdfReader(BytesIO(pages_of(name, style))).pages
    return re.sub(r"\s+", " ", " ".join(p.extract_text() for p in pages))


def lines_of_first_page(name: str, style: LengthStyle) -> list[str]:
    """Its lines as they stand on paper, words a blank apart."""
    with pdfplumber.open(BytesIO(pages_of(name, style))) as book:
        return (book.pages[0].extract_text() or "").split("\n")


@pytest.mark.parametrize("name", ["beach-boat", "punt"])
def test_last_page_counts_what_it_names(name: str) -> None:
    """Sheets are sheets, boards boards, pieces no cuts, and KEEPs those that are drawn."""
    view = view_of(name)
    told = book_of(name, LengthStyle.MM)
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


@pytest.mark.parametrize(("name", "style"), FOUR)
def test_no_words_of_our_own_in_the_book(name: str, style: LengthStyle) -> None:
    told = book_of(name, style)

    assert len(told) > 5000
    assert [w for w in OURS if w in told] == []


SIGNS = (
    *("GOOD:", "BACK:", "FWD:", "UP:", "CL:", "KEEP:", "kerf:", "base line:", "hatched:"),
    "J1, J2: see Joints",
)
"""What pages say without saying it in full."""


@pytest.mark.parametrize("name", ["beach-boat", "punt"])
def test_the_front_page_says_how_to_begin_and_what_signs_mean(name: str) -> None:
    """Nobody looks for a second book, or for what J1 is, behind the last page."""
    told = book_of(name, LengthStyle.INCH)
    front = told[: told.index("Cut list")]
    how = front[front.index("How to use these papers") : front.index("Before you start")]

    assert front.index("Before you start") < front.index("How good the plan is")
    assert [sign for sign in SIGNS if sign not in how] == []
    assert "marking-out.pdf draws each outline" in how
    turns = {
        "beach-boat": (
            *("joints (J1", "dry fit,", "what is CUT AFTER DRY FIT", "trim, cutting off"),
            "other bevels, then dry fit again",
        ),
        "punt": ("joints (J1", "bevels of edges without trim", "dry fit,", "trim, cutting off"),
    }[name]
    assert list(turns) == sorted(turns, key=how.index)
    placed = [p for s in view_of(name).sheets for p in s.placed]
    rest = " ".join(w for p in placed for w in bevel_words(p, Figures(LengthStyle.INCH)))
    assert "plane " in rest
    assert ("once trimmed" in rest) is ("other bevels" in how)
    for word in ("DOWN", "AFT"):
        assert (f"{word} end" in rest) is (f"{word} end:" in how or f"{word}:" in how)
    assert ("CUT AFTER DRY FIT" in how) is (name == "beach-boat")


def test_nothing_is_told_of_what_a_plan_hasnt_got() -> None:
    every = " ".join(how_to_use(frozenset(Has)))
    boards = " ".join(how_to_use(frozenset({Has.BOARDS})))
    assert all(
        f"{word}" in every for word in ("Sheets:", "Boards:", "marking-out", "joints", "KEEP")
    )
    assert "Boards:" in boards
    assert not any(w in boards for w in ("Sheets:", "marking-out", "joints", "KEEP", "dry fit"))


@pytest.mark.parametrize("name", ["beach-boat", "punt"])
def test_numbers_of_the_cut_list_are_no_cuts(name: str) -> None:
    """On boards cuts have numbers of their own: the list's are those of pieces."""
    told = book_of(name, LengthStyle.MM)
    assert "No.: its number on its page." in told
    assert re.search(r"from no\. piece size, mm thick to do", told)


@pytest.mark.parametrize("style", list(LengthStyle))
def test_the_cut_list_says_to_what_its_sizes_are_rounded(style: LengthStyle) -> None:
    """Whole millimetres were promised, and boards' pieces had halves."""
    told, figures = book_of("punt", style).replace("\u00a0", " "), Figures(style)
    view = view_of("punt")
    assert {
        LengthStyle.MM: "to the nearest 0.5 mm.",
        LengthStyle.INCH: 'to the nearest 1/32".',
    }[style] in told
    for placed in (p for s in view.sheets for p in s.placed):
        assert figures.cut_pair(*placed.size_mm).removesuffix(figures.tail) in told
    for cut in (c for b in view.boards for c in b.cuts):
        assert f"{figures.place(cut.piece.length_mm)} x" in told


@pytest.mark.parametrize(("name", "style"), FOUR)
def test_a_piece_is_as_long_as_its_page_has_its_far_edge(name: str, style: LengthStyle) -> None:
    """A strap's edge was at 10 17/32" on its sheet's page, the strap 10 9/16" wide in the list."""
    view, figures = view_of(name), Figures(style)
    told = book_of(name, style).replace("\u00a0", " ")
    fine = 0
    for placed in (p for s in view.sheets for p in s.placed):
        _, _, x1, y1 = placed.box_mm
        for low, edge in zip(placed.box_mm[:2], (x1, y1), strict=True):
            if abs(low) < 0.01 and any(abs(edge - size) < 0.01 for size in placed.size_mm):
                assert figures.place(edge) in told
                assert figures.place(edge) in figures.cut_pair(*placed.size_mm)
                fine += figures.place(edge) != figures.size(edge)
    assert fine or name == "punt"


def test_boards_that_curves_are_sawn_from_are_no_sheets() -> None:
    """Plans keep both among their sheets; papers call them what they are."""
    verified = view_of("beach-boat").verified
    job, plan = verified.job, verified.plan
    first, *others = plan.sheets
    sawn = replace(first, stock=job.board_stocks[0].name)
    checks = tally(job, replace(plan, sheets=(sawn, *others)))
    said = [tell_fact(c, Speech()) for c in checks if c.code in {"CHK-005", "CHK-011", "CHK-014"}]

    assert len(said) == 2
    assert all(f" {len(others)} sheets and 1 board " in words for words in said)


@pytest.mark.parametrize(("name", "style"), FOUR)
def test_no_figure_of_what_to_buy_is_broken(name: str, style: LengthStyle) -> None:
    """Thicknesses such as 10 mm (25/64") stood on two lines each, and cost as many."""
    view, figures = view_of(name), Figures(style)
    lines = lines_of_first_page(name, style)

    for row in buy_rows(view):
        cells = (figures.thickness(row.thickness_mm), figures.stock(row.length_mm, row.width_mm))
        assert any(" ".join(cells) in line for line in lines), cells
