"""Fewer corners, always on the safe side and never farther out than stated."""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import Point, Polygon

from nestcut.geometry.offset import grown
from nestcut.geometry.simplify import covering, inside


def outline(seed: int) -> Polygon:
    rng = np.random.default_rng(seed)
    corners = int(rng.integers(4, 90))
    turns = np.sort(rng.uniform(0.0, 2.0 * math.pi, corners))
    smooth = 200.0 * (1.0 + 0.3 * np.sin(3.0 * turns))
    radii = rng.uniform(40.0, 300.0, corners) if seed % 2 else smooth
    return Polygon(np.c_[3.0 * radii * np.cos(turns), radii * np.sin(turns)])


@pytest.mark.parametrize("seed", range(40))
def test_coverings_cover_stay_near_and_keep_the_box(seed: int) -> None:
    polygon = outline(seed)
    if not polygon.is_valid:
        pytest.skip("the random outline crosses itself")
    rounded = grown(polygon, 2.5)

    result = covering(rounded, 0.3)

    assert result.buffer(1e-6).covers(rounded)
    assert rounded.buffer(0.3 + 1e-6, quad_segs=64).covers(result)
    assert result.bounds == pytest.approx(rounded.bounds, abs=1e-9)
    assert len(result.exterior.coords) < 0.6 * len(rounded.exterior.coords)


@pytest.mark.parametrize("seed", range(20))
def test_inner_outlines_lie_inside_and_near(seed: int) -> None:
    polygon = outline(seed)
    if not polygon.is_valid:
        pytest.skip("the random outline crosses itself")

    result = inside(polygon, 0.3)

    assert polygon.buffer(1e-6).covers(result)
    assert result.buffer(0.3 + 1e-6, quad_segs=64).covers(polygon)


def test_free_corners_go_and_needed_ones_stay() -> None:
    square = Polygon([(0, 0), (5, 0), (10, 0), (10, 10), (0, 10)])

    assert len(covering(square, 0.1, enough=4).exterior.coords) == 5
    assert covering(square, 0.1, enough=4).equals(square)


def test_holes_are_simplified_inward() -> None:
    hole = shapely.Point(50, 50).buffer(30, quad_segs=32)
    plate = Polygon(shapely.box(0, 0, 100, 100).exterior, [hole.exterior])

    result = covering(plate, 0.3)

    assert result.buffer(1e-9).covers(plate)
    assert len(result.interiors[0].coords) < 60


def test_outlines_with_holes_are_left_alone_by_inside() -> None:
    plate = Polygon(shapely.box(0, 0, 9, 9).exterior, [shapely.box(3, 3, 6, 6).exterior])
    assert inside(plate, 1.0) is plate


def test_a_fine_circle_keeps_a_quarter_of_its_corners() -> None:
    """256 corners on a circle of 100 mm radius: half a millimetre saves three quarters of them."""
    circle = Point(0, 0).buffer(100.0, quad_segs=64)
    wide = covering(circle, 0.5)

    assert wide.buffer(1e-9).covers(circle)
    assert len(wide.exterior.coords) - 1 <= 256 // 4
    assert wide.area < circle.area * 1.01
