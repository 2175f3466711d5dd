"""Notches in curved edges: a sculling notch in a cambered transom."""

from __future__ import annotations

import math

import pytest

from nestcut.geometry.rings import shape_area_mm2
from nestcut.model.curves import Arc
from tests.unit.shapes.readings import faults, shape

TRANSOM = 'kind = "bulkhead"\nheights = [0, 400]\nhalf_breadths = [400, 500]\ncamber = 50\n'


def test_a_notch_in_a_cambered_edge_keeps_its_size() -> None:
    """80 wide, 60 deep below its own ends, half round at the bottom; true arcs on both sides."""
    notch = 'notches = [{ edge = "top", width = 80, depth = 60, radius = 40 }]'
    whole, cut = shape(TRANSOM), shape(TRANSOM + notch)
    radius = 500**2 / 100 + 25
    ends = 450 - (radius - math.sqrt(radius**2 - 40**2))
    segment = radius**2 * math.asin(40 / radius) - 40 * math.sqrt(radius**2 - 40**2)
    lost = 80 * 20 + math.pi * 40**2 / 2 + segment
    low = min(y for x, y in cut.outline.points if abs(x) < 5.0 and y > 100.0)

    assert low == pytest.approx(ends - 60.0, abs=0.05)
    assert shape_area_mm2(whole) - shape_area_mm2(cut) == pytest.approx(lost, rel=1e-4)
    assert sum(isinstance(c, Arc) for c in cut.outline.curves) == 4


def test_a_notch_off_the_middle_stands_square_to_the_edge() -> None:
    notch = 'notches = [{ edge = "top", width = 60, depth = 30, off_middle = 200 }]'
    whole, cut = shape(TRANSOM), shape(TRANSOM + notch)

    assert shape_area_mm2(whole) - shape_area_mm2(cut) == pytest.approx(60 * 30, rel=0.02)


def test_a_notch_past_the_end_of_a_curve_is_refused() -> None:
    [told] = faults(TRANSOM + 'notches = [{ edge = "top", width = 60, at = 10 }]')
    assert "reaches past the top edge" in told
