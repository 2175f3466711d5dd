"""Notches in curved edges: a sculling notch in a cambered transom."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from shapely import LineString, Polygon, affinity, box
from shapely.ops import unary_union

from nestcut.geometry.rings import shape_area_mm2
from nestcut.model.curves import Arc
from nestcut.shapes.hull.spaceline import SpaceLine, through
from nestcut.shapes.known import Known
from tests.unit.shapes.tables.readings import entry, faults, shape

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


def _line(breadth: float, height: float) -> SpaceLine:
    return through(np.array([[x, breadth, height] for x in (0.0, 1000.0, 2000.0)]))


HULL = Known(
    lines={"keel": _line(0.0, 0.0), "chine": _line(450.0, 120.0), "sheer": _line(600.0, 500.0)}
)
FRAME = 'kind = "frame"\nat = 1000\nlines = ["keel", "chine", "sheer"]\nplanking = 0\n'
SIDE = math.hypot(150.0, 380.0)
UP = (150.0 / SIDE, 380.0 / SIDE)
"""Along the side, from chine to sheer."""


def _beside(corner: tuple[float, float], along: float, deep: float) -> tuple[float, float]:
    """A point by the side: so far up along it from a corner, and so deep into the frame."""
    return (
        corner[0] + along * UP[0] - deep * UP[1],
        corner[1] + along * UP[1] + deep * UP[0],
    )


@pytest.mark.parametrize("inside", ["", "width = 75\n", "camber = 40\n"])
def test_an_inwale_and_a_chine_log_are_let_in_without_a_horn(inside: str) -> None:
    """What is as deep as the batten goes from its shoulder to the corner and beyond, both hands."""
    cut = shape(
        FRAME
        + inside
        + 'notches = [{ line = "sheer", width = 19, depth = 19 },'
        + '{ line = "chine", width = 38, depth = 19 }]',
        HULL,
    )
    camber = "camber" in inside  # its arc is flattened by less than 0.05 mm
    plain = Polygon(shape(FRAME + inside, HULL).outline.points)
    left = Polygon(cut.outline.points)
    sheer, chine = (600.0, 500.0), (450.0, 120.0)
    rails = [
        Polygon([_beside(sheer, a, d) for a, d in ((-19, 0), (50, 0), (50, 19), (-19, 19))]),
        Polygon([_beside(chine, a, d) for a, d in ((38, 0), (38, 19), (-60, 19), (-60, 0))]),
    ]
    both = unary_union([*rails, *(affinity.scale(r, -1.0, origin=(0.0, 0.0)) for r in rails)])

    assert left.symmetric_difference(plain.difference(both)).area < (50.0 if camber else 0.5)
    assert len(left.interiors) == 0


def test_a_log_may_lie_against_the_bottom_and_a_keelson_sits_on_the_keel() -> None:
    cut = shape(
        FRAME
        + 'notches = [{ line = "chine", against = "below", width = 38, depth = 19 },'
        + '{ line = "keel", width = 90, depth = 18 }]',
        HULL,
    )
    slope = math.hypot(450.0, 120.0)
    shoulder = (450.0 - 38.0 * 450.0 / slope, 120.0 - 38.0 * 120.0 / slope)

    assert min(math.dist(p, shoulder) for p in cut.outline.points) < 1e-6
    assert min(math.dist(p, (-shoulder[0], shoulder[1])) for p in cut.outline.points) < 1e-6
    assert min(math.dist(p, (45.0, 12.0 + 18.0)) for p in cut.outline.points) < 1e-6


def test_a_log_lies_against_the_side_of_a_frame_that_ends_below_the_sheer_too() -> None:
    """A bulkhead that carries a seat: its uppermost line is the chine, and the side goes on."""
    low = FRAME + "top = 300\n"
    cut = shape(low + 'notches = [{ line = "chine", width = 38, depth = 19 }]', HULL)
    shoulder = _beside((450.0, 120.0), 38.0, 0.0)
    inner = _beside((450.0, 120.0), 38.0, 19.0)

    for point in (shoulder, inner):
        assert min(math.dist(p, point) for p in cut.outline.points) < 1e-6
    [told] = faults(low + 'notches = [{ line = "sheer", width = 19 }]', HULL)
    assert "Choose from: keel, chine." in told or "none of the lines" in told


def test_a_notch_that_ends_where_its_edge_does_is_open_there() -> None:
    """Square corner: the same as a rectangle taken out of it."""
    text = 'kind = "rectangle"\nlength = 400\nwidth = 100\n'
    cut = shape(text + 'notches = [{ edge = "right", width = 20, depth = 30, from_far_end = 10 }]')
    there = Polygon([(0, 0), (400, 0), (400, 80), (370, 80), (370, 100), (0, 100)])

    assert Polygon(cut.outline.points).symmetric_difference(there).area < 1e-6


@pytest.mark.parametrize(
    ("notches", "says"),
    [
        ('{ line = "sheers", width = 19 }', "none of the lines that this section passes"),
        ('{ line = "sheer", width = 19, at = 5 }', "takes no at"),
        ('{ line = "sheer", width = 900, depth = 9 }', "no room"),
        ('{ line = "sheer", width = 19 }, { line = "sheer", width = 30 }', "no room"),
        ("{ width = 19 }", "is missing"),
    ],
)
def test_what_is_wrong_at_a_corner_is_told_at_its_notch(notches: str, says: str) -> None:
    [told] = faults(f"{FRAME}notches = [{notches}]", HULL)

    assert told.startswith("part[1].shape.notches[")
    assert says in told


def test_only_sections_have_corners_at_lines() -> None:
    [told] = faults(V_FRAME + 'notches = [{ line = "sheer", width = 19 }]')

    assert "only frames and transoms" in told


def test_frames_at_several_stations_are_notched_alike() -> None:
    text = 'name = "frame"\nat = [500, 1500]\nthickness = 12\n' + FRAME.partition("at = 1000")[2]
    cut = 'notches = [{ line = "sheer", width = 19 }]\nholes = [{ diameter = 150 }]'
    parts = entry("frames", text + cut, HULL).sheet_parts

    assert len(parts) == 2
    for part in parts:
        assert len(part.shape.holes) == 1
        assert len(part.shape.outline.curves) == 9


@pytest.mark.parametrize("camber", [0.0, 40.0])
def test_a_ring_frame_has_its_own_width_along_every_strake(camber: float) -> None:
    """Floor 100, sides 75, a beam of 60 under the top: distances of the hole from the edges."""
    ring = shape(FRAME + f"width = [100, 75]\nbeam = 60\ncamber = {camber}\n", HULL)
    [hole] = ring.holes
    inside = Polygon(hole.points)
    bottom = LineString([(0.0, 0.0), (450.0, 120.0)])
    side = LineString([(450.0, 120.0), (600.0, 500.0)])

    assert inside.distance(bottom) == pytest.approx(100.0, abs=1e-6)
    assert inside.distance(side) == pytest.approx(75.0, abs=1e-6)
    assert inside.bounds[3] == pytest.approx(500.0 + camber - 60.0, abs=0.1)
    arcs = [c.radius_mm for c in hole.curves if isinstance(c, Arc)]
    assert arcs == ([] if camber == 0.0 else [pytest.approx(600**2 / 80.0 + 20.0 - 60.0)])
    across = inside.intersection(box(-1.0, 0.0, 1.0, 600.0)).bounds
    assert across[3] == pytest.approx(500.0 + camber - 60.0, abs=0.1)


def test_an_open_frame_has_its_own_width_along_every_strake() -> None:
    ring = Polygon(shape(FRAME + "width = [100, 75]\n", HULL).outline.points)
    middle = ring.intersection(box(-0.01, -10.0, 0.01, 600.0)).bounds
    upright = 100.0 / math.cos(math.atan2(120.0, 450.0))

    assert middle[3] == pytest.approx(upright, abs=0.01)
    across = ring.intersection(box(0.0, 399.99, 700.0, 400.01)).bounds
    assert across[2] - across[0] == pytest.approx(75.0 * SIDE / 380.0, abs=0.05)


@pytest.mark.parametrize(
    ("ring", "says"),
    [
        ("beam = 30", "belongs to a ring frame"),
        ("width = [1, 2, 3]", "3 widths for 2 strakes"),
        ("width = 700", "as wide as the hull"),
        ("width = [100, 75]\nbeam = 400", "as wide as the hull"),
        ("width = [0]", "above 0"),
    ],
)
def test_rings_that_cannot_be_are_told(ring: str, says: str) -> None:
    [told] = faults(FRAME + ring, HULL)

    assert says in told
