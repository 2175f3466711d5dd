"""Convex covers and outlines with fewer vertices."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely.geometry import Polygon

from nestcut.nesting.separating.convex import convex_cover
from tests.unit.nesting.layouts import DART, ELL, RING, RING_HOLE, box

ARCH = np.array(
    [(10 * np.cos(t), 10 * np.sin(t)) for t in np.linspace(0, np.pi, 40)]
    + [(8 * np.cos(t), 8 * np.sin(t)) for t in np.linspace(np.pi, 0, 40)]
)
STAR = np.array(
    [
        ((2 + k % 2) * np.cos(2 * np.pi * k / 14), (2 + k % 2) * np.sin(2 * np.pi * k / 14))
        for k in range(14)
    ]
)
# GEOS 3.14 gave an empty difference for two covers of it that overlap in part
BLOT = np.array(
    [
        (50.533635526836754, 2.8708330350073687),
        (75.89224795563223, 29.005166469865053),
        (49.43375294524323, 50.7221949063795),
        (7.993257958952886, 48.938874364053746),
        (-29.32285047253844, 45.959763531068944),
        (-49.394650395029, 24.959449259274727),
        (-75.89224795563223, 2.8708330350073754),
        (-60.006432622195376, -23.302260072884085),
        (-12.966595619526345, -21.331521176412846),
        (7.993257958952866, -50.7221949063795),
        (29.64734893167333, -22.13315746930627),
        (72.63284724032505, -22.00895647959737),
    ]
)
ZOO = [
    pytest.param(Polygon(BLOT), id="blot"),
    pytest.param(Polygon(box(3.0, 2.0)), id="box"),
    pytest.param(Polygon(ELL), id="ell"),
    pytest.param(Polygon(DART), id="dart"),
    pytest.param(Polygon(RING, [RING_HOLE]), id="ring"),
    pytest.param(Polygon(ARCH), id="arch"),
    pytest.param(Polygon(STAR), id="star"),
]


@pytest.mark.parametrize("polygon", ZOO)
def test_cover_is_convex_and_is_the_polygon(polygon: Polygon) -> None:
    parts = [Polygon(p) for p in convex_cover(polygon)]

    for part in parts:
        assert part.exterior.is_ccw
        assert part.area == pytest.approx(part.convex_hull.area, rel=1e-12)
    union = shapely.union_all(parts)
    assert union.symmetric_difference(polygon).area < 1e-8 * polygon.area


def test_convex_shape_is_one_part_and_an_ell_two() -> None:
    assert len(convex_cover(Polygon(box(3.0, 2.0)))) == 1
    assert len(convex_cover(Polygon(ELL))) == 2
