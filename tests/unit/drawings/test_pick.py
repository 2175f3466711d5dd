"""Finding one outline by name."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.drawings.pick import pick_outline
from nestcut.drawings.records import Drawing, DrawnOutline, OutlineRef, Whole
from nestcut.drawings.remarks import label_remarks
from nestcut.errors import Severity
from nestcut.model.part import Hands
from nestcut.words import Speech, finding_line
from tests.unit.drawings.pens import blank, box, read_back


@pytest.fixture(name="drawing")
def _drawing(tmp_path: Path) -> Drawing:
    document, space = blank()
    box(space, 0, 0, 500, 300, "panels")
    space.add_text("Side Panel  x2 6mm", height=20).set_placement((50, 50))
    box(space, 600, 0, 400, 300, "panels")
    space.add_text("bottom", height=20).set_placement((650, 50))
    box(space, 0, 400, 100, 80, "knees")
    box(space, 200, 400, 80, 100, "knees")
    knob = document.blocks.new("knob")
    knob.add_circle((0, 0), 40, dxfattribs={"color": 3})
    space.add_blockref("knob", (500, 500))
    return read_back(document, tmp_path)


def name_of(picked: DrawnOutline | tuple[object, ...]) -> str:
    assert isinstance(picked, DrawnOutline)
    return picked.name


@pytest.mark.parametrize(
    "label", ["Side Panel  x2 6mm", "side panel x2 6MM", "side panel", " Side  Panel "]
)
def test_label_is_found_with_and_without_count_and_case(drawing: Drawing, label: str) -> None:
    assert name_of(pick_outline(drawing, OutlineRef(label=label))) == "Side Panel"


def test_block_colour_and_handle_are_found(drawing: Drawing) -> None:
    assert name_of(pick_outline(drawing, OutlineRef(block="KNOB"))) == "knob"
    assert name_of(pick_outline(drawing, OutlineRef(colour=3))) == "knob"
    (handle,) = next(o.handles for o in drawing.outlines if o.name == "bottom")
    assert name_of(pick_outline(drawing, OutlineRef(handle=handle))) == "bottom"


def test_all_names_given_must_fit(drawing: Drawing) -> None:
    both = OutlineRef(layer="panels", label="bottom")
    assert name_of(pick_outline(drawing, both)) == "bottom"
    assert isinstance(pick_outline(drawing, OutlineRef(layer="knees", label="bottom")), tuple)


def test_same_shape_drawn_twice_gives_the_first_with_a_note(drawing: Drawing) -> None:
    picked = pick_outline(drawing, OutlineRef(layer="knees"))
    assert isinstance(picked, DrawnOutline)
    assert [(f.code, f.severity) for f in picked.faults] == [("DXF-053", Severity.NOTE)]


def test_several_candidates_are_listed(drawing: Drawing) -> None:
    for ref in (OutlineRef(layer="panels"), OutlineRef()):
        picked = pick_outline(drawing, ref)
        assert isinstance(picked, tuple)
        assert picked[0].code == "DXF-052"
        assert "'Side Panel'" in finding_line(picked[0], Speech())
        assert "500 x 300 mm" in finding_line(picked[0], Speech())


def test_misspelt_name_gets_the_nearest_one(drawing: Drawing) -> None:
    picked = pick_outline(drawing, OutlineRef(label="botom"))
    assert isinstance(picked, tuple)
    assert "nearest name is 'bottom'" in finding_line(picked[0], Speech())
    picked = pick_outline(drawing, OutlineRef(layer="panel"))
    assert isinstance(picked, tuple)
    assert "nearest name is 'panels'" in finding_line(picked[0], Speech())


def test_drawing_without_outlines_says_where_the_first_line_stays_open(tmp_path: Path) -> None:
    document, space = blank()
    space.add_lwpolyline([(0, 0), (500, 0), (480, 300)])
    picked = pick_outline(read_back(document, tmp_path), OutlineRef(label="side"))
    assert isinstance(picked, tuple)
    assert picked[0].code == "DXF-050"


def test_what_is_no_half_is_not_mirrored(drawing: Drawing) -> None:
    picked = pick_outline(drawing, OutlineRef(block="knob", whole=Whole.MIRRORED_HALF))
    assert isinstance(picked, tuple)
    assert picked[0].code == "DXF-055"


@pytest.mark.parametrize(
    ("count", "thickness", "pair", "notes"),
    [(2, 6.0, "no", 0), (1, 6.35, "pair", 0), (1, 6.0, "no", 1), (3, 9.0, "no", 2)],
)
def test_label_that_says_something_else_is_noted_not_taken(
    drawing: Drawing, count: int, thickness: float, pair: str, notes: int
) -> None:
    picked = pick_outline(drawing, OutlineRef(label="side panel"))
    assert isinstance(picked, DrawnOutline)
    hands = Hands.PAIR if pair == "pair" else Hands.NONE
    found = label_remarks(
        picked,
        file="d.dxf",
        count=count,
        thickness_mm=thickness,
        hands=hands,
    )
    assert [f.code for f in found] == ["DXF-057"] * notes
    assert all(f.severity is Severity.NOTE for f in found)
