"""Numbers and names round a small shape: two on one line are two, a space apart and more."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
import shapely

from nestcut.papers.draw import Ground, Note, Text, write_beside


@pytest.mark.parametrize("radius_mm", [2.5, 3.0, 6.0])
@pytest.mark.parametrize(
    ("count", "word", "apart_mm"), [(6, "", 0.9), (12, "", 0.9), (8, "J", 1.9)]
)
def test_two_writings_on_one_line_have_a_space_between_them(
    radius_mm: float, count: int, word: str, apart_mm: float
) -> None:
    spots = [
        (
            radius_mm * math.cos(2.0 * math.pi * k / count),
            radius_mm * math.sin(2.0 * math.pi * k / count),
        )
        for k in range(count)
    ]
    ground = Ground(shapely.LinearRing(spots), shapely.box(-30.0, -30.0, 30.0, 30.0), tuple(spots))
    items, missed = write_beside(
        [Note(f"{word}{k + 8}", spot, 3.2) for k, spot in enumerate(spots)], ground
    )

    boxes = [shapely.Polygon(i.box) for i in items if isinstance(i, Text)]
    assert not missed
    assert len(boxes) == count
    on_line = 0
    for a, b in combinations(boxes, 2):
        (ax0, ay0, ax1, ay1), (bx0, by0, bx1, by1) = a.bounds, b.bounds
        if min(ay1, by1) - max(ay0, by0) > 0.5:
            on_line += 1
            assert max(ax0, bx0) - min(ax1, bx1) > apart_mm
    assert on_line


def test_a_holes_number_stays_on_its_piece_though_there_is_room_nearer_beyond_its_edge() -> None:
    """Beyond it, it is taken for a point of the edge."""
    body, hole = shapely.box(0.0, 0.0, 60.0, 40.0), shapely.box(8.0, 0.8, 52.0, 32.0)
    spot = (30.0, 0.8)
    ink = shapely.union_all([body.exterior, hole.exterior])
    stood = []
    for within in (None, body):
        ground = Ground(ink, shapely.box(-20.0, -20.0, 80.0, 60.0))
        ground.texts.append(shapely.box(28.0, 2.6, 32.0, 5.0))
        items, missed = write_beside([Note("7", spot, 3.2, within=within)], ground)
        assert not missed
        (text,) = (i for i in items if isinstance(i, Text))
        stood.append(body.contains(shapely.Point(text.at)))
    assert stood == [False, True]
