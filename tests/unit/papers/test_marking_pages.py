"""Marking-out pages: every number of the tables is printed, and nothing overlaps."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pdfplumber
import pytest
from shapely import STRtree
from shapely.geometry import Polygon, box

from nestcut.papers.draw.diagram import Drawing, texts_of
from nestcut.papers.draw.paper import Paper
from nestcut.papers.marking.pages import marking_pages, marking_pdf
from nestcut.papers.marking.rules import marking_rule, metric_rule, offsets_rule
from nestcut.papers.marking.table import PieceMarking, mark_alone, mark_on_sheets, marking_csv
from nestcut.papers.view.rows import PlanView, plan_view
from nestcut.units import LengthStyle
from tests.builders_demos import demo_on_shelves
from tests.builders_pages import round_plan
from tests.builders_papers import random_plan, small_plan, whole_boat

LEAST_PT = 2.5 * 72 / 25.4
"""Numbers in the small drawings are smaller."""


def tables_of(view: PlanView, style: LengthStyle) -> tuple[PieceMarking, ...]:
    rule = marking_rule(style)
    return (*mark_on_sheets(view, rule), *mark_alone(view, rule))


def overlapping(page: Drawing) -> list[tuple[str, str]]:
    texts = texts_of(page.items)
    boxes = [Polygon(t.box) for t in texts]
    tree = STRtree(boxes)
    return [
        (texts[k].text, texts[other].text)
        for k, shape in enumerate(boxes)
        for other in tree.query(shape)
        if other > k and shape.intersection(boxes[other]).area > 0.01
    ]


@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("paper", list(Paper))
def test_no_text_overlaps_another_or_leaves_the_page(
    paper: Paper, style: LengthStyle, demo: str
) -> None:
    view = plan_view(demo_on_shelves(demo))

    pages = marking_pages(view, tables_of(view, style), marking_rule(style), paper)

    assert pages
    for page in pages:
        assert overlapping(page) == []
        inside = box(8, 8, page.width_mm - 8, page.height_mm - 8)
        assert [t.text for t in texts_of(page.items) if not inside.covers(Polygon(t.box))] == []


def test_a_long_name_of_a_sheet_stays_in_its_column() -> None:
    view = plan_view(demo_on_shelves("beach-boat"))
    rule = marking_rule(LengthStyle.MM)
    tables = tuple(
        replace(table, stock="9 mm ply with a split corner and a knot that was filled")
        for table in tables_of(view, LengthStyle.MM)
    )

    pages = marking_pages(view, tables, rule, Paper.LETTER)

    assert [overlapping(page) for page in pages] == [[]] * len(pages)


@pytest.mark.parametrize("seed", range(4))
def test_odd_jobs_fit_too(seed: int) -> None:
    view = plan_view(random_plan(seed))
    style = view.verified.job.style

    for page in marking_pages(view, tables_of(view, style), marking_rule(style), Paper.A4):
        assert overlapping(page) == []


def test_round_pieces_fit_too() -> None:
    view = plan_view(round_plan())

    for paper in Paper:
        tables = tables_of(view, LengthStyle.INCH)
        pages = marking_pages(view, tables, marking_rule(LengthStyle.INCH), paper)
        texts = [t.text for page in pages for t in texts_of(page.items)]
        assert [overlapping(page) for page in pages] == [[]] * len(pages)
        assert any(t.startswith("circle of radius") for t in texts)
        assert any(t.startswith("compass") for t in texts)


def test_a_long_table_goes_on_in_the_next_column() -> None:
    view = plan_view(whole_boat())
    rule = metric_rule(spacing_mm=25.0)

    pages = marking_pages(view, mark_on_sheets(view, rule), rule, Paper.A4)

    texts = [t.text for page in pages for t in texts_of(page.items)]
    assert any(t.endswith(", continued") for t in texts)
    assert [overlapping(page) for page in pages] == [[]] * len(pages)


def test_every_point_is_printed_with_its_numbers() -> None:
    """Rows read back from the PDF are the rows of the tables."""
    view = plan_view(small_plan())
    style = LengthStyle.MM
    tables = tables_of(view, style)
    data = marking_pdf(view, tables, marking_rule(style), Paper.A4)
    width = (297 - 20 - 12) / 3
    read: list[tuple[str, str, str, str]] = []
    with pdfplumber.open(io.BytesIO(data)) as book:
        for page in book.pages:
            for column in range(3):
                left = (10 + column * (width + 6) - 1) * 72 / 25.4
                tables_only = page.filter(lambda o: o.get("size", LEAST_PT) >= LEAST_PT)
                part = tables_only.crop((left, 0, left + (width + 4) * 72 / 25.4, page.height))
                text = part.extract_text(x_tolerance=1.5, y_tolerance=1.5)
                found = re.findall(
                    r"^(\d+) (-?[\d.]+) (-?[\d.]+) ?(straight|batten|compass)?", text, re.MULTILINE
                )
                read += [(a, b, c, d) for a, b, c, d in found]

    rule = marking_rule(style)
    wanted = []
    for table in tables:
        for line in table.marking.lines:
            for p in line.points:
                is_end = not line.is_closed and p is line.points[-1]
                way = "" if is_end else p.way.value
                wanted.append((str(p.number), rule.written(p.x_mm), rule.written(p.y_mm), way))
    assert read == wanted


def test_offsets_are_printed_as_such() -> None:
    view = plan_view(small_plan())
    rule = offsets_rule()

    text = marking_csv(mark_alone(view, rule))

    assert re.search(r",7-9-\d\+?,", text)


def test_the_same_plan_gives_the_same_bytes() -> None:
    view = plan_view(small_plan())
    tables = tables_of(view, LengthStyle.INCH)
    made = [
        marking_pdf(view, tables, marking_rule(LengthStyle.INCH), Paper.LETTER) for _ in range(2)
    ]

    assert made[0] == made[1]


def test_formula_names_stay_text_in_the_list() -> None:
    view = plan_view(random_plan(3))

    text = marking_csv(tables_of(view, LengthStyle.MM))

    assert not re.search(r"(^|,)\"?[=@]", text, re.MULTILINE)
