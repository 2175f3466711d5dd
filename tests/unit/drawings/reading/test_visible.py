"""What shows is read first and alone; what is hidden is offered."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.unit.drawings.looks import areas, codes, names
from tests.unit.drawings.pens import blank, box, read_back, write


def test_only_dashed_lines_are_taken_for_edges_if_there_is_nothing_else(tmp_path: Path) -> None:
    document, space = blank()
    document.linetypes.add("DASHED", [0.75, 0.5, -0.25])
    space.add_lwpolyline(
        [(0, 0), (500, 0), (500, 300)], close=True, dxfattribs={"linetype": "DASHED"}
    )
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([75_000])
    assert codes(drawing)["DXF-033"] == 1


@pytest.mark.parametrize("state", ["freeze", "off"])
def test_hidden_outline_around_two_panels_leaves_both(state: str, tmp_path: Path) -> None:
    document, space = blank()
    getattr(document.layers.add("old"), state)()
    box(space, 0, 0, 900, 700, "old")
    box(space, 100, 100, 300, 200)
    write(space, "keel web", 120, 150)
    box(space, 100, 400, 300, 240)
    write(space, "thwart", 120, 450)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["keel web", "thwart"]
    assert areas(drawing) == [60_000.0, 72_000.0]
    (aside,) = [f for f in drawing.findings if f.code == "DXF-032"]
    assert dict(aside.values)["n"] == 1
    assert [o.layer for o in drawing.offered] == ["old"]
    assert not drawing.asked


def test_square_inside_a_hidden_one_is_a_part_and_hidden_text_names_nothing(tmp_path: Path) -> None:
    document, space = blank()
    document.layers.add("old").freeze()
    box(space, 0, 0, 500, 500, "old")
    box(space, 100, 100, 200, 200, "hull")
    write(space, "scrap", 150, 150, "old")
    drawing = read_back(document, tmp_path)
    (part,) = drawing.outlines
    assert part.area_mm2 == 40_000.0
    assert part.labels == ()


def test_bottom_on_a_layer_of_its_own_is_no_mark_of_a_thawed_one(tmp_path: Path) -> None:
    """All layers shown: the larger outline is asked about or doubted, never silently a ring."""
    document, space = blank()
    box(space, 0, 0, 2000, 700, "bottom")
    write(space, "bottom", 300, 600, "bottom")
    box(space, 200, 100, 300, 200, "seat")
    write(space, "seat", 250, 150, "seat")
    drawing = read_back(document, tmp_path)
    by_name = {o.name: o for o in drawing.outlines}
    bottom = by_name["bottom"]
    assert bottom.shape.holes == () or bottom.doubts
