"""Butt straps: generated parts, right in size, face, hand and grain."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest

from nestcut.geometry.polygons import bounds_mm, to_polygon
from nestcut.joints.split import split_part, whole_pieces
from nestcut.model.joint import Face, JointAxis, JointKind, JointRule
from nestcut.model.part import Grain, Hand, Hands, SheetPart
from nestcut.model.shape import Shape
from nestcut.trade.joints import LONGEST_STRAP_MM
from tests.unit.joints.panels import plain_panel, polygon_outline, round_hole

RULE = JointRule(kind=JointKind.BUTT_STRAP, strap_width_thicknesses=20.0, strap_margin_mm=15.0)


def _wedge(rule: JointRule = RULE) -> SheetPart:
    """A panel whose upper edge rises along it, so that its mirror image differs."""
    outline = polygon_outline((0.0, 0.0), (4000.0, 0.0), (4000.0, 800.0), (0.0, 400.0))
    return replace(plain_panel(), shape=Shape(outline), joint=rule)


def test_strap_is_as_wide_as_the_rule_says_and_short_of_the_edges() -> None:
    (strap,) = split_part(replace(plain_panel(), joint=RULE), (1500.0,)).straps
    low_x, low_y, high_x, high_y = bounds_mm(strap.shape.outline.points)
    assert high_x - low_x == pytest.approx(20.0 * 6.0)
    assert (low_y, high_y) == pytest.approx((15.0, 585.0))
    assert strap.name == "panel strap 1"
    assert strap.thickness_mm == 6.0
    assert strap.material == "ply"
    assert strap.joint is None


def test_strap_on_the_back_is_drawn_from_its_own_good_face() -> None:
    """Seen from inside the boat the panel is its mirror image, and so is the strap."""
    (strap,) = split_part(_wedge(), (1500.0,)).straps
    points = strap.shape.outline.points
    assert bounds_mm(points)[2] < 0.0
    high_aft = max(y for x, y in points if x > -1500.0)
    high_fore = max(y for x, y in points if x < -1500.0)
    assert high_fore > high_aft


def test_strap_on_the_good_face_is_drawn_as_the_panel() -> None:
    (strap,) = split_part(_wedge(replace(RULE, strap_face=Face.GOOD)), (1500.0,)).straps
    assert bounds_mm(strap.shape.outline.points)[0] == pytest.approx(1440.0)


def test_both_hands_get_their_own_strap() -> None:
    """A pair of panels has a pair of straps, mirror images of each other."""
    (strap,) = split_part(_wedge(), (1500.0,)).straps
    assert strap.hands is Hands.PAIR
    port, starboard = whole_pieces(strap)
    assert (port.hand, starboard.hand) == (Hand.PORT, Hand.STARBOARD)
    mirrored = {(-x, y) for x, y in port.shape.outline.points}
    assert mirrored == set(starboard.shape.outline.points)


def test_grain_runs_across_the_joint() -> None:
    (strap,) = split_part(_wedge(), (1500.0,)).straps
    assert strap.grain is Grain.ALONG
    along = split_part(_wedge(replace(RULE, axis=JointAxis.WIDTH)), (300.0,))
    assert {s.grain for s in along.straps} == {Grain.ACROSS}


def test_long_strap_comes_in_lengths_that_a_sheet_s_width_gives() -> None:
    """Over a joint of 4 m the strap is four equal bits, end to end, without gap or overlap."""
    along = split_part(_wedge(replace(RULE, axis=JointAxis.WIDTH)), (300.0,))
    boxes = sorted(bounds_mm(s.shape.outline.points) for s in along.straps)
    assert len(boxes) == 4
    assert all(b[3] - b[1] == pytest.approx(120.0) for b in boxes)
    assert all(b[2] - b[0] <= LONGEST_STRAP_MM.value for b in boxes)
    assert all(a[2] == pytest.approx(b[0]) for a, b in pairwise(boxes))
    assert boxes[-1][2] - boxes[0][0] == pytest.approx(4000.0 - 2 * 15.0, abs=0.5)


def test_strap_carries_the_joint_line() -> None:
    (strap,) = split_part(_wedge(), (1500.0,)).straps
    (mark,) = strap.shape.marks
    assert mark.label == "joint"
    assert {x for x, _ in mark.points} == {-1500.0}


def test_strap_keeps_clear_of_a_hole() -> None:
    part = plain_panel()
    part = replace(part, joint=RULE, shape=Shape(part.shape.outline, (round_hole(1500, 300, 40),)))
    (strap,) = split_part(part, (1500.0,)).straps
    hole = to_polygon(strap.shape).interiors[0]
    assert hole.bounds[2] - hole.bounds[0] == pytest.approx(2 * 55.0, abs=0.3)


def test_strap_in_two_lumps_is_two_parts() -> None:
    """A hole as wide as the strap leaves one strap above it and one below."""
    part = plain_panel()
    part = replace(part, joint=RULE, shape=Shape(part.shape.outline, (round_hole(1500, 300, 90),)))
    straps = split_part(part, (1500.0,)).straps
    assert [s.name for s in straps] == ["panel strap 1a", "panel strap 1b"]


def test_no_room_for_a_strap_is_an_error() -> None:
    part = replace(plain_panel(width_mm=40.0), joint=replace(RULE, strap_margin_mm=25.0))
    split = split_part(part, (1500.0,))
    assert [f.code for f in split.findings] == ["JNT-106"]
    assert split.pieces == ()


def test_scarfs_have_no_straps() -> None:
    assert split_part(plain_panel(), (1500.0,)).straps == ()
