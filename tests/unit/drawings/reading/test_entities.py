"""Entities of all kinds: blocks, hatches, tilted and skewed ones."""

from __future__ import annotations

import math
from collections import Counter
from pathlib import Path

import pytest

from nestcut.drawings.pick import pick_outline
from nestcut.drawings.records import (
    DrawnOutline,
    LooksLike,
    OutlineRef,
    Seen,
)
from nestcut.model.curves import Arc, EllipticArc, Line
from tests.unit.drawings.looks import areas, codes, kinds
from tests.unit.drawings.pens import blank, box, read_back


def test_nested_mirrored_and_arrayed_blocks_are_resolved(tmp_path: Path) -> None:
    document, space = blank()
    part = document.blocks.new("part", base_point=(10, 5))
    part.add_lwpolyline(
        [(10, 5, 0), (110, 5, 1), (110, 55, 0), (10, 55, 0)], format="xyb", close=True
    )
    part.add_circle((40, 30), 10)
    outer = document.blocks.new("outer")
    outer.add_blockref("part", (0, 0), dxfattribs={"xscale": -2, "yscale": 2, "rotation": 90})
    space.add_blockref("outer", (1000, 0), dxfattribs={"rotation": 30})
    grid = {"row_count": 2, "column_count": 3, "row_spacing": 100, "column_spacing": 200}
    space.add_blockref("part", (0, 500), dxfattribs=grid)
    drawing = read_back(document, tmp_path)
    one = 100 * 50 + math.pi * 625 / 2 - math.pi * 100
    assert areas(drawing) == pytest.approx([one] * 6 + [4 * one], rel=1e-12)
    big = max(drawing.outlines, key=lambda o: o.area_mm2)
    assert big.block == "outer/part"
    assert {type(c) for c in big.shape.outline.curves} == {Line, Arc}


def test_uneven_scale_turns_arcs_into_true_ellipses(tmp_path: Path) -> None:
    document, space = blank()
    part = document.blocks.new("disc")
    part.add_circle((0, 0), 50)
    space.add_blockref("disc", (0, 0), dxfattribs={"xscale": 3, "yscale": 1, "rotation": 20})
    space.add_blockref("disc", (900, 0), dxfattribs={"zscale": 0})
    small, large = sorted(read_back(document, tmp_path).outlines, key=lambda o: o.area_mm2)
    assert large.area_mm2 == pytest.approx(math.pi * 7500, rel=1e-12)
    (curve,) = large.shape.outline.curves
    assert isinstance(curve, EllipticArc)
    assert small.area_mm2 == pytest.approx(math.pi * 2500, rel=1e-12)


def test_objects_seen_from_below_are_where_they_belong(tmp_path: Path) -> None:
    document, space = blank()
    below = {"extrusion": (0, 0, -1)}
    space.add_lwpolyline([(0, 0), (-200, 0), (-200, 100)], close=True, dxfattribs=below)
    space.add_arc((-400, 50), 50, -90, 90, dxfattribs=below)
    space.add_line((400, 0), (400, 100))
    drawing = read_back(document, tmp_path)
    boxes = sorted(o.box_mm for o in drawing.outlines)
    assert boxes[0] == pytest.approx((0, 0, 200, 100))
    assert boxes[1] == pytest.approx((350, 0, 400, 100))


def test_block_that_contains_itself_is_followed_once(tmp_path: Path) -> None:
    document, space = blank()
    one, two = document.blocks.new("one"), document.blocks.new("two")
    one.add_circle((0, 0), 100)
    one.add_blockref("two", (500, 0))
    two.add_blockref("one", (500, 0))
    space.add_blockref("one", (0, 0))
    drawing = read_back(document, tmp_path)
    assert len(drawing.outlines) == 1
    assert codes(drawing)["DXF-041"] == 1


def test_hidden_layers_are_offered_and_never_win_over_shown_ones(tmp_path: Path) -> None:
    document, space = blank()
    document.layers.add("old").off()
    document.layers.add("spare").freeze()
    box(space, 0, 0, 500, 300, "old")
    box(space, 0, 0, 500, 300, "cut")
    box(space, 600, 0, 200, 300, "spare")
    drawing = read_back(document, tmp_path)
    assert [o.layer for o in drawing.outlines] == ["cut"]
    assert {o.seen for o in drawing.offered} == {Seen.OFF, Seen.FROZEN}
    picked = pick_outline(drawing, OutlineRef(layer="spare"))
    assert isinstance(picked, DrawnOutline)
    assert [f.code for f in picked.faults] == ["DXF-054"]


