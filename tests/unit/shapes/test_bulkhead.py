"""Sections by half-breadths: areas, symmetry, limber holes, camber."""

from __future__ import annotations

import math

import pytest

from nestcut.geometry.rings import shape_area_mm2, true_bounds_mm
from nestcut.model.curves import Arc
from tests.unit.shapes.tables.readings import faults, shape

PLAIN = 'kind = "bulkhead"\nheights = [100, 300, 500]\nhalf_breadths = [400, 500, 550]\n'


def test_flat_bottom_area_is_the_sum_of_trapezoids() -> None:
    """Two trapezoids, both sides."""
    assert shape_area_mm2(shape(PLAIN)) == pytest.approx(2 * (200 * 450 + 200 * 525))


def test_vee_bottom_adds_a_triangle() -> None:
    """A keel below the lowest reading adds a triangle as wide as the bottom."""
    part = shape(PLAIN + "keel_height = 40")

    assert shape_area_mm2(part) == pytest.approx(390000 + 400 * 60)
    assert true_bounds_mm(part.outline) == pytest.approx((-550, 40, 550, 500))


def test_limber_holes_are_sectors_about_their_corners() -> None:
    """Each limber hole takes the sector of its corner's inner angle."""
    part = shape(
        PLAIN
        + "keel_height = 40\nlimber_at = [100]\nlimber_diameter = 40\nkeel_limber_diameter = 50"
    )
    rise, lean = math.atan2(60, 400), math.atan2(100, 200)
    chine = math.pi / 2 + rise + lean
    keel = math.pi - 2 * rise
    lost = 2 * chine / 2 * 20**2 + keel / 2 * 25**2

    assert shape_area_mm2(part) == pytest.approx(390000 + 24000 - lost)
    assert sum(isinstance(c, Arc) for c in part.outline.curves) == 3


def test_keel_limber_in_a_flat_bottom_is_half_a_circle() -> None:
    """A bite in the middle of a straight edge."""
    part = shape(PLAIN + "keel_limber_diameter = 50")

    assert shape_area_mm2(part) == pytest.approx(390000 - math.pi * 25**2 / 2)


def test_camber_is_a_circular_segment() -> None:
    """Area under the crowned top: the published segment formula r^2 (a - sin a) / 2."""
    part = shape(PLAIN + "camber = 50")
    radius = 550**2 / 100 + 25
    angle = 2 * math.asin(550 / radius)

    assert shape_area_mm2(part) == pytest.approx(390000 + radius**2 / 2 * (angle - math.sin(angle)))


def test_fair_side_is_mirrored() -> None:
    """A fair section is the same on both sides of x = 0."""
    part = shape(
        'kind = "bulkhead"\ncurve = "batten"\nheights = [0, 50, 150, 300, 450]\n'
        "half_breadths = [0, 150, 260, 340, 360]"
    )
    half = {(round(x, 6), round(y, 6)) for x, y in part.outline.points}

    assert half == {(0.0 - x if x else x, y) for x, y in half}


def test_hatch_hole_is_placed_by_heights() -> None:
    """A hole's centre may be given in the section's own frame."""
    part = shape(
        PLAIN + 'holes = [{ form = "rectangle", length = 200, width = 100, centre = [0, 320] }]'
    )

    assert true_bounds_mm(part.holes[0]) == pytest.approx((-100, 270, 100, 370))


def test_readings_must_match() -> None:
    """One half-breadth a height, heights rising, keel at the bottom."""
    assert (
        "2 half-breadths for 3 heights"
        in faults('kind = "bulkhead"\nheights = [1, 2, 3]\nhalf_breadths = [1, 2]')[0]
    )
    assert (
        "don't rise"
        in faults('kind = "bulkhead"\nheights = [1, 3, 2]\nhalf_breadths = [10, 20, 30]')[0]
    )
    assert "keel lies above" in faults(PLAIN + "keel_height = 140")[0]
