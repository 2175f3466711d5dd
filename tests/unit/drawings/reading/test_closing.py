"""Lines become outlines: gaps, overshoots, doubles, branches."""

from __future__ import annotations

import math
from collections import Counter
from itertools import pairwise
from pathlib import Path

import pytest
from ezdxf.layouts.layout import Modelspace

from nestcut.drawings.pick import pick_outline
from nestcut.drawings.records import (
    OutlineRef,
    ReadOptions,
)
from nestcut.errors import Severity
from nestcut.facts import Length
from nestcut.model.curves import Arc, Line
from nestcut.units import Unit
from tests.unit.drawings.looks import areas, codes, mm
from tests.unit.drawings.pens import blank, box, loose_box, read_back


def with_gaps(space: Modelspace, x: float, gap: float, *, times: int) -> None:
    """A panel of loose lines, 1000 x 300, whose first corners don't meet."""
    shift = [gap if i < times else 0.0 for i in range(4)]
    corners = [(x, 0.0), (x + 1000, 0.0), (x + 1000, 300.0), (x, 300.0)]
    for i, (a, b) in enumerate(zip(corners, [*corners[1:], corners[0]], strict=True)):
        size = math.dist(a, b)
        share = shift[i] / size
        space.add_line(a, (b[0] + share * (a[0] - b[0]), b[1] + share * (a[1] - b[1])))


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


def test_two_parts_of_two_colours_keep_their_common_edge(tmp_path: Path) -> None:
    document, space = blank()
    for colour, x in ((1, 0), (3, 300)):
        corners = [(x, 0), (x + 300, 0), (x + 300, 200), (x, 200), (x, 0)]
        for a, b in pairwise(corners):
            space.add_line(a, b, dxfattribs={"color": colour})
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([60_000, 60_000])
    assert sorted(o.colour for o in drawing.outlines) == [1, 3]


@pytest.mark.parametrize("times", [1, 2, 4])
def test_gaps_are_measured_between_the_ends_that_belong_together(
    times: int, tmp_path: Path
) -> None:
    document, space = blank()
    with_gaps(space, 0, 0.6, times=times)
    box(space, 0, 600, 500, 200)
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == [100_000.0]
    faults = [f for f in drawing.findings if f.code == "DXF-046"]
    assert len(faults) == times
    for fault in faults:
        assert mm(fault, "away") == pytest.approx(0.6, abs=1e-6)
        assert mm(fault, "least") == pytest.approx(0.6)
        assert dict(fault.values)["gaps"] == times
        assert dict(fault.values)["others"] == 0
    assert "DXF-021" not in codes(drawing)
    cured = read_back(document, tmp_path, ReadOptions(unit=Unit.MM, join_gap_mm=0.6))
    assert areas(cured) == pytest.approx([100_000.0, 300_000.0], rel=2e-3)


def test_gap_of_one_layer_leaves_the_other_layers_alone(tmp_path: Path) -> None:
    document, space = blank()
    with_gaps(space, 0, 0.6, times=1)
    options = ReadOptions(unit=Unit.MM, layer_gaps=(("0", 1.0),))
    assert len(read_back(document, tmp_path, options).outlines) == 1
    other = ReadOptions(unit=Unit.MM, layer_gaps=(("hull", 1.0),))
    assert read_back(document, tmp_path, other).outlines == ()


def test_line_that_stops_short_of_another_is_told_as_such(tmp_path: Path) -> None:
    document, space = blank()
    space.add_line((0, 0), (1000, 0))
    space.add_line((1000, 0), (1000, 300))
    space.add_line((1000, 300), (0, 300))
    space.add_line((-200, 300), (0, 300))
    space.add_line((-200, 300), (0, 1.0))
    drawing = read_back(document, tmp_path)
    assert drawing.outlines == ()
    (fault,) = [f for f in drawing.findings if f.code in {"DXF-046", "DXF-047"}]
    assert mm(fault, "away") == pytest.approx(1.0, abs=1e-2)


def test_lines_that_run_past_a_corner_are_told_as_such(tmp_path: Path) -> None:
    document, space = blank()
    space.add_line((0, 0), (0, -150))
    loose_box(space, 0, 0, 800, 300)
    drawing = read_back(document, tmp_path)
    (told,) = [f for f in drawing.findings if f.code in {"DXF-023", "DXF-065"}]
    assert told.code == "DXF-065"
    assert mm(told, "longest") == pytest.approx(150)
