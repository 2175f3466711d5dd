"""Plain figures, corners, notches and holes against closed formulas of their areas."""

from __future__ import annotations

import math

import pytest

from nestcut.geometry.rings import shape_area_mm2, true_bounds_mm
from nestcut.model.curves import Arc, EllipticArc
from nestcut.shapes.figures.outline import Corner, Treatment, closed_outline
from tests.unit.shapes.tables.readings import faults, shape

AREAS = [
    pytest.param('kind = "rectangle"\nlength = 300\nwidth = 200', 60000.0, id="rectangle"),
    pytest.param(
        'kind = "rectangle"\nlength = 300\nwidth = 200\nradius = 40',
        60000.0 - (4.0 - math.pi) * 40.0**2,
        id="four rounded corners",
    ),
    pytest.param(
        'kind = "rectangle"\nlength = 300\nwidth = 200\nchamfer = 30',
        60000.0 - 4.0 * 30.0**2 / 2.0,
        id="four chamfers",
    ),
    pytest.param(
        'kind = "rectangle"\nlength = 300\nwidth = 200\n'
        'corners = [{ corner = 1, cut = "bite", size = 25 }]',
        60000.0 - math.pi * 25.0**2 / 4.0,
        id="quarter circle bitten out",
    ),
    pytest.param(
        'kind = "trapezoid"\nbottom = 300\ntop = 200\nheight = 100', 25000.0, id="trapezoid"
    ),
    pytest.param(
        'kind = "trapezoid"\nbottom = 300\ntop = 0\nheight = 100\nshift = 50',
        15000.0,
        id="triangle",
    ),
    pytest.param('kind = "taper"\nlength = 900\nstart = 60\nend = 20', 36000.0, id="taper"),
    pytest.param('kind = "taper"\nlength = 900\nstart = 0\nend = 20', 9000.0, id="wedge"),
    pytest.param(
        'kind = "polygon"\npoints = [[0, 0], [0, 50], [100, 50], [100, 0]]', 5000.0, id="clockwise"
    ),
    pytest.param('kind = "circle"\ndiameter = 100', math.pi * 2500.0, id="circle"),
    pytest.param('kind = "ellipse"\nlength = 200\nwidth = 100', math.pi * 5000.0, id="ellipse"),
    pytest.param(
        'kind = "rectangle"\nlength = 300\nwidth = 200\n'
        'notches = [{ edge = "bottom", width = 40, depth = 30 }]',
        60000.0 - 1200.0,
        id="square notch in the middle",
    ),
    pytest.param(
        'kind = "rectangle"\nlength = 300\nwidth = 200\n'
        'notches = [{ edge = "left", at = 60, width = 40, radius = 20 }]',
        60000.0 - math.pi * 200.0,
        id="half round notch",
    ),
    pytest.param(
        'kind = "rectangle"\nlength = 300\nwidth = 200\n'
        'holes = [{ diameter = 50 }, { form = "slot", length = 80, width = 20, from_left = 60, '
        "from_top = 30 }]",
        60000.0 - math.pi * 625.0 - (60.0 * 20.0 + math.pi * 100.0),
        id="round hole and slot",
    ),
    pytest.param(
        'kind = "rectangle"\nlength = 300\nwidth = 200\n'
        'holes = [{ form = "rectangle", length = 80, width = 40, radius = 10, turn = 30 }, '
        '{ form = "ellipse", length = 30, width = 20, centre = [30, 30] }]',
        60000.0 - (3200.0 - (4.0 - math.pi) * 100.0) - math.pi * 150.0,
        id="turned hole and ellipse",
    ),
]


@pytest.mark.parametrize(("text", "area"), AREAS)
def test_area_is_the_closed_formula(text: str, area: float) -> None:
    """Areas of true curves agree with school formulas."""
    assert shape_area_mm2(shape(text)) == pytest.approx(area, rel=1e-12)


