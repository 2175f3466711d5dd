"""Full-size patterns, measured in the PDF that is printed."""

from __future__ import annotations

import io
import math
from dataclasses import replace

import numpy as np
import pdfplumber
import pytest
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, MultiLineString, Polygon, box

from nestcut.errors import InputError
from nestcut.geometry.pose import move_shape
from nestcut.model.pose import Pose
from nestcut.model.shape import Ring, Shape
from nestcut.papers.draw.diagram import Pen, texts_of
from nestcut.papers.draw.paper import Paper
from nestcut.papers.labels.pattern_pages import (
    check_side,
    first_page,
    pattern_pdf,
    tile_origin,
    tile_pages,
)
from nestcut.papers.labels.patterns import EDGE_MM, Pattern, TileChoice, find_placed, pattern_of
from nestcut.papers.view.base_line import base_line_pose
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.rows import PlanView, plan_view
from nestcut.units import LengthStyle
from nestcut.words import Speech, tell
from tests.builders_papers import small_plan, whole_boat

Array = NDArray[np.float64]
PT_MM = 25.4 / 72
VIEW = plan_view(whole_boat())
FIGURES = {s: Figures(s) for s in LengthStyle}
CUT_WIDTH_PT = Pen.CUT.value.width_mm / PT_MM


def pattern(name: str, paper: Paper = Paper.A4, choice: TileChoice = TileChoice.ALL) -> Pattern:
    return pattern_of(find_placed(VIEW, name), VIEW, paper, choice)


def printed(name: str, paper: Paper, choice: TileChoice) -> list[list[Array]]:
    """Every cut line of every tile page as it stands in the PDF, in mm on the page."""
    data = pattern_pdf(VIEW, name, paper, FIGURES[LengthStyle.MM], choice)
    pages = []
    with pdfplumber.open(io.BytesIO(data)) as book:
        for page in book.pages[1:]:
            drawn = [*page.lines, *page.curves]
            lines = [
                np.array([(x, float(page.height) - y) for x, y in d["pts"]]) * PT_MM
                for d in drawn
                if math.isclose(d["linewidth"], CUT_WIDTH_PT, abs_tol=1e-3)
            ]
            pages.append(lines)
    return pages


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("name", ["transom 1", "quarter knee P1", "hatch lid 1"])
def test_the_outline_is_printed_at_full_size(name: str, paper: Paper) -> None:
    """All tiles laid together by their own windows give the piece's own outline to 0.1 mm."""
    piece = find_placed(VIEW, name).piece
    laid = move_shape(piece.shape, base_line_pose(piece.shape))
    true = move_shape(laid, Pose(shift_mm=(EDGE_MM, EDGE_MM)))
    rings = [true.outline, *true.holes]
    outline = MultiLineString([LineString([*r.points, r.points[0]]) for r in rings])
    made = pattern(name, paper)
    pages = printed(name, paper, TileChoice.ALL)
    ox, oy = tile_origin()

    assert len(pages) == len(made.tiles)
    together = []
    for tile, lines in zip(made.tiles, pages, strict=True):
        shift = np.array([tile.window[0] - ox, tile.window[1] - oy])
        for line in lines:
            assert shapely.distance(shapely.points(line + shift), outline).max() < 0.1
            together.append(LineString(line + shift))
        here = shapely.union_all([LineString(li + shift) for li in lines]) if lines else Polygon()
        want = outline.intersection(box(*tile.window))
        assert here.length == pytest.approx(want.length, abs=0.1)
    whole = shapely.union_all(together)
    corners = np.array([p for r in rings for p in r.points])
    assert shapely.distance(shapely.points(corners), whole).max() < 0.1


def test_registration_marks_stand_at_one_place_on_both_tiles() -> None:
    made = pattern("transom 1")
    seen: dict[int, int] = {}
    for tile in made.tiles:
        for cross in made.crosses:
            if box(*tile.window).contains(shapely.Point(cross.at)):
                seen[cross.number] = seen.get(cross.number, 0) + 1

    assert set(seen) == {c.number for c in made.crosses}
    assert set(seen.values()) == {2}


def test_every_seam_has_two_marks() -> None:
    made = pattern("transom 1")
    placed = find_placed(VIEW, "transom 1")
    pages = tile_pages(made, placed, FIGURES[LengthStyle.MM])

    assert len(made.crosses) == 2 * (
        (made.columns - 1) * made.rows + made.columns * (made.rows - 1)
    )
    assert all(p.width_mm == made.page.width_mm for p in pages)


@pytest.mark.parametrize("style", list(LengthStyle))
def test_check_square_and_rules_have_their_size(style: LengthStyle) -> None:
    side, _ = check_side(FIGURES[style])
    data = pattern_pdf(VIEW, "quarter knee P1", Paper.LETTER, FIGURES[style], TileChoice.ALL)

    with pdfplumber.open(io.BytesIO(data)) as book:
        first, second = book.pages[:2]
        boxes = [(d["width"] * PT_MM, d["height"] * PT_MM) for d in (*first.rects, *first.curves)]
        rules = [max(d["width"], d["height"]) * PT_MM for d in second.lines]

    assert any(w == pytest.approx(side, abs=0.05) == h for w, h in boxes)
    assert sum(r == pytest.approx(side, abs=0.05) for r in rules) == 2


def test_empty_tiles_are_left_out() -> None:
    counts = {c: len(pattern("breasthook 1", Paper.A4, c).tiles) for c in TileChoice}
    transom = {c: len(pattern("transom 1", Paper.A4, c).tiles) for c in TileChoice}

    assert counts[TileChoice.TOUCHED] <= counts[TileChoice.ALL]
    assert transom[TileChoice.LINES] < transom[TileChoice.TOUCHED] <= transom[TileChoice.ALL]