def test_outline_that_only_a_hatch_shows_is_offered(tmp_path: Path) -> None:
    document, space = blank()
    hatch = space.add_hatch(dxfattribs={"layer": "fill"})
    hatch.paths.add_polyline_path([(0, 0), (500, 0, 0.5), (500, 300)], is_closed=True)
    filled = space.add_hatch()
    filled.paths.add_edge_path().add_arc((800, 100), 100, 0, 360)
    space.add_circle((800, 100), 100)
    drawing = read_back(document, tmp_path)
    assert [o.layer for o in drawing.outlines] == ["0"]
    (offered,) = [o for o in drawing.offered if o.layer == "fill"]
    assert offered.offered_because is not None
    assert offered.offered_because.code == "DXF-203"
    assert Counter(i.reason for i in drawing.left_out)["the filling of an outline"] == 1


def test_everything_else_is_left_out_with_a_reason(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 500, 300)
    space.add_point((10, 10))
    space.add_linear_dim(base=(0, -50), p1=(0, 0), p2=(500, 0)).render()
    space.add_xline((0, 0), (1, 0))
    space.add_solid([(0, 0), (5, 0), (0, 5), (5, 5)])
    space.add_blockref("missing", (0, 0))
    document.paperspace().add_line((0, 0), (5, 5))
    drawing = read_back(document, tmp_path)
    kinds = Counter(i.kind for i in drawing.left_out)
    assert kinds == dict.fromkeys(("POINT", "DIMENSION", "XLINE", "SOLID", "INSERT"), 1)
    assert all(i.reason for i in drawing.left_out)
    assert codes(drawing)["DXF-039"] == 1
    assert drawing.entity_count == 6


def test_skewed_circles_are_true_ellipses(tmp_path: Path) -> None:
    """Uneven scale, turn, uneven scale: the two half diameters are no longer square."""
    document, space = blank()
    inner = document.blocks.new("inner")
    inner.add_circle((10, 5), 20)
    inner.add_lwpolyline([(40, 0, 0.4), (80, 0, 0), (60, 30, 0)], format="xyb", close=True)
    outer = document.blocks.new("outer")
    outer.add_blockref("inner", (0, 0), dxfattribs={"xscale": 2, "rotation": 30})
    space.add_blockref("outer", (500, 0), dxfattribs={"yscale": 3, "rotation": -10})
    drawing = read_back(document, tmp_path)
    angle, radius = 4 * math.atan(0.4), 40 * 1.16 / 1.6
    bulged = 600 + radius**2 * (angle - math.sin(angle)) / 2
    assert areas(drawing) == pytest.approx(sorted((6 * math.pi * 400, 6 * bulged)), rel=1e-12)
    for outline in drawing.outlines:
        for curve in outline.shape.outline.curves:
            if isinstance(curve, EllipticArc):
                (ax, ay), (bx, by) = curve.major, curve.minor
                assert ax * bx + ay * by == pytest.approx(0, abs=1e-9)


def test_hatches_with_all_kinds_of_edges_are_offered(tmp_path: Path) -> None:
    document, space = blank()
    hatch = space.add_hatch()
    path = hatch.paths.add_edge_path()
    path.add_line((0, 0), (300, 0))
    path.add_arc((300, 100), 100, 270, 90)
    path.add_ellipse((150, 200), (150, 0), 0.4, 0, 180)
    path.add_line((0, 200), (0, 0))
    drawing = read_back(document, tmp_path)
    (offered,) = drawing.offered
    expected = 300 * 200 + math.pi * 1e4 / 2 + math.pi * 150 * 60 / 2
    assert offered.area_mm2 == pytest.approx(expected, rel=1e-9)


def test_tilted_panel_is_asked_and_never_a_second_copy(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 600, 400)
    c, s = math.cos(math.radians(30)), math.sin(math.radians(30))
    corners = [(0, 0), (600, 0), (600, 400), (0, 400)]
    space.add_polyline3d([(1000 + x * c, y, x * s) for x, y in corners], close=True)
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == [240_000.0]
    assert kinds(drawing) == [LooksLike.TILTED.value]
    assert drawing.asked[0].area_mm2 == pytest.approx(240_000.0)
