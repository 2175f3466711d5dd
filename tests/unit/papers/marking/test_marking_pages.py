"""Marking-out pages: pieces redrawn from the printed text alone, nothing cut or overlapping."""

from __future__ import annotations

import json
import re
from itertools import pairwise

import pytest
import shapely
from shapely import STRtree
from shapely.geometry import LineString, Polygon, box

from nestcut.papers.draw.diagram import Disc, Drawing, texts_of
from nestcut.papers.draw.drawing_pdf import drawings_pdf
from nestcut.papers.draw.paper import Paper
from nestcut.papers.marking.charts import Form, charts_of
from nestcut.papers.marking.drawn import chart_figure
from nestcut.papers.marking.lines import Way
from nestcut.papers.marking.outline import Role
from nestcut.papers.marking.pages import marking_pages, marking_pdf
from nestcut.papers.marking.rules import marking_rule, offsets_rule
from nestcut.papers.marking.table import mark_alone, marking_csv
from nestcut.papers.view.rows import PlanView, plan_view
from nestcut.planfile.write import plan_to_json
from nestcut.units import LengthStyle
from tests.builders_demos import demo_charts, demo_view
from tests.builders_pages import round_plan
from tests.builders_papers import random_plan, small_plan, whole_boat
from tests.redraw_pages import apart, cut, draw, placed, read_pages, shape_apart, spline

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
    pages = demo_charts(demo, style, paper)

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


def redrawn(view: PlanView, data: bytes) -> dict[str, tuple[float, ...]]:
    """By piece: how far its printed shape is off, and how far off where it lies. [mm]"""
    bases, charts = read_pages(data)
    true = {
        str(p["piece"]): Polygon(p["outline"], p["holes"])
        for sheet in json.loads(plan_to_json(view.verified))["sheets"]
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
    found = redrawn(demo_view(demo), drawings_pdf(demo_charts(demo, style, paper), demo))

    shape, lies = (max(found.items(), key=lambda f, k=k: f[1][k]) for k in (0, 1))  # type: ignore[misc]
    print(f"{demo} {style}: {len(found)} pieces, {shape}, {lies}")
    assert shape[1][0] <= 1.0, shape
    assert lies[1][1] <= 2.0, lies


@pytest.mark.parametrize("seed", range(1, 4))
def test_pieces_of_random_jobs_are_drawn_again(seed: int) -> None:
    view = plan_view(random_plan(seed))
    job = view.verified.job
    found = redrawn(view, marking_pdf(view, marking_rule(job.style, job.fraction), Paper.A4))

    assert max((f[0] for f in found.values()), default=0.0) <= 1.0


@pytest.mark.deep
@pytest.mark.parametrize("seed", [0, *range(4, 50)])
def test_pieces_of_many_random_jobs_are_drawn_again(seed: int) -> None:
    test_pieces_of_random_jobs_are_drawn_again(seed)


def test_a_joined_panel_has_one_chart_with_its_cuts() -> None:
    pages = demo_charts("beach-boat", LengthStyle.MM, Paper.A4)
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


@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("paper", list(Paper))
def test_a_sheets_charts_stand_together_below_its_table(
    paper: Paper, style: LengthStyle, demo: str
) -> None:
    """Whoever has one sheet on the trestles turns over no other sheet's charts."""
    view = demo_view(demo)
    rule = marking_rule(style)
    first = {c.number: c.uses[0].placed.piece.id for c in charts_of(view, rule)}
    home = {p.piece.id: s.label for s in view.sheets for p in s.placed}
    under = ""
    begun: list[str] = []
    seen: set[int] = set()
    for page in demo_charts(demo, style, paper):
        for text in sorted(texts_of(page.items), key=lambda t: -t.at[1]):
            sheet = re.match(r"((?:Sheet|Board) \d+): ", text.text)
            chart = re.fullmatch(r"Chart (\d+)(?:, continued)?", text.text)
            if sheet:
                under = sheet[1]
                begun.append(under)
            elif chart:
                seen.add(int(chart[1]))
                assert home[first[int(chart[1])]] == under
    assert begun == [s.label for s in view.sheets]
    assert seen == set(first)


@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
@pytest.mark.parametrize("style", list(LengthStyle))
def test_one_lath_over_the_centre_line_draws_both_sides(style: LengthStyle, demo: str) -> None:
    """As the page says: a batten that ends on a centre line runs on over it."""
    rule = marking_rule(style)
    seen = 0
    for chart in charts_of(demo_view(demo), rule):
        if chart.form is not Form.HALF:
            continue
        true = LineString([*chart.shape.outline.points, chart.shape.outline.points[0]])
        points = chart.marking.lines[0].points
        ends = [k for k, p in enumerate(points) if p.role is Role.CORNER]
        for start, stop in pairwise(ends):
            run = [(p.x_mm, p.y_mm) for p in points[start : stop + 1]]
            if points[start].way is not Way.BATTEN or min(run[0][1], run[-1][1]) > 0.0:
                continue
            run = run if run[-1][1] == 0.0 else run[::-1]
            over = spline([*run, *((x, -y) for x, y in run[-2::-1])])
            seen += 1
            off = shapely.distance(shapely.points(over), true).max()
            assert float(off) + rule.flatness_mm <= rule.allowed_mm
    assert seen > 0


def test_fat_dots_stand_where_a_batten_ends() -> None:
    view = demo_view("punt")
    panels = [c for c in charts_of(view, marking_rule(LengthStyle.MM)) if c.form is Form.PANEL]

    for chart in panels:
        discs = [
            i for i in chart_figure(chart, view, 180.0).items if isinstance(i, Disc) and not i.pen
        ]
        sizes = [round(d.radius_mm, 3) for d in discs]
        ends = [p for p in chart.marking.lines[0].points if p.role is Role.CORNER]
        assert sizes.count(max(sizes)) == len({(p.x_mm, p.y_mm) for p in ends})
        assert max(sizes) > 2.0 * min(sizes)
    assert panels
