"""From the printed numbers alone, with another spline, every piece is drawn again and compared."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry import LineString, Point

from nestcut.geometry.polygons import ring_area_mm2
from nestcut.geometry.pose import move_point, move_shape
from nestcut.model.job import MarkingWish, Notation
from nestcut.model.pose import Pose
from nestcut.model.shape import Mark, MarkUse, Ring, Shape
from nestcut.papers.marking.lines import Way
from nestcut.papers.marking.outline import Role, mark_shape
from nestcut.papers.marking.rules import (
    MarkingRule,
    inch_rule,
    marking_rule,
    metric_rule,
    offsets_rule,
)
from nestcut.papers.marking.table import (
    Origin,
    PieceMarking,
    mark_alone,
    mark_on_sheets,
)
from nestcut.papers.view.base_line import base_line_pose
from nestcut.papers.view.rows import PlanView, plan_view
from nestcut.units import LengthStyle
from tests.builders_boat import part, rectangle
from tests.builders_pages import circle, round_plan, rounded
from tests.builders_papers import plan_for, ply, random_plan, whole_boat
from tests.redraw import Array, apart, closed, read, redraw, rows_of

RULES = {
    "mm": metric_rule(),
    "inch/16": inch_rule(fraction=16),
    "inch/32": inch_rule(fraction=32),
    "offsets": offsets_rule(),
    "half a mm": metric_rule(allowed_mm=0.5, spacing_mm=300.0),
}


def true_lines(piece: PieceMarking, view: PlanView) -> dict[str, tuple[Array, bool]]:
    """The outline, holes and marks that the plan has for a piece, in the table's frame."""
    shape, ends, views = next(
        (p.piece.shape, p.piece.ends, p.ends)
        for s in view.sheets
        for p in s.placed
        if p.piece.id == piece.pieces[0]
    )
    moved = move_shape(shape, piece.pose)
    found = {"outline": (closed(moved.outline.points), True)}
    for k, hole in enumerate(moved.holes, 1):
        found[f"hole {k}"] = (closed(hole.points), True)
    for mark in moved.marks:
        found[f"mark {mark.label}".strip()] = (np.array(mark.points), False)
    for end, seen in zip(ends, views, strict=True):
        line = np.array([move_point(p, piece.pose) for p in end.line])
        key = f"{seen.key} " if piece.origin is Origin.SHEET else ""
        found[f"mark {key}{end.kind.value}, middle"] = (line, False)
    return found


def off_gauge(piece: PieceMarking, true: Array, outline: Array, gauge: float) -> float:
    """How far a trim line is from where a gauge run along the drawn outline puts it. [mm]"""
    points = [Point(p) for p in shapely.get_coordinates(shapely.segmentize(LineString(true), 20.0))]
    joints = [
        LineString([(p.x_mm, p.y_mm) for p in line.points])
        for line in piece.marking.lines
        if line.name.endswith(", middle")
    ]
    far = [p for p in points if all(p.distance(joint) > 120.0 for joint in joints)]
    edge = LineString(outline)
    return max((abs(p.distance(edge) - gauge) for p in far), default=0.0)


def worst(pieces: tuple[PieceMarking, ...], view: PlanView, rule: MarkingRule) -> float:
    greatest = 0.0
    for piece in pieces:
        rows = rows_of(piece)
        for name, (true, is_closed) in true_lines(piece, view).items():
            mine = [r for r in rows if r["line"] == name]
            if mine[0]["kind"] == "gauge":
                outline = redraw([r for r in rows if r["line"] == "outline"], rule, closed=True)
                assert off_gauge(piece, true, outline, read(mine[0]["along"], rule)) <= 2.0
                continue
            distance = apart(redraw(mine, rule, closed=is_closed), true)
            assert distance + rule.flatness_mm <= float(mine[0]["keeps within mm"]) + 0.02, (
                piece.pieces,
                name,
            )
            greatest = max(greatest, distance)
    return greatest


@pytest.mark.parametrize("rule", RULES.values(), ids=RULES)
def test_every_piece_of_a_boat_is_drawn_again_from_its_printed_numbers(rule: MarkingRule) -> None:
    view = plan_view(whole_boat())

    on_sheets = worst(mark_on_sheets(view, rule), view, rule)
    alone = worst(mark_alone(view, rule), view, rule)

    assert 0.0 < on_sheets <= rule.allowed_mm - rule.flatness_mm
    assert 0.0 < alone <= rule.allowed_mm - rule.flatness_mm


@pytest.mark.parametrize("seed", range(6))
def test_odd_pieces_are_drawn_again_too(seed: int) -> None:
    view = plan_view(random_plan(seed))
    rule = inch_rule() if seed % 2 else metric_rule()

    assert worst(mark_on_sheets(view, rule), view, rule) <= rule.allowed_mm - rule.flatness_mm


def test_arcs_circles_and_ovals_are_drawn_again() -> None:
    view = plan_view(round_plan())

    for rule in (metric_rule(), inch_rule(), offsets_rule()):
        tables = (*mark_on_sheets(view, rule), *mark_alone(view, rule))
        assert worst(tables, view, rule) <= rule.allowed_mm - rule.flatness_mm


