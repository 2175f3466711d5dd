"""Slats over outlines: lengths in closed form, ends along the outline, openings, clearance."""

from __future__ import annotations

import dataclasses
import itertools
import math

import pytest
from shapely import affinity
from shapely.geometry import Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.slats import Edges, Ends, Middle, SlatRule, lay_slats
from tests.unit.shapes.tables.readings import entry, entry_faults


def polygon(geometry: BaseGeometry) -> Polygon:
    assert isinstance(geometry, Polygon)
    return geometry


def test_rectangle_is_filled_evenly() -> None:
    """Seven slats of 90 with gaps of 10 fill 690 mm, each as long as the floor less clearance."""
    slats = lay_slats(
        box(0, 0, 1500, 690),
        SlatRule(width_mm=90, gap_mm=10, middle=Middle.EDGE),
    )

    assert [s.lower_mm for s in slats] == pytest.approx([100.0 * k for k in range(7)])
    assert {round(s.length_mm, 6) for s in slats} == {1500.0}
    assert {s.end_angles_deg for s in slats} == {(90.0, 90.0)}


def test_trapezoid_gives_slanted_ends() -> None:
    """A floor that narrows evenly: end cuts lie in its sides, lengths follow similar triangles."""
    floor = Polygon([(0, 0), (2000, 0), (1700, 600), (100, 600)])
    slats = lay_slats(floor, SlatRule(width_mm=100, gap_mm=0, middle=Middle.EDGE))
    left, right = math.degrees(math.atan2(600, 100)), math.degrees(math.atan2(600, 300))

    assert len(slats) == 6
    for k, slat in enumerate(slats):
        assert slat.length_mm == pytest.approx(2000.0 - 400.0 * k / 6.0)
        assert slat.end_angles_deg == pytest.approx((left, right))
        assert floor.buffer(1e-6).covers(slat.polygon)


def test_square_ends_are_shorter() -> None:
    """Square ends stop where the narrower edge does."""
    floor = Polygon([(0, 0), (2000, 0), (1700, 600), (100, 600)])
    rule = SlatRule(width_mm=100, middle=Middle.EDGE, ends=Ends.SQUARE)

    assert lay_slats(floor, rule)[0].length_mm == pytest.approx(2000.0 - 400.0 / 6.0)


@pytest.mark.parametrize("ends", list(Ends))
@pytest.mark.parametrize("direction", [0.0, 25.0, 90.0])
def test_slats_stay_inside_a_round_floor(ends: Ends, direction: float) -> None:
    """Whatever the direction, every slat keeps the clearance from the outline and openings."""
    floor = polygon(Point(0, 0).buffer(700, quad_segs=64).difference(box(-400, -40, 300, 40)))
    rule = SlatRule(
        width_mm=90, gap_mm=8, direction_deg=direction, clearance_mm=5, ends=ends, least_mm=60
    )
    slats = lay_slats(floor, rule)
    turned = polygon(affinity.rotate(floor, -direction, origin=(0, 0)))

    assert len(slats) > 12
    for slat in slats:
        assert turned.exterior.distance(slat.polygon) > 5 - 1e-3
        assert all(r.distance(slat.polygon) > 5 - 1e-3 for r in turned.interiors)
        assert turned.covers(slat.polygon)
        assert slat.length_mm >= 60


def test_slats_do_not_overlap_and_keep_their_gap() -> None:
    """Neighbours lie the gap apart."""
    slats = lay_slats(Point(0, 0).buffer(500), SlatRule(width_mm=95, gap_mm=12, middle=Middle.GAP))
    lowers = sorted({round(s.lower_mm, 6) for s in slats})

    assert [b - a for a, b in itertools.pairwise(lowers)] == pytest.approx(
        [107.0] * (len(lowers) - 1)
    )
    assert 6.0 in lowers


def test_opening_divides_slats() -> None:
    """A centreboard case in the middle of the floor leaves two short slats on each side of it."""
    floor = polygon(box(0, -300, 2000, 300).difference(box(700, -30, 1500, 30)))
    slats = lay_slats(floor, SlatRule(width_mm=80, gap_mm=20))
    middle = [s for s in slats if s.lower_mm == -40.0]

    assert [s.length_mm for s in middle] == pytest.approx([700.0, 500.0])


def test_curved_ends_are_cut_along_the_chord() -> None:
    """On a circle the cut is the chord between the slat's corners, which lie on the circle."""
    floor = Point(0, 0).buffer(1000, quad_segs=512)
    slat = next(
        s
        for s in lay_slats(floor, SlatRule(width_mm=100, middle=Middle.EDGE))
        if s.lower_mm == 300.0
    )

    assert [math.hypot(*c) for c in slat.corners] == pytest.approx([1000.0] * 4, abs=0.05)


