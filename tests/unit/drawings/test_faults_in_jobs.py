"""Faults of drawings as a job meets them: a small drawing for each, read through the door."""

from __future__ import annotations

import io
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

import nestcut
from nestcut.drawings import read as reading
from nestcut.errors import DrawingError, Finding
from nestcut.words import Speech, tell
from tests.builders_jobs import SKIFF
from tests.unit.drawings.pens import blank, box, read_back

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document

LEAST_BULGE = 1e-5
"""Of a line a metre long: 5 thousandths of a millimetre out of straight. [-]"""


def found_in(document: Document, wanted: str, more: str = "") -> dict[str, Finding]:
    """What a job with one part of this drawing is told, by code."""
    file = io.StringIO()
    document.write(file)
    part = f'[[part]]\nname = "seat"\nthickness = 6\ndrawing = "hull.dxf"\n{wanted}\n'
    drawings = {"hull.dxf": file.getvalue().encode()}
    return {f.code: f for f in nestcut.check_job(SKIFF + part + more, drawings=drawings).findings}


def seat_and_web() -> Document:
    document, space = blank()
    box(space, 0, 0, 500, 300)
    space.add_text("seat", height=20).set_placement((100, 100))
    box(space, 600, 0, 400, 300)
    return document


def test_a_number_counted_otherwise_than_the_drawing_s_is_refused() -> None:
    assert "DXF-059" not in found_in(seat_and_web(), 'outline = "1 of 2"')
    told = tell(found_in(seat_and_web(), 'outline = "1 of 5"')["DXF-059"], Speech())
    assert "outline 1 of 5" in told.message
    assert "2 numbered" in told.message
    assert 'outline = "1 of 2"' in told.remedy


def test_a_block_of_another_file_is_told_by_name() -> None:
    document = seat_and_web()
    block = document.blocks.new("rig")
    block.block.dxf.flags = 4  # type: ignore[union-attr]
    block.block.dxf.xref_path = "rig.dxf"  # type: ignore[union-attr]
    document.modelspace().add_blockref("rig", (0, 0))
    told = found_in(document, 'label = "seat"')
    assert "rig is kept in another drawing file" in tell(told["DXF-037"], Speech()).message


def test_a_closed_line_on_a_layer_of_marks_is_no_hole(tmp_path: Path) -> None:
    document = seat_and_web()
    box(document.modelspace(), 300, 200, 50, 40, layer="MARK")
    drawing = read_back(document, tmp_path)
    (told,) = [f for f in drawing.findings if f.code == "DXF-045"]
    assert dict(told.values) == {"layer": "MARK", "n": 1}
    assert not any(o.shape.holes for o in drawing.outlines)


def test_many_outlines_of_one_name_are_listed_as_far_as_can_be_read() -> None:
    document, space = blank()
    for i in range(10):
        box(space, i * 700, 0, 500 + 10 * i, 300)
        space.add_text("seat", height=20).set_placement((i * 700 + 100, 100))
    told = tell(found_in(document, 'label = "seat"')["DXF-052"], Speech()).message
    assert "570 x 300 mm; and 2 more" in told


def test_a_logo_s_block_is_no_part_unless_it_is_asked_for(tmp_path: Path) -> None:
    document = seat_and_web()
    box(document.blocks.new("LOGO"), 0, 0, 100, 60)  # type: ignore[arg-type]
    document.modelspace().add_blockref("LOGO", (0, 900))
    drawing = read_back(document, tmp_path)
    assert [o.name for o in drawing.outlines if "LOGO" in o.block] == []
    (logo,) = [o for o in drawing.offered if "LOGO" in o.block]
    assert [f.code for f in logo.judgement.reasons] == ["DXF-222"]
    assert "DXF-054" in found_in(document, 'block = "LOGO"')


def test_a_rectangle_of_a_sheet_s_size_with_parts_over_its_edge_is_asked_of(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 2440, 1220)
    box(space, 100, 100, 700, 300)
    box(space, 900, 900, 700, 600)
    sheet = read_back(document, tmp_path).offered[0]
    assert sheet.box_mm == (0.0, 0.0, 2440.0, 1220.0)
    assert [f.code for f in sheet.judgement.reasons] == ["DXF-236", "DXF-237"]


@pytest.mark.parametrize(
    ("corners", "code"),
    [
        ([(0, 0, LEAST_BULGE), (1000, 0, LEAST_BULGE)], "DXF-061"),
        ([(0, 0, 0), (1, 0, 0), (0.5, 0.01, 0)], "DXF-063"),
    ],
)
def test_slivers_make_no_part(corners: list[tuple[float, float, float]], code: str) -> None:
    document, space = blank()
    space.add_lwpolyline(corners, format="xyb", close=True)
    box(space, 0, 100, 700, 300)
    assert tell(found_in(document, 'outline = "1 of 2"')[code], Speech()).message
    assert code not in found_in(document, 'outline = "2 of 2"')


def test_a_sliver_is_no_half_either() -> None:
    document, space = blank()
    space.add_lwpolyline([(0, 0), (1, 0), (0.5, 0.01)], close=True)
    box(space, 0, 100, 700, 300)
    told = found_in(document, 'outline = "1 of 2"\ndrawn_half = "mirror"')["DXF-055"]
    assert "all of it lies on the centre line" in tell(told, Speech()).message


DOUBLER = """
[[part]]
name = "ring"
thickness = 6
shape = {{ kind = "doubler", of = "seat", hole = 1, margin = {margin} }}
"""
HOLLOW = [(100, 100), (300, 100), (300, 250), (200, 130), (100, 250)]
"""A hole with a spike of wood standing into it."""
BITE = [(100, 100, 0), (300, 100, 0), (300, 200, -0.5), (100, 200, 0)]
"""A hole with a round of wood standing into it, 125 mm in radius."""


@pytest.mark.parametrize(("margin", "code"), [(30, None), (140, "SHP-125")])
def test_a_doubler_shrinks_hollow_rounds_down_to_nothing(margin: int, code: str | None) -> None:
    document, space = blank()
    box(space, 0, 0, 500, 300)
    space.add_lwpolyline(BITE, format="xyb", close=True)
    raised = found_in(document, 'outline = "1 of 1"', DOUBLER.format(margin=margin))
    assert [c for c in raised if c.startswith("SHP")] == [c for c in [code] if c]


def test_a_doubler_round_a_hollow_corner_is_refused() -> None:
    document, space = blank()
    box(space, 0, 0, 500, 300)
    space.add_lwpolyline(HOLLOW, close=True)
    assert "SHP-123" in found_in(document, 'outline = "1 of 1"', DOUBLER.format(margin=20))


def test_a_reader_that_stumbles_says_so(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No drawing is known to do this: what is planted stands for a fault of ours."""

    def stumble(*args: object) -> None:
        raise ZeroDivisionError

    monkeypatch.setattr(reading, "_Reading", stumble)
    with pytest.raises(DrawingError) as refused:
        read_back(seat_and_web(), tmp_path)
    (told,) = refused.value.findings
    assert told.code == "DXF-099"
    assert "ZeroDivisionError" in tell(told, Speech()).message
