"""Reading: what closes, what lies in what, what is kept, what is told."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest

from nestcut.drawings.pick import pick_outline
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing, DrawnOutline, OutlineRef, ReadOptions, Seen, Whole
from nestcut.errors import DrawingError, Severity
from nestcut.facts import Length
from nestcut.model.curves import Arc, EllipticArc, Line, Spline
from nestcut.units import Unit
from tests.unit.drawings.pens import blank, box, loose_box, read_back


def codes(drawing: Drawing) -> Counter[str]:
    return Counter(f.code for f in drawing.findings)


def areas(drawing: Drawing) -> list[float]:
    return sorted(o.area_mm2 for o in drawing.outlines)


# ---- closing ---------------------------------------------------------------------------------


def test_loose_lines_and_arcs_close_whatever_their_order_and_direction(tmp_path: Path) -> None:
    document, space = blank()
    space.add_line((0, 40), (0, 0))
    space.add_arc((60, 20), 20, 270, 90)
    space.add_line((60, 40), (0, 40))
    space.add_line((60, 0), (0, 0))
    (outline,) = read_back(document, tmp_path).outlines
    assert outline.area_mm2 == pytest.approx(60 * 40 + math.pi * 200, rel=1e-12)
    assert [type(c) for c in outline.shape.outline.curves].count(Arc) == 1
    assert len(outline.handles) == 4


def test_small_gap_is_closed_and_told_a_wide_one_is_reported(tmp_path: Path) -> None:
    for gap, closes in ((0.06, True), (1.0, False)):
        document, space = blank()
        space.add_line((0, 0), (500, 0))
        space.add_line((500, gap), (500, 300))
        space.add_line((500, 300), (0, 300))
        space.add_line((0, 300), (0, 0))
        drawing = read_back(document, tmp_path)
        assert bool(drawing.outlines) is closes
        assert ("DXF-022" in codes(drawing)) is closes
        assert ("DXF-046" in codes(drawing)) is not closes
        if not closes:
            (finding,) = [f for f in drawing.findings if f.code == "DXF-046"]
            assert dict(finding.values)["away"] == Length(1.0)
            assert finding.at_mm in {(500.0, 0.0), (500.0, 1.0)}
            assert len(drawing.left_out) == 4
        wider = ReadOptions(unit=Unit.MM, join_gap_mm=1.5)
        assert len(read_back(document, tmp_path, wider).outlines) == 1


def test_hundreds_of_segments_shorter_than_the_gap_close(tmp_path: Path) -> None:
    document, space = blank()
    n = 2000
    points = [
        (10 * math.cos(2 * math.pi * k / n), 10 * math.sin(2 * math.pi * k / n)) for k in range(n)
    ]
    for a, b in zip(points, [*points[1:], points[0]], strict=True):
        space.add_line(a, b)
    (outline,) = read_back(document, tmp_path).outlines
    assert outline.area_mm2 == pytest.approx(math.pi * 100, rel=1e-5)
    assert len(outline.shape.outline.curves) == n


def test_doubles_overlaps_and_specks_are_removed_and_told(tmp_path: Path) -> None:
    document, space = blank()
    loose_box(space, 0, 0, 500, 300)
    space.add_line((500, 0), (500, 300))
    space.add_line((400, 300), (100, 300))
    space.add_line((100, 0), (100, 0))
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([150_000])
    assert codes(drawing)["DXF-025"] == 1
    assert codes(drawing)["DXF-027"] == 1
    reasons = Counter(item.reason for item in drawing.left_out)
    assert reasons["it is drawn twice"] == 2
    assert reasons["it is a speck without length"] == 1


def test_closed_polyline_with_repeated_first_point_is_one_outline(tmp_path: Path) -> None:
    document, space = blank()
    space.add_lwpolyline([(0, 0), (200, 0), (200, 100), (0, 100), (0, 0)], close=True)
    assert areas(read_back(document, tmp_path)) == pytest.approx([20_000])


def test_dividing_line_becomes_a_mark(tmp_path: Path) -> None:
    document, space = blank()
    for a, b in (((0, 0), (250, 0)), ((250, 0), (500, 0)), ((500, 0), (500, 300)),
                 ((500, 300), (250, 300)), ((250, 300), (0, 300)), ((0, 300), (0, 0)),
                 ((250, 0), (250, 300)), ((500, 300), (560, 300))):  # fmt: skip
        space.add_line(a, b)
    drawing = read_back(document, tmp_path)
    (outline,) = drawing.outlines
    assert outline.area_mm2 == pytest.approx(150_000)
    assert [m.points for m in outline.shape.marks] == [((250, 0), (250, 300))]
    assert codes(drawing)["DXF-023"] == 1
    assert [item.curves for item in drawing.left_out] == [(Line((500, 300), (560, 300)),)]


def test_overshooting_corners_are_cut_back(tmp_path: Path) -> None:
    document, space = blank()
    for a, b in (((-20, 0), (520, 0)), ((500, -20), (500, 320)), ((520, 300), (-20, 300)),
                 ((0, 320), (0, -20))):  # fmt: skip
        space.add_line(a, b)
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([150_000])
    assert len(drawing.left_out) == 8


def test_line_ending_on_the_inside_of_another_closes_an_outline(tmp_path: Path) -> None:
    document, space = blank()
    space.add_line((-100, 0), (600, 0))
    space.add_line((0, 0), (0, 300))
    space.add_line((0, 300), (500, 300))
    space.add_line((500, 300), (500, 0.02))
    assert areas(read_back(document, tmp_path)) == pytest.approx([150_000], rel=1e-4)


def test_arcs_crossing_lines_are_cut_exactly(tmp_path: Path) -> None:
    document, space = blank()
    space.add_line((-60, 0), (60, 0))
    space.add_arc((0, -30), 50, 0, 180)
    drawing = read_back(document, tmp_path)
    half = math.acos(30 / 50)
    expected = 2500 * (half - math.sin(half) * math.cos(half))
    assert areas(drawing) == pytest.approx([expected], rel=1e-9)


def test_self_crossing_is_located_and_refused_when_picked(tmp_path: Path) -> None:
    document, space = blank()
    space.add_lwpolyline([(0, 0), (200, 100), (200, 0), (0, 100)], close=True)
    drawing = read_back(document, tmp_path)
    (finding,) = [f for f in drawing.findings if f.code == "DXF-024"]
    assert finding.at_mm == pytest.approx((100, 50))
    picked = pick_outline(drawing, OutlineRef())
    assert isinstance(picked, tuple)
    assert picked[0].severity is Severity.ERROR


def test_outline_made_of_lines_on_two_layers_closes(tmp_path: Path) -> None:
    document, space = blank()
    space.add_lwpolyline([(0, 0), (500, 0), (500, 300)], dxfattribs={"layer": "a"})
    space.add_lwpolyline([(500, 300), (0, 300), (0, 0)], dxfattribs={"layer": "b"})
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([150_000])
    assert codes(drawing)["DXF-031"] == 1


# ---- holes, islands, copies, frames -----------------------------------------------------------


def test_holes_are_holes_and_islands_are_parts(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 500, 300)
    space.add_circle((250, 150), 100)
    box(space, 220, 120, 60, 60, "lid")
    drawing = read_back(document, tmp_path)
    outer = 500 * 300 - math.pi * 1e4
    assert areas(drawing) == pytest.approx([3600, outer], rel=1e-12)
    (hole,) = drawing.offered
    assert hole.offered_because is not None
    assert hole.offered_because.code == "DXF-201"


def test_same_outline_on_several_layers_is_one(tmp_path: Path) -> None:
    document, space = blank()
    for layer in ("cut", "copy", "more"):
        box(space, 0, 0, 500, 300, layer)
    drawing = read_back(document, tmp_path)
    (outline,) = drawing.outlines
    assert outline.layer == "cut"
    assert outline.also_on == ("copy", "more")
    assert codes(drawing)["DXF-028"] == 1
    picked = pick_outline(drawing, OutlineRef(layer="more"))
    assert isinstance(picked, DrawnOutline)


def test_parts_drawn_over_each_other_on_their_own_layers_are_no_holes(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 500, 300, "frame 1")
    box(space, 100, 50, 600, 200, "frame 2")
    box(space, 150, 80, 100, 100, "frame 2")
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([110_000, 150_000])
    assert codes(drawing)["DXF-029"] == 1


def test_sheet_border_around_parts_is_offered_only(tmp_path: Path) -> None:
    document, space = blank()
    box(space, -50, -50, 2440, 1220, "border")
    box(space, 0, 0, 500, 300)
    box(space, 600, 0, 500, 200)
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([100_000, 150_000])
    assert codes(drawing)["DXF-030"] == 1
    assert drawing.offered[0].offered_because is not None
    assert drawing.offered[0].offered_because.code == "DXF-202"


def test_pattern_of_thousands_of_nested_loops_ends_soon_with_a_finding(tmp_path: Path) -> None:
    document, space = blank()
    for k in range(900):
        space.add_circle((0, 0), 1000 - k)
    drawing = read_back(document, tmp_path)
    assert codes(drawing)["DXF-038"] == 1


# ---- where it comes from ----------------------------------------------------------------------


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


# ---- curves -----------------------------------------------------------------------------------


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


# ---- marks and halves -------------------------------------------------------------------------


def test_lines_inside_are_marks_with_the_text_that_stands_on_them(tmp_path: Path) -> None:
    document, space = blank()
    document.linetypes.add("CENTER", [2.0, 1.25, -0.25, 0.25, -0.25])
    box(space, 0, 0, 2000, 400)
    space.add_text("side panel", height=60).set_placement((200, 200))
    space.add_line((500, 0), (500, 400))
    space.add_text("frame 2", height=20).set_placement((510, 30))
    space.add_line((-50, 390), (2050, 390), dxfattribs={"linetype": "CENTER"})
    space.add_line((2100, 0), (2100, 400), dxfattribs={"linetype": "CENTER"})
    space.add_line((0, -100), (2000, -100), dxfattribs={"layer": "dimensions"})
    drawing = read_back(document, tmp_path)
    (outline,) = drawing.outlines
    assert outline.name == "side panel"
    assert outline.labels == ("side panel",)
    labels = sorted(m.label for m in outline.shape.marks)
    assert labels == ["", "frame 2"]
    (clipped,) = [m for m in outline.shape.marks if not m.label]
    assert [x for x, _ in sorted(clipped.points)] == pytest.approx([0, 2000])
    assert codes(drawing)["DXF-040"] == 1
    assert len(drawing.left_out) == 3


def test_half_a_frame_is_offered_and_mirrored_on_the_builders_word(tmp_path: Path) -> None:
    document, space = blank()
    document.linetypes.add("CENTER", [2.0, 1.25, -0.25, 0.25, -0.25])
    space.add_lwpolyline([(0, 0), (300, 50), (400, 300), (0, 350)], dxfattribs={"layer": "frame"})
    space.add_line((0, -50), (0, 400), dxfattribs={"linetype": "CENTER"})
    drawing = read_back(document, tmp_path)
    assert not drawing.outlines
    assert codes(drawing)["DXF-034"] == 1
    asked = pick_outline(drawing, OutlineRef(layer="frame"))
    assert isinstance(asked, tuple)
    assert asked[0].severity is Severity.QUESTION
    whole = pick_outline(drawing, OutlineRef(layer="frame", whole=Whole.MIRRORED_HALF))
    assert isinstance(whole, DrawnOutline)
    assert whole.box_mm == pytest.approx((-400, 0, 400, 350))
    assert whole.area_mm2 == pytest.approx(
        2 * abs(sum(a[0] * b[1] - a[1] * b[0] for a, b in
                    (((0, 0), (300, 50)), ((300, 50), (400, 300)), ((400, 300), (0, 350)),
                     ((0, 350), (0, 0))))) / 2)  # fmt: skip


def test_closed_half_with_an_edge_on_a_centre_line_is_offered_too(tmp_path: Path) -> None:
    document, space = blank()
    document.linetypes.add("CENTER", [2.0, 1.25, -0.25, 0.25, -0.25])
    space.add_lwpolyline([(0, 0), (300, 0, 0.3), (300, 200, 0), (0, 200)], format="xyb", close=True)
    space.add_circle((150, 100), 30)
    space.add_line((0, -50), (0, 300), dxfattribs={"linetype": "CENTER"})
    drawing = read_back(document, tmp_path)
    (outline,) = drawing.outlines
    assert outline.half_of is not None
    plain = pick_outline(drawing, OutlineRef())
    assert isinstance(plain, DrawnOutline)
    assert plain.area_mm2 == outline.area_mm2
    whole = pick_outline(drawing, OutlineRef(whole=Whole.MIRRORED_HALF))
    assert isinstance(whole, DrawnOutline)
    assert whole.area_mm2 == pytest.approx(2 * outline.area_mm2, rel=1e-12)
    assert len(whole.shape.holes) == 2
    assert len(whole.shape.outline.curves) == 6


# ---- units ------------------------------------------------------------------------------------


@pytest.mark.parametrize(("code", "factor"), [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1e3)])
def test_header_gives_the_unit(code: int, factor: float, tmp_path: Path) -> None:
    document, space = blank(insunits=code)
    box(space, 0, 0, 2000 / factor, 500 / factor)
    drawing = read_back(document, tmp_path, ReadOptions())
    assert areas(drawing) == pytest.approx([1e6])
    assert not drawing.findings


def test_silent_header_asks_and_says_what_each_unit_would_give(tmp_path: Path) -> None:
    document, space = blank(insunits=0)
    box(space, 0, 0, 96, 24)
    drawing = read_back(document, tmp_path, ReadOptions())
    (finding,) = drawing.findings
    assert drawing.unit is None
    assert (finding.code, finding.severity) == ("DXF-010", Severity.QUESTION)
    assert any("2,438 mm" in t for t in dict(finding.values)["choices"].names)  # type: ignore[union-attr]
    inches = read_back(document, tmp_path, ReadOptions(unit=Unit.INCH))
    assert inches.outlines[0].box_mm == pytest.approx((0, 0, 2438.4, 609.6))


@pytest.mark.parametrize("size", [120.0, 120_000.0])
def test_implausible_size_is_pointed_at(size: float, tmp_path: Path) -> None:
    document, space = blank(insunits=4)
    box(space, 0, 0, size, size / 4)
    drawing = read_back(document, tmp_path, ReadOptions())
    (finding,) = [f for f in drawing.findings if f.code in {"DXF-012", "DXF-013"}]
    is_absurd = size > 30_000
    assert (finding.code == "DXF-012") is is_absurd
    assert (finding.severity is Severity.QUESTION) is is_absurd


def test_word_of_the_job_overrules_the_header_and_says_so(tmp_path: Path) -> None:
    document, space = blank(insunits=1)
    box(space, 0, 0, 2000, 500)
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([1e6])
    assert codes(drawing)["DXF-011"] == 1


# ---- nothing to read --------------------------------------------------------------------------


def test_empty_drawing_says_so(tmp_path: Path) -> None:
    document, _ = blank()
    assert codes(read_back(document, tmp_path))["DXF-020"] == 1


@pytest.mark.parametrize(
    "content", [b"", b"hello", b"\x00" * 9000, b"%PDF-1.4\n" + b"1234567890" * 99]
)
def test_what_is_no_drawing_is_refused(content: bytes, tmp_path: Path) -> None:
    path = tmp_path / "x.dxf"
    path.write_bytes(content)
    with pytest.raises(DrawingError) as refused:
        read_drawing(path)
    assert refused.value.findings[0].code == "DXF-002"


def test_missing_file_and_folder_are_refused(tmp_path: Path) -> None:
    wanted = {tmp_path / "none.dxf": "FIL-001", tmp_path: "FIL-004", tmp_path / "a\x00b": "FIL-001"}
    for path, code in wanted.items():
        with pytest.raises(DrawingError) as refused:
            read_drawing(path)
        assert refused.value.findings[0].code == code


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


def test_two_parts_of_two_colours_keep_their_common_edge(tmp_path: Path) -> None:
    document, space = blank()
    for colour, x in ((1, 0), (3, 300)):
        corners = [(x, 0), (x + 300, 0), (x + 300, 200), (x, 200), (x, 0)]
        for a, b in pairwise(corners):
            space.add_line(a, b, dxfattribs={"color": colour})
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([60_000, 60_000])
    assert sorted(o.colour for o in drawing.outlines) == [1, 3]


def test_only_dashed_lines_are_taken_for_edges_if_there_is_nothing_else(tmp_path: Path) -> None:
    document, space = blank()
    document.linetypes.add("DASHED", [0.75, 0.5, -0.25])
    space.add_lwpolyline(
        [(0, 0), (500, 0), (500, 300)], close=True, dxfattribs={"linetype": "DASHED"}
    )
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([75_000])
    assert codes(drawing)["DXF-033"] == 1