def allowance_plan(trim: Ring) -> PlanView:
    board = replace(part("board", rectangle(420, 220), 9), allowance_mm=10.0)
    verified = plan_for("trim", [board], [ply(9, 100)], LengthStyle.MM)
    mark = Mark((*trim.points, trim.points[0]), label="trim line", use=MarkUse.TRIM)
    pieces = tuple(replace(p, shape=replace(p.shape, marks=(mark,))) for p in verified.plan.pieces)
    return plan_view(replace(verified, plan=replace(verified.plan, pieces=pieces)))


def test_a_trim_line_that_keeps_its_distance_is_left_to_a_gauge() -> None:
    """Marked once: its points would double the table and say nothing that a gauge doesn't."""
    inside = Ring(((10.0, 10.0), (410.0, 10.0), (410.0, 210.0), (10.0, 210.0)))
    (table,) = mark_on_sheets(allowance_plan(inside), metric_rule())
    rows = [r for r in rows_of(table) if r["line"] == "mark trim line"]

    assert table.gauge_mm == 10.0
    assert [(r["along"], r["kind"]) for r in rows] == [("10", "gauge")]
    assert len(table.marking.lines) == 1
    (alone,) = mark_alone(allowance_plan(inside), inch_rule())
    assert [r["along"] for r in rows_of(alone) if r["kind"] == "gauge"] == ['25/64"']


def test_a_trim_line_with_a_way_of_its_own_is_marked_by_points() -> None:
    askew = Ring(((10.0, 10.0), (410.0, 14.0), (410.0, 210.0), (10.0, 210.0)))
    (table,) = mark_on_sheets(allowance_plan(askew), metric_rule())

    assert table.gauge_mm is None
    assert [line.name for line in table.marking.lines] == ["outline", "mark trim line"]


def test_the_builders_wish_goes_before_what_is_usual() -> None:
    wish = MarkingWish(notation=Notation.OFFSETS, spacing_mm=150.0, allowed_mm=2.0)
    rule = marking_rule(LengthStyle.MM, 16, wish)

    assert rule.notation is Notation.OFFSETS
    assert rule.allowed_mm == 2.0
    assert rule.spacing_mm == pytest.approx(150.0, abs=0.8)
    assert rule.spacing_mm / rule.steps_mm[0] == pytest.approx(
        round(rule.spacing_mm / rule.steps_mm[0])
    )
    assert marking_rule(LengthStyle.MM) == metric_rule()
    assert marking_rule(LengthStyle.INCH, 32) == inch_rule(fraction=32)
    spaced = marking_rule(LengthStyle.INCH, 16, MarkingWish(spacing_mm=304.8))
    assert spaced.notation is Notation.INCH
    assert spaced.spacing_mm == pytest.approx(304.8)


def test_copies_of_one_shape_share_a_table() -> None:
    view = plan_view(whole_boat())

    tables = mark_alone(view, metric_rule())

    pads = [t for t in tables if t.pieces[0].startswith("pad")]
    assert [len(t.pieces) for t in pads] == [8]
    told = sorted(i for t in tables for i in t.pieces)
    assert told == sorted(p.id for p in view.verified.plan.pieces)


def test_a_circle_is_a_compass_point_and_a_radius() -> None:
    plate = Shape(rounded(0, 0, 400, 300, 40), (circle(150, 120, 60, clockwise=True),))

    outline, hole = mark_shape(plate, metric_rule()).lines

    assert hole.points == ()
    assert hole.circle is not None
    assert (hole.circle.x, hole.circle.y, hole.circle.radius) == (150.0, 120.0, 60.0)
    assert [p.way for p in outline.points].count(Way.COMPASS) == 4
    assert len(outline.points) == 8
    assert {p.circle.radius for p in outline.points if p.circle} == {40.0}


def test_a_short_slot_keeps_its_round_ends() -> None:
    slot = Shape(rounded(100, 100, 60, 40, 19.99))

    (outline,) = mark_shape(slot, metric_rule()).lines

    assert {p.way for p in outline.points} <= {Way.COMPASS, Way.STRAIGHT}
    assert outline.error_mm <= 1.0


def test_a_bowed_edge_goes_by_stations_and_a_square_end_by_corners() -> None:
    top = [(2400.0 * k / 300, 300 + 80 * math.sin(math.pi * k / 300)) for k in range(300, -1, -1)]
    panel = Shape(Ring(((0.0, 0.0), (2400.0, 0.0), *top)))

    marking = mark_shape(panel, metric_rule())

    points = marking.lines[0].points
    assert [(p.x_mm, p.y_mm) for p in points if p.role is Role.CORNER] == [
        (0, 0),
        (2400, 0),
        (2400, 300),
        (0, 300),
    ]
    stations = [p.x_mm for p in points if p.role is Role.STATION]
    assert set(range(200, 2400, 200)) <= {round(x) for x in stations}
    assert all(x == round(x) for x in stations)
    assert [(d.from_number, d.to_number) for d in marking.diagonals] == [
        (1, 3),
        (2, points[-1].number),
    ]
    assert marking.diagonals[0].length_mm == round(math.hypot(2400, 300))


