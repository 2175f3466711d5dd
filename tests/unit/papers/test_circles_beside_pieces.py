"""Numbered circles beside pieces too small for their number."""

from __future__ import annotations

import pytest
import shapely
from shapely.geometry import Polygon

from nestcut.papers.draw import place_balloon

HOLLOW = Polygon(
    (
        (12.703, -41.537), (12.703, -34.551), (12.282, -34.728), (11.858, -34.895),
        (11.430, -35.052), (10.998, -35.200), (10.563, -35.337), (10.125, -35.464),
        (9.684, -35.582), (9.241, -35.689), (8.795, -35.786), (8.347, -35.872),
        (7.897, -35.949), (7.897, -41.537),
    )
)  # fmt: skip
"""Its upper side runs on the chords of an arc.  Grown by 28.6 mm, GEOS leaves specks beside it."""


def test_specks_beside_a_grown_piece_stop_no_page() -> None:
    grown = shapely.get_parts(HOLLOW.buffer(28.6, quad_segs=4))
    if len(grown) == 1:
        pytest.skip("this GEOS leaves no specks")

    room = shapely.box(-60.0, -120.0, 100.0, 60.0)
    taken = [HOLLOW.buffer(12.0)]  # so that the circle must go far out
    balloon = place_balloon(HOLLOW, [], taken, room, 2.6)

    assert balloon is None  # its leader would cross what is taken
    found = place_balloon(HOLLOW, [], [], room, 2.6)
    assert found is not None
    assert shapely.Point(found.centre).distance(HOLLOW) > 2.6