def test_no_line_is_lost_with_empty_tiles_left_out() -> None:
    for choice in (TileChoice.TOUCHED, TileChoice.LINES):
        made = pattern("side panel P1 1/2", Paper.A4, choice)
        shares = shapely.union_all([box(*made.share_of(t)) for t in made.tiles])
        ring = made.shape.outline.points
        assert shares.buffer(1e-6).covers(LineString([*ring, ring[0]]))


def test_tile_names_run_through_the_alphabet() -> None:
    made = pattern("side panel P1 1/2", Paper.A4)

    assert made.tiles[0].name == "A1"
    assert len({t.name for t in made.tiles}) == len(made.tiles)


def test_many_tiles_are_advised_against() -> None:
    placed = find_placed(VIEW, "side panel P1 1/2")
    made = pattern_of(placed, VIEW, Paper.A4, TileChoice.ALL)
    texts = [
        str(getattr(i, "text", "")) for i in first_page(made, placed, Figures(LengthStyle.MM)).items
    ]

    assert len(made.tiles) > 24
    assert any("hard to join" in t for t in texts)


def test_a_part_name_serves_and_copies_are_told() -> None:
    made = pattern("pad")

    assert len(made.served.alike) == 8
    assert isinstance(made.shape, Shape)


def front_words(name: str) -> str:
    placed = find_placed(VIEW, name)
    page = first_page(pattern(name), placed, FIGURES[LengthStyle.MM])
    return " ".join(t.text for t in texts_of(page.items))


def test_a_mirror_image_is_served_by_turning_over() -> None:
    words = front_words("quarter knee P1")

    assert "Turn it over for: quarter knee, starboard" in words
    assert "Not for" not in words


def test_what_is_no_mirror_image_is_not_served() -> None:
    """Starboard's piece A isn't port's turned over where its joint lies elsewhere."""
    made = pattern("side panel P1 1/2").served
    names = {VIEW.name_of(p.piece.id) for s in VIEW.sheets for p in s.placed}
    of_part = {n for n in names if n.startswith("side panel")}

    assert {*made.alike, *made.turned, *made.others} == of_part
    assert "side panel, starboard, piece A of 2" in made.turned
    view = with_other_outline("side panel S1 1/2")
    moved = pattern_of(find_placed(view, "side panel P1 1/2"), view, Paper.A4, TileChoice.ALL)
    assert view.name_of("side panel S1 1/2") in moved.served.others


def with_other_outline(name: str) -> PlanView:
    """The boat with one piece 5 mm longer than its twin."""
    boat = whole_boat()
    pieces = {p.id: p for p in boat.plan.pieces}
    shape = pieces[name].shape
    far = max(x for x, _ in shape.outline.points)
    outline = Ring(tuple((x + 5.0 * (x == far), y) for x, y in shape.outline.points))
    pieces[name] = replace(pieces[name], shape=replace(shape, outline=outline))
    plan = replace(boat.plan, pieces=tuple(pieces.values()))
    return plan_view(replace(boat, plan=plan))


def test_an_unknown_name_is_told_with_its_neighbours() -> None:
    with pytest.raises(InputError) as caught:
        find_placed(VIEW, "transome")

    (finding,) = caught.value.findings
    assert finding.code == "PAT-001"
    assert "transom" in tell(finding, Speech()).remedy


def test_a_rail_needs_no_pattern() -> None:
    rail = VIEW.boards[0].cuts[0].piece
    for name in (rail.id, rail.part):
        with pytest.raises(InputError) as caught:
            find_placed(VIEW, name)
        assert [f.code for f in caught.value.findings] == ["PAT-002"]


def test_the_first_page_has_the_cut_lists_size_and_how_it_lies() -> None:
    figures = FIGURES[LengthStyle.MM]
    placed = find_placed(VIEW, "side panel P1 1/2")
    made = pattern_of(placed, VIEW, Paper.A4, TileChoice.ALL)
    texts = " ".join(str(getattr(i, "text", "")) for i in first_page(made, placed, figures).items)

    assert f"{figures.cut_pair(*placed.size_mm)} as in the cut list" in texts
    assert f"as it lies on these pages {figures.pair(*made.size_mm)}" in texts


@pytest.mark.parametrize("turn_deg", [0.0, 90.0])
def test_damp_is_looked_for_along_the_longer_side(turn_deg: float) -> None:
    """Two per cent of it is what spoils the fit."""
    name = "side panel P1 1/2"
    made = pattern(name)
    made = replace(made, shape=move_shape(made.shape, Pose(turn_deg=turn_deg)))
    page = first_page(made, find_placed(VIEW, name), FIGURES[LengthStyle.MM])
    told = " ".join(t.text for t in texts_of(page.items))
    longer = FIGURES[LengthStyle.MM].length(max(made.size_mm))
    assert f"check the longer side as it lies here ({longer})" in told


def test_the_same_plan_gives_the_same_bytes() -> None:
    made = [
        pattern_pdf(
            plan_view(small_plan()), "pad", Paper.A4, FIGURES[LengthStyle.INCH], TileChoice.TOUCHED
        )
        for _ in range(2)
    ]

    assert made[0] == made[1]


@pytest.mark.parametrize(("style", "told"), [(LengthStyle.MM, "16 mm"), (LengthStyle.INCH, '5/8"')])
def test_the_overlap_is_a_length_that_a_rule_has(style: LengthStyle, told: str) -> None:
    view = plan_view(small_plan(style))
    placed = view.sheets[0].placed[0]
    made = pattern_of(placed, view, Paper.LETTER, TileChoice.TOUCHED)
    page = first_page(made, placed, Figures(style))

    words = " ".join(t.text for t in texts_of(page.items))

    assert f"overlap by {told}" in words
