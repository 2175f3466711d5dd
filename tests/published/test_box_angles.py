"""Saw settings and foam against published tables and handbook figures.

Compound mitre: settings printed in a mitre-saw owner's manual, p. 24 (slope from flat, four sides,
to 0.01 degree), and the handbook formula for all slopes; held against them are the ends of boxes'
walls as they are cut.  Hopper row: shop charts and an article on angled bevel cuts.  Foam: USCG
Boatbuilder's Handbook, Flotation, part 2.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from nestcut.shapes.boxes.bevels import CornerJoint, outward_normal
from nestcut.shapes.boxes.box import WALLS, BoxSpec, box_walls
from nestcut.shapes.boxes.buoyancy import foam_buoyancy_kg

PRINTED = {
    15: (44.01, 10.55), 30: (40.89, 20.70), 45: (35.26, 30.00), 50: (32.73, 32.80),
}  # fmt: skip
"""Slope from flat, four sides: (mitre gauge, blade tilt). [deg]"""
SLOPES = range(10, 55, 5)


def settings(lean_deg: float, joint: CornerJoint) -> tuple[float, float]:
    """Gauge and tilt at the ends of a box's walls that lean outward by so much. [deg]

    The walls that run through at butted corners are covered: those that butt are looked at.
    """
    spec = BoxSpec(
        length_mm=9000.0,
        width_mm=9000.0,
        height_mm=100.0,
        lean_deg=dict.fromkeys(WALLS, lean_deg),
        thickness_mm=6.0,
        joint=joint,
    )
    ends = {(b.gauge_deg, b.tilt_deg) for w in box_walls(spec) for b in w.bevels if "end" in b.edge}
    gauges, tilts = zip(*ends, strict=True)
    assert max(gauges) - min(gauges) < 1e-9
    assert max(tilts) - min(tilts) < 1e-9
    return gauges[0], tilts[0]


@pytest.mark.parametrize("slope", PRINTED)
def test_compound_mitre_as_printed(slope: int) -> None:
    """Within half a unit of the last printed digit."""
    assert settings(90.0 - slope, CornerJoint.MITRE) == pytest.approx(PRINTED[slope], abs=0.0051)


@pytest.mark.parametrize("slope", SLOPES)
def test_four_sides_by_the_handbook_formula(slope: int) -> None:
    """M = atan(cos p tan(180/N)), B = asin(sin p sin(180/N)), N = 4."""
    p, half = math.radians(slope), math.pi / 4
    gauge = math.degrees(math.atan(math.cos(p) * math.tan(half)))
    tilt = math.degrees(math.asin(math.sin(p) * math.sin(half)))

    assert settings(90.0 - slope, CornerJoint.MITRE) == pytest.approx((gauge, tilt), abs=1e-9)


HOPPER = [
    (5, 85.02, 44.78, 0.44), (10, 80.15, 44.14, 1.73), (15, 75.49, 43.08, 3.84),
    (20, 71.12, 41.64, 6.72), (30, 63.43, 37.76, 14.48), (45, 54.74, 30.00, 30.00),
]  # fmt: skip
"""Tilt from upright; gauge with 90 for square; mitred tilt; butted tilt. [deg]"""


@pytest.mark.parametrize(("tilt", "gauge", "mitred", "butted"), HOPPER)
def test_hopper_with_four_sides(tilt: float, gauge: float, mitred: float, butted: float) -> None:
    """The hopper rows, to their printed precision."""
    wanted = pytest.approx((90.0 - gauge, mitred), abs=0.0051)
    assert settings(tilt, CornerJoint.MITRE) == wanted
    assert settings(tilt, CornerJoint.BUTT) == pytest.approx((90.0 - gauge, butted), abs=0.0051)


def test_hopper_of_the_article() -> None:
    """At 5 degrees the article sets the gauge to 85 and the blade to 44-3/4 degrees."""
    gauge, tilt = settings(5.0, CornerJoint.MITRE)
    assert 90.0 - gauge == pytest.approx(85.0, abs=0.5)
    assert tilt == pytest.approx(44.75, abs=0.125)


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
