"""Names in any script print as they're written; what no font has is spelled out and told."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
import unicodedata
from dataclasses import replace
from functools import lru_cache
from pathlib import Path

import pdfplumber
import pytest
from ezdxf.filemanagement import readfile
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from nestcut.drawings.write import write_sheet_drawing
from nestcut.model.plan import VerifiedPlan
from nestcut.papers.draw import Drawing, Text, drawings_pdf, svg_png
from nestcut.papers.draw.letters import (
    Weight,
    fenced,
    scripts,
    shorten,
    spelled,
    text_width_mm,
    web_fonts,
    wrap,
)
from nestcut.papers.draw.letters import fonts as house
from nestcut.papers.draw.letters.runs import in_print_order, runs
from nestcut.papers.draw.letters.spelling import spell
from nestcut.papers.draw.paper import Paper
from nestcut.papers.labels.pattern_pages import pattern_pdf
from nestcut.papers.labels.patterns import TileChoice
from nestcut.papers.labels.sticky import default_grid, labels_pdf
from nestcut.papers.marking.pages import marking_pdf
from nestcut.papers.marking.rules import metric_rule
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.name_findings import spelled_names, spelling_findings
from nestcut.papers.view.rows import plan_view
from nestcut.papers.write import write_papers
from nestcut.units import LengthStyle
from nestcut.words import Speech, tell
from tests.builders_boat import part, rectangle
from tests.builders_papers import plan_for, ply

SPELLED = {
    "海鸥": "{u6d77-u9e25}",
    "カモメ 2": "{ka-mo-me} 2",
    "סירה": "{samekh-yod-resh-he}",
    "⛵️ seat": "{sailboat} seat",
    "갈매기": "{gal-mae-gi}",
    "\uff53\uff45at": "seat",
    "Sëät Ω Ж": "Sëät Ω Ж",
    "a\u200bb": "ab",
}
"""Names, and how they are printed where there are no fonts of other scripts."""
NAMES = {
    "Japanese": "船底外板",
    "kana": "カモメ",
    "Chinese": "侧板",
    "Korean": "갈매기",
    "Hebrew": "לוח צד",
    "Arabic": "لوح جانبي",
    "Persian": "تخته می‌شود",
    "Thai": "ที่นั่ง",
    "Devanagari": "पार्श्व पैनल",
}
FIGURES = Figures(LengthStyle.MM)


@pytest.mark.parametrize(("name", "shown"), SPELLED.items())
def test_without_fonts_a_name_is_spelled(name: str, shown: str) -> None:
    def no_font(_letter: str) -> bool:
        return False

    assert spell(name, house.has_letter, no_font) == shown
    assert spell(shown, house.has_letter, no_font) == shown


@pytest.mark.parametrize("name", NAMES.values(), ids=list(NAMES))
def test_names_in_other_scripts_are_printed_as_written(name: str) -> None:
    assert scripts(), "the packages of nestcut[scripts] belong to those of the tests"
    assert spelled(name) == name
    assert runs(name, Weight.BOLD)


def test_what_no_font_has_is_spelled() -> None:
    assert spelled("🚤 seat") == "{speedboat} seat"


def test_east_asian_letters_of_a_name_come_from_one_font() -> None:
    def regions(name: str) -> set[str]:
        return {r.script.region for r in runs(name, Weight.PLAIN) if r.script}

    assert regions("船底カモメ") == {"JP"}
    assert regions("侧板") == {"SC"}
    assert regions("갈매기") == {"KR"}


def test_letters_are_shaped_by_their_neighbours() -> None:
    """Lam, waw and hah join; a conjunct is one shape; Thai marks stand on their letter."""

    def shapes(name: str) -> list[int]:
        return [g.index for r in runs(name, Weight.PLAIN) for g in r.glyphs]

    alone = [shapes(letter)[0] for letter in "حول"]
    assert shapes("لوح") != alone
    assert len(shapes("क्ष")) < len("क्ष")
    assert text_width_mm("ที่", 10.0) == pytest.approx(text_width_mm("ท", 10.0))
    assert text_width_mm("ही", 10.0) > text_width_mm("ह", 10.0)


@pytest.mark.parametrize("name", ["לוח צד 2", "لوح", "מסגרת 2 קדמית"])
@pytest.mark.parametrize("after", [" 200 x 300 mm", ", port · 1:10 · 200", " (200)"])
def test_figures_beside_a_leftward_name_stay_in_their_places(name: str, after: str) -> None:
    printed = "".join(
        part[::-1] if is_left else part for part, is_left in in_print_order(name + after)
    )

    assert printed.endswith(after)
    last = max(k for k, c in enumerate(name) if unicodedata.bidirectional(c) in {"R", "AL"})
    assert fenced(name + after) == f"{name[: last + 1]}\u200e{name[last + 1 :]}{after}"


def test_within_a_leftward_name_figures_are_read_forwards() -> None:
    assert [p for p, _ in in_print_order("אב 12 גד")] == [" גד", "12", "אב "]


@settings(derandomize=True, max_examples=300, deadline=None)
@given(st.text(max_size=30))
def test_whatever_is_printed_has_its_letters_in_a_font(text: str) -> None:
    shown = spelled(text)
    for letter in shown.replace("\n", ""):
        assert house.has_letter(letter) or house.is_joiner(letter) or house.script_of(letter, shown)
    assert text_width_mm(text, 3.0) >= 0.0


def test_lines_break_between_letters_and_lose_none() -> None:
    lines = wrap("ที่นั่งที่นั่งที่นั่ง", 3.0, 6.0)

    assert len(lines) > 2
    assert "".join(lines) == "ที่นั่งที่นั่งที่นั่ง"
    assert not any(unicodedata.category(line[0]).startswith("M") for line in lines)
    assert wrap("海 鸥", 3.0, 3.5) == ("海", "鸥")
    assert text_width_mm(shorten("海鸥海鸥海鸥", 3.0, 10.0), 3.0) <= 10.0


def test_a_figure_stays_with_its_unit() -> None:
    assert wrap("1.29 m² 66.6 % of it", 3.0, 16.0) == ("1.29 m²", "66.6 % of it")
    assert wrap("12 1/2 in", 3.0, 5.0)[0].startswith("12")


@lru_cache(maxsize=1)
def foreign_plan() -> VerifiedPlan:
    parts = [part(name, rectangle(700, 100), 9) for name in (*NAMES.values(), "🚤 seat")]
    return plan_for("船 סירה", parts, [replace(ply(9, 100), name="合板 9")], LengthStyle.MM)


@pytest.fixture(scope="module")
def papers(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("papers")
    write_papers(foreign_plan(), folder, Paper.A4, LengthStyle.MM)
    return folder


def words_of(data: bytes) -> str:
    """What a reader finds in a PDF; joined forms of letters read as the letters."""
    found = subprocess.run(
        ["pdftotext", "-", "-"], input=data, capture_output=True, check=True
    ).stdout.decode()
    return re.sub(r"[\u200b-\u200f\u202a-\u202e\s]+", " ", unicodedata.normalize("NFKC", found))


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="needs Debian's poppler-utils")
def test_a_name_is_found_in_every_pdf(papers: Path) -> None:
    verified = foreign_plan()
    view = plan_view(verified)
    made = {
        "book": (papers / "shop.pdf").read_bytes(),
        "marking": (papers / "marking-out.pdf").read_bytes(),
        "labels": labels_pdf(view, FIGURES, default_grid(Paper.A4), 0),
    }
    for name, data in made.items():
        text = words_of(data).replace(" ", "")
        for word in NAMES.values():
            assert re.sub(r"[\s\u200c]", "", word) in text, (name, word)
    pattern = pattern_pdf(view, "侧板 1", Paper.A4, FIGURES, TileChoice.TOUCHED)
    assert "侧板" in words_of(pattern)


def test_only_what_is_used_is_embedded_and_bytes_are_the_same(papers: Path) -> None:
    data = (papers / "shop.pdf").read_bytes()
    view = plan_view(foreign_plan())
    first = marking_pdf(view, metric_rule(), Paper.A4)
    page = Drawing(100.0, 100.0, (Text("क्षत्र श्री", (10, 50), 5.0),), "x")
    alone = drawings_pdf([page], "x")
    fonts = {
        str(font.get_object()["/BaseFont"]): font.get_object()["/FontDescriptor"]
        for leaf in PdfReader(io.BytesIO(data)).pages
        for font in leaf["/Resources"]["/Font"].values()  # type: ignore[index]
        if font.get_object()["/Subtype"] == "/TrueType"
    }

    assert len(data) < 400_000
    assert sum("Kurinto" in name for name in fonts) >= 4
    assert all("/FontFile2" in about for about in fonts.values())
    assert marking_pdf(view, metric_rule(), Paper.A4) == first
    assert drawings_pdf([page], "x") == alone


def test_pages_and_pictures_in_a_browser_bring_their_fonts(papers: Path) -> None:
    html = (papers / "shop.html").read_text()
    (svg,) = [p.read_text() for p in (papers / "sheets").glob("*.svg")]
    for text in (html, svg):
        assert all(fenced(name) in text for name in NAMES.values())
        assert text.count("@font-face") == 8
        assert text.count("font/ttf;base64") == 8
    assert "🚤 seat" in html
    assert web_fonts("Sëät Ω") == ""
    assert web_fonts("船底外板") == web_fonts("船底外板")


def test_lists_and_drawings_have_names_as_written(papers: Path) -> None:
    listed = (papers / "cut-list.csv").read_text(encoding="utf-8-sig")
    dxf = papers / "one.dxf"
    write_sheet_drawing(dxf, foreign_plan(), foreign_plan().plan.sheets[0])
    drawn = {t.dxf.text for t in readfile(dxf).modelspace().query("TEXT")}

    assert [p.stem for p in (papers / "sheets").glob("*.svg")] == ["01-合板-9"]
    assert set(NAMES.values()) <= drawn
    assert "🚤 seat" in drawn
    assert all(name in listed for name in (*NAMES.values(), "🚤 seat"))


def test_a_picture_shows_them_too() -> None:
    def picture(name: str) -> bytes:
        text = f'<text x="5" y="20" font-size="12" font-family="sans-serif">{name}</text>'
        return svg_png(
            f'<svg xmlns="http://www.w3.org/2000/svg" width="90" height="30">{text}</svg>'
        )

    shown = {picture(name) for name in NAMES.values()}
    assert len(shown) == len(NAMES)
    assert picture("🚤") == picture("{speedboat}")


def test_no_paper_has_a_letter_that_its_fonts_lack(papers: Path) -> None:
    with pdfplumber.open(papers / "shop.pdf") as book:
        letters = [c for page in book.pages for c in page.chars]
    own = [c["text"] for c in letters if "DejaVu" in c["fontname"]]

    assert "�" not in {c["text"] for c in letters}
    assert all(house.has_letter(c) for text in own for c in text)


def test_the_builder_is_told_which_names_and_what_to_do() -> None:
    (found,) = spelling_findings(foreign_plan().job)
    told = tell(found, Speech())

    assert found.code == "OUT-004"
    assert not found.is_blocking
    assert "🚤 seat as {speedboat} seat" in told.message
    assert "in letters" in told.remedy


def test_the_fonts_are_named_where_they_are_missing(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("nestcut.papers.view.name_findings.scripts", tuple)
    (found,) = spelling_findings(foreign_plan().job)

    assert found.code == "OUT-015"
    assert "pip install 'nestcut[scripts]'" in tell(found, Speech()).remedy


def test_plain_names_are_no_trouble() -> None:
    verified = plan_for(
        "Möwe", [part("Sëät {1}", rectangle(700, 200), 9)], [ply(9, 100)], LengthStyle.MM
    )

    assert spelled_names(verified.job) == ()
    assert spelling_findings(verified.job) == ()
