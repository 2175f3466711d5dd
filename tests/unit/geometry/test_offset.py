"""Growing is never short, shrinking never too little, whatever the outline."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from nestcut.geometry.offset import chord_factor, grown, grown_box, polygons_of, shrunk, widened


def star(seed: int, corners: int) -> Polygon:
    rng = np.random.default_rng(seed)
    turns = np.sort(rng.uniform(0.0, 2.0 * math.pi, corners))
    radii = rng.uniform(40.0, 300.0, corners)
    return Polygon(np.c_[3.0 * radii * np.cos(turns), radii * np.sin(turns)])


@pytest.mark.parametrize("seed", range(40))
def test_grown_outlines_keep_at_least_the_distance_and_not_much_more(seed: int) -> None:
    polygon = star(seed, 5 + 3 * seed)
    if not polygon.is_valid:
        pytest.skip("the random star crosses itself")

    result = grown(polygon, 2.5)

    assert polygon.boundary.distance(result.boundary) >= 2.5 - 1e-6
    reach = 2.5 * chord_factor() + 0.01 * 2.5 + 1e-9
    assert polygon.buffer(reach * chord_factor(), quad_segs=64).covers(result)
    assert result.bounds == pytest.approx(grown_box(polygon, 2.5).bounds, abs=1e-6), (
        "the box is wider by exactly the distance"
    )


def test_plain_buffering_would_be_short_where_ours_is_not() -> None:
    polygon = star(7, 30)

    plain = polygon.buffer(3.0, quad_segs=8)

    assert polygon.boundary.distance(plain.boundary) < 3.0 - 1e-3
    assert polygon.boundary.distance(grown(polygon, 3.0).boundary) >= 3.0 - 1e-6


def test_growing_by_nothing_changes_nothing() -> None:
    polygon = star(1, 9)
    assert grown(polygon, 0.0) is polygon
    assert shrunk(polygon, 0.0) == (polygon,)
    assert widened(polygon, 0.0) is polygon


def test_holes_shrink_when_a_piece_grows() -> None:
    ring = Polygon(shapely.box(0, 0, 100, 100).exterior, [shapely.box(30, 30, 70, 70).exterior])

    hole = Polygon(grown(ring, 2.0).interiors[0])

    assert hole.bounds == pytest.approx((32.0, 32.0, 68.0, 68.0), abs=0.01)
    assert hole.bounds[0] >= 32.0


def test_shrunk_rectangles_are_exact() -> None:
    assert shrunk(shapely.box(0, 0, 100, 50), 5.0)[0].bounds == (5.0, 5.0, 95.0, 45.0)
    assert shrunk(shapely.box(0, 0, 100, 8), 5.0) == ()


def test_shrunk_hollow_outlines_give_up_at_least_the_distance() -> None:
    corner = Polygon([(0, 0), (100, 0), (100, 40), (40, 40), (40, 100), (0, 100)])

    inner = shrunk(corner, 5.0)[0]

    assert corner.boundary.distance(inner) >= 5.0 - 1e-9


@pytest.mark.parametrize("seed", range(10))
def test_what_is_grown_and_lies_in_the_widened_area_has_its_net_inside(seed: int) -> None:
    sheet = Polygon([(0, 0), (900, 0), (900, 300), (500, 350), (450, 700), (0, 700)])
    room = widened(sheet, 2.5)
    rng = np.random.default_rng(seed)
    tried = 0
    for _ in range(200):
        net = shapely.affinity.rotate(
            shapely.box(0, 0, 120, 60), float(rng.uniform(0, 360)), origin=(0, 0)
        )
        net = shapely.affinity.translate(net, *rng.uniform(0.0, 900.0, 2))
        if room.covers(grown(net, 2.5)):
            tried += 1
            assert sheet.buffer(1e-6).covers(net)
    assert tried > 5


def test_parts_come_largest_first_and_lines_are_dropped() -> None:
    mixed = shapely.GeometryCollection(
        [shapely.box(0, 0, 1, 1), shapely.LineString([(0, 0), (9, 9)]), shapely.box(3, 3, 6, 6)]
    )
    assert [p.area for p in polygons_of(mixed)] == [9.0, 1.0]
