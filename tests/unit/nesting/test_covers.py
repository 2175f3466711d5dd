"""Convex covers of outlines with very many corners."""

import numpy as np
import pytest
import shapely
import shapely.affinity
from shapely.geometry import Point, Polygon

from nestcut.geometry.offset import polygons_of
from nestcut.nesting.problem import Budget, Item, Turns
from nestcut.nesting.separating import convex
from nestcut.nesting.separating.convex import convex_cover
from nestcut.nesting.strips.strip import pack_strip, widening
from nestcut.tolerances.noise import MISSING_AREA
from tests.unit.nesting.layouts import box

COVERED = 1e-9
"""Area by which a cover may differ from its polygon, as a share. [-]"""


def notched_plate(notches: int, chords: int) -> Polygon:
    """A rounded plate, 1800 x 700, with round notches along its edge."""
    middle = shapely.box(100.0, 100.0, 1700.0, 600.0)
    plate = polygons_of(middle.buffer(100.0, quad_segs=chords))[0]
    for k in range(notches):
        at = plate.exterior.interpolate((k + 0.5) / notches, normalized=True)
        notch = Point(at.x, at.y).buffer(25.0, quad_segs=chords)
        plate = polygons_of(plate.difference(notch))[0]
    return plate


def is_convex(ring: np.ndarray) -> bool:
    a = np.roll(ring, -1, axis=0) - ring
    b = np.roll(a, -1, axis=0)
    return bool((a[:, 0] * b[:, 1] - a[:, 1] * b[:, 0] > -1e-9).all())


def test_a_plate_with_a_thousand_corners_is_covered_exactly(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """All of it and nothing else, and the work doesn't grow as the square of the corners."""
    plate = notched_plate(16, 32)
    assert len(plate.exterior.coords) > 1000
    tried = 0
    hulls = convex._hulls

    def counted(pairs: np.ndarray) -> np.ndarray:
        nonlocal tried
        tried += len(pairs)
        return hulls(pairs)

    monkeypatch.setattr(convex, "_hulls", counted)
    parts = convex_cover(plate)

    assert all(is_convex(p) for p in parts)
    together = shapely.union_all([Polygon(p) for p in parts])
    assert together.symmetric_difference(plate).area <= COVERED * plate.area
    assert tried <= 2 * convex.MOST_HULLS


def test_no_corner_that_a_part_may_take_in_is_out_of_its_sight() -> None:
    """What is left out by points alone has a hull that leaves the plate."""
    plate = notched_plate(8, 12)
    limit = plate.buffer(1e-6)
    shapely.prepare(limit)
    corners = np.asarray(shapely.points(shapely.get_coordinates(plate)))
    parts = [t for t in shapely.constrained_delaunay_triangles(plate).geoms if t.area > 0.0]
    seen = 0
    for part in parts:
        in_sight = convex._in_sight(part, corners, limit)
        hulls = convex._hulls(np.column_stack(([part] * len(corners), corners)))
        own = corners[shapely.covers(limit, hulls)]
        assert set(shapely.to_wkb(own)) <= set(shapely.to_wkb(in_sight))
        seen += len(in_sight)
    assert seen < 0.9 * len(parts) * len(corners)


def test_few_parts_of_a_cover_are_united_to_see_whether_one_is_needed(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Points that a part alone takes in tell it: uniting was most of the work for keyed edges."""
    united = 0
    union_all = shapely.union_all

    def counted(shapes: list[Polygon]) -> object:
        nonlocal united
        united += 1
        return union_all(shapes)

    monkeypatch.setattr(shapely, "union_all", counted)
    parts = convex_cover(notched_plate(12, 12))
    assert len(parts) > 50
    assert united < len(parts) / 2


def test_no_part_of_a_cover_is_needless() -> None:
    """Leaving any one out leaves something uncovered."""
    plate = notched_plate(4, 4)
    parts = [Polygon(p) for p in convex_cover(plate)]
    for k in range(len(parts)):
        rest = shapely.union_all(parts[:k] + parts[k + 1 :])
        assert plate.difference(rest).area > MISSING_AREA * plate.area


def test_intricate_plates_are_searched_wide_and_lie_clear_of_each_other() -> None:
    """Hundreds of hollow corners: the length told is that of the true outlines."""
    plate = shapely.get_coordinates(shapely.orient_polygons(notched_plate(9, 24)))[:-1]
    items = tuple(
        Item(id=f"plate {k}", outline=plate, turns=Turns(centres_deg=(0.0, 180.0)))
        for k in range(2)
    )
    assert widening(items) > 0.0

    nest = pack_strip(items, 750.0, Budget(passes=10))

    assert sorted(p.item for p in nest.placements) == ["plate 0", "plate 1"]
    placed = [shapely.affinity.rotate(Polygon(plate), p.turn_deg, (0, 0)) for p in nest.placements]
    placed = [
        shapely.affinity.translate(q, *p.shift_mm)
        for q, p in zip(placed, nest.placements, strict=True)
    ]
    assert placed[0].intersection(placed[1]).area <= COVERED * Polygon(plate).area
    assert nest.length == pytest.approx(shapely.union_all(placed).bounds[2])


def test_plain_shapes_are_never_widened() -> None:
    assert widening((Item(id="box", outline=box(3.0, 2.0)),)) == 0.0
