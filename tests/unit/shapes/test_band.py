"""True lengths and bands along a sheer against closed forms: circle, helix, inclined circle."""

from __future__ import annotations

import math

import numpy as np
import pytest

from nestcut.geometry.curves import evaluate
from nestcut.geometry.rings import curves_area_mm2
from nestcut.model.curves import Spline
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.hull.band import Lay, Rise, band_along, flat_line
from nestcut.shapes.hull.spaceline import SpaceLine, through

CHORD, SAG = 4800.0, 300.0
RADIUS = CHORD**2 / (8.0 * SAG) + SAG / 2.0
HALF = math.asin(CHORD / 2.0 / RADIUS)
"""Arc of chord 4800 and sag 300 mm: radius 9750, length 4849.8 (FACTS 5, worked geometry)."""


def arc_in_space(stations: int = 9, slope: float = 0.0) -> SpaceLine:
    """Arc of the table, tilted about its chord's aft end so that it rises with ``slope``."""
    angle = np.linspace(-HALF, HALF, stations)
    x = RADIUS * np.sin(angle) + CHORD / 2.0
    y = RADIUS * np.cos(angle) - RADIUS + SAG + 500.0
    c, s = math.cos(slope), math.sin(slope)
    return through(np.column_stack([x * c, y, x * s]))


def test_published_arc() -> None:
    """A boat 4.8 m long with 300 mm of sag needs rails 49.8 mm longer than itself."""
    assert pytest.approx(9750.0) == RADIUS
    assert arc_in_space().length_mm() == pytest.approx(4849.8, abs=0.05)


@pytest.mark.parametrize("slope", [0.0, 0.1, 0.5])
def test_length_in_space_does_not_depend_on_the_tilt(slope: float) -> None:
    """The plan view of a rising sheer is short; the line in space isn't."""
    assert arc_in_space(9, slope).length_mm() == pytest.approx(2.0 * HALF * RADIUS, abs=0.02)


def test_helix_length_converges_with_the_fourth_power() -> None:
    """Length of a helix, 3 m radius, 0.8 rad, rising 400 mm; stations doubled."""
    true = math.hypot(3000.0 * 0.8, 400.0)

    def error(stations: int) -> float:
        a = np.linspace(0.0, 0.8, stations)
        line = through(np.column_stack([3000 * np.sin(a), 3000 * np.cos(a), 500.0 * a]))
        return abs(line.length_mm() - true)

    assert error(9) < 0.05
    assert math.log2(error(6) / error(11)) > 3.5


def test_band_is_a_ring_sector() -> None:
    """Inside an arc of radius R, a band of width w has the area of a ring sector."""
    band = band_along(flat_line(arc_in_space(13), Rise.PLAN), 140.0)
    sector = HALF * (RADIUS**2 - (RADIUS - 140.0) ** 2)

    assert abs(curves_area_mm2(band.outline)) == pytest.approx(sector, rel=1e-6)
    assert band.line_length_mm == pytest.approx(2.0 * HALF * RADIUS, abs=0.01)
    assert band.least_radius_mm == pytest.approx(RADIUS, rel=0.01)


@pytest.mark.parametrize(
    ("lay", "radii"),
    [
        (Lay.INSIDE, (RADIUS, RADIUS - 140.0)),
        (Lay.OUTSIDE, (RADIUS + 140.0, RADIUS)),
        (Lay.CENTRED, (RADIUS + 70.0, RADIUS - 70.0)),
    ],
)
def test_band_keeps_its_width(lay: Lay, radii: tuple[float, float]) -> None:
    """Both edges are concentric arcs, to a hundredth of a millimetre."""
    band = band_along(flat_line(arc_in_space(13), Rise.PLAN), 140.0, lay)
    edges = [c for c in band.outline if isinstance(c, Spline)]
    centre = (CHORD / 2.0, SAG + 500.0 - RADIUS)

    for edge, radius in zip(edges, radii, strict=True):
        for u in np.linspace(0.0, 1.0, 101).tolist():
            assert math.dist(evaluate(edge, u), centre) == pytest.approx(radius, abs=0.01)


def test_rise_is_rolled_out() -> None:
    """A cap on a sheer that rises evenly is longer than its plan by the slope."""
    line = arc_in_space(13, math.atan(0.1))
    plan, rolled = flat_line(line, Rise.PLAN), flat_line(line, Rise.ROLLED_OUT)

    assert rolled.points[-1, 0] == pytest.approx(CHORD, abs=0.05)
    assert plan.points[-1, 0] == pytest.approx(CHORD * math.cos(math.atan(0.1)), abs=1e-6)
    assert rolled.length_mm() == pytest.approx(line.length_mm(), abs=0.05)


def test_part_of_the_line() -> None:
    """A band may begin and end anywhere along the line."""
    line = flat_line(arc_in_space(13), Rise.PLAN)
    start, stop = line.where(0, 1000.0), line.where(0, 3000.0)
    band = band_along(line, 100.0, Lay.INSIDE, (start, stop))
    turn = math.asin((3000 - 2400) / RADIUS) + math.asin((2400 - 1000) / RADIUS)

    assert band.line_length_mm == pytest.approx(turn * RADIUS, abs=0.02)


def test_too_wide_a_band_is_refused() -> None:
    """A band wider than the radius of the line's bend has no inner edge."""
    angle = np.linspace(0.0, 1.5, 12)
    tight = through(np.column_stack([100 * np.sin(angle), 100 * np.cos(angle)]))

    with pytest.raises(ShapeFaultError, match="SHP-107"):
        band_along(tight, 140.0)
    with pytest.raises(ShapeFaultError, match="SHP-147"):
        tight.where(0, 500.0)
