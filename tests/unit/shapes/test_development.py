"""Panels laid flat against cones and cylinders, whose developments are known in closed form."""

from __future__ import annotations

import itertools
import math

import numpy as np
import pytest
from numpy.typing import NDArray

from nestcut.geometry.curves import end_point, evaluate, start_point
from nestcut.shapes.hull.development import (
    Development,
    bulge_mm,
    develop,
    outline_of,
    station_mark,
)
from nestcut.shapes.hull.spaceline import SpaceLine, through

Floats = NDArray[np.float64]

SMALL, LARGE, HEIGHT, HALF = 400.0, 900.0, 700.0, 1.2
"""Radii and height of a cone frustum [mm], half of the angle taken of it [rad]."""
STEEP = math.hypot(1.0, HEIGHT / (LARGE - SMALL))
"""Slant length per unit of radius: developed radii are this much larger."""
RADIUS, LONG = 1000.0, 900.0


def frustum(stations: int) -> tuple[SpaceLine, SpaceLine]:
    """Stations of the two lines don't face each other: rulings must be found."""
    angle = np.linspace(-HALF, HALF, stations)
    other = angle + 0.15 * np.sin(np.pi * angle / HALF)
    lower = np.column_stack([SMALL * np.sin(angle), SMALL * np.cos(angle), 0.0 * angle])
    upper = np.column_stack([LARGE * np.sin(other), LARGE * np.cos(other), HEIGHT + 0.0 * angle])
    return through(lower), through(upper)


def frustum_error(panel: Development) -> float:
    """Greatest distance of a developed point from its circle about the developed apex. [mm]"""
    middle: Floats = (panel.lower[0] + panel.lower[-1]) / 2.0
    half = HALF / STEEP
    drop = np.array([0.0, SMALL * STEEP * math.cos(half)])
    apexes = [middle + drop, middle - drop]

    worst = []
    for apex in apexes:
        lower = np.linalg.norm(panel.lower - apex, axis=1) - SMALL * STEEP
        upper = np.linalg.norm(panel.upper - apex, axis=1) - LARGE * STEEP
        worst.append(float(max(np.abs(lower).max(), np.abs(upper).max())))
    return min(worst)


def cylinder(stations: int) -> tuple[SpaceLine, SpaceLine]:
    """Quarter of a cylinder from a square cut to an oblique one."""
    angle = np.linspace(0.0, math.pi / 2.0, stations)
    other = angle + 0.1 * np.sin(2.0 * angle)
    lower = np.column_stack([RADIUS * np.cos(angle), RADIUS * np.sin(angle), 0.0 * angle])
    upper = np.column_stack(
        [RADIUS * np.cos(other), RADIUS * np.sin(other), LONG + 0.3 * RADIUS * np.cos(other)]
    )
    return through(lower), through(upper)


def cylinder_error(panel: Development) -> float:
    """Greatest distance from z = long + 0.3 r cos(s/r) over the straight lower edge. [mm]"""
    s = panel.upper[:, 0]
    wave = LONG + 0.3 * RADIUS * np.cos(s / RADIUS)
    return float(max(np.abs(panel.lower[:, 1]).max(), np.abs(panel.upper[:, 1] - wave).max()))


def test_frustum_lies_flat_within_a_tenth_of_a_millimetre_per_metre() -> None:
    """20 stations; the slant lengths of the edges are 2.1 and 1.0 m."""
    panel = develop(*frustum(20))

    assert frustum_error(panel) < 0.1
    assert panel.worst_twist_deg < 1e-6
    assert abs(panel.stretch_mm) < 1e-3


def test_frustum_edges_have_their_length() -> None:
    """Ends of the developed edges lie a sector apart, to 0.1 mm per metre."""
    panel = develop(*frustum(20))
    for edge, radius in ((panel.lower, SMALL), (panel.upper, LARGE)):
        chord = 2.0 * radius * STEEP * math.sin(HALF / STEEP)
        assert math.dist(edge[0], edge[-1]) == pytest.approx(chord, abs=1e-4 * chord)


def test_cylinder_lies_flat_within_a_tenth_of_a_millimetre_per_metre() -> None:
    """An oblique cut develops into a sine curve."""
    panel = develop(*cylinder(20))

    assert cylinder_error(panel) < 0.1
    assert math.dist(panel.lower[0], panel.lower[-1]) == pytest.approx(
        RADIUS * math.pi / 2.0, abs=0.1
    )
    assert panel.least_bend_radius_mm == pytest.approx(RADIUS, rel=0.02)


