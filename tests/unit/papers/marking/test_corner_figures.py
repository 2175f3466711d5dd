"""What is one length on a piece is one figure on paper, and no figure lies beside the sheet."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache
from itertools import pairwise

import pytest
import shapely
from shapely.geometry import LinearRing
from shapely.ops import nearest_points

from nestcut.geometry.polygons import bounds_mm
from nestcut.model.shape import Mark, Ring, Shape
from nestcut.papers.marking.base_lines import base_lines, printed_outline, set_on
from nestcut.papers.marking.charts import charts_of
from nestcut.papers.marking.lines import Way
from nestcut.papers.marking.outline import MarkedLine, mark_shape
from nestcut.papers.marking.rules import (
    MarkingRule,
    inch_rule,
    marking_rule,
    metric_rule,
    offsets_rule,
)
from nestcut.papers.marking.table import mark_on_sheets
from nestcut.papers.view import PlanView
from nestcut.papers.view.rows import plan_view
from nestcut.units import LengthStyle
from tests.builders_demos import demo_on_shelves
from tests.builders_papers import random_plan

EXACT_MM = 1e-6
LEVEL_MM = 0.05
"""Ends of an edge that differ by no more are level."""


@cache
def views() -> tuple[PlanView, ...]:
    plans = [*map(demo_on_shelves, ("beach-boat", "punt")), *map(random_plan, range(6))]
    return tuple(plan_view(plan) for plan in plans)


def straights(line: MarkedLine) -> list[tuple[tuple[float, float], tuple[float, float]]]:
    points = (*line.points, *(line.points[:1] if line.is_closed else ()))
    return [
        ((a.x_mm, a.y_mm), (b.x_mm, b.y_mm)) for a, b in pairwise(points) if a.way is Way.STRAIGHT
    ]


@pytest.mark.parametrize("style", list(LengthStyle))
def test_edges_along_and_across_a_chart_have_one_figure(style: LengthStyle) -> None:
    seen = 0
    for view in views():
        for chart in charts_of(view, marking_rule(style)):
            true = shapely.MultiPoint(chart.shape.outline.points)
            for a, b in straights(chart.marking.lines[0]):
                ends = [nearest_points(true, shapely.Point(p))[0] for p in (a, b)]
                if any(
                    e.distance(shapely.Point(p)) > 1.5 for e, p in zip(ends, (a, b), strict=True)
                ):
                    continue  # an end on a centre line is no corner of the whole
                for axis, apart in enumerate((ends[0].x - ends[1].x, ends[0].y - ends[1].y)):
                    if abs(apart) < LEVEL_MM:
                        seen += 1
                        assert abs(a[axis] - b[axis]) < EXACT_MM, (chart.number, a, b)
    assert seen > 100


def test_a_straight_edge_with_one_end_on_an_arc_has_one_figure() -> None:
    """An arc's ends are often written finer: the other end of the edge goes with it."""
    corner = [
        (200.0 + 30.3 * math.sin(a), 70.0 + 30.3 * math.cos(a))
        for a in (math.pi / 2.0 * k / 12.0 for k in range(13))
    ][::-1]
    shape = Shape(Ring(((0.0, 0.0), (corner[0][0], 0.0), *corner, (0.0, 100.3))))

    for rule in (metric_rule(), inch_rule()):
        points = mark_shape(shape, rule).lines[0].points
        high = {round(p.y_mm, 4) for p in points if abs(p.y_mm - 100.3) < 2.0}
        far = {round(p.x_mm, 4) for p in points if abs(p.x_mm - 230.3) < 2.0}
        assert len(high) == len(far) == 1


def test_a_piece_that_is_alike_on_both_sides_is_printed_so() -> None:
    deck = Shape(Ring(((0.0, 0.0), (914.4, 0.0), (844.55, 457.2), (69.85, 457.2))))

    marking = mark_shape(deck, metric_rule())
    first, second, third, fourth = ((p.x_mm, p.y_mm) for p in marking.lines[0].points)

    assert second[0] - third[0] == fourth[0] - first[0]
    assert len({d.length_mm for d in marking.diagonals}) == 1


