"""No name prints as boxes: letters that the font lacks are spelled out, and the builder is told."""

from __future__ import annotations

import io
from dataclasses import replace

import pdfplumber
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nestcut.model.plan import VerifiedPlan
from nestcut.papers.book.shop_book import shop_pdf
from nestcut.papers.draw.fonts import Weight, font_face, shorten, spelled, text_width_mm, wrap
from nestcut.papers.draw.paper import Paper
from nestcut.papers.labels.pattern_pages import pattern_pdf
from nestcut.papers.labels.patterns import TileChoice
from nestcut.papers.labels.sticky import default_grid, labels_pdf
from nestcut.papers.lists.usage import usage_of
from nestcut.papers.marking.pages import marking_pdf
from nestcut.papers.marking.rules import metric_rule
from nestcut.papers.page.maker import PageMaker
from nestcut.papers.sheet.page import sheet_pages
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.name_findings import SPELLED_WORDS, spelled_names, spelling_findings
from nestcut.papers.view.rows import plan_view
from nestcut.units import LengthStyle
from tests.builders_boat import part, rectangle
from tests.builders_papers import plan_for, ply

NAMES = {
    "海鸥": "{u6d77-u9e25}",
    "カモメ 2": "{ka-mo-me} 2",
    "סירה": "{samekh-yod-resh-he}",
    "⛵️ seat": "{sailboat} seat",
    "갈매기": "{gal-mae-gi}",
    "\uff53\uff45at": "seat",
    "Sëät Ω Ж": "Sëät Ω Ж",
    "a\u200bb": "ab",
}
FIGURES = Figures(LengthStyle.MM)


@pytest.mark.parametrize(("name", "shown"), NAMES.items())
def test_a_name_is_spelled(name: str, shown: str) -> None:
    assert spelled(name) == shown
    assert spelled(shown) == shown


@settings(derandomize=True, max_examples=300, deadline=None)
@given(st.text(max_size=30))
def test_whatever_is_printed_has_its_letters_in_both_weights(text: str) -> None:
    for weight in Weight:
        known = font_face(weight).face.charToGlyph
        assert all(c == "\n" or ord(c) in known for c in spelled(text))


def test_widths_are_those_of_what_is_printed() -> None:
    assert text_width_mm("海", 3.0) == text_width_mm("{u6d77}", 3.0)
    assert shorten("海鸥海鸥海鸥", 3.0, 20.0).startswith("{u6d77")
    assert text_width_mm(shorten("海鸥海鸥海鸥", 3.0, 20.0), 3.0) <= 20.0
    assert wrap("海 鸥", 3.0, 16.0) == ("海", "鸥")


def foreign_plan() -> VerifiedPlan:
    parts = [part(name, rectangle(700, 200), 9) for name in list(NAMES)[:5]]
    return plan_for("船 ⛵", parts, [replace(ply(9, 100), name="合板 9")], LengthStyle.MM)


def texts_of(data: bytes) -> str:
    with pdfplumber.open(io.BytesIO(data)) as book:
        return "\n".join(page.extract_text() for page in book.pages)


def test_no_paper_has_a_letter_that_the_font_lacks() -> None:
    verified = foreign_plan()
    view = plan_view(verified)
    maker = PageMaker(Paper.A4, FIGURES, view)
    rule = metric_rule()
    drawings = [p for s in view.sheets for p in sheet_pages(s, maker)]
    papers = {
        "book": shop_pdf(view, usage_of(view, FIGURES), drawings, Paper.A4, FIGURES),
        "marking": marking_pdf(view, rule, Paper.A4),
        "labels": labels_pdf(view, FIGURES, default_grid(Paper.A4), 0),
        "pattern": pattern_pdf(view, "海鸥 1", Paper.A4, FIGURES, TileChoice.TOUCHED),
    }
    known = font_face(Weight.PLAIN).face.charToGlyph
    for name, data in papers.items():
        text = texts_of(data)
        assert "u6d77" in text, name
        assert all(c == "\n" or ord(c) in known for c in text), name
    flat = texts_of(papers["book"]).replace("\n", " ")
    assert SPELLED_WORDS in flat


def test_the_builder_is_told_which_names_and_what_to_do() -> None:
    (told,) = spelling_findings(foreign_plan().job)

    assert told.code == "OUT-004"
    assert not told.is_blocking
    assert "海鸥 as {u6d77-u9e25}" in told.message
    assert "Latin, Greek or Cyrillic" in told.remedy
    assert "and 1 more" in told.message


def test_plain_names_are_no_trouble() -> None:
    verified = plan_for(
        "Möwe", [part("Sëät {1}", rectangle(700, 200), 9)], [ply(9, 100)], LengthStyle.MM
    )

    assert spelled_names(verified.job) == ()
    assert spelling_findings(verified.job) == ()
