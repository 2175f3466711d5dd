"""Keyed joints: repeatable keys that a router bit can cut and that lock."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise

import pytest
from shapely import unary_union
from shapely.geometry import Polygon, box

from nestcut.geometry.curves import end_point, flatten, start_point, tangent
from nestcut.geometry.polygons import to_polygon
from nestcut.joints.keys import KeyRow, key_radius_mm, place_keys, stretches
from nestcut.joints.split import split_part
from nestcut.model.curves import Arc
from nestcut.model.joint import JointKind, JointRule
from tests.unit.joints.panels import curved_panel, plain_panel


def test_path_is_one_smooth_line() -> None:
    row = KeyRow(line_mm=1000.0, centres_mm=(100.0, 150.0), radius_mm=8.0)
    path = row.path(0.0, 250.0)
    for a, b in pairwise(path):
        assert math.dist(end_point(a), start_point(b)) < 1e-9
        assert math.dist(tangent(a, 1.0), tangent(b, 0.0)) < 1e-9
    assert start_point(path[0]) == (1000.0, 0.0)
    assert end_point(path[-1]) == (1000.0, 250.0)


@pytest.mark.parametrize("shift", [-0.2, 0.0, 0.2])
def test_shifted_path_keeps_its_distance(shift: float) -> None:
    """A path shifted by d is everywhere d away from the middle one."""
    row = KeyRow(line_mm=0.0, centres_mm=(50.0,), radius_mm=8.0)
    middle = row.path(0.0, 100.0)
    for a, b in zip(middle, row.path(0.0, 100.0, shift), strict=True):
        tx, ty = tangent(a, 0.5)
        ax, ay = start_point(a) if not isinstance(a, Arc) else end_point(a)
        bx, by = start_point(b) if not isinstance(b, Arc) else end_point(b)
        assert math.dist((ax, ay), (bx, by)) == pytest.approx(abs(shift), abs=1e-9)
        assert math.hypot(tx, ty) == pytest.approx(1.0)


def test_reverse_path_is_the_same_line() -> None:
    row = KeyRow(line_mm=0.0, centres_mm=(50.0,), radius_mm=8.0)
    there, back = row.path(0.0, 100.0), row.path(100.0, 0.0)
    assert len(there) == len(back)
    assert start_point(back[0]) == pytest.approx(end_point(there[-1]))


def test_key_across_the_end_of_a_joint_is_a_fault() -> None:
    row = KeyRow(line_mm=0.0, centres_mm=(5.0,), radius_mm=8.0)
    with pytest.raises(ValueError, match="across the end"):
        row.path(0.0, 100.0)
    with pytest.raises(ValueError, match="across the end"):
        KeyRow(line_mm=0.0, centres_mm=(95.0,), radius_mm=8.0).path(0.0, 100.0)


@pytest.mark.parametrize("thickness", [4.0, 6.0, 9.0, 18.0])
def test_bit_runs_in_every_hollow_and_neck_is_narrower_than_head(thickness: float) -> None:
    part = replace(plain_panel(), thickness_mm=thickness)
    rule = JointRule(kind=JointKind.KEYED, key_bit_mm=6.0, key_clearance_mm=0.2)
    split = split_part(replace(part, joint=rule), (1500.0,))
    for piece in split.pieces:
        arcs = [c for c in piece.net.outline.curves if isinstance(c, Arc)]
        hollow = [a for a in arcs if a.sweep_deg < 0.0]
        assert len(arcs) > len(hollow) > 0
        assert min(a.radius_mm for a in hollow) >= 3.0
    row = KeyRow(line_mm=0.0, centres_mm=(0.0,), radius_mm=key_radius_mm(thickness, 6.0))
    points = [p for curve in row.path(-99.0, 99.0) for p in flatten(curve, 0.001)]
    neck = 2.0 * min(abs(y) for x, y in points if 0.2 < x / row.depth_mm < 0.8)
    assert thickness < neck < 1.6 * row.radius_mm


def test_clearance_is_a_slit_of_that_width() -> None:
    part = replace(plain_panel(), joint=JointRule(kind=JointKind.KEYED, key_clearance_mm=0.3))
    first, second = (to_polygon(p.net) for p in split_part(part, (1500.0,)).pieces[:2])
    assert first.distance(second) == pytest.approx(0.3, abs=0.01)
    assert first.intersection(second).area == 0.0


def test_pieces_lock_in_the_plane() -> None:
    """Drawn apart by 2 mm the heads run into the sockets."""
    part = replace(plain_panel(), joint=JointRule(kind=JointKind.KEYED))
    first, second = (to_polygon(p.net) for p in split_part(part, (1500.0,)).pieces[:2])
    drawn = Polygon([(x - 2.0, y) for x, y in first.exterior.coords])
    assert drawn.intersection(second).area > 1.0


def test_keys_keep_clear_of_holes_and_edges() -> None:
    plate = box(0.0, 0.0, 500.0, 300.0).difference(box(240.0, 100.0, 260.0, 200.0))
    assert isinstance(plate, Polygon)
    row = place_keys(plate, 230.0, 8.0)
    assert row.centres_mm
    heads = unary_union(
        [box(230.0, y - 14.0, 230.0 + row.depth_mm, y + 14.0) for y in row.centres_mm]
    )
    assert plate.covers(heads.buffer(3.9))
    assert stretches(plate, 250.0) == ((0.0, 100.0), (200.0, 300.0))


def test_narrow_part_has_no_room_for_a_key() -> None:
    part = replace(
        plain_panel(width_mm=30.0), joint=JointRule(kind=JointKind.KEYED, key_bit_mm=12.0)
    )
    split = split_part(part, (1500.0,))
    assert [f.code for f in split.findings] == ["JNT-104"]
    assert split.pieces == ()


def test_keyed_curved_panel_tiles_through_its_slope() -> None:
    part = replace(curved_panel(), joint=JointRule(kind=JointKind.KEYED, key_clearance_mm=0.0))
    nets = [to_polygon(p.net) for p in split_part(part, (1200.0, 4100.0)).pieces[:3]]
    assert unary_union(nets).symmetric_difference(to_polygon(part.shape)).area < 1e-6
    assert nets[0].intersection(nets[1]).area < 1e-6
