"""Our reader against GDAL's DXF driver (through pyogrio), an independent reader of the format.

GDAL flattens curves itself, so areas with arcs are compared to its flattening error: a regular
n-gon of step a has sin(a) / a of the circle's area, 1 - a^2 / 6.
"""

from __future__ import annotations

import math
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from ezdxf.filemanagement import new

from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import DrawnOutline

pyogrio = pytest.importorskip("pyogrio")

STEP_DEG = 0.05
FLATTENING = math.radians(STEP_DEG) ** 2 / 6


def gdal_areas(path: Path) -> list[float]:
    """Areas of the closed lines GDAL sees, islands and holes alike."""
    pyogrio.set_gdal_config_options({"OGR_ARC_STEPSIZE": str(STEP_DEG)})
    _, _, wkb, _ = pyogrio.raw.read(path)
    lines = [g for g in shapely.from_wkb(wkb) if g.geom_type == "LineString"]
    rings = shapely.get_parts(shapely.line_merge(shapely.multilinestrings(lines)))
    assert all(shapely.is_closed(rings))
    return sorted(shapely.Polygon(r).area for r in rings)


def our_areas(path: Path) -> list[float]:
    drawing = read_drawing(path)

    def outer(o: DrawnOutline) -> float:
        from nestcut.geometry.rings import true_area_mm2

        return abs(true_area_mm2(o.shape.outline))

    return sorted(outer(o) for o in (*drawing.outlines, *drawing.offered))


def test_straight_outlines_agree_to_a_millionth(tmp_path: Path) -> None:
    document = new("R2000", units=4)
    space = document.modelspace()
    rng = np.random.default_rng(3)
    for k in range(40):
        n = int(rng.integers(3, 40))
        t = np.sort(rng.uniform(0, 2 * math.pi, n)) + np.arange(n) * 1e-3
        r = rng.uniform(100, 400, n)
        x, y = 1000 * (k % 8) + r * np.cos(t), 1000 * (k // 8) + r * np.sin(t)
        points = list(zip(x.tolist(), y.tolist(), strict=True))
        if k % 2:
            space.add_lwpolyline(points, close=True)
        else:
            for a, b in pairwise([*points, points[0]]):
                space.add_line(a, b)
    block = document.blocks.new("b")
    block.add_lwpolyline([(0, 0), (300, 0), (200, 150)], close=True)
    turned = {"rotation": 17, "xscale": -1.5, "yscale": 0.8}
    space.add_blockref("b", (0, -1000), dxfattribs=turned)
    below = {"extrusion": (0, 0, -1)}
    space.add_lwpolyline([(0, -2000), (-300, -2000), (-200, -1900)], close=True, dxfattribs=below)
    path = tmp_path / "straight.dxf"
    document.saveas(path)
    ours = our_areas(path)
    assert len(ours) == 42
    assert ours == pytest.approx(gdal_areas(path), rel=1e-6)


def test_curved_outlines_agree_to_the_flattening_error(tmp_path: Path) -> None:
    document = new("R2000", units=4)
    space = document.modelspace()
    space.add_circle((0, 0), 200)
    space.add_ellipse((1000, 0), (300, 100), 0.4)
    space.add_lwpolyline([(2000, 0, 0.5), (2300, 0, -0.2), (2300, 200, 1), (2000, 200, 0)],
                         format="xyb", close=True)  # fmt: skip
    space.add_arc((3000, 0), 150, 20, 200)
    end, start = (3000 + 150 * math.cos(math.radians(a)) for a in (200, 20))
    space.add_line(
        (end, 150 * math.sin(math.radians(200))), (start, 150 * math.sin(math.radians(20)))
    )
    path = tmp_path / "curved.dxf"
    document.saveas(path)
    ours, theirs = our_areas(path), gdal_areas(path)
    assert len(ours) == 4
    # A chord's sliver counts against the whole outline, so three times the circle's error.
    assert ours == pytest.approx(theirs, rel=3 * FLATTENING + 1e-9)


def test_areas_follow_closed_formulas(tmp_path: Path) -> None:
    """Circle, ellipse, circular segment: any handbook; NURBS circle: Piegl and Tiller 1997, 7.5."""
    document = new("R2000", units=4)
    space = document.modelspace()
    space.add_circle((0, 0), 200)
    space.add_ellipse((1000, 0), (300, 0), 0.4)
    space.add_lwpolyline([(2000, 0, 0.5), (2300, 0, 0)], format="xyb", close=True)
    circle = space.add_spline(degree=2)
    corners = ((1, 0), (1, 1), (0, 1), (-1, 1), (-1, 0), (-1, -1), (0, -1), (1, -1), (1, 0))
    circle.control_points = [(3000 + 90 * x, 90 * y, 0) for x, y in corners]
    circle.knots = [0, 0, 0, 1, 1, 2, 2, 3, 3, 4, 4, 4]
    circle.weights = [1, *[math.sqrt(0.5), 1] * 4]
    path = tmp_path / "formulas.dxf"
    document.saveas(path)
    angle, radius = 4 * math.atan(0.5), 300 * 1.25 / 2
    expected = [
        math.pi * 200**2,
        math.pi * 300 * 120,
        radius**2 * (angle - math.sin(angle)) / 2,
        math.pi * 90**2,
    ]
    assert our_areas(path) == pytest.approx(sorted(expected), rel=1e-12)