def test_curves_stay_true() -> None:
    """Arcs and ellipses are kept as such, not flattened."""
    assert isinstance(shape('kind = "circle"\ndiameter = 100').outline.curves[0], Arc)
    ellipse = shape('kind = "ellipse"\nlength = 200\nwidth = 100').outline.curves[0]
    assert isinstance(ellipse, EllipticArc)


def test_fillet_touches_both_edges() -> None:
    """A fillet of radius r keeps r from both edges of a sharp corner."""
    corners = (
        Corner((0.0, 0.0), Treatment.ROUND, 10.0),
        Corner((200.0, 0.0)),
        Corner((150.0, 80.0)),
    )
    arc = closed_outline(corners)[0]

    assert isinstance(arc, Arc)
    assert arc.centre[1] == pytest.approx(10.0)
    slope = math.atan2(80.0, 150.0)
    away = math.sin(slope) * arc.centre[0] - math.cos(slope) * arc.centre[1]
    assert away == pytest.approx(10.0)
    assert arc.sweep_deg == pytest.approx(180.0 - math.degrees(slope))


def test_notch_is_measured_from_the_left_and_lower_end() -> None:
    """On top, where the outline runs backwards, a notch is still placed from the left."""
    part = shape(
        'kind = "rectangle"\nlength = 300\nwidth = 200\n'
        'notches = [{ edge = "top", at = 50, width = 20, depth = 10 }]'
    )
    notch = [p for p in part.outline.points if p[1] == 190.0]

    assert sorted(p[0] for p in notch) == pytest.approx([40.0, 60.0])


def test_box_of_an_oblique_trapezoid_starts_at_the_origin() -> None:
    """A top that leans left doesn't push the part below x = 0."""
    part = shape('kind = "trapezoid"\nbottom = 100\ntop = 100\nheight = 50\nshift = -30')

    assert true_bounds_mm(part.outline) == pytest.approx((0.0, 0.0, 130.0, 50.0))


FAULTS = [
    pytest.param(
        'kind = "rectangle"\nlength = 300\nwidth = 20\nradius = 40', "corners", id="radius too big"
    ),
    pytest.param(
        'kind = "polygon"\npoints = [[0, 0], [100, 100], [100, 0], [0, 100]]',
        "crosses",
        id="bow tie",
    ),
    pytest.param('kind = "polygon"\npoints = [[0, 0], [100, 0]]', "points", id="two points"),
    pytest.param(
        'kind = "circle"\ndiameter = 100\nholes = [{ diameter = 99, off_centre = 3 }]',
        "holes[1]",
        id="hole over the edge",
    ),
    pytest.param(
        'kind = "rectangle"\nlength = 300\nwidth = 200\n'
        "holes = [{ diameter = 50 }, { diameter = 20 }]",
        "overlap",
        id="holes overlap",
    ),
    pytest.param(
        'kind = "rectangle"\nlength = 300\nwidth = 200\n'
        'notches = [{ edge = "bottom", at = 5, width = 20 }]',
        "reaches past",
        id="notch past the end",
    ),
    pytest.param(
        'kind = "circle"\ndiameter = 100\nnotches = [{ edge = "top", width = 9 }]',
        "no edge faces",
        id="notch in a circle",
    ),
    pytest.param('kind = "rectangel"\nlength = 1\nwidth = 1', "kind", id="misspelt kind"),
    pytest.param(
        'kind = "rectangle"\nlenght = 300\nwidth = 20', "unknown key 'lenght'", id="misspelt key"
    ),
    pytest.param('kind = "trapezoid"\nbottom = 0\ntop = 0\nheight = 5', "nothing", id="no edges"),
    pytest.param(
        'kind = "rectangle"\nlength = 30\nwidth = 20\ncorners = [{ corner = 7, cut = "round" }]',
        "no corner 7",
        id="no such corner",
    ),
]


@pytest.mark.parametrize(("text", "expected"), FAULTS)
def test_faults_name_their_place(text: str, expected: str) -> None:
    """Numbers that give no part are refused with the key and what to do."""
    assert any(expected in line for line in faults(text))
