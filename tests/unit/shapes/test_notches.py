"""Notches in curved edges: a sculling notch in a cambered transom."""

from __future__ import annotations

import itertools
import math

import pytest
from shapely import Polygon, box
from shapely.ops import unary_union

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


V_FRAME = 'kind = "bulkhead"\nheights = [0, 120, 500]\nhalf_breadths = [0, 450, 600]\n'


def test_a_notch_in_a_v_bottom_sits_at_the_keel() -> None:
    """A keelson 90 wide and 18 thick: its place stands upright across the centre line."""
    notch = 'notches = [{ edge = "bottom", width = 90, depth = 18 }]'
    cut = shape(V_FRAME + notch)
    rise = 45.0 * 120.0 / 450.0
    corners = sorted(
        (round(x, 3), round(y, 3)) for x, y in cut.outline.points if abs(abs(x) - 45.0) < 1e-6
    )

    assert corners == [(x, rise + deep) for x in (-45.0, 45.0) for deep in (0.0, 18.0)]
    assert not [p for p in cut.outline.points if abs(p[0]) < 44.9 and p[1] < rise + 17.9]


def test_a_notch_in_one_side_of_a_v_bottom_is_measured_from_its_left_end() -> None:
    notch = 'notches = [{ edge = "bottom", width = 40, depth = 20, at = 200 }]'
    cut = shape(V_FRAME + notch)
    new = [p for p in cut.outline.points if p[0] < 0.0 and 0.0 < p[1] < 119.0]
    share = 200.0 / math.hypot(450.0, 120.0)

    assert len(new) == 4
    assert sum(x for x, _ in new) / 4 == pytest.approx(-450.0 * (1.0 - share), abs=5.0)


def test_two_edges_alike_are_told_and_none_is_taken() -> None:
    """A W: two bottoms of one length with a step up between them."""
    step = "[200, 0], [200, 100], [300, 100], [300, 0]"
    points = f"points = [[0, 0], {step}, [500, 0], [500, 300], [0, 300]]"
    [told] = faults(f'kind = "polygon"\n{points}\n' + 'notches = [{ edge = "bottom", width = 20 }]')
    assert "two edges as long as each other face the bottom" in told


def test_an_outline_that_crosses_itself_is_told_where_without_a_librarys_words() -> None:
    [told] = faults('kind = "polygon"\npoints = [[0, 0], [200, 200], [200, 0], [0, 200]]')
    assert "crosses or touches itself at (100, 100) mm" in told


SLAB = 'kind = "rectangle"\nlength = 1000\nwidth = 250\n'
FOUR = (
    ('{ edge = "bottom", width = 50, depth = 25, at = 125 }', (100, 0, 150, 25)),
    ('{ edge = "bottom", width = 100, depth = 50 }', (450, 0, 550, 50)),
    ('{ edge = "bottom", width = 40, depth = 20, from_far_end = 80 }', (900, 0, 940, 20)),
    ('{ edge = "top", width = 60, depth = 30, at = 200 }', (170, 220, 230, 250)),
    ('{ edge = "top", width = 30, depth = 10, at = 700 }', (685, 240, 715, 250)),
)
"""Notches of one slab, and the rectangles that they take: left, low, right, high."""


@pytest.mark.parametrize("order", list(itertools.permutations(range(len(FOUR))))[::11])
def test_every_notch_is_measured_on_the_uncut_edge_in_any_order(order: tuple[int, ...]) -> None:
    """A first-time user's second notch lay six inches off, and the plan was proven so."""
    cut = shape(SLAB + f"notches = [{', '.join(FOUR[k][0] for k in order)}]")
    left = Polygon(cut.outline.points)
    want = box(0, 0, 1000, 250).difference(unary_union([box(*r) for _, r in FOUR]))

    assert left.symmetric_difference(want).area < 1e-6


def test_notches_that_run_into_each_other_are_told_with_the_notch() -> None:
    near = '{ edge = "bottom", width = 60, at = 300 }, { edge = "bottom", width = 60, at = 340 }'
    [told] = faults(SLAB + f"notches = [{near}]")
    assert told.startswith("part[1].shape.notches[1].at: this notch and another one of the bottom")


def test_a_notch_that_leaves_its_edge_is_the_one_that_is_named() -> None:
    far = '{ edge = "bottom", width = 60, at = 300 }, { edge = "bottom", width = 60, at = 990 }'
    [told] = faults(SLAB + f"notches = [{far}]")
    assert told.startswith("part[1].shape.notches[2].at: the notch reaches past the bottom edge")


LIMBERS = "limber_at = [120]\nlimber_diameter = 50\n"


def test_limber_holes_at_corners_move_no_notch_and_stay() -> None:
    """A log's notch 100 up the side lies there with and without the chine's limber."""
    notch = 'notches = [{ edge = "right", width = 40, depth = 20, at = 100 }]'
    plain, bitten = shape(V_FRAME + notch), shape(V_FRAME + LIMBERS + notch)
    hole = shape_area_mm2(shape(V_FRAME)) - shape_area_mm2(shape(V_FRAME + LIMBERS))

    assert shape_area_mm2(plain) - shape_area_mm2(bitten) == pytest.approx(hole, abs=1e-6)
    gone = Polygon(plain.outline.points).difference(Polygon(bitten.outline.points).buffer(1e-6))
    parts = [p for p in getattr(gone, "geoms", [gone]) if p.area > 1.0]
    assert sorted(round(abs(p.representative_point().x) / 450.0) for p in parts) == [1, 1]
    assert sum(isinstance(c, Arc) for c in bitten.outline.curves) == 2


def test_a_limber_hole_under_a_notch_is_told_and_never_lost_in_silence() -> None:
    notch = 'notches = [{ edge = "bottom", width = 90, depth = 18 }]'
    [told] = faults(V_FRAME + "keel_limber_diameter = 30\n" + notch)
    assert "a notch takes away the limber hole at (0, 0) mm" in told
