"""Law: whatever the outline, the piece drawn from the printed numbers keeps what is stated."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon

from nestcut.geometry.pose import move_shape
from nestcut.model.pose import Lie, Pose
from nestcut.model.shape import Ring, Shape
from nestcut.papers.marking.outline import mark_shape
from nestcut.papers.marking.rules import MarkingRule, inch_rule, metric_rule
from nestcut.papers.marking.table import Origin, PieceMarking
from nestcut.papers.view.base_line import base_line_pose
from tests.redraw import apart, closed, redraw, rows_of

RULES = st.sampled_from([metric_rule(), inch_rule(), metric_rule(spacing_mm=150.0)])
QUICK = settings(max_examples=25, deadline=None, derandomize=True)
POSES = st.builds(
    Pose,
    st.sampled_from(list(Lie)),
    st.sampled_from([0.0, 90.0, 180.0]) | st.floats(0, 360),
    st.tuples(st.floats(0, 2000), st.floats(0, 1000)),
)


@st.composite
def wavy(draw: st.DrawFn) -> Shape:
    """A smooth closed outline: an oval with a few waves on it."""
    a, b = draw(st.floats(60, 900)), draw(st.floats(60, 400))
    waves = draw(st.lists(st.tuples(st.integers(2, 5), st.floats(0, 0.06), st.floats(0, 6))))
    angles = np.linspace(0, 2 * math.pi, 400, endpoint=False)
    radius = 1 + sum(h * np.cos(n * angles + p) for n, h, p in waves[:2])
    return Shape(
        Ring(
            tuple(
                (float(a * r * math.cos(t)), float(b * r * math.sin(t)))
                for r, t in zip(np.atleast_1d(radius * np.ones_like(angles)), angles, strict=True)
            )
        )
    )


@st.composite
def panels(draw: st.DrawFn) -> Shape:
    """Two curved edges and two straight ends, as hull panels have."""
    length = draw(st.floats(400, 4000))
    low, high = (draw(st.tuples(st.floats(-0.06, 0.06), st.floats(-0.03, 0.03))) for _ in "ab")
    width = draw(st.floats(200, 600))
    x = np.linspace(0, 1, 120)

    def edge(bow: tuple[float, float]) -> list[tuple[float, float]]:
        rise = length * (bow[0] * np.sin(math.pi * x) + bow[1] * np.sin(2 * math.pi * x))
        return [(float(p * length), float(q)) for p, q in zip(x, rise, strict=True)]

    top = [(p, q + width + 0.2 * length) for p, q in edge(high)]
    return Shape(Ring((*edge(low), *reversed(top))))


@st.composite
def polygons(draw: st.DrawFn) -> Shape:
    """Straight edges of any length, convex."""
    points = draw(
        st.lists(
            st.tuples(st.integers(0, 2400), st.integers(0, 1200)),
            min_size=4,
            max_size=9,
            unique=True,
        )
    )
    hull = Polygon([(x + 0.37, y + 0.61) for x, y in points]).convex_hull
    if not isinstance(hull, Polygon) or hull.area < 5000:
        hull = Polygon([(0.3, 0.2), (300.1, 0.4), (299.9, 120.7)])
    ring = [(float(x), float(y)) for x, y in hull.exterior.coords[:-1]]
    return Shape(Ring(tuple(ring if Polygon(ring).exterior.is_ccw else ring[::-1])))


def check(shape: Shape, pose: Pose, rule: MarkingRule) -> None:
    moved = move_shape(shape, pose)
    marking = mark_shape(moved, rule)
    table = PieceMarking(
        sheet="", stock="", pieces=("x",), origin=Origin.SHEET, pose=pose, marking=marking
    )
    rows = [r for r in rows_of(table) if r["line"] == "outline"]
    distance = apart(redraw(rows, rule, closed=True), closed(moved.outline.points))
    assert distance + rule.flatness_mm <= marking.error_mm + 0.02
    assert marking.error_mm <= rule.allowed_mm


@QUICK
@given(wavy(), POSES, RULES)
def test_smooth_outlines(shape: Shape, pose: Pose, rule: MarkingRule) -> None:
    check(shape, pose, rule)


@QUICK
@given(panels(), POSES, RULES)
def test_hull_panels(shape: Shape, pose: Pose, rule: MarkingRule) -> None:
    check(shape, pose, rule)


@QUICK
@given(polygons(), POSES, RULES)
def test_straight_edges(shape: Shape, pose: Pose, rule: MarkingRule) -> None:
    check(shape, pose, rule)


@QUICK
@given(panels() | polygons() | wavy(), POSES)
def test_a_base_line_puts_everything_above_and_right_of_its_start(shape: Shape, pose: Pose) -> None:
    moved = move_shape(shape, pose)

    laid = move_shape(moved, base_line_pose(moved)).outline.points

    assert min(p[0] for p in laid) == pytest.approx(0.0, abs=1e-6)
    assert min(p[1] for p in laid) == pytest.approx(0.0, abs=1e-6)
