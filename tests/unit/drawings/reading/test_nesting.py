"""What lies in what: holes, islands, copies, parts drawn over each other."""

from __future__ import annotations

import math
from pathlib import Path

import pytest
from ezdxf.layouts.layout import Modelspace

from nestcut.drawings.pick import pick_outline
from nestcut.drawings.records import (
    DrawnOutline,
    LooksLike,
    OutlineRef,
)
from tests.unit.drawings.looks import areas, codes, kinds, names, not_parts, said
from tests.unit.drawings.pens import blank, box, read_back, write


def frame(space: Modelspace, half: float, top: float, layer: str) -> float:
    """A frame on the base line y = 0, symmetric about x = 0; returns its area."""
    points = [(-half * 0.7, 0.0), (half * 0.7, 0.0), (half, top), (-half, top)]
    space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})
    write(space, layer, -half * 0.6, top - 30, layer)
    return 1.7 * half * top


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


def test_frames_over_each_other_on_one_base_line_are_parts_without_holes(tmp_path: Path) -> None:
    document, space = blank()
    expected = [
        frame(space, 400, 300, "frame 1"),
        frame(space, 550, 380, "frame 2"),
        frame(space, 650, 460, "frame 3"),
    ]
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["frame 1", "frame 2", "frame 3"]
    assert areas(drawing) == pytest.approx(expected)
    assert all(o.shape.holes == () for o in drawing.outlines)


@pytest.mark.parametrize("off", [0.0, 0.05, 0.2])
def test_outline_drawn_again_slightly_off_is_one_part(off: float, tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 800, 300)
    box(space, off, off, 800, 300)
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([240_000.0], rel=1e-3)
    assert drawing.outlines[0].shape.holes == ()
    assert codes(drawing).keys() & {"DXF-025", "DXF-028"}


def test_double_page_border_is_no_part(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 4200, 2970)
    box(space, 100, 100, 4000, 2770)
    for i in range(3):
        box(space, 300 + 900 * i, 500, 700, 300 + 40 * i)
        write(space, f"panel {'abc'[i]}", 350 + 900 * i, 600)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["panel a", "panel b", "panel c"]
    assert areas(drawing) == [210_000.0, 238_000.0, 266_000.0]
    assert [f.code for f in drawing.findings].count("DXF-030") == 2


@pytest.mark.parametrize("layer", ["0", "allowance"])
def test_panel_with_its_allowance_line_is_no_ring(layer: str, tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 1200, 400)
    box(space, -20, -20, 1240, 440, layer)
    drawing = read_back(document, tmp_path)
    assert all(o.shape.holes == () for o in drawing.outlines)
    both = [*drawing.outlines, *drawing.asked]
    assert 480_000.0 in [o.area_mm2 for o in both]
    if layer == "allowance":
        assert areas(drawing) == [480_000.0]
        assert not_parts(drawing) == [LooksLike.ALLOWANCE]
    else:
        assert drawing.outlines == ()
        assert kinds(drawing) == [LooksLike.ALLOWANCE.value] * 2


def test_t_pieces_in_a_router_template_are_no_thin_rims(tmp_path: Path) -> None:
    """A T with the tool path half a cutter outside: 0.4 % of its area would be left."""
    document, space = blank()
    for x in (0.0, 600.0):
        for d in (0.0, 0.5):
            points = [(-200 - d, -d), (200 + d, -d), (200 + d, 100 + d), (50 + d, 100 + d),
                      (50 + d, 400 + d), (-50 - d, 400 + d), (-50 - d, 100 + d),
                      (-200 - d, 100 + d)]  # fmt: skip
            space.add_lwpolyline([(x + a, b) for a, b in points], close=True)
    drawing = read_back(document, tmp_path)
    assert all(o.shape.holes == () for o in (*drawing.outlines, *drawing.asked))
    found = [o.area_mm2 for o in (*drawing.outlines, *drawing.asked)]
    assert sum(1 for a in found if a == pytest.approx(70_000.0)) == 2


def test_plain_round_holes_are_holes_without_a_doubt(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 900, 400)
    for x in (200, 450, 700):
        space.add_circle((x, 200), 60)
    drawing = read_back(document, tmp_path)
    (part,) = drawing.outlines
    assert part.area_mm2 == pytest.approx(360_000.0 - 3 * math.pi * 3600.0)
    assert len(part.shape.holes) == 3
    assert part.doubts == ()


def test_labelled_closed_line_inside_a_part_is_doubted(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 900, 400)
    write(space, "deck", 20, 350)
    box(space, 300, 100, 200, 150)
    write(space, "king plank", 320, 150)
    drawing = read_back(document, tmp_path)
    (deck,) = [o for o in drawing.outlines if o.name == "deck"]
    assert len(deck.doubts) == 1
    assert "DXF-241" in {r.code for r in deck.doubts[0].reasons}
    assert "DXF-058" in codes(drawing)


def test_outlines_over_an_edge_are_told_by_their_numbers_in_the_picture(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 800, 300, "hull")
    box(space, 100, 0, 200, 100, "seats")
    box(space, 700, 200, 300, 300, "deck")
    drawing = read_back(document, tmp_path)
    assert said(drawing, "DXF-043").startswith("outline 2 lies within outline 1 ")
    crossing = said(drawing, "DXF-029")
    assert "outline 3" in crossing
    assert "outline 1" in crossing


@pytest.mark.parametrize(
    ("n", "words"), [(1, "1 outline may be a part"), (5, "5 outlines may be parts")]
)
def test_findings_keep_to_grammar(n: int, words: str, tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 2000, 400)
    for i in range(n):
        space.add_circle((100 + 150 * i, 700), 10)
    assert said(read_back(document, tmp_path), "DXF-048").startswith(words)
