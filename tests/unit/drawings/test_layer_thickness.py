"""Thickness as the name of a part's layer says it, where no label does."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.drawings.first.start import first_job
from nestcut.drawings.records import Drawing
from nestcut.drawings.remarks import label_remarks, said_terms
from nestcut.model.part import Hands
from nestcut.words import Speech, tell
from tests.unit.drawings.pens import blank, box, read_back, write


def drawn(folder: Path, layer: str, label: str = "SEAT") -> Drawing:
    document, space = blank()
    document.layers.add(layer)
    box(space, 0, 0, 500, 300, layer)
    write(space, label, 50, 50, layer)
    return read_back(document, folder)


@pytest.mark.parametrize(
    ("layer", "said"),
    [
        ("ply 9 mm", "9 mm"),
        ("PLY_18MM", "18mm"),
        ("6mm", "6mm"),
        ("frames-6 mm", "6 mm"),
        ("pen 0.5 mm", ""),
        ("offset 10 mm", ""),
        ("panels", ""),
    ],
)
def test_a_layer_that_names_a_thickness_gives_it_to_its_parts(
    layer: str, said: str, tmp_path: Path
) -> None:
    drawing = drawn(tmp_path, layer)
    text = first_job((("a.dxf", drawing),), name="boat").text
    lines = [s for s in text.splitlines() if s.startswith("thickness = ") and '""' not in s]
    expected = f'thickness = "{said}"   # as the name of its layer says'
    assert lines[:1] == ([expected] if said else [])
    assert said_terms(drawing.outlines[0]).get("thickness", "") == said
    if said:
        assert f'name = "{said} ply"' in text


def test_a_label_comes_before_its_layer(tmp_path: Path) -> None:
    text = first_job((("a.dxf", drawn(tmp_path, "ply 9 mm", "SEAT 12mm")),), name="boat").text
    assert 'thickness = "12mm"   # as its label says' in text


@pytest.mark.parametrize(("thickness_mm", "n"), [(6.0, 1), (9.0, 0)])
def test_a_job_that_says_otherwise_is_told(thickness_mm: float, n: int, tmp_path: Path) -> None:
    drawing = drawn(tmp_path, "ply 9 mm")
    told = label_remarks(
        drawing.outlines[0],
        file="a.dxf",
        count=1,
        thickness_mm=thickness_mm,
        hands=Hands.NONE,
    )
    said = [tell(f, Speech()).message for f in told]
    assert said == ["the name of its layer says 9 mm, the job says 6 mm; the job is followed."] * n


def test_one_thickness_spelt_in_two_ways_is_one_sheet(tmp_path: Path) -> None:
    document, space = blank()
    for k, text in enumerate(('SEAT 3/8"', "KNEE 3/8 in", 'STEM 3/8"', "DECK 1/4in")):
        box(space, 600 * k, 0, 500, 300 + 20 * k)
        write(space, text, 600 * k + 50, 50)
    text = first_job((("a.dxf", read_back(document, tmp_path)),), name="boat").text
    sheets = [s for s in text.split("[[sheet]]")[1:] if "thickness" in s]
    assert len(sheets) == 2, text


@pytest.mark.parametrize(
    ("label", "says"),
    [
        ("SEAT x2", '   # as its label says; mirrored pairs? count = 1, hand = "pair"'),
        ("SEAT x3", "   # as its label says"),
    ],
)
def test_pieces_that_are_pairs_are_counted_as_pairs(label: str, says: str, tmp_path: Path) -> None:
    text = first_job((("a.dxf", drawn(tmp_path, "SEATS", label)),), name="boat").text
    assert f"count = {label[-1]}{says}" in text.splitlines()
