"""Shapes, and points that stand for them: how far off they may be, and what isn't drawn at all."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest

from nestcut.geometry.rings import Side, ring_from_curves
from nestcut.model.curves import Arc, Line, Point, Spline
from nestcut.model.job import Job
from nestcut.model.joint import JointRule
from nestcut.model.plan import Plan
from nestcut.model.shape import Mark, Ring, Shape
from nestcut.tolerances import VERIFY_MM
from nestcut.verify import verify_plan
from nestcut.verify.truth.lines import points_of
from tests.builders import a_job, a_part, a_plan, rectangle
from tests.unit.verify.untrue.made import codes, pieces_changed

MIDDLE, RADIUS_MM = (400.0, 200.0), 60.0


def _holed_panel() -> tuple[Job, Plan]:
    """A panel of two pieces, a round hole in the first."""
    hole = ring_from_curves((Arc(MIDDLE, RADIUS_MM, 0.0, -360.0),), 0.05, Side.HOLE)
    shape = replace(rectangle(3000, 400), holes=(hole,))
    part = a_part("panel", shape=shape, joint=JointRule(at_mm=(1500.0,)))
    job = a_job(sheet_parts=(part,), rail_parts=())
    return job, a_plan(job)


def _out(point: Point, by_mm: float) -> Point:
    """A point further from the hole's middle."""
    (x, y), (mx, my) = point, MIDDLE
    far = 1.0 + by_mm / math.dist(point, MIDDLE)
    return mx + (x - mx) * far, my + (y - my) * far


@pytest.mark.parametrize(("beyond_mm", "is_told"), [(0.3, False), (0.7, True), (1.5, True)])
def test_points_never_take_of_the_hole_what_the_part_has(
    beyond_mm: float,
    is_told: bool,  # noqa: FBT001
) -> None:
    """All points of a hole drawn wider than it is, by a share of what the verifier grants."""
    job, plan = _holed_panel()
    piece = next(p for p in plan.pieces if p.id == "panel 1 1/2")
    ring = piece.shape.holes[0]
    wide = tuple(
        _out(p, RADIUS_MM - math.dist(p, MIDDLE) + beyond_mm * VERIFY_MM) for p in ring.points
    )
    bad = replace(piece.shape, holes=(Ring(wide, ring.curves),))
    assert ("VER-029" in codes(job, pieces_changed(plan, piece.id, shape=bad))) is is_told


def test_an_outline_that_encloses_nothing_is_none() -> None:
    """What can't even be made an area is refused, and doesn't stop the verifier."""
    plan = a_plan()
    points = next(p for p in plan.pieces if p.id == "plate 1").shape.outline.points
    there, back = Line(points[0], points[1]), Line(points[1], points[0])
    for curves in ((there,), (there, back)):
        bad = Shape(Ring(points, curves))
        changed = pieces_changed(plan, "plate 1", shape=bad, net=bad)
        assert "VER-005" in {f.code for f in verify_plan(a_job(), changed).findings}


def _marked(mark: Mark) -> Plan:
    """The ready plan, one more line drawn on a plate."""
    plan = a_plan()
    piece = next(p for p in plan.pieces if p.id == "plate 1")
    shape = replace(piece.shape, marks=(mark,))
    return pieces_changed(plan, piece.id, shape=shape, net=shape)


def test_a_mark_has_a_length() -> None:
    here, there = (100.0, 100.0), (200.0, 100.0)
    for points, curves in (
        ((here, here), ()),
        ((here,), ()),
        ((here, here), (Line(here, there),)),
        ((here, there), (Line(here, here),)),
    ):
        assert "VER-005" in codes(a_job(), _marked(Mark(points, curves, "frame")))


@pytest.mark.parametrize("which", ["points", "curves"])
def test_a_line_isnt_drawn_twice(which: str) -> None:
    """A line drawn to and fro over part of its length strays nowhere, and is too long."""
    line = Mark(((100.0, 0.0), (100.0, 300.0)), (Line((100.0, 0.0), (100.0, 300.0)),), "frame")
    part = a_part("plate", shape=replace(rectangle(400, 300), marks=(line,)))
    job = a_job(sheet_parts=(part,), rail_parts=())
    plan = a_plan(job)
    assert codes(job, plan) == set()
    stops = (0.0, 151.0, 150.0, 300.0)
    rows = tuple((100.0, y) for y in stops)
    curves = tuple(Line(a, b) for a, b in pairwise(rows))
    far = tuple((100.0, y) for y in (0.0, 160.0, 150.0, 300.0))
    bad = replace(line, curves=curves) if which == "curves" else replace(line, points=far)
    shape = replace(part.shape, marks=(bad,))
    assert codes(job, pieces_changed(plan, "plate 1", shape=shape, net=shape)) == {"VER-037"}


@pytest.mark.parametrize("which", ["outline", "hole"])
def test_points_run_round_the_way_that_areas_are_summed(which: str) -> None:
    """Points in the wrong order stand for the same lines, and make an area less than nothing."""
    job, plan = _holed_panel()
    piece = next(p for p in plan.pieces if p.id == "panel 1 1/2")
    ring = piece.shape.outline if which == "outline" else piece.shape.holes[0]
    back = Ring(ring.points[::-1], ring.curves)
    changed = {"outline": back} if which == "outline" else {"holes": (back,)}
    bad = replace(piece.shape, **changed)
    assert codes(job, pieces_changed(plan, piece.id, shape=bad)) == {"VER-029"}
    assert "VER-029" in codes(job, pieces_changed(plan, piece.id, net=replace(bad, marks=())))


ARCH = Spline(
    degree=2,
    control=((0.0, 0.0), (50.0, 100.0), (100.0, 0.0)),
    knots=(0.0, 0.0, 0.0, 1.0, 1.0, 1.0),
)


@pytest.mark.parametrize(
    "changed",
    [
        {"degree": 0, "knots": (0.0, 0.3, 0.7, 1.0)},
        {"degree": 3, "knots": (0.0, 0.0, 0.0, 0.0, 1.0, 1.0, 1.0)},
        {"knots": (0.0, 0.0, 0.0, 1.0, 1.0)},
        {"knots": (0.0, 0.0, 1.0, 0.5, 1.0, 1.0)},
        {"weights": (1.0, 1.0)},
        {"weights": (1.0, 0.0, 1.0)},
        {"weights": (1.0, -1.0, 1.0)},
    ],
    ids=str,
)
def test_a_spline_that_is_none_is_refused(changed: dict[str, object]) -> None:
    """The arch itself passes half its control's height; with heavier shoulders it stays lower."""
    assert points_of(ARCH)[:, 1].max() == pytest.approx(50.0)
    low = points_of(replace(ARCH, weights=(3.0, 1.0, 3.0)))
    assert low[:, 1].max() == pytest.approx(25.0)
    with pytest.raises(ValueError, match="spline's"):
        points_of(replace(ARCH, **changed))  # type: ignore[arg-type]