def test_what_is_nearly_a_rectangle_is_printed_as_one() -> None:
    strap = Shape(Ring(((0.0, 0.0), (252.5, 0.0), (252.2, 63.5), (252.05, 127.0), (0.0, 127.0))))

    printed = {(p.x_mm, p.y_mm) for p in mark_shape(strap, metric_rule()).lines[0].points}

    assert printed == {(0.0, 0.0), (252.0, 0.0), (252.0, 127.0), (0.0, 127.0)}


def test_a_joint_midway_between_two_figures_is_midway_on_paper() -> None:
    strap = Shape(
        Ring(((0.0, 0.0), (252.0, 0.0), (252.0, 127.0), (0.0, 127.0))),
        (),
        (Mark(((0.0, 63.5), (252.0, 63.5)), label="joint"),),
    )

    assert [p.y_mm for p in mark_shape(strap, metric_rule()).lines[1].points] == [63.5, 63.5]


@pytest.mark.parametrize("style", list(LengthStyle))
def test_what_is_drawn_from_charts_lies_on_the_sheet(style: LengthStyle) -> None:
    seen = 0
    for view in views():
        charts = charts_of(view, marking_rule(style))
        for sheet, lines in zip(view.sheets, base_lines(view, charts), strict=True):
            ply = shapely.Polygon(sheet.outline)
            for line in lines:
                if line.off_mm:
                    continue  # told with what to do
                drawn = set_on(printed_outline(line.chart, line.use), line)
                seen += 1
                assert shapely.distance(shapely.points(drawn), ply).max() < EXACT_MM
    assert seen > 100


@pytest.mark.parametrize("rule", [metric_rule(), inch_rule(), offsets_rule()])
def test_no_corner_or_station_is_given_beside_its_sheet(rule: MarkingRule) -> None:
    """A piece in the far corner, its curve touching the sheet's edge; 1220.6 mm are 48 1/16 in."""
    bow = tuple((2400.0 - 20.0 * k, 1220.6 - 0.02 * k**2) for k in range(61))
    shape = Shape(Ring(((1200.0, 900.0), (2439.6, 900.0), (2439.6, 1220.6), *bow)))
    on_sheet = replace(rule, within_mm=(0.0, 0.0, 2439.6, 1220.6))

    points = mark_shape(shape, on_sheet).lines[0].points

    assert max(p.x_mm for p in points) < 2439.6 + EXACT_MM
    assert max(p.y_mm for p in points) < 1220.6 + EXACT_MM
    assert max(p.y_mm for p in mark_shape(shape, rule).lines[0].points) > 1220.6


def test_tables_of_sheets_keep_to_their_sheets() -> None:
    view = views()[0]
    rooms = {sheet.label: bounds_mm(sheet.outline) for sheet in view.sheets}

    for piece in mark_on_sheets(view, metric_rule()):
        assert piece.marking.rule.within_mm == rooms[piece.sheet]


def test_no_piece_is_turned_far_for_its_sheets_edge() -> None:
    """Where a sheet can't hold the printed figures, a hair over its edge is better than askew."""
    view = views()[0]
    charts = charts_of(view, marking_rule(LengthStyle.INCH))
    seen = 0
    for sheet in view.sheets:
        for placed in sheet.placed:
            x0, y0, x1, y1 = bounds_mm(placed.shape.outline.points)
            tight = ((x0, y0), (x1, y0), (x1, y1), (x0, y1))
            layout = replace(sheet.layout, outline=tight, offcuts=())
            alone = replace(sheet, layout=layout, placed=(placed,))
            ((line,),) = base_lines(replace(view, sheets=(alone,)), charts)
            if line.off_mm:
                continue
            seen += 1
            drawn = set_on(printed_outline(line.chart, line.use), line)
            true = LinearRing(placed.shape.outline.points)
            assert shapely.distance(shapely.points(drawn), true).max() <= 2.0
    assert seen > 20
