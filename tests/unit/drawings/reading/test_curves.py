"""Curves are kept true: splines, bulges, every version of a file."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from ezdxf.math import BSpline

from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import (
    ReadOptions,
)
from nestcut.model.curves import Spline
from nestcut.units import Unit
from tests.unit.drawings.looks import areas
from tests.unit.drawings.pens import blank, read_back


def test_splines_of_all_kinds_are_kept_true(tmp_path: Path) -> None:
    document, space = blank()
    space.add_spline([(0, 0), (100, 60), (200, -40), (300, 20)])
    space.add_line((300, 20), (300, 200))
    space.add_line((300, 200), (0, 200))
    space.add_line((0, 200), (0, 0))
    nine = space.add_spline(degree=2, dxfattribs={"layer": "round"})
    w = math.sqrt(0.5)
    corners = ((1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0))
    nine.control_points = [(x * 50 + 600, y * 50, 0) for x, y in corners]
    nine.knots = [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]
    nine.weights = [1, w, 1, w, 1, w, 1, w, 1]
    drawing = read_back(document, tmp_path)
    fitted, circle = sorted(drawing.outlines, key=lambda o: o.layer)
    assert [type(c) for c in fitted.shape.outline.curves].count(Spline) == 1
    assert circle.area_mm2 == pytest.approx(math.pi * 2500, rel=1e-12)


def test_bulge_is_the_circular_segment_of_the_book(tmp_path: Path) -> None:
    """Segment area r^2 (a - sin a) / 2 with a = 4 atan(bulge), r = c (1 + b^2) / (4 b)."""
    for bulge in (0.1, 0.5, 1.0, 3.0):
        document, space = blank()
        space.add_lwpolyline([(0, 0, -bulge), (200, 0, 0)], format="xyb", close=True)
        angle, radius = 4 * math.atan(bulge), 200 * (1 + bulge**2) / (4 * bulge)
        expected = radius**2 * (angle - math.sin(angle)) / 2
        assert areas(read_back(document, tmp_path)) == pytest.approx([expected], rel=1e-12)


@pytest.mark.parametrize("version", ["R12", "R2000", "R2004", "R2007", "R2010", "R2013", "R2018"])
@pytest.mark.parametrize("form", ["asc", "bin"])
def test_all_versions_give_the_same(version: str, form: str, tmp_path: Path) -> None:
    document, space = blank(version)
    space.add_polyline2d([(0, 0, 0.3), (300, 0, 0), (300, 200, 0)], format="xyb", close=True)
    space.add_circle((600, 100), 80)
    space.add_text("bödën x2", height=20).set_placement((20, 20))
    path = tmp_path / "drawing.dxf"
    document.saveas(path, fmt=form)
    drawing = read_drawing(path, ReadOptions(unit=Unit.MM))
    angle, radius = 4 * math.atan(0.3), 300 * 1.09 / 1.2
    segment = radius**2 * (angle - math.sin(angle)) / 2
    assert areas(drawing) == pytest.approx([math.pi * 6400, 30_000 + segment], rel=1e-9)
    assert "bödën" in {o.name for o in drawing.outlines}


def test_spline_through_fit_points_obeys_its_end_tangents(tmp_path: Path) -> None:
    from nestcut.geometry.curves import tangent

    document, space = blank()
    fitted = space.add_spline([(0, 0), (100, 80), (200, 0)])
    fitted.dxf.start_tangent = (0, 1, 0)
    fitted.dxf.end_tangent = (0, -1, 0)
    space.add_line((0, 0), (200, 0))
    (outline,) = read_back(document, tmp_path).outlines
    (spline,) = [c for c in outline.shape.outline.curves if isinstance(c, Spline)]
    assert [abs(v) for v in tangent(spline, 0.0)] == pytest.approx([0, 1], abs=1e-9)
    assert [abs(v) for v in tangent(spline, 1.0)] == pytest.approx([0, 1], abs=1e-9)


def test_spline_with_full_inner_knots_is_the_curve_that_it_draws(tmp_path: Path) -> None:
    """Two cubic Bezier arcs in one spline, inner knot of multiplicity 4 (order), no jump."""
    control = [(0, 0), (100, 200), (300, 200), (400, 0), (400, 0), (500, -200), (700, -200),
               (800, 0)]  # fmt: skip
    knots = [0.0] * 4 + [1.0] * 4 + [2.0] * 4
    document, space = blank()
    spline = space.add_spline(dxfattribs={"degree": 3})
    spline.control_points = [(x, y, 0) for x, y in control]
    spline.knots = knots
    space.add_lwpolyline([(800, 0), (800, 500), (0, 500), (0, 0)])
    drawing = read_back(document, tmp_path)
    (part,) = drawing.outlines
    curve = BSpline([(x, y, 0) for x, y in control], order=4, knots=knots)
    assert not any(f.code == "DXF-005" for f in drawing.findings)
    # The two halves mirror each other through (400, 0): what one adds the other takes away.
    assert part.area_mm2 == pytest.approx(800 * 500, rel=1e-6)
    assert part.box_mm[1] == pytest.approx(min(p.y for p in curve.approximate(4000)), abs=1e-3)


def test_chain_of_many_bezier_arcs_in_one_spline_closes(tmp_path: Path) -> None:
    """A circle of four cubics as drawing programs write it; error 0.03 % of the radius."""
    k = 0.5522847498 * 300
    quarter = [(300, 0), (300, k), (k, 300), (0, 300)]
    control: list[tuple[float, float]] = []
    for turn in range(4):
        c, s = round(math.cos(turn * math.pi / 2)), round(math.sin(turn * math.pi / 2))
        control += [(c * x - s * y, s * x + c * y) for x, y in quarter]
    document, space = blank()
    spline = space.add_spline(dxfattribs={"degree": 3})
    spline.control_points = [(x, y, 0) for x, y in control]
    spline.knots = [float(i) for i in range(5) for _ in range(4)]
    drawing = read_back(document, tmp_path)
    (part,) = drawing.outlines
    assert part.area_mm2 == pytest.approx(math.pi * 90_000, rel=1e-3)
