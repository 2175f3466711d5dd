"""Laws of the drawing room: what is written is read back; order and place change nothing."""

from __future__ import annotations

import math
import tempfile
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
import shapely
from ezdxf.filemanagement import new
from hypothesis import given, settings
from hypothesis import strategies as st

from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import ReadOptions
from nestcut.drawings.write import write_shape_drawing
from nestcut.geometry.curves import evaluate_many
from nestcut.geometry.rings import Side, ring_from_curves, shape_area_mm2
from nestcut.model.curves import Arc, Curve, Line, Spline
from nestcut.model.shape import Shape
from nestcut.units import Unit

FEW = settings(max_examples=25, deadline=None, derandomize=True)


@st.composite
def star_outlines(draw: st.DrawFn) -> tuple[Curve, ...]:
    """Outlines round the origin: each side a line, a flat arc or a gentle cubic."""
    n = draw(st.integers(3, 9))
    radii = draw(st.lists(st.floats(150, 400), min_size=n, max_size=n))
    kinds = draw(st.lists(st.sampled_from(["line", "arc", "spline"]), min_size=n, max_size=n))
    points = [
        (r * math.cos(2 * math.pi * k / n), r * math.sin(2 * math.pi * k / n))
        for k, r in enumerate(radii)
    ]
    curves: list[Curve] = []
    for a, b, kind in zip(points, [*points[1:], points[0]], kinds, strict=True):
        chord = math.dist(a, b)
        if kind == "line":
            curves.append(Line(a, b))
        elif kind == "arc":
            sweep = math.radians(20)
            radius = chord / 2 / math.sin(sweep / 2)
            off = radius * math.cos(sweep / 2)
            ux, uy = (b[0] - a[0]) / chord, (b[1] - a[1]) / chord
            centre = ((a[0] + b[0]) / 2 - uy * off, (a[1] + b[1]) / 2 + ux * off)
            start = math.degrees(math.atan2(a[1] - centre[1], a[0] - centre[0]))
            curves.append(Arc(centre, radius, start, 20.0))
        else:
            ux, uy = (b[1] - a[1]) * 0.05, (a[0] - b[0]) * 0.05
            third = ((2 * a[0] + b[0]) / 3 + ux, (2 * a[1] + b[1]) / 3 + uy)
            other = ((a[0] + 2 * b[0]) / 3 - ux, (a[1] + 2 * b[1]) / 3 - uy)
            curves.append(Spline(3, (a, third, other, b), (0, 0, 0, 0, 1, 1, 1, 1)))
    return tuple(curves)


@FEW
@given(star_outlines())
def test_written_shapes_are_read_back(curves: tuple[Curve, ...]) -> None:
    shape = Shape(ring_from_curves(curves, 0.05, Side.OUTLINE))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "shape.dxf"
        write_shape_drawing(path, shape, "part")
        (outline,) = read_drawing(path).outlines
    # Splines are written as arcs that leave them by less than a micrometre.
    around = sum(
        math.dist(a, b) for a, b in pairwise([*shape.outline.points, shape.outline.points[0]])
    )
    assert outline.area_mm2 == pytest.approx(shape_area_mm2(shape), abs=1e-3 * around)
    assert len(outline.shape.outline.curves) >= len(curves)


@FEW
@given(star_outlines(), st.floats(0.001, 2.0))
def test_polygons_cover_what_is_drawn(curves: tuple[Curve, ...], flatness: float) -> None:
    ring = ring_from_curves(curves, flatness, Side.OUTLINE)
    points = np.concatenate([evaluate_many(c, np.linspace(0, 1, 200)) for c in ring.curves])
    polygon = shapely.Polygon(ring.points)
    assert shapely.distance(shapely.points(points), polygon).max() < 1e-7
    edge = shapely.LinearRing(ring.points)
    assert shapely.distance(shapely.points(points), edge).max() <= flatness * (1 + 1e-6)


@FEW
@given(st.permutations(range(6)), st.lists(st.booleans(), min_size=6, max_size=6))
def test_order_and_direction_of_lines_change_nothing(order: list[int], turned: list[bool]) -> None:
    corners = [(0, 0), (300, 40), (500, 0), (520, 200), (260, 340), (10, 300)]
    document = new("R2000", units=4)
    space = document.modelspace()
    for k in order:
        a, b = corners[k], corners[(k + 1) % 6]
        space.add_line(*((b, a) if turned[k] else (a, b)))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "lines.dxf"
        document.saveas(path)
        (outline,) = read_drawing(path, ReadOptions(unit=Unit.MM)).outlines
    expected = shapely.Polygon(corners).area
    assert outline.area_mm2 == pytest.approx(expected, rel=1e-12)
    assert len(outline.shape.outline.points) == 6
