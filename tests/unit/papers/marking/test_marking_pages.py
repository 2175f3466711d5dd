"""Marking-out pages: pieces redrawn from the printed text alone, nothing cut or overlapping."""

from __future__ import annotations

import json
import re

import pytest
from shapely import STRtree
from shapely.geometry import Polygon, box

from nestcut.model.plan import VerifiedPlan
from nestcut.papers.draw.diagram import Drawing, texts_of
from nestcut.papers.draw.paper import Paper
from nestcut.papers.marking.pages import marking_pages, marking_pdf
from nestcut.papers.marking.rules import marking_rule, offsets_rule
from nestcut.papers.marking.table import mark_alone, marking_csv
from nestcut.papers.view.rows import plan_view
from nestcut.planfile.write import plan_to_json
from nestcut.units import LengthStyle
from tests.builders_demos import demo_on_shelves
from tests.builders_pages import round_plan
from tests.builders_papers import random_plan, small_plan, whole_boat
from tests.redraw_pages import apart, cut, draw, placed, read_pages, shape_apart

MOST_PAGES = {"beach-boat": 16, "punt": 8}
"""On plans that lay pieces on shelves, which take more sheets than real ones (punt: 6, really)."""
LEAST_MM = 9.0 * 25.4 / 72.0
"""No text of marking-out pages is smaller, but numbers in small pieces."""


def overlapping(page: Drawing) -> list[tuple[str, str]]:
    texts = texts_of(page.items)
    boxes = [Polygon(t.box) for t in texts]
    tree = STRtree(boxes)
    return [
        (texts[k].text, texts[other].text)
        for k, shape in enumerate(boxes)
        for other in tree.query(shape)
        if other > k and shape.intersection(boxes[other]).area > 0.05
    ]


def check_page(page: Drawing) -> None:
    assert overlapping(page) == []
    inside = box(7, 7, page.width_mm - 7, page.height_mm - 7)
    texts = texts_of(page.items)
    assert [t.text for t in texts if not inside.covers(Polygon(t.box))] == []
    assert [t.text for t in texts if t.size_mm < LEAST_MM and not t.text.isdigit()] == []
    assert [t.text for t in texts if "…" in t.text] == []


@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("paper", list(Paper))
def test_pages_are_few_and_nothing_is_cut(paper: Paper, style: LengthStyle, demo: str) -> None:
    pages = marking_pages(plan_view(demo_on_shelves(demo)), marking_rule(style), paper)

    assert 0 < len(pages) <= MOST_PAGES[demo]
    for page in pages:
        check_page(page)


@pytest.mark.parametrize("seed", range(4))
def test_odd_jobs_fit_too(seed: int) -> None:
    view = plan_view(random_plan(seed))

    for page in marking_pages(view, marking_rule(view.verified.job.style), Paper.A4):
        check_page(page)


def test_round_pieces_and_many_pieces_fit_too() -> None:
    for plan in (round_plan(), whole_boat()):
        for page in marking_pages(plan_view(plan), marking_rule(LengthStyle.INCH), Paper.LETTER):
            check_page(page)


def redrawn(
    verified: VerifiedPlan, style: LengthStyle, paper: Paper
) -> dict[str, tuple[float, ...]]:
    """By piece: how far its printed shape is off, and how far off where it lies. [mm]"""
    view = plan_view(verified)
    data = marking_pdf(view, marking_rule(style, verified.job.fraction), paper)
    bases, charts = read_pages(data)
    true = {
        str(p["piece"]): Polygon(p["outline"], p["holes"])
        for sheet in json.loads(plan_to_json(verified))["sheets"]
        for p in sheet["placements"]
    }
    by_place = {(s.label, p.number): p.piece.id for s in view.sheets for p in s.placed}
    found: dict[str, tuple[float, ...]] = {}
    for base in bases:
        piece = by_place[base.place, base.number]
        told = charts[base.chart]
        lies = placed(cut(draw(told), told, view.name_of(piece)), base)
        found[piece] = (shape_apart(lies, true[piece]), apart(lies, true[piece]))
    assert set(found) == set(true)
    return found


@pytest.mark.parametrize(
    ("demo", "style", "paper"),
    [
        ("beach-boat", LengthStyle.MM, Paper.A4),
        ("beach-boat", LengthStyle.INCH, Paper.LETTER),
        ("punt", LengthStyle.INCH, Paper.LETTER),
        ("punt", LengthStyle.MM, Paper.A4),
    ],
)
def test_every_piece_is_drawn_again_from_the_pages(
    demo: str, style: LengthStyle, paper: Paper
) -> None:
    """From the PDF's text alone; joined panels are cut from one chart, twins share theirs."""
    found = redrawn(demo_on_shelves(demo), style, paper)

    shape, lies = (max(found.items(), key=lambda f, k=k: f[1][k]) for k in (0, 1))  # type: ignore[misc]
    print(f"{demo} {style}: {len(found)} pieces, {shape}, {lies}")
    assert shape[1][0] <= 1.0, shape
    assert lies[1][1] <= 2.0, lies


@pytest.mark.parametrize("seed", range(6))
def test_pieces_of_random_jobs_are_drawn_again(seed: int) -> None:
    verified = random_plan(seed)
    found = redrawn(verified, verified.job.style, Paper.A4)

    assert max((f[0] for f in found.values()), default=0.0) <= 1.0


@pytest.mark.deep
@pytest.mark.parametrize("seed", range(6, 50))
def test_pieces_of_many_random_jobs_are_drawn_again(seed: int) -> None:
    test_pieces_of_random_jobs_are_drawn_again(seed)


def test_a_joined_panel_has_one_chart_with_its_cuts() -> None:
    view = plan_view(demo_on_shelves("beach-boat"))
    pages = marking_pages(view, marking_rule(LengthStyle.MM), Paper.A4)
    words = " ".join(t.text for page in pages for t in texts_of(page.items))

    assert len(re.findall("side panel, starboard, the whole panel", words)) == 1
    assert re.search(r"J\d+ port, J\d+ starboard: piece A ends at", words)
    assert "From the centre line" in words


def test_offsets_are_printed_as_such() -> None:
    text = marking_csv(mark_alone(plan_view(small_plan()), offsets_rule()))

    assert re.search(r",7-9-\d\+?,", text)


def test_the_same_plan_gives_the_same_bytes() -> None:
    view = plan_view(small_plan())
    made = [marking_pdf(view, marking_rule(LengthStyle.INCH), Paper.LETTER) for _ in range(2)]

    assert made[0] == made[1]


def test_formula_names_stay_text_in_the_list() -> None:
    text = marking_csv(mark_alone(plan_view(random_plan(3)), marking_rule(LengthStyle.MM)))

    assert not re.search(r"(^|,)\"?[=@]", text, re.MULTILINE)