@pytest.mark.parametrize(("lines", "error"), [(frustum, frustum_error), (cylinder, cylinder_error)])
def test_error_falls_at_least_with_the_square_of_the_spacing(lines, error) -> None:  # type: ignore[no-untyped-def]
    """Stations doubled twice from 10: the stated order is 2 or better."""
    errors = [error(develop(*lines(n))) for n in (10, 20, 40)]

    assert math.log2(errors[0] / errors[1]) > 1.8
    assert math.log2(errors[1] / errors[2]) > 1.8


def test_twist_of_a_saddle_is_told() -> None:
    """Two skew straight lines span a hyperbolic paraboloid, which no sheet can be.

    Lines along x and along (cos 40, sin 40) at distance 500 have tangent planes 40 degrees apart,
    and the line half way between them is about cos 20 as long as they are.
    """
    x = np.linspace(0.0, 1000.0, 5)
    lower = np.column_stack([x, 0.0 * x, 0.0 * x])
    upper = np.column_stack(
        [x * math.cos(math.radians(40)), x * math.sin(math.radians(40)), 500.0 + 0.0 * x]
    )
    coarse = develop(through(lower), through(upper), 8)
    fine = develop(through(lower), through(upper), 32)

    assert fine.worst_twist_deg == pytest.approx(40.0, abs=0.5)
    assert 30.0 < fine.stretch_mm < 1000.0 * (1.0 - math.cos(math.radians(20)))
    assert coarse.stretch_mm == pytest.approx(fine.stretch_mm, rel=0.1)


def test_outline_follows_the_developed_points() -> None:
    """The true curves pass within a twentieth of a millimetre of every developed point."""
    panel = develop(*cylinder(20))
    run = outline_of(panel)
    gaps = [math.dist(end_point(a), start_point(b)) for a, b in itertools.pairwise(run)]
    wave = [evaluate(run[2], u) for u in np.linspace(0.0, 1.0, 200).tolist()]

    assert max(gaps) < 1e-6
    for s, z in wave:
        assert z == pytest.approx(LONG + 0.3 * RADIUS * math.cos(s / RADIUS), abs=0.05)


def test_station_line_is_carried_over() -> None:
    """The plane x = 600 cuts the cylinder in a ruling, which develops into a straight line."""
    lower, upper = cylinder(20)
    panel = develop(lower, upper)
    mark = station_mark(panel, lower, upper, 0, 600.0, "frame 1")
    assert mark is not None
    s = RADIUS * math.acos(0.6)

    assert [p[0] for p in mark.points] == pytest.approx([s] * len(mark.points), abs=0.05)
    assert mark.points[0][1] == pytest.approx(0.0, abs=0.05)
    assert mark.points[-1][1] == pytest.approx(LONG + 180.0, abs=0.1)
    assert mark.label == "frame 1"
    assert station_mark(panel, lower, upper, 0, 5000.0, "nowhere") is None


def test_the_tightest_bend_is_told_where_it_is() -> None:
    """A cylinder over a bump at 1,500 mm: its crest bends most."""
    x = np.linspace(0.0, 4000.0, 81)
    y = 400.0 + 200.0 * np.exp(-(((x - 1500.0) / 400.0) ** 2))
    lower, upper = (through(np.column_stack([x, y, np.full_like(x, z)])) for z in (0.0, 300.0))
    panel = develop(lower, upper)

    assert panel.least_bend_at_mm == pytest.approx(1500.0, abs=30.0)
    assert panel.least_bend_radius_mm == pytest.approx(400.0**2 / (2.0 * 200.0), rel=0.03)


@pytest.mark.parametrize("x", [0.0, 120.0, 250.0])
def test_bulge_off_a_straight_frame_is_that_of_the_cone_s_section(x: float) -> None:
    """A plane beside a cone's axis cuts a hyperbola (plane geometry); through the axis a line."""
    lower, upper = frustum(20)
    z = np.linspace(0.0, HEIGHT, 2001)
    y = np.sqrt((SMALL + (LARGE - SMALL) * z / HEIGHT) ** 2 - x * x)
    long = math.hypot(HEIGHT, y[-1] - y[0])
    off = np.abs((y - y[0]) * HEIGHT - z * (y[-1] - y[0])) / long
    assert bulge_mm(develop(lower, upper), lower, upper, 0, x) == pytest.approx(
        off.max(), abs=0.1 + 0.01 * off.max()
    )


def test_bulge_of_a_place_off_the_panel_is_none() -> None:
    lower, upper = frustum(20)
    assert bulge_mm(develop(lower, upper), lower, upper, 0, 5000.0) == 0.0