def test_no_room_is_said() -> None:
    """A slat wider than the floor."""
    with pytest.raises(ShapeFaultError, match="SHP-143"):
        lay_slats(box(0, 0, 1000, 80), SlatRule(width_mm=90))


def test_slats_are_divided_evenly_unless_said() -> None:
    """As much is left at both edges, and no more slats than fit: 5 x 60 + 4 x 10 = 340 of 400."""
    floor = box(0.0, 0.0, 1000.0, 400.0)
    even = lay_slats(floor, SlatRule(width_mm=60.0, gap_mm=10.0, middle=Middle.EVEN))

    assert [s.lower_mm for s in even] == pytest.approx([30.0, 100.0, 170.0, 240.0, 310.0])


def test_slats_over_an_outline_that_is_not_cut() -> None:
    """A trapezoid that is no part: its slats are there, with slanted ends, and nothing else."""
    text = (
        'name = "slat"\nsection = [20, 60]\ngap = 12\ndirection = 90\n'
        'shape = { kind = "trapezoid", bottom = 960, top = 860, height = 700 }\n'
    )
    parts = entry("slats", text)

    assert not parts.sheet_parts
    assert sum(r.count for r in parts.rail_parts) == 13
    assert max(r.length_mm for r in parts.rail_parts) == pytest.approx(700.0)
    assert min(r.length_mm for r in parts.rail_parts) < 690.0
    [laid] = parts.laid
    assert laid.bare is not None
    assert laid.over == ""


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ('over = "a"\nshape = { kind = "circle", diameter = 600 }', "both are given"),
        ('shape = { kind = "circle" }', "diameter"),
        ("", "is missing"),
    ],
)
def test_slats_over_nothing_or_two_things_are_told(text: str, says: str) -> None:
    told = entry_faults("slats", f'name = "slat"\nsection = [20, 60]\n{text}')

    assert says in " ".join(told)


def test_slats_at_slanting_sides_are_trimmed_in_place() -> None:
    """A seat that narrows by 2 in a side: the outer slats are cut whole, the others as before."""
    inch = 25.4
    wide, long = 38.0 * inch, 28.0 * inch
    seat = Polygon([(0, 0), (long, 2 * inch), (long, wide - 2 * inch), (0, wide)])
    rule = SlatRule(width_mm=2.25 * inch, gap_mm=0.5 * inch, middle=Middle.EVEN)
    inner = lay_slats(seat, rule)
    every = lay_slats(seat, dataclasses.replace(rule, edges=Edges.TRIMMED))

    assert len(inner) == 12
    assert len(every) == 14
    assert [s.is_trimmed for s in every] == [True, *[False] * 12, True]
    assert every[1:-1] == inner
    for slat in (every[0], every[-1]):
        assert slat.length_mm == pytest.approx(long)
        assert slat.end_angles_deg == (90.0, 90.0)


def test_trimmed_slats_are_told_apart_in_the_list() -> None:
    text = (
        'name = "slat"\nsection = [20, 57]\ngap = 13\ndirection = 90\nedges = "trimmed"\n'
        'shape = { kind = "trapezoid", bottom = 967, top = 867, height = 700 }\n'
    )
    first, second = entry("slats", text).rail_parts

    assert (first.count, second.count) in {(12, 2), (2, 12)}
    trimmed = first if first.count == 2 else second
    assert "trim to the outline in place" in trimmed.note


@pytest.mark.parametrize(
    ("edges", "codes"),
    [
        ("", ["SHP-022", "SHP-168"]),
        ('edges = "left out"\n', ["SHP-022"]),
        ('edges = "trimmed"\n', ["SHP-022"]),
    ],
)
def test_slats_that_end_in_mid_seat_are_told_unless_said(edges: str, codes: list[str]) -> None:
    """A seat 38 in wide at its fore end and 34 in aft: the outer two would be 10 in short."""
    text = (
        f'name = "slat"\nsection = [19, 63.5]\ngap = 12.7\ndirection = 90\n{edges}'
        'shape = { kind = "trapezoid", bottom = 965.2, top = 863.6, height = 711.2 }\n'
    )
    found = entry("slats", text).findings
    assert [f.code for f in found] == codes
    assert all(dict(f.values)["count"] == 2 for f in found if f.code == "SHP-168")
