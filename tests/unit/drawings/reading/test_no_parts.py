"""What is no part: borders, title blocks, markers, stations, edge views."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.drawings.records import (
    LooksLike,
)
from tests.unit.drawings.looks import areas, codes, kinds, names, not_parts
from tests.unit.drawings.pens import blank, box, loose_box, read_back, write


def test_marker_discs_are_no_parts(tmp_path: Path) -> None:
    document, space = blank()
    for i in range(4):
        box(space, 900 * i, 0, 800, 400 + 10 * i)
        write(space, f"panel {'abcd'[i]}", 900 * i + 50, 200)
    for i in range(19):
        space.add_circle((100 + 150 * i, 700), 10)
        write(space, str(i + 1), 92 + 150 * i, 695)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["panel a", "panel b", "panel c", "panel d"]
    assert not_parts(drawing) == [LooksLike.MARKER] * 19


def test_nameless_little_circles_are_asked(tmp_path: Path) -> None:
    document, space = blank()
    for i in range(4):
        box(space, 900 * i, 0, 800, 400 + 10 * i)
        write(space, f"panel {'abcd'[i]}", 900 * i + 50, 200)
    for i in range(5):
        space.add_circle((100 + 150 * i, 700), 10)
    drawing = read_back(document, tmp_path)
    assert len(drawing.outlines) == 4
    assert kinds(drawing) == [LooksLike.MARKER.value] * 5


def test_edge_views_beside_their_parts_are_no_parts(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 1000, 300)
    write(space, "transom", 100, 100)
    box(space, 0, 400, 1000, 18)
    box(space, 1500, 0, 700, 250)
    write(space, "thwart", 1600, 100)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["thwart", "transom"]
    assert not_parts(drawing) == [LooksLike.EDGE_VIEW]


def test_title_block_rows_are_no_parts(tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 1000, 300)
    write(space, "transom", 100, 100)
    for i, text in enumerate(["Scale 1:10", "Drawn by A", "Date 1 May", "Beach boat"]):
        box(space, 2000, 60 * i, 500, 60)
        write(space, text, 2010, 60 * i + 20)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["transom"]
    assert not_parts(drawing) == [LooksLike.TITLE_BLOCK] * 4


@pytest.mark.parametrize(
    ("layer", "kind"),
    [("stations", LooksLike.STATION), ("Hilfslinien", LooksLike.CONSTRUCTION),
     ("Bemaßung", LooksLike.DIMENSION),
     ("cotes", LooksLike.DIMENSION), ("acotación", LooksLike.DIMENSION), ("logo", LooksLike.LOGO),
     ("Schriftfeld", LooksLike.TITLE_BLOCK), ("marker", LooksLike.MARKER)],
)  # fmt: skip
def test_layers_say_what_is_no_part(layer: str, kind: LooksLike, tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 1000, 300, "hull")
    box(space, 1200, 0, 500, 300, layer)
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == [300_000.0]
    assert not_parts(drawing) == [kind]


def test_cells_that_share_edges_are_a_part_each(tmp_path: Path) -> None:
    document, space = blank()
    for i, name in enumerate(["shelf", "door", "side"]):
        loose_box(space, 300 * i, 0, 300, 400)
        write(space, name, 300 * i + 50, 200)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["door", "shelf", "side"]
    assert areas(drawing) == [120_000.0] * 3


@pytest.mark.parametrize("word", ["", "bolt no "])
def test_named_discs_in_a_panel_make_no_page_border_of_it(word: str, tmp_path: Path) -> None:
    document, space = blank()
    box(space, 0, 0, 2400, 700, "ply")
    write(space, "bottom", 800, 300, "ply")
    for i in range(19):
        y = 60 if i % 2 else 640
        space.add_circle((100 + 120 * i, y), 20, dxfattribs={"layer": "ply"})
        write(space, word + chr(65 + i), 92 + 120 * i, y - 8, "ply")
    drawing = read_back(document, tmp_path)
    (bottom,) = drawing.outlines
    assert bottom.name == "bottom"
    assert len(bottom.doubts) == 19
    assert "DXF-058" in codes(drawing)


def test_a_border_that_ends_at_a_title_block_is_no_part(tmp_path: Path) -> None:
    """Loose lines on one layer: the border shares its edges with the title block."""
    document, space = blank()
    loose_box(space, -100, -100, 3000, 2000)
    loose_box(space, 2000, -100, 900, 300)
    write(space, "DATE", 2100, 0)
    write(space, "notes", 1500, 1500)
    for i, name in enumerate(["floor", "thwart", "seat"]):
        loose_box(space, 0, 300 * i, 800, 200)
        write(space, name, 100, 300 * i + 80)
    drawing = read_back(document, tmp_path)
    assert names(drawing) == ["floor", "seat", "thwart"]
    assert areas(drawing) == [160_000.0] * 3


def test_a_circle_that_is_a_dot_is_no_fault_of_ours(tmp_path: Path) -> None:
    """Radius 1e-65, as a damaged file has it: it encloses nothing."""
    document, space = blank()
    box(space, 0, 0, 400, 300)
    space.add_circle((150, 100), 1e-65)
    (part,) = read_back(document, tmp_path).outlines
    assert part.shape.holes == ()
