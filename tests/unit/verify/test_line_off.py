"""How far lines stray: the same answer as asking for every point's distance, whatever begins where.

Distances are shapely's (a reference library).
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import shapely
from shapely.geometry import LinearRing, LineString, MultiLineString

from nestcut.verify.truth import line_off_mm

ALLOWED_MM = 0.05


def _by_every_point(have: shapely.Geometry, want: shapely.Geometry) -> float:
    worst = 0.0
    for a, b in ((have, want), (want, have)):
        points = shapely.points(shapely.get_coordinates(shapely.segmentize(a, 20.0)))
        worst = max(worst, float(shapely.distance(b, points).max()))
    return worst if worst > ALLOWED_MM else 0.0


def _ring(n: int, rng: np.random.Generator) -> np.ndarray:
    angles = np.linspace(0.0, 2.0 * np.pi, n, endpoint=False)
    radii = 400.0 + 60.0 * np.sin(3.0 * angles) + rng.uniform(-2.0, 2.0, n)
    return np.column_stack((2.0 * radii * np.cos(angles), radii * np.sin(angles)))


@pytest.mark.parametrize("off_mm", [0.0, 0.02, 0.049, 0.051, 0.2, 30.0])
@pytest.mark.parametrize("way", [1, -1])
def test_a_corner_that_strays_is_found_wherever_rings_begin(off_mm: float, way: int) -> None:
    rng = np.random.default_rng(7)
    for n in (3, 5, 60, 400):
        rows = _ring(n, rng)
        want = LinearRing(rows)
        bent = np.vstack((rows, (rows + np.roll(rows, -1, axis=0)) / 2.0))
        bent = bent.reshape(2, n, 2).transpose(1, 0, 2).reshape(-1, 2)  # corners and middles
        bent[rng.integers(0, 2 * n)] += off_mm
        have = LinearRing(np.roll(bent, int(rng.integers(0, 2 * n)), axis=0)[::way])
        expected = _by_every_point(have, want)
        assert line_off_mm(have, want, ALLOWED_MM) == expected
        assert line_off_mm(want, have, ALLOWED_MM) == expected


@pytest.mark.parametrize("shift_mm", [0.0, 0.04, 0.06])
def test_lines_in_several_parts_and_lines_that_lack_an_end(shift_mm: float) -> None:
    long = LineString([(0.0, 0.0), (300.0, 0.0), (300.0, 200.0)])
    moved = shapely.transform(long, lambda rows: np.add(rows[::-1], [0.0, shift_mm]))
    parts = MultiLineString([[(0.0, 0.0), (130.0, 0.0)], [(130.0, 0.0), (300.0, 0.0)]])
    gap = MultiLineString([[(0.0, 0.0), (130.0, 0.0)], [(190.0, 0.0), (300.0, 0.0)]])
    level = LineString([(0.0, shift_mm), (300.0, shift_mm)])
    short = LineString([(0.0, 0.0), (300.0, 0.0), (300.0, 190.0)])
    for have, want in ((moved, long), (parts, level), (gap, level), (short, long), (short, moved)):
        expected = _by_every_point(have, want)
        assert line_off_mm(have, want, ALLOWED_MM) == expected
        assert line_off_mm(want, have, ALLOWED_MM) == expected
    assert line_off_mm(gap, parts, ALLOWED_MM) > 0.0


def test_a_line_strays_from_none_without_end() -> None:
    none, line = LineString(), LineString([(0.0, 0.0), (1.0, 0.0)])
    assert line_off_mm(none, line, ALLOWED_MM) == math.inf
    assert line_off_mm(line, none, ALLOWED_MM) == math.inf
    assert line_off_mm(none, none, ALLOWED_MM) == 0.0
