"""Convex covers of outlines with very many corners."""

import numpy as np
import pytest
import shapely
from shapely.geometry import Point, Polygon

from nestcut.nesting import convex
from nestcut.nesting.convex import convex_cover

COVERED = 1e-9
"""Area by which a cover may differ from its polygon, as a share. [-]"""


def notched_plate(notches: int, chords: int) -> Polygon:
    """A rounded plate, 1800 x 700, with round notches along its edge."""
    plate = shapely.box(0.0, 0.0, 1800.0, 700.0).buffer(-100.0).buffer(100.0, quad_segs=chords)
    for k in range(notches):
        at = plate.exterior.interpolate((k + 0.5) / notches, normalized=True)
        plate = plate.difference(Point(at.x, at.y).buffer(25.0, quad_segs=chords))
    return Polygon(plate.exterior)


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


def test_no_part_of_a_cover_is_needless() -> None:
    """Leaving any one out leaves something uncovered."""
    plate = notched_plate(4, 4)
    parts = [Polygon(p) for p in convex_cover(plate)]
    for k in range(len(parts)):
        rest = shapely.union_all(parts[:k] + parts[k + 1 :])
        assert plate.difference(rest).area > convex.MISSING_AREA * plate.area
