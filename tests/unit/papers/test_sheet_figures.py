"""Edges with figures, sizes that a tape finds, dangers that stand beside their drawing."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from shapely.geometry import Polygon

from nestcut.geometry.affine import apply
from nestcut.model.curves import Arc, Line
from nestcut.model.part import CutFrom, Timing
from nestcut.model.shape import Ring, Shape
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.draw.paper import Paper
from nestcut.papers.marking.charts import charts_of
from nestcut.papers.marking.rules import metric_rule
from nestcut.papers.page import PageMaker
from nestcut.papers.sheet import sheet_pages
from nestcut.papers.sheet.edges import edge_figures, square_edges
from nestcut.papers.view import Figures, keeps_of
from nestcut.papers.view.rows import PlanView
from nestcut.papers.view.sizes import tape_size
from nestcut.units import LengthStyle
from tests.builders_demos import demo_view

MM = Figures(LengthStyle.MM)
DEMOS = ("beach-boat", "punt")


@pytest.fixture(scope="module", params=DEMOS)
def view(request: pytest.FixtureRequest) -> PlanView:
    return demo_view(request.param)


def test_every_figure_has_its_owner(view: PlanView) -> None:
    shown = 0
    for sheet in view.sheets:
        keeps = keeps_of(sheet, view.verified.job.cutting, MM)
        edges = edge_figures(sheet.placed, keeps, MM)
        for figure, text in (*edges.along, *edges.across):
            assert figure.whose
            assert text.endswith(f"({', '.join(figure.whose)})")
            shown += 1
    assert shown


def test_no_curve_has_a_figure(view: PlanView) -> None:
    """A sheer of 20 m radius in chords of 100 mm: its summit is flat for a hand's breadth."""
    xs = [-500.0 + 100.0 * k for k in range(11)]
    sheer = [(x, 400.0 + math.sqrt(20000.0**2 - x * x) - 20000.0) for x in reversed(xs)]
    flat = Shape(Ring(((-500.0, 0.0), (500.0, 0.0), *sheer)))
    placed = replace(view.sheets[0].placed[0], shape=flat)
    assert square_edges(placed, 0) == (-500.0, 500.0)
    assert square_edges(placed, 1) == (0.0,)


def test_edges_where_twins_lie_level_name_both(view: PlanView) -> None:
    named = [
        figure.whose
        for sheet in view.sheets
        for edges in (edge_figures(sheet.placed, (), MM),)
        for figure, _ in (*edges.along, *edges.across)
    ]
    assert any(len(whose) > 1 for whose in named)


def _rounded(length: float, width: float, radius: float) -> Ring:
    """A bar with round ends, as drawn: two lines, two half circles."""
    half, r = length / 2.0, radius
    low, high = (-half + r, -r), (half - r, -r)
    curves = (
        Line(low, high),
        Arc((half - r, 0.0), r, -90.0, 180.0),
        Line((half - r, r), (-half + r, r)),
        Arc((-half + r, 0.0), r, 90.0, 180.0),
    )
    turns = [math.radians(-90.0 + 6.0 * k) for k in range(31)]
    right = [(half - r + r * math.cos(t), r * math.sin(t)) for t in turns]
    left = [(-x, -y) for x, y in right]
    assert width == 2 * r
    return Ring((*right, *left), curves)


def test_a_tape_finds_the_printed_size(view: PlanView) -> None:
    """Two parallel straightedges that just let a piece through are its width apart."""
    for sheet in view.sheets:
        for placed in sheet.placed:
            long, short = placed.size_mm
            assert long >= short
            # measured along the long side's own direction, the piece is as long and as wide
            if placed.piece.n_shares > 1:
                continue  # looked at below
            own = tape_size(placed.piece.shape)
            turn = math.atan2(own.way[1], own.way[0])
            drawn = Polygon(placed.piece.shape.outline.points)
            assert _calliper(drawn, turn) == pytest.approx(long, abs=0.01)
            assert _calliper(drawn, turn + math.pi / 2.0) == pytest.approx(short, abs=0.01)


def test_pieces_of_a_joined_part_are_as_long_as_their_chart_says(view: PlanView) -> None:
    """Whoever marks a piece out from its whole panel's base line finds the cut list's size."""
    seen = 0
    for use in (use for chart in charts_of(view, metric_rule()) for use in chart.uses):
        if use.piece.n_shares == 1 or use.piece.cut_from is CutFrom.BOARD:
            continue
        spots = apply(use.matrix, np.array(use.piece.shape.outline.points))
        sides = sorted(np.ptp(spots, axis=0).tolist(), reverse=True)
        assert sides == pytest.approx(use.placed.size_mm, abs=0.01), use.piece.id
        seen += 1
    assert seen


def _calliper(body: Polygon, turn: float) -> float:
    c, s = math.cos(turn), math.sin(turn)
    along = [x * c + y * s for x, y in body.exterior.coords]
    return max(along) - min(along)


def test_a_slanted_panel_is_measured_along_itself() -> None:
    c, s = math.cos(math.radians(3.0)), math.sin(math.radians(3.0))
    ring = ((0.0, 0.0), (2000.0, 0.0), (1900.0, 400.0), (0.0, 400.0))
    askew = tuple((x * c - y * s, x * s + y * c) for x, y in ring)
    found = tape_size(Shape(Ring(askew)))
    assert (found.long_mm, found.short_mm) == pytest.approx((2000.0, 400.0))
    assert found.way[1] / found.way[0] == pytest.approx(math.tan(math.radians(3.0)))


def test_a_piece_alike_on_both_sides_is_measured_along_its_centre_line() -> None:
    """A deep V's smallest rectangle lies on one of its legs, where nobody would lay a tape."""
    legs = ((0.0, 300.0), (500.0, 0.0), (1000.0, 300.0))
    vee = (*legs, (900.0, 360.0), (500.0, 120.0), (100.0, 360.0))
    found = tape_size(Shape(Ring(vee)))
    assert (found.long_mm, found.short_mm) == (1000.0, 360.0)


def test_round_ends_carry_no_figure_but_their_sides_do(view: PlanView) -> None:
    placed = replace(view.sheets[0].placed[0], shape=Shape(_rounded(300.0, 60.0, 30.0)))
    assert square_edges(placed, 0) == ()
    assert square_edges(placed, 1) == (-30.0, 30.0)
    bare = replace(placed, shape=Shape(Ring(placed.shape.outline.points)))
    assert square_edges(bare, 0) == ()
    assert square_edges(bare, 1) == (-30.0, 30.0)


@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("style", list(LengthStyle))
def test_cut_after_dry_fit_stands_beside_the_drawing(paper: Paper, style: LengthStyle) -> None:
    view = demo_view("beach-boat")
    maker = PageMaker(paper, Figures(style), view)
    late = 0
    for sheet in view.sheets:
        waiting = [p.number for p in sheet.placed if p.piece.timing is Timing.AFTER_DRY_FIT]
        if not waiting:
            continue
        first = " ".join(t.text for t in texts_of(sheet_pages(sheet, maker)[0].items))
        numbers = ", ".join(map(str, waiting))
        assert f"CUT AFTER DRY FIT: {numbers}" in first
        late += 1
    assert late