def test_a_knuckle_in_a_curve_is_a_corner() -> None:
    """Two gentle curves that meet at 6 degrees."""
    left = [(x, 400 - x * x / 8000) for x in np.linspace(0, 1000, 120)]
    right = [(x, left[-1][1] - 0.355 * (x - 1000)) for x in np.linspace(1000, 1600, 2)[1:]]
    ring = Ring(((0.0, 0.0), (1600.0, 0.0), *reversed([*left, *right])))

    points = mark_shape(Shape(ring), metric_rule()).lines[0].points

    corners = {(p.x_mm, p.y_mm) for p in points if p.role is Role.CORNER}
    assert (1000.0, round(left[-1][1])) in corners


def test_an_oval_is_one_closed_batten() -> None:
    angles = np.linspace(0, 2 * math.pi, 240, endpoint=False)
    oval = Ring(tuple((500 + 160 * math.cos(a), 300 + 90 * math.sin(a)) for a in angles))

    (line,) = mark_shape(Shape(oval), metric_rule()).lines

    assert {p.role for p in line.points} == {Role.STATION}
    assert 6 <= len(line.points) <= 30
    assert line.error_mm <= 1.0


def test_an_oval_too_small_for_a_batten_is_marked_all_the_same() -> None:
    angles = np.linspace(0, 2 * math.pi, 16, endpoint=False)
    plate = Ring(((0.0, 0.0), (90.0, 0.0), (90.0, 60.0)))
    tiny = Ring(tuple((60.3 + 0.9 * math.cos(-a), 20.2 + 0.5 * math.sin(-a)) for a in angles))

    line = mark_shape(Shape(plate, (tiny,)), metric_rule()).lines[1]

    assert line.points
    assert line.error_mm <= 1.0


def test_finer_numbers_only_where_whole_ones_would_miss() -> None:
    square = Shape(Ring(((0.4, 0.4), (300.49, 0.4), (300.49, 200.49), (0.4, 200.49))))

    coarse = mark_shape(square, metric_rule()).lines[0]
    fine = mark_shape(square, metric_rule(allowed_mm=0.5)).lines[0]

    assert all(p.x_mm == round(p.x_mm) for p in coarse.points)
    assert any(p.x_mm != round(p.x_mm) for p in fine.points)
    assert fine.error_mm <= 0.5 < coarse.error_mm


def test_what_cannot_be_kept_is_said() -> None:
    """A tenth of a millimetre allowed, half of it gone for flatness, a tenth the finest step."""
    odd = Shape(Ring(((0.05, 0.05), (300.05, 0.05), (300.05, 200.05))))
    rule = metric_rule(allowed_mm=0.1)

    marking = mark_shape(odd, rule)

    assert marking.error_mm > rule.allowed_mm


def test_marks_are_open_lines() -> None:
    plate = Shape(
        Ring(((0.0, 0.0), (300.0, 0.0), (300.0, 200.0))),
        marks=(Mark(((10.0, 10.0), (200.0, 60.0)), label="frame 2"),),
    )

    line = mark_shape(plate, metric_rule()).lines[1]

    assert line.name == "mark frame 2"
    assert [(p.number, p.x_mm, p.y_mm) for p in line.points] == [(4, 10.0, 10.0), (5, 200.0, 60.0)]


@pytest.mark.parametrize("turn", [0.0, 33.0, 90.0, 211.7])
def test_the_base_line_is_the_longest_straight_edge(turn: float) -> None:
    trapeze = Shape(Ring(((0.0, 0.0), (900.0, 0.0), (700.0, 300.0), (100.0, 280.0))))
    turned = move_shape(trapeze, Pose(turn_deg=turn, shift_mm=(40.0, -70.0)))

    laid = move_shape(turned, base_line_pose(turned)).outline.points

    assert np.allclose(laid, trapeze.outline.points, atol=1e-9)


def test_without_a_straight_edge_the_base_line_runs_along() -> None:
    angles = np.linspace(0, 2 * math.pi, 180, endpoint=False)
    oval = Shape(Ring(tuple((300 * math.cos(a), 100 * math.sin(a)) for a in angles)))
    turned = move_shape(oval, Pose(turn_deg=25.0))

    laid = move_shape(turned, base_line_pose(turned)).outline.points

    assert min(p[0] for p in laid) == pytest.approx(0.0, abs=1e-9)
    assert max(p[0] for p in laid) == pytest.approx(600.0, abs=0.5)
    assert ring_area_mm2(laid) == pytest.approx(ring_area_mm2(oval.outline.points))


def test_offsets_can_be_read_back() -> None:
    rule = offsets_rule()

    for sixteenths in (0, 1, 15, 16, 191, 192, 1571):
        length = sixteenths * 25.4 / 16
        assert read(rule.written(length), rule) == pytest.approx(length, abs=1e-9)
