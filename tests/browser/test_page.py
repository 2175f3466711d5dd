"""shop.html in a real browser: headless Chromium, driven by check_page.mjs beside this file.

Skipped, saying so, where Chromium, Node.js or the packages of package.json are absent
(``npm ci --prefix tests/browser``).
"""

from __future__ import annotations

import json
import re
import shutil
import subprocess
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest
from pypdfium2 import PdfDocument  # type: ignore[import-untyped]

from nestcut.model.plan import VerifiedPlan
from nestcut.papers.book.shop_book import shop_pdf
from nestcut.papers.draw.paper import Paper
from nestcut.papers.lists.usage import usage_of
from nestcut.papers.ticks import match_progress, read_progress
from nestcut.papers.view.rows import PlanView, plan_view
from nestcut.units import LengthStyle
from tests.builders_pages import matter_of, page_of
from tests.builders_papers import small_plan, whole_boat

HERE = Path(__file__).parent


def tools() -> tuple[str, str]:
    node, chromium = shutil.which("node"), shutil.which("chromium")
    if node is None or chromium is None:
        pytest.skip("no Node.js or no Chromium on this machine")
    if not (HERE / "node_modules" / "playwright-core").is_dir():
        pytest.skip("run 'npm ci --prefix tests/browser' first")
    return node, chromium


@dataclass(frozen=True)
class Visit:
    view: PlanView
    paper: Paper
    style: LengthStyle
    told: dict[str, Any]
    folder: Path


def visit(verified: VerifiedPlan, paper: Paper, style: LengthStyle, folder: Path) -> Visit:
    node, chromium = tools()
    page = folder / "shop.html"
    page.write_text(page_of(verified, paper, style), encoding="utf-8")
    run = subprocess.run(
        [node, str(HERE / "check_page.mjs"), str(page), str(folder), chromium],
        capture_output=True,
        text=True,
        check=False,
        timeout=240,
    )
    assert run.returncode == 0, run.stderr
    return Visit(plan_view(verified), paper, style, json.loads(run.stdout), folder)


