"""The HTML page as text: self-contained, escaped, the same every time."""

from __future__ import annotations

import base64
import hashlib
import re
from dataclasses import replace
from html.parser import HTMLParser

import pytest

from nestcut.model.digest import plan_digest
from nestcut.papers.lists import use_words
from nestcut.papers.screen.html import page_model
from nestcut.papers.view.rows import plan_view
from tests.builders_pages import matter_of, page_of, round_plan
from tests.builders_papers import random_plan, small_plan, whole_boat

VOID = {"meta", "input", "br", "hr", "img", "link"}


class Tags(HTMLParser):
    """Collects elements, and checks that they nest."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[tuple[str, dict[str, str | None]]] = []
        self.text: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.seen.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text.append(data)


def tags(page: str) -> Tags:
    parser = Tags()
    parser.feed(page)
    parser.close()
    assert parser.open == []
    return parser


def test_nothing_is_fetched() -> None:
    found = tags(page_of(whole_boat()))

    for tag, attributes in found.seen:
        assert tag not in {"img", "link", "iframe", "object", "embed"}
        for name in ("src", "action", "srcset", "data", "style"):
            assert "url(" not in (attributes.get(name) or "")
        assert attributes.get("src") is None
        assert (attributes.get("href") or "#").startswith("#")
        assert not any(name.startswith("on") for name in attributes)


def test_only_its_own_script_may_run() -> None:
    page = page_of(small_plan())
    (script,) = re.findall(r"<script>(.*?)</script>", page, re.DOTALL)
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()

    assert (
        f"script-src &#39;sha256-{digest}&#39;" in page or f"script-src 'sha256-{digest}'" in page
    )
    assert "default-src 'none'" in page


@pytest.mark.parametrize("seed", [1, 4, 9])
def test_names_with_markup_stay_text(seed: int) -> None:
    verified = random_plan(seed)
    plan = verified.plan
    names = [p.piece for s in plan.sheets for p in s.placements]
    names += [c.piece for b in plan.boards for c in b.cuts]

    found = tags(page_of(verified))

    told = [a["data-piece"] for t, a in found.seen if t == "li" and "data-piece" in a]
    assert sorted(str(t) for t in told) == sorted(names)
    bolds = [t for t, _ in found.seen if t == "b"]
    assert len(bolds) == len(names)


def test_a_job_name_cannot_end_the_script() -> None:
    plan = small_plan()
    name = "</script><img src=x onerror=alert(1)>"

    found = tags(page_of(replace(plan, job=replace(plan.job, name=name))))

    assert [t for t, _ in found.seen].count("script") == 1
    assert "img" not in {t for t, _ in found.seen}
    assert name in "".join(found.text)


def test_the_same_plan_gives_the_same_bytes() -> None:
    assert page_of(small_plan()) == page_of(small_plan())


def test_ids_are_unique() -> None:
    found = tags(page_of(whole_boat()))
    ids = [a["id"] for _, a in found.seen if "id" in a]

    assert len(ids) == len(set(ids))
    labels = [a["for"] for t, a in found.seen if t == "label"]
    assert set(labels) <= set(ids)


def test_every_piece_is_listed_with_its_sheet_or_board() -> None:
    view = plan_view(whole_boat())
    model = page_model(view, matter_of(view))
    places = {p.id: (p.source, p.stock, p.number) for p in model.pieces}

    for sheet in view.verified.plan.sheets:
        for placement in sheet.placements:
            assert places[placement.piece] == ("sheet", sheet.stock, sheet.number)
    for board in view.verified.plan.boards:
        for cut in board.cuts:
            assert places[cut.piece] == ("board", board.stock, board.number)


def test_arcs_are_told_in_words() -> None:
    view = plan_view(round_plan())
    model = page_model(view, matter_of(view))
    text = "\n".join(words for _, words in model.marking)

    assert re.search(r"Circle: centre [\d.]+, [\d.]+, diameter \d+\.", text)
    assert re.search(r"Arc \d+ to \d+: centre .*, radius [\d.]+(, by way of [\d., ]+)?\.", text)


def test_a_missing_drawing_is_refused() -> None:
    view = plan_view(small_plan())
    matter = matter_of(view)

    with pytest.raises(ValueError, match="zip"):
        page_model(view, replace(matter, sheets=matter.sheets[:-1]))


def test_the_digest_follows_the_places() -> None:
    plan = small_plan()
    first = plan.plan.sheets[0]
    moved = replace(first.placements[0], shift_mm=(1.0, 2.0))
    sheets = (replace(first, placements=(moved, *first.placements[1:])), *plan.plan.sheets[1:])
    other = replace(plan, plan=replace(plan.plan, sheets=sheets))

    assert plan_digest(plan.plan) == plan_digest(small_plan().plan)
    assert plan_digest(plan.plan) != plan_digest(other.plan)


def test_what_drawings_refer_to_on_the_books_first_page_is_told_on_the_screen_too() -> None:
    """A trim line's legend says "when page 1 says", and a screen has no page 1."""
    view = plan_view(whole_boat())
    matter = matter_of(view)
    (box,) = [b for b in page_model(view, matter).boxes if "page 1 of shop.pdf" in b.title]
    assert tuple(line.text for line in box.lines) == use_words(view, matter.figures)
    assert any("Then, in this order" in line.text for line in box.lines)
