"""A frame drawn as two halves against each other is asked about, and no pair till it is said."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest

import nestcut
from nestcut.drawings.first.start import first_job
from nestcut.drawings.records import Drawing
from nestcut.geometry.rings import shape_area_mm2
from tests.unit.drawings.pens import blank, read_back

HALF = [(0.0, 0.0), (450.0, 0.0), (600.0, 400.0), (0.0, 400.0)]


def frame(folder: Path, *, on_a_centre_line: bool) -> Drawing:
    """Both halves of a frame, 1200 mm wide at the top, from one block."""
    document, space = blank()
    half = document.blocks.new("FRAME")
    half.add_lwpolyline(HALF, close=True)
    space.add_blockref("FRAME", (1000, 0))
    space.add_blockref("FRAME", (1000, 0), dxfattribs={"xscale": -1})
    space.add_text("FRAME 2", height=30).set_placement((1100, 200))
    if on_a_centre_line:
        document.linetypes.add("CENTRE", [30.0, 20.0, -10.0])
        space.add_line((1000, -50), (1000, 500), dxfattribs={"linetype": "CENTRE"})
    return read_back(document, folder)


def parts_of(text: str) -> list[dict[str, Any]]:
    parts: list[dict[str, Any]] = tomllib.loads(text)["part"]
    return parts


@pytest.mark.parametrize("on_a_centre_line", [False, True])
def test_both_halves_are_one_question(tmp_path: Path, *, on_a_centre_line: bool) -> None:
    """Mirrored and made a pair it would be cut twice; as a pair of halves it would be in two."""
    drawing = frame(tmp_path, on_a_centre_line=on_a_centre_line)
    text = first_job((("drawing.dxf", drawing),), name="boat").text
    (part,) = parts_of(text)
    assert (part["drawn_half"], part["count"], part.get("hand")) == ("", 1, None)
    assert "2 is taken for the other half" in text


@pytest.mark.parametrize(("answer", "area_mm2"), [("mirror", 420_000), ("no", 210_000)])
def test_the_answer_makes_one_whole_frame_or_a_half(
    tmp_path: Path, answer: str, area_mm2: float
) -> None:
    drawing = frame(tmp_path, on_a_centre_line=False)
    text = first_job((("drawing.dxf", drawing),), name="boat").text
    for asked, said in (("drawn_half", answer), ("thickness", "9 mm"), ("kerf", "3 mm")):
        text = text.replace(f'{asked} = ""', f'{asked} = "{said}"')
    file = tmp_path / "boat.toml"
    file.write_text(text, encoding="utf-8")
    (part,) = nestcut.read_job(file).sheet_parts
    assert nestcut.plan_job(nestcut.read_job(file)).plan.is_complete
    assert part.count == 1
    assert shape_area_mm2(part.shape) == pytest.approx(area_mm2)


def test_equal_rectangles_side_by_side_are_two_parts(tmp_path: Path) -> None:
    """Turned over or not they are the same: cleats drawn close, not two halves."""
    document, space = blank()
    for x in (0.0, 300.0):
        corners = [(x, 0.0), (x + 300, 0.0), (x + 300, 200.0), (x, 200.0)]
        space.add_lwpolyline(corners, close=True)
    drawing = read_back(document, tmp_path)
    assert [o.half_of for o in drawing.outlines] == [None, None]
