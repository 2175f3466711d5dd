"""Straps, doublers, cleats and fillet blanks that follow from other parts."""

from __future__ import annotations

import math

import pytest

from nestcut.geometry.rings import curves_area_mm2
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.figures.derived import (
    cleat_length_mm,
    doubler_around,
    edge_run,
    fillet_legs_mm,
    strap_along,
)
from nestcut.shapes.figures.notches import BoxSide
from tests.unit.shapes.tables.readings import shape

PLATE = 'kind = "rectangle"\nlength = 1000\nwidth = 400\n'


def test_strap_along_a_straight_edge() -> None:
    """A strip of the edge's length and the strap's width."""
    strap = strap_along(shape(PLATE), BoxSide.TOP, 80.0, 0.05)

    assert strap.area == pytest.approx(80000.0)
    assert strap.bounds == pytest.approx((0.0, 320.0, 1000.0, 400.0))


def test_strap_with_an_inset() -> None:
    """Kept 25 mm from the edge."""
    strap = strap_along(shape(PLATE), BoxSide.LEFT, 50.0, 0.05, 25.0)

    assert strap.bounds == pytest.approx((25.0, 0.0, 75.0, 400.0))


def test_strap_along_a_fair_edge() -> None:
    """Along a curved sheer the strap is as wide everywhere, within the flattening."""
    panel = shape(
        'kind = "panel"\nstations = [0, 500, 1000, 1500, 2000]\nupper = [380, 420, 440, 430, 390]'
    )
    strap = strap_along(panel, BoxSide.TOP, 60.0, 0.05)
    run = edge_run(panel, BoxSide.TOP, 0.05)

    assert strap.area == pytest.approx(60.0 * run.length_mm, rel=0.01)
    assert run.length_mm > 2000.0


def test_doubler_around_a_round_hole() -> None:
    """A ring between two circles."""
    part = shape(PLATE + "holes = [{ diameter = 100 }]")
    outline, hole = doubler_around(part, 1, 30.0)

    assert abs(curves_area_mm2(outline)) == pytest.approx(math.pi * 80.0**2)
    assert abs(curves_area_mm2(hole)) == pytest.approx(math.pi * 50.0**2)


@pytest.mark.parametrize("radius", [0.0, 40.0])
def test_doubler_around_a_hatch(radius: float) -> None:
    """Steiner's formula for the area of a parallel: A + margin x perimeter + pi margin^2."""
    part = shape(
        PLATE + f'holes = [{{ form = "rectangle", length = 300, width = 200, radius = {radius} }}]'
    )
    outline, hole = doubler_around(part, 1, 25.0)
    area = 60000.0 - (4.0 - math.pi) * radius**2
    edge = 1000.0 - (8.0 - 2.0 * math.pi) * radius

    assert abs(curves_area_mm2(hole)) == pytest.approx(area)
    assert abs(curves_area_mm2(outline)) == pytest.approx(area + 25.0 * edge + math.pi * 625.0)


def test_doubler_refusals() -> None:
    """No such hole; an ellipse."""
    part = shape(PLATE + 'holes = [{ form = "ellipse", length = 90, width = 60 }]')
    with pytest.raises(ShapeFaultError, match="SHP-120"):
        doubler_around(part, 2, 25.0)
    with pytest.raises(ShapeFaultError, match="SHP-124"):
        doubler_around(part, 1, 25.0)


def test_cleat_is_shortened_at_both_ends() -> None:
    """Along the bottom edge, 20 mm clear of both corners."""
    run = edge_run(shape(PLATE), BoxSide.BOTTOM, 0.05)

    assert cleat_length_mm(run, 20.0) == pytest.approx(960.0)
    with pytest.raises(ShapeFaultError, match="SHP-121"):
        cleat_length_mm(run, 600.0)


def test_edge_that_faces_nothing() -> None:
    """A triangle has no top edge."""
    wedge = shape('kind = "polygon"\npoints = [[0, 0], [1000, 0], [0, 100]]')
    with pytest.raises(ShapeFaultError, match=r"SHP-118.*right"):
        edge_run(wedge, BoxSide.RIGHT, 0.05)


def test_fillet_legs() -> None:
    """In a square corner the legs are the cove's radius; in 60 degrees r / tan 30."""
    assert fillet_legs_mm(20.0) == pytest.approx(20.0)
    assert fillet_legs_mm(20.0, 60.0) == pytest.approx(20.0 * math.sqrt(3.0))
