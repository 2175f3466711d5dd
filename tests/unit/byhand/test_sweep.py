"""How far an outline goes straight ahead, held against places tried one by one."""

from __future__ import annotations

import numpy as np
import pytest
from shapely import affinity
from shapely.geometry import Polygon, box

from nestcut.byhand.sweep import edges_of, grown_edges, reach

CLEARANCE_MM = 3.0
SLACK_MM = 0.005


def star(luck: np.random.Generator, at: tuple[float, float]) -> Polygon:
    """A polygon with hollow corners."""
    angles = np.sort(luck.uniform(0.0, 2 * np.pi, 11))
    radii = luck.uniform(12.0, 60.0, 11)
    points = np.stack([np.cos(angles), np.sin(angles)], axis=1) * radii[:, None] + at
    return Polygon(points)


@pytest.mark.parametrize("seed", range(40))
def test_a_move_ends_where_the_first_place_is_too_near(seed: int) -> None:
    luck = np.random.default_rng(seed)
    moved = star(luck, (0.0, 0.0))
    standing = [star(luck, tuple(luck.uniform(-250.0, 250.0, 2))) for _ in range(5)]
    standing = [s for s in standing if s.distance(moved) > CLEARANCE_MM]
    edges = np.concatenate([grown_edges(s, CLEARANCE_MM, SLACK_MM) for s in standing])
    step = luck.uniform(-300.0, 300.0, 2)

    contact = reach(edges_of(moved), edges, step, SLACK_MM)

    def gap(share: float) -> float:
        there = affinity.translate(moved, *(step * share))
        return min(there.distance(s) for s in standing)

    for share in np.linspace(0.0, contact.share, 400):
        assert gap(share) >= CLEARANCE_MM
    assert (contact.share < 1.0) == bool(contact.directions)
    if contact.share < 1.0:
        assert gap(contact.share) < CLEARANCE_MM + 0.05
        beyond = np.linspace(contact.share, min(1.0, contact.share + 0.02), 50)
        assert min(map(gap, beyond)) < CLEARANCE_MM


def test_nothing_is_jumped_over_however_thin() -> None:
    piece, slat = box(0.0, 0.0, 10.0, 10.0), box(100.0, 0.0, 100.01, 10.0)
    contact = reach(edges_of(piece), edges_of(slat), np.array([1000.0, 0.0]), SLACK_MM)
    assert contact.share * 1000.0 == pytest.approx(90.0, abs=0.01)
    assert len(contact.directions) == 1
    assert abs(contact.directions[0][1]) == pytest.approx(1.0)


def test_along_a_neighbour_it_goes_on_and_out_of_one_as_well() -> None:
    piece, wall = edges_of(box(0.0, 0.0, 10.0, 10.0)), edges_of(box(-50.0, 10.0, 50.0, 20.0))
    for way in ((30.0, 0.0), (30.0, -5.0), (0.0, -8.0)):
        assert reach(piece, wall, np.array(way), SLACK_MM).share == 1.0
    assert reach(piece, wall, np.array([0.0, 1.0]), SLACK_MM).share == 0.0


def test_corners_grow_by_the_clearance_and_hardly_more() -> None:
    grown = grown_edges(box(0.0, 0.0, 50.0, 50.0), CLEARANCE_MM, SLACK_MM)
    ring = Polygon(grown[:, :2])
    assert ring.covers(box(0.0, 0.0, 50.0, 50.0).buffer(CLEARANCE_MM - 1e-6, quad_segs=200))
    assert box(0.0, 0.0, 50.0, 50.0).buffer(CLEARANCE_MM + SLACK_MM, quad_segs=200).covers(ring)
