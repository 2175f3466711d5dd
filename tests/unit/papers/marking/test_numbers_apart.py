"""Numbers and names round a small shape: two on one line are two, a space apart and more."""

from __future__ import annotations

import math
from itertools import combinations

import pytest
import shapely

from nestcut.papers.draw import Ground, Note, Path, Text, text_width_mm, write_beside


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


@pytest.mark.parametrize("turned_deg", [0, 60, 180, 210, 240, 270, 330])
@pytest.mark.parametrize("step_mm", [1.2, 1.5, 1.8])
def test_a_number_without_a_leader_is_plainly_nearest_its_own_point(
    step_mm: float, turned_deg: int
) -> None:
    """Of points close together on a round end, 7 stood level with 8 and 8 with 7."""
    radius_mm = 12.0
    angles = [math.radians(turned_deg) + step_mm / radius_mm * k for k in (8, 4, 2, 1, 0)]
    spots = [(radius_mm * math.cos(a), radius_mm * math.sin(a)) for a in angles]
    ring = shapely.Point(0.0, 0.0).buffer(radius_mm).exterior
    ink = shapely.union_all([ring, shapely.LineString([(0.0, 0.0), spots[-1]])])
    ground = Ground(ink, shapely.box(-40.0, -40.0, 40.0, 40.0), tuple(spots))
    numbers = [Note(str(5 + k), spot, 3.2) for k, spot in enumerate(spots)]
    items, missed = write_beside([Note("CL", spots[-1], 3.2), *numbers], ground)
    led = shapely.union_all([shapely.LineString(i.points) for i in items if isinstance(i, Path)])

    assert not missed
    for text in (i for i in items if isinstance(i, Text) and i.text != "CL"):
        half = text_width_mm(text.text, 3.2) / 2.0 + 0.25
        (x, y), own = text.at, shapely.Point(spots[int(text.text) - 5])
        box = shapely.box(x - half, y - 1.468, x + half, y + 1.468)
        others = shapely.multipoints([s for s in spots if s != (own.x, own.y)])
        has_leader = led.distance(own) < 1e-6
        assert has_leader or box.distance(others) > box.distance(own) + 0.45