@pytest.fixture(scope="module", params=["mm on A4", "inches on Letter"])
def visited(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Visit:
    style, paper = {
        "mm on A4": (LengthStyle.MM, Paper.A4),
        "inches on Letter": (LengthStyle.INCH, Paper.LETTER),
    }[request.param]
    boat = whole_boat(style) if style is LengthStyle.MM else small_plan(style)
    hostile = replace(boat.job, name="Boat <script>alert(1)</script> & \"'")
    return visit(replace(boat, job=hostile), paper, style, tmp_path_factory.mktemp("page"))


def test_it_loads_without_errors_or_network(visited: Visit) -> None:
    assert visited.told["errors"] == []
    assert visited.told["requests"] == []
    assert visited.told["title"].startswith("Boat <script>alert(1)</script> & \"'")
    plan = visited.view.verified.plan
    pages = matter_of(visited.view, visited.paper, visited.style).sheets
    assert visited.told["sheets"] == sum(len(p) for p in pages)
    named = {p.id for p in plan.pieces} | {p.id for p in plan.rail_pieces}
    assert set(visited.told["names"]) == named


def test_ticks_survive_a_reload_and_the_keyboard_serves(visited: Visit) -> None:
    told = visited.told
    assert told["count_before"] == told["count_after"]
    assert told["count_after"].startswith("2 of ")
    assert told["checked_after"] == 2
    assert told["overlays"] == 2
    assert told["count_keyboard"].startswith("1 of ")


def test_a_spoilt_piece_is_still_to_cut(visited: Visit) -> None:
    told = visited.told
    assert told["count_spoilt"].startswith("1 of ")
    assert told["count_spoilt"].endswith("1 spoilt")
    assert "make again" in told["spoilt_words"]
    assert told["spoilt_is_left"]
    assert told["count_mended"] == told["count_before"]
    progress = read_progress(json.dumps(told["saved_spoilt"]), "ticks")
    assert progress.spoilt == {told["names"][0]}
    assert progress.done == {told["names"][2]}


def test_ticks_are_saved_and_read_back(visited: Visit) -> None:
    told = visited.told
    progress = read_progress(json.dumps(told["saved"]), told["saved_name"])

    assert [c.piece for c in progress.cut] == [told["names"][0]]
    assert match_progress(progress, visited.view) == ()
    assert told["count_loaded"].startswith("1 of ")


def test_a_piece_is_found_on_its_sheet(visited: Visit) -> None:
    told = visited.told
    assert told["visible_found"] >= 1
    assert told["ring"] == 1
    assert told["ring_in_view"]
    assert told["focus_on_view"]
    assert (told["near"], told["near_after_0"], told["near_after_plus"]) == (1, 0, 1)
    touched = visited.view.name_of(told["touched"]["piece"])
    assert touched in told["touched_says"]
    assert touched == told["touched_title"]


def test_printing_gives_the_pages_of_the_book(visited: Visit) -> None:
    """Every drawn page of shop.pdf, details too, in its order and with the same words."""
    matter = matter_of(visited.view, visited.paper, visited.style)
    drawn = (*(p for pages in matter.sheets for p in pages), *(d for _, d in matter.boards))
    drawings = (*drawn, *(d for _, d in matter.joints))
    figures = matter.figures
    book = shop_pdf(visited.view, usage_of(visited.view, figures), drawings, visited.paper, figures)
    printed = lying_pages(visited.folder / "printed.pdf")
    wanted = lying_pages(book)

    assert len(printed) == len(drawings) == len(wanted)
    for page, other in zip(printed, wanted, strict=True):
        assert page.size == pytest.approx(other.size, abs=1.0)  # [points]
        name = "".join(visited.view.verified.job.name.split())
        assert name in other.letters
        foot = f"{name}·boat.toml" if f"{name}·boat.toml" in other.letters else name
        # The foot of a page, its number and the rule that shows a wrong scale are the paper's own.
        words = re.sub(r"page\d+of\d+|(100mm|4\")onthispaper", "", other.letters.replace(foot, ""))
        assert sorted(page.letters) == sorted(words)


def test_what_is_bought_is_printed_before_what_is_cut(visited: Visit) -> None:
    with PdfDocument(visited.folder / "printed.pdf") as printed:
        texts = [page.get_textpage().get_text_range() for page in printed]
    first = [
        next(k for k, text in enumerate(texts) if head in text)
        for head in ("Buying list", "Cautions", "Pieces", "Sheet 1 of", "Usage")
    ]
    assert first == sorted(first)


@dataclass(frozen=True)
class Page:
    size: tuple[float, float]
    letters: str


def lying_pages(source: Path | bytes) -> list[Page]:
    """Pages on their long side, each with its letters, spaces left out."""
    with PdfDocument(source) as book:
        pages = [
            Page(page.get_size(), "".join(page.get_textpage().get_text_range().split()))
            for page in book
        ]
    return [page for page in pages if page.size[0] > page.size[1]]


def test_a_phone_is_wide_enough(visited: Visit) -> None:
    assert visited.told["phone_overflow"] <= 0
    assert visited.told["small_targets"] == []
    phone = visited.told["phone"]
    assert phone["menu_cut"] == []
    assert phone["labels_cut"] == []
    # print of nine points is 12 px high at arm's length; a drawing is read as near as small print
    assert phone["least_px"] > 9.0
    assert len(phone["shown"]) == 2
    assert min(phone["shown"]) > 0.0


def test_two_fingers_zoom_and_one_moves_the_drawing(visited: Visit) -> None:
    assert visited.told["pinch"] > 1.5
    assert visited.told["dragged"] > 1.0


def test_light_and_dark_are_remembered(visited: Visit) -> None:
    assert visited.told["shade_kept"] == "dark"


def test_accessibility_rules_find_nothing(visited: Visit) -> None:
    """Rules of axe-core (npm), which follow WCAG 2.2; nothing at all is let pass."""
    assert visited.told["axe"] == {"wide": [], "dark": [], "phone": []}
