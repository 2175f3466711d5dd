"""Names beside outlines: whose they are where shapes lie over each other, what names nothing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import Drawing, Verdict
from nestcut.drawings.sorting.labels import may_name, plain_name, suggestion
from tests.unit.drawings.pens import blank, box

if TYPE_CHECKING:
    from ezdxf.layouts.layout import Modelspace


def write(space: Modelspace, text: str, x: float, y: float) -> None:
    space.add_text(text, height=40, dxfattribs={"layer": "TEXT"}).set_placement((x, y))


def piled(folder: Path, layers: tuple[str, str], texts: tuple[str, ...]) -> Drawing:
    """Two frames drawn over each other, with names listed beside them."""
    document, space = blank()
    box(space, 0, 0, 900, 400, layers[0])
    box(space, -100, 50, 1100, 250, layers[1])
    for k, text in enumerate(texts):
        write(space, text, 1100, 300 - 80 * k)
    document.saveas(folder / "piled.dxf")
    return read_drawing(folder / "piled.dxf")


def test_names_beside_a_pile_go_to_the_layers_that_are_called_so(tmp_path: Path) -> None:
    texts = ("FRAME 1 MAKE 1 9 mm", "FRAME 2 MAKE 3 6 mm")
    drawing = piled(tmp_path, ("FRAME2", "FRAME1"), texts)
    said = {o.layer: (o.name, o.suggestions[0].count) for o in drawing.outlines}
    assert said == {"FRAME1": ("FRAME 1", 1), "FRAME2": ("FRAME 2", 3)}


@pytest.mark.parametrize("texts", [("A", "B"), ("KNEE MAKE 4",)])
def test_names_beside_a_pile_of_other_layers_are_asked_about(
    texts: tuple[str, ...], tmp_path: Path
) -> None:
    drawing = piled(tmp_path, ("one", "two"), texts)
    assert not drawing.outlines
    assert [o.judgement.verdict for o in drawing.asked] == [Verdict.ASKED] * 2
    assert not any(o.suggestions for o in drawing.asked)


def test_a_thickness_inside_leaves_the_name_to_a_label_just_outside(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 400, 300, "fit")
    write(space, "9 mm", 100, 100)
    write(space, "KNEE MAKE 4", 0, -60)
    box(space, 0, -200, 1600, 90, "gunwale")
    write(space, "GUNWALE 32 x 18 MAKE 2", 300, -170)
    document.saveas(tmp_path / "knee.dxf")
    drawing = read_drawing(tmp_path / "knee.dxf")
    assert {o.layer: o.name.split()[0] for o in drawing.outlines} == {
        "fit": "KNEE",
        "gunwale": "GUNWALE",
    }


@pytest.mark.parametrize("text", ["CL", "C.L.", "Centre line", "BASE LINE", "station 3", "LWL"])
def test_lines_to_measure_from_name_no_part(text: str, tmp_path: Path) -> None:
    assert not may_name(text)
    document, space = blank()
    box(space, 0, 0, 900, 400, "frame")
    write(space, text, 950, 200)
    document.saveas(tmp_path / "cl.dxf")
    (outline,) = read_drawing(tmp_path / "cl.dxf").outlines
    assert outline.name == "frame"


@pytest.mark.parametrize("text", ["CLEAT", "Waterline shelf", "Base", "Centre case", "BL 2 knee"])
def test_parts_called_after_such_lines_keep_their_names(text: str) -> None:
    assert may_name(text)


def test_a_count_in_words_comes_before_a_section() -> None:
    said = suggestion("GUNWALE 32 x 18 PINE MAKE 4")
    assert said is not None
    assert said.count == 4


def test_a_section_is_no_count_and_no_name() -> None:
    section = suggestion("GUNWALE 32 x 18")
    assert section is not None
    assert (section.count, section.section_mm) == (None, (32, 18))
    assert plain_name("GUNWALE 32 x 18 PINE MAKE 4") == "GUNWALE PINE"
    said = suggestion("KNEE x 6")
    assert said is not None
    assert said.count == 6


def test_a_label_in_an_outline_with_gaps_is_no_other_ones(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 500, 900, 400, "transom")
    space.add_lwpolyline(
        [(0, 0), (900, 0), (900, 400), (0, 400), (0, 1.0)], dxfattribs={"layer": "side"}
    )
    write(space, "SIDE MAKE 2 6 mm", 100, 200)
    document.saveas(tmp_path / "gap.dxf")
    (outline,) = read_drawing(tmp_path / "gap.dxf").outlines
    assert (outline.name, outline.suggestions) == ("transom", ())
