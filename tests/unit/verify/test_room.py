"""Room for a box among areas: found where there is some to spare, never where there is none."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.verify.stock.room import Lines, Room

SHEET = (0.0, 0.0, 2440.0, 1220.0)
SIDES = (150.0, 300.0)


def room(*areas: BaseGeometry) -> Room:
    return Room(SHEET, Lines.of(areas))


@pytest.mark.parametrize("at", [(700.0, 400.0), (0.0, 0.0), (2289.0, 919.0), (333.3, 777.7)])
@pytest.mark.parametrize("turn_deg", [0.0, 7.0])
def test_a_hole_that_is_larger_by_a_millimetre_is_found(
    at: tuple[float, float], turn_deg: float
) -> None:
    """All of the sheet is taken but for a hole, at an edge or not, its walls upright or leaning."""
    for more, is_room in ((1.0, True), (-0.1, False)):
        hole: BaseGeometry = box(at[0], at[1], at[0] + SIDES[0] + more, at[1] + SIDES[1] + more)
        if turn_deg:  # leaning walls that meet the hole's corners alone
            turned = affinity.rotate(hole, turn_deg)
            hole = hole.union(turned) if is_room else hole.intersection(turned)
        taken = box(-9.0, -9.0, 2449.0, 1229.0).difference(hole)
        assert (room(taken).place_for(*SIDES) is not None) == is_room


def test_what_is_found_is_free() -> None:
    luck = np.random.default_rng(20)
    found = 0
    for _ in range(60):
        corners = luck.uniform((0.0, 0.0), (2440.0, 1220.0), size=(90, 2))
        areas = [
            affinity.rotate(box(x, y, x + w, y + h), turn)
            for (x, y), w, h, turn in zip(
                corners,
                luck.uniform(50.0, 700.0, 90),
                luck.uniform(50.0, 400.0, 90),
                luck.uniform(0.0, 90.0, 90),
                strict=True,
            )
        ]
        place = room(*areas).place_for(*SIDES)
        if place is not None:
            found += 1
            assert place[2] - place[0] >= SIDES[0]
            assert place[3] - place[1] >= SIDES[1]
            assert place[0] >= -1e-9
            assert place[2] <= 2440.0 + 1e-9
            assert not any(a.intersection(box(*place)).area > 1e-6 for a in areas)
    assert 5 < found < 60


def test_areas_over_each_other_and_holes_in_them_are_taken_for_what_they_are() -> None:
    ring = Polygon(box(0, 0, 2440, 1220).exterior, [box(500, 300, 800, 800).exterior])
    assert room(ring).place_for(*SIDES) is not None
    assert room(ring, box(490, 290, 810, 810)).place_for(*SIDES) is None
    assert room(box(0, 0, 2440, 1220), box(10, 10, 2000, 1000)).place_for(*SIDES) is None


def test_a_box_that_is_larger_than_the_sheet_has_no_room() -> None:
    assert room(box(0, 0, 1, 1)).place_for(2441.0, 100.0) is None
    assert room(box(0, 0, 1, 1)).place_for(100.0, 1221.0) is None
