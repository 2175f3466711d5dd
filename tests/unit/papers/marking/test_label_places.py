"""No label overlaps another, leaves its page, is cut or too small: measured on text boxes."""

import pytest
from shapely.geometry import Polygon, box
from shapely.strtree import STRtree

from nestcut.model.plan import VerifiedPlan
from nestcut.papers.book.board_page import board_drawing, board_pages
from nestcut.papers.book.joint_page import joint_pages, joints_under
from nestcut.papers.draw.diagram import Drawing, Group, Text, texts_of
from nestcut.papers.draw.paper import MARGIN_MM, Paper
from nestcut.papers.page.maker import PageMaker
from nestcut.papers.sheet.page import sheet_pages
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.rows import plan_view
from nestcut.units import LengthStyle
from tests.builders_demos import demo_on_shelves
from tests.builders_papers import random_plan, small_plan, whole_boat
from tests.builders_stances import with_everything

LEAST_MM = 9.0 * 25.4 / 72.0
"""Nine points. [mm]"""
TOUCH_MM = 0.05
"""Boxes may share this much of their edge: their own padding is larger. [mm]"""


def pages_of(verified: VerifiedPlan, paper: Paper, style: LengthStyle) -> list[Drawing]:
    view = plan_view(verified)
    maker = PageMaker(paper, Figures(style, 16, verified.job.currency), view)
    pages = [page for sheet in view.sheets for page in sheet_pages(sheet, maker)]
    pages += joints_under(board_pages(view.boards, maker), maker)
    pages += [board_drawing(board, maker) for board in view.boards]
    return [*pages, *joint_pages(maker)]


def faults_of(page: Drawing) -> list[str]:
    """Texts that overlap, leave the printable page, are cut or too small to read at arm's length.

    Bare numbers of small pieces alone may be smaller than 9 points.
    """
    texts = texts_of(page.items)
    boxes = [Polygon(t.box).buffer(-TOUCH_MM) for t in texts]
    inside = box(5.0, 5.0, page.width_mm - 5.0, page.height_mm - 5.0)
    faults = [
        f"leaves the page: {t.text}"
        for t, b in zip(texts, boxes, strict=True)
        if not inside.contains(b)
    ]
    faults += [f"cut: {t.text}" for t in texts if "…" in t.text]
    faults += [
        f"too small, {t.size_mm} mm: {t.text}"
        for t in texts
        if t.size_mm < LEAST_MM and not t.text.rstrip(".").isdigit()
    ]
    tree = STRtree(boxes)
    for k, shape in enumerate(boxes):
        over = sorted(int(o) for o in tree.query(shape, predicate="intersects") if o > k)
        faults.extend(f"{texts[k].text!r} over {texts[o].text!r}" for o in over)
    return [f"{page.caption}: {f}" for f in faults]


@pytest.mark.parametrize(
    ("paper", "style"),
    [
        (Paper.A4, LengthStyle.MM),
        (Paper.LETTER, LengthStyle.INCH),
        (Paper.A4, LengthStyle.INCH),
        (Paper.LETTER, LengthStyle.MM),
    ],
)
def test_whole_boat_has_no_label_over_another(paper: Paper, style: LengthStyle) -> None:
    pages = pages_of(whole_boat(style), paper, style)

    assert len(pages) > 12
    assert [f for page in pages for f in faults_of(page)] == []


@pytest.mark.parametrize("name", ["beach-boat", "punt"])
@pytest.mark.parametrize("paper", list(Paper))
def test_demo_boats_have_no_label_over_another(name: str, paper: Paper) -> None:
    style = LengthStyle.MM if paper is Paper.A4 else LengthStyle.INCH

    pages = pages_of(demo_on_shelves(name), paper, style)

    assert len(pages) > 5
    assert [f for page in pages for f in faults_of(page)] == []


@pytest.mark.parametrize("seed", range(12))
def test_random_jobs_have_no_label_over_another(seed: int) -> None:
    verified = random_plan(seed)
    paper = Paper.A4 if seed % 2 else Paper.LETTER

    pages = pages_of(verified, paper, verified.job.style)

    assert [f for page in pages for f in faults_of(page)] == []


def test_circles_beside_a_sheet_keep_off_its_legend() -> None:
    """Once found by the long run below: a circle stood in the legend right of the sheet."""
    verified = with_everything(random_plan(243), 243)

    pages = pages_of(verified, Paper.A4, verified.job.style)

    assert [f for page in pages for f in faults_of(page)] == []


@pytest.mark.deep
@pytest.mark.parametrize("seed", range(12, 50))
def test_more_random_jobs_have_no_label_over_another(seed: int) -> None:
    test_random_jobs_have_no_label_over_another(seed)


@pytest.mark.deep
@pytest.mark.parametrize("seed", range(50, 250))
def test_two_hundred_more_random_jobs_have_no_label_over_another(seed: int) -> None:
    verified = with_everything(random_plan(seed), seed)
    paper = Paper.A4 if seed % 2 else Paper.LETTER

    pages = pages_of(verified, paper, verified.job.style)

    assert [f for page in pages for f in faults_of(page)] == []


@pytest.mark.parametrize("seed", range(0, 50, 5))
def test_piece_labels_stay_in_their_piece_or_clear_of_all_pieces(seed: int) -> None:
    """A label lies wholly in its own piece; a numbered circle lies on no piece at all."""
    view = plan_view(random_plan(seed))
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), view)
    for sheet in view.sheets:
        page = sheet_pages(sheet, maker)[0]
        outlines = {
            g.key: Polygon(g.items[0].outline, g.items[0].holes)  # type: ignore[union-attr]
            for g in page.items
            if isinstance(g, Group) and g.kind == "outline"
        }
        for group in page.items:
            if not isinstance(group, Group) or group.kind != "label":
                continue
            own = outlines[group.key].buffer(0.15)
            for text in texts_of(group.items):
                written = Polygon(text.box)
                is_inside = own.contains(written)
                is_clear = not any(o.intersects(written) for o in outlines.values())
                assert is_inside or is_clear, (group.key, text.text)


def test_every_piece_is_named_or_numbered_on_some_page() -> None:
    """What has no room in the overview is on a page of details."""
    view = plan_view(whole_boat())
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), view)
    for sheet in view.sheets:
        labelled = {
            g.key
            for page in sheet_pages(sheet, maker)
            for g in page.items
            if isinstance(g, Group) and g.kind == "label"
        }
        assert labelled == {p.piece.id for p in sheet.placed}


def test_the_checker_sees_what_is_cut_and_what_is_too_small() -> None:
    texts = (
        Text("good face do…", (50, 50), 3.2),
        Text("small", (50, 30), 3.1),
        Text("12", (50, 20), 2.2),
    )

    assert faults_of(Drawing(100.0, 100.0, texts, "x")) == [
        "x: cut: good face do…",
        "x: too small, 3.1 mm: small",
    ]


def test_the_checker_sees_an_overlap() -> None:

    page = Drawing(100.0, 100.0, (Text("one", (50, 50), 5.0), Text("two", (52, 51), 5.0)), "x")

    assert faults_of(page) == ["x: 'one' over 'two'"]


def test_small_plan_pages_keep_their_margins() -> None:
    for page in pages_of(small_plan(), Paper.A4, LengthStyle.MM):
        for text in texts_of(page.items):
            xs = [p[0] for p in text.box]
            assert min(xs) > MARGIN_MM - 4.5
            assert max(xs) < page.width_mm - MARGIN_MM + 4.5
