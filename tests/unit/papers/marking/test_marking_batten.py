"""The batten curve against another library's."""

from __future__ import annotations

from itertools import pairwise
from typing import Literal

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from nestcut.papers.marking.batten import Ends, batten_points

POINTS = np.array([(0.0, 0.0), (210.0, 35.0), (400.0, 50.0), (390.0, 260.0), (120.0, 300.0)])


@pytest.mark.parametrize(("ends", "other"), [(Ends.FREE, "natural"), (Ends.CLOSED, "periodic")])
def test_it_is_the_cubic_spline_that_is_stated(
    ends: Ends, other: Literal["natural", "periodic"]
) -> None:
    through = POINTS if ends is Ends.FREE else np.vstack([POINTS, POINTS[:1]])
    distance = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(through, axis=0).T))])
    at = np.concatenate(
        [a + (b - a) * np.arange(8) / 8 for a, b in pairwise(distance)] + [distance[-1:]]
    )

    line = batten_points(POINTS, ends, 8)

    assert np.allclose(line, CubicSpline(distance, through, bc_type=other)(at), atol=1e-9)


def test_two_points_are_joined_straight() -> None:
    line = batten_points(POINTS[:2], Ends.FREE, 4)

    assert np.allclose(line, np.linspace(POINTS[0], POINTS[1], 5))


@pytest.mark.parametrize(("ends", "count"), [(Ends.FREE, 1), (Ends.CLOSED, 2)])
def test_too_few_points_are_refused(ends: Ends, count: int) -> None:
    with pytest.raises(ValueError, match="needs"):
        batten_points(POINTS[:count], ends)
