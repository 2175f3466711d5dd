"""Circles round what is shown larger: none meets another, no name stands in one."""

from __future__ import annotations

from functools import lru_cache
from itertools import combinations

import pytest
from shapely.geometry import Polygon

from nestcut.papers.draw import Item, Path, Pen
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.marking.charts import Chart, charts_of
from nestcut.papers.marking.drawn import chart_figure
from nestcut.papers.marking.drawn.details import Crowd, told_apart
from nestcut.papers.marking.rules import marking_rule
from nestcut.papers.view import PlanView
from nestcut.units import LengthStyle
from tests.builders_demos import demo_view

PARTS = ("frame 1", "frame 2", "frame 3", "centreboard", "transom")


@lru_cache(maxsize=1)
def beach_boat() -> tuple[PlanView, dict[str, Chart]]:
    view = demo_view("beach-boat")
    charts = charts_of(view, marking_rule(LengthStyle.MM))
    return view, {c.uses[0].piece.part: c for c in charts}


def circles_of(items: tuple[Item, ...]) -> list[Polygon]:
    return [
        Polygon(i.points)
        for i in items
        if isinstance(i, Path) and i.pen is Pen.THIN and len(i.points) > 20
    ]


@pytest.mark.parametrize("wide_mm", [65.0, 136.0])
@pytest.mark.parametrize("part", PARTS)
def test_circles_of_a_chart_are_apart_and_no_name_stands_in_one(part: str, wide_mm: float) -> None:
    """Two circles of a frame ran into each other; a centre line's name stood in a third."""
    view, charts = beach_boat()
    items = chart_figure(charts[part], view, wide_mm).items
    circles = circles_of(items)
    for a, b in combinations(circles, 2):
        assert not a.intersects(b)
    names = [Polygon(t.box) for t in texts_of(items) if not t.text.isdigit()]
    assert names
    assert not any(n.intersects(c) for n in names for c in circles)
    if part == "frame 2" and wide_mm > 100.0:
        assert len(circles) == 3


def test_circles_that_would_meet_are_drawn_closer() -> None:
    apart = [Crowd(((1, (0.0, 0.0)), (2, (2.0, 0.0)))), Crowd(((3, (9.0, 0.0)), (4, (11.0, 0.0))))]
    assert told_apart(apart) == apart
    near = [apart[0], Crowd(((3, (3.2, 0.0)), (4, (5.2, 0.0))))]
    assert near[0].circle.intersects(near[1].circle)
    first, second = told_apart(near)
    assert not first.circle.intersects(second.circle)
    assert first.round_mm < near[0].round_mm
