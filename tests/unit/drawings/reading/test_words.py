"""Texts, marks and halves: what they say of an outline."""

from __future__ import annotations

from pathlib import Path

import pytest
from ezdxf.layouts.layout import Modelspace

from nestcut.drawings.pick import pick_outline
from nestcut.drawings.records import (
    DrawnOutline,
    OutlineRef,
    Whole,
)
from nestcut.errors import Severity
from tests.unit.drawings.looks import areas, codes, names
from tests.unit.drawings.pens import blank, box, loose_box, read_back, write


def frame(space: Modelspace, half: float, top: float, layer: str) -> float:
    """A frame on the base line y = 0, symmetric about x = 0; returns its area."""
    points = [(-half * 0.7, 0.0), (half * 0.7, 0.0), (half, top), (-half, top)]
    space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})
    write(space, layer, -half * 0.6, top - 30, layer)
    return 1.7 * half * top


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


def test_line_across_a_closed_panel_is_a_mark_whatever_is_written_beside_it(
    tmp_path: Path,
) -> None:
    """Station lines with their frames' names run across many a bottom: it stays whole."""
    document, space = blank()
    box(space, 0, 0, 600, 400)
    space.add_line((250, 0), (250, 400))
    write(space, "frame 1", 50, 200)
    write(space, "frame 2", 350, 200)
    (part,) = read_back(document, tmp_path).outlines
    assert part.area_mm2 == 240_000.0
    assert len(part.shape.marks) == 1
    assert part.labels == ("frame 1", "frame 2")


def test_one_name_in_parted_cells_names_the_whole(tmp_path: Path) -> None:
    document, space = blank()
    for i in range(3):
        loose_box(space, 300 * i, 0, 300, 400)
    write(space, "bottom", 50, 200)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["bottom"]
    assert areas(drawing) == [360_000.0]
    assert "DXF-023" in codes(drawing)


@pytest.mark.parametrize(
    ("label", "name", "count", "hand", "is_half"),
    [
        ("KNEE MAKE 2", "KNEE", 2, "", False),
        ("knee x 6", "knee", 6, "", False),
        ("knee 2 OFF", "knee", 2, "", False),
        ("side P&S", "side", None, "p&s", False),
        ("side (PAIR)", "side", None, "pair", False),
        ("SIDE MAKE PAIR", "SIDE", None, "make pair", False),
        ("side, cut a pair", "side", None, "cut a pair", False),
        ("transom (HALF)", "transom", None, "", True),
        ("4 Stk Knie", "Knie", 4, "", False),
        ("Seite Paar", "Seite", None, "paar", False),
        ("Spant 3 Hälfte", "Spant 3", None, "", True),
        ("genou 2 fois", "genou", 2, "", False),
        ("flanc tribord", "flanc", None, "tribord", False),
        ("moitié du tableau", "du tableau", None, "", True),
        ("cuaderna cant. 2", "cuaderna", 2, "", False),
        ("costado estribor", "costado", None, "estribor", False),
        ("espejo mitad", "espejo", None, "", True),
    ],
)  # fmt: skip
def test_shop_words_are_read_from_labels(
    label: str, name: str, count: int | None, hand: str, *, is_half: bool, tmp_path: Path
) -> None:
    document, space = blank()
    box(space, 0, 0, 700, 300)
    write(space, label, 50, 100)
    (part,) = read_back(document, tmp_path).outlines
    assert part.name == name
    (said,) = part.suggestions
    assert (said.count, said.hand, said.is_half) == (count, hand, is_half)


def test_leader_names_the_outline_that_its_tip_touches(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 300, 200)
    box(space, 500, 0, 310, 210)
    write(space, "knee", 330, 260)
    space.add_leader([(150, 100), (325, 265)])
    drawing = read_back(document, tmp_path)
    (knee,) = [o for o in drawing.outlines if o.name == "knee"]
    assert knee.area_mm2 == 60_000.0


def test_half_closed_on_a_centre_line_is_offered_to_be_mirrored(tmp_path: Path) -> None:
    document, space = blank()
    space.add_lwpolyline([(0, 0), (400, 0), (500, 300), (0, 300)], close=True)
    write(space, "frame 2 (HALF)", 50, 100)
    space.add_line((0, -100), (0, 400), dxfattribs={"linetype": "CENTER"})
    document.linetypes.add("CENTER", [2.0, 1.25, -0.25, 0.25, -0.25])
    (part,) = read_back(document, tmp_path).outlines
    assert part.half_of is not None
    assert part.half_of.start[0] == pytest.approx(0)
    assert part.half_of.end[0] == pytest.approx(0)


def test_a_plain_line_from_a_name_to_its_part_is_its_leader_and_no_mark(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 900, 300)
    box(space, 0, 400, 900, 300)
    space.add_line((450, 150), (1200, 600))
    write(space, "thwart", 1210, 600)
    space.add_line((450, 550), (1200, 900))
    write(space, "deck beam", 1210, 900)
    drawing = read_back(document, tmp_path)
    lower, upper = sorted(drawing.outlines, key=lambda o: o.box_mm[1])
    assert (lower.name, upper.name) == ("thwart", "deck beam")
    assert lower.shape.marks == ()
    assert sum("points from a name" in x.reason for x in drawing.left_out) == 2
