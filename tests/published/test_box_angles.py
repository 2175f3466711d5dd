"""Saw settings and foam against published tables and handbook figures.

Compound mitre: settings printed in a mitre-saw owner's manual, p. 24, as given in the trade facts,
section 5 (fifteen of its seventy pairs could be read there: slope from flat against number of
sides, printed to 0.01 degree).  The other pairs are checked between two ways of computing them:
handbook formulas and our normals in space.  Hopper row: shop charts and an article on angled bevel
cuts, same section.  Foam: USCG Boatbuilder's Handbook, Flotation, part 2.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from nestcut.shapes.boxes.bevels import butt_tilt_deg, gauge_deg, mitre_tilt_deg, outward_normal
from nestcut.shapes.boxes.buoyancy import foam_buoyancy_kg

PRINTED = {
    (5, 4): (44.89, 3.53), (5, 6): (29.91, 2.50), (5, 8): (22.42, 1.91),
    (15, 4): (44.01, 10.55), (15, 6): (29.15, 7.44), (15, 8): (21.81, 5.68),
    (30, 4): (40.89, 20.70), (30, 6): (26.57, 14.48), (30, 8): (19.73, 11.03),
    (45, 4): (35.26, 30.00), (45, 6): (22.21, 20.70), (45, 8): (16.32, 15.70),
    (50, 4): (32.73, 32.80), (50, 6): (20.36, 22.52), (50, 8): (14.91, 17.05),
}  # fmt: skip
"""(slope from flat, sides): (mitre gauge, blade tilt). [deg]"""
SLOPES, SIDES = range(5, 55, 5), range(4, 11)


def settings(slope_from_flat: float, sides: int) -> tuple[float, float]:
    """Gauge and tilt from the normals of two neighbouring panels. [deg]"""
    turn = 2.0 * math.pi / sides
    one = outward_normal((1.0, 0.0), 90.0 - slope_from_flat)
    other = outward_normal((math.cos(turn), math.sin(turn)), 90.0 - slope_from_flat)
    return gauge_deg(one, other), mitre_tilt_deg(one, other)


@pytest.mark.parametrize(("slope", "sides"), sorted(PRINTED))
def test_compound_mitre_as_printed(slope: int, sides: int) -> None:
    """Within half a unit of the last printed digit."""
    assert settings(slope, sides) == pytest.approx(PRINTED[slope, sides], abs=0.0051)


@pytest.mark.parametrize("slope", SLOPES)
@pytest.mark.parametrize("sides", SIDES)
def test_whole_table_by_the_handbook_formula(slope: int, sides: int) -> None:
    """M = atan(cos p tan(180/N)), B = asin(sin p sin(180/N)), all seventy pairs."""
    p, half = math.radians(slope), math.pi / sides
    gauge = math.degrees(math.atan(math.cos(p) * math.tan(half)))
    tilt = math.degrees(math.asin(math.sin(p) * math.sin(half)))

    assert settings(slope, sides) == pytest.approx((gauge, tilt), abs=1e-9)


HOPPER = [
    (5, 85.02, 44.78, 0.44), (10, 80.15, 44.14, 1.73), (15, 75.49, 43.08, 3.84),
    (20, 71.12, 41.64, 6.72), (30, 63.43, 37.76, 14.48), (45, 54.74, 30.00, 30.00),
]  # fmt: skip
"""Tilt from upright; gauge with 90 for square; mitred tilt; butted tilt. [deg]"""


@pytest.mark.parametrize(("tilt", "gauge", "mitred", "butted"), HOPPER)
def test_hopper_with_four_sides(tilt: float, gauge: float, mitred: float, butted: float) -> None:
    """The hopper rows, to their printed precision."""
    one, other = outward_normal((1.0, 0.0), tilt), outward_normal((0.0, 1.0), tilt)

    assert 90.0 - gauge_deg(one, other) == pytest.approx(gauge, abs=0.0051)
    assert mitre_tilt_deg(one, other) == pytest.approx(mitred, abs=0.0051)
    assert butt_tilt_deg(one, other) == pytest.approx(butted, abs=0.0051)


def test_hopper_of_the_article() -> None:
    """At 5 degrees the article sets the gauge to 85 and the blade to 44-3/4 degrees."""
    one, other = outward_normal((1.0, 0.0), 5.0), outward_normal((0.0, 1.0), 5.0)

    assert 90.0 - gauge_deg(one, other) == pytest.approx(85.0, abs=0.5)
    assert mitre_tilt_deg(one, other) == pytest.approx(44.75, abs=0.125)


KG_PER_LB, M3_PER_FT3 = 0.45359237, 0.3048**3


def test_foam_of_the_handbook() -> None:
    """2 lb/ft3 foam in 62.4 lb/ft3 water bears 60.4 lb/ft3; 600 lb need 9.93 cubic feet."""
    to_kg_m3 = KG_PER_LB / M3_PER_FT3
    bears = foam_buoyancy_kg(1.0, 2.0 * to_kg_m3, 62.4 * to_kg_m3) / to_kg_m3

    assert bears == pytest.approx(60.4, abs=1e-9)
    assert 600.0 / bears == pytest.approx(9.93, abs=0.005)


def test_normals_are_unit() -> None:
    """Whatever the slope."""
    for lean in (-40.0, 0.0, 15.0, 80.0):
        assert np.linalg.norm(outward_normal((0.6, 0.8), lean)) == pytest.approx(1.0)
