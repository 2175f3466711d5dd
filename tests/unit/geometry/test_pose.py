"""Poses: points and true curves by hand, and curves against points of their own line."""

from __future__ import annotations

import math

import numpy as np
import pytest
from shapely.geometry import LineString

from nestcut.geometry.pose import (
    MIRROR,
    cos_sin,
    move_curve,
    move_point,
    move_shape,
    move_vector,
    reverse_curve,
)
from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Spline
from nestcut.model.pose import Lie, Placement, Pose
from nestcut.model.shape import Mark, Ring, Shape
from nestcut.verify.truth.lines import points_of

TURNED = Pose(Lie.FACE_DOWN, 30.0, (100.0, -20.0))
CURVES: list[Curve] = [
    Line((10.0, 20.0), (110.0, 45.0)),
    Arc((50.0, 10.0), 40.0, 20.0, 75.0),
    Arc((50.0, 10.0), 40.0, 300.0, -200.0),
    EllipticArc((5.0, 7.0), (60.0, 10.0), (-3.0, 18.0), 0.3, 1.9),
    Spline(
        3,
        ((0.0, 0.0), (30.0, 50.0), (70.0, -10.0), (90.0, 20.0), (120.0, 25.0)),
        (0.0, 0.0, 0.0, 0.0, 0.3, 1.0, 1.0, 1.0, 1.0),
        (1.0, 2.0, 1.0, 0.5, 1.0),
    ),
]


def test_a_point_is_reflected_then_turned_then_shifted() -> None:
    """(3, 4) becomes (-3, 4), a quarter turn makes (-4, -3) of it, and (10, 20) is added."""
    assert move_point((3.0, 4.0), Pose(Lie.FACE_DOWN, 90.0, (10.0, 20.0))) == (6.0, 17.0)
    assert move_point((3.0, 4.0), Pose(Lie.FACE_UP, 90.0, (10.0, 20.0))) == (6.0, 23.0)
    assert move_vector((3.0, 4.0), MIRROR) == (-3.0, 4.0)


@pytest.mark.parametrize("quarter", range(-4, 5))
def test_quarter_turns_are_exact(quarter: int) -> None:
    c, s = cos_sin(90.0 * quarter)
    assert (c, s) == ((1, 0), (0, 1), (-1, 0), (0, -1))[quarter % 4]


def test_a_turn_of_30_degrees() -> None:
    assert move_vector((2.0, 0.0), Pose(turn_deg=30.0)) == pytest.approx((math.sqrt(3.0), 1.0))


def test_a_placement_moves_as_the_pose_that_it_is() -> None:
    down = Placement(Lie.FACE_DOWN, 90.0, (10.0, 20.0), piece="p")
    assert move_point((3.0, 4.0), down) == (6.0, 17.0)
    assert not down.is_face_up


@pytest.mark.parametrize("pose", [TURNED, MIRROR, Pose(turn_deg=200.0, shift_mm=(3.0, 4.0))])
@pytest.mark.parametrize("curve", CURVES, ids=lambda c: type(c).__name__)
def test_a_moved_curve_is_the_line_of_moved_points(curve: Curve, pose: Pose) -> None:
    """The verifier's own evaluation of both; the running direction stays."""
    want = np.array([move_point((float(x), float(y)), pose) for x, y in points_of(curve)])
    assert points_of(move_curve(curve, pose)) == pytest.approx(want, abs=1e-9)


@pytest.mark.parametrize("curve", CURVES, ids=lambda c: type(c).__name__)
def test_a_reversed_curve_is_the_line_from_its_other_end(curve: Curve) -> None:
    have, want = points_of(reverse_curve(curve)), points_of(curve)[::-1]
    assert have[[0, -1]] == pytest.approx(want[[0, -1]], abs=1e-9)
    middle = points_of(reverse_curve(reverse_curve(curve)))
    assert middle == pytest.approx(want[::-1], abs=1e-9)
    if isinstance(curve, Spline):
        assert LineString(have).hausdorff_distance(LineString(want)) < 0.001
    else:
        assert have == pytest.approx(want, abs=1e-9)


def test_angles_of_moved_and_reversed_arcs_stay_in_a_turn() -> None:
    """Files write them as they are."""
    arc = Arc((0.0, 0.0), 10.0, 300.0, 100.0)
    assert move_curve(arc, Pose(turn_deg=90.0)) == Arc((0.0, 0.0), 10.0, 30.0, 100.0)
    assert move_curve(arc, MIRROR) == Arc((-0.0, 0.0), 10.0, 240.0, -100.0)
    assert reverse_curve(arc) == Arc((0.0, 0.0), 10.0, 40.0, -100.0)


def test_a_mirrored_shape_has_its_curves_mirrored_and_runs_the_same_way() -> None:
    """A knee with a hollow arc: area and true curves are those of the drawing's image."""
    arc = Arc((100.0, 80.0), 80.0, 270.0, -90.0)
    ring = Ring(
        ((0.0, 0.0), (100.0, 0.0), (20.0, 80.0), (0.0, 80.0)),
        (
            Line((0.0, 0.0), (100.0, 0.0)), arc, Line((20.0, 80.0), (0.0, 80.0)),
            Line((0.0, 80.0), (0.0, 0.0)),
        ),
    )  # fmt: skip
    hole = Ring(((5.0, 5.0), (5.0, 10.0), (10.0, 10.0)))
    mark = Mark(((1.0, 2.0), (3.0, 4.0)), (Line((1.0, 2.0), (3.0, 4.0)),), "frame")
    made = move_shape(Shape(ring, (hole,), (mark,)), MIRROR)

    assert made.outline.points == ((0.0, 0.0), (0.0, 80.0), (-20.0, 80.0), (-100.0, 0.0))
    ends = [points_of(c)[[0, -1]] for c in made.outline.curves]
    assert ends[0].tolist() == [[0.0, 0.0], [0.0, 80.0]]
    for a, b in zip(ends, (*ends[1:], ends[0]), strict=True):
        assert a[1] == pytest.approx(b[0], abs=1e-9)
    mirrored = next(c for c in made.outline.curves if isinstance(c, Arc))
    assert mirrored.centre == (-100.0, 80.0)
    assert (mirrored.radius_mm, mirrored.sweep_deg) == (80.0, -90.0)
    assert made.holes[0].points == ((-5.0, 5.0), (-10.0, 10.0), (-5.0, 10.0))
    assert made.marks[0].points == ((-1.0, 2.0), (-3.0, 4.0))
    assert made.marks[0].curves == (Line((-1.0, 2.0), (-3.0, 4.0)),)
    assert made.marks[0].label == "frame"
