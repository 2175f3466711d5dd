"""SVG drawings: sizes, transforms, holes."""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import (
    Drawing,
    ReadOptions,
)
from tests.unit.drawings.looks import areas, codes

HEADER = ReadOptions()


def svg(folder: Path, head: str, body: str) -> Drawing:
    path = folder / "boat.svg"
    path.write_text(
        f'<svg xmlns="http://www.w3.org/2000/svg" {head}>{body}</svg>', encoding="utf-8"
    )
    return read_drawing(path)


@pytest.mark.parametrize(
    ("width", "unit_mm"), [("1000mm", 1.0), ("100cm", 1.0), ("50in", 1.27), ("360pt", 0.127)]
)
def test_svg_with_a_size_and_a_view_box_is_to_scale(
    width: str, unit_mm: float, tmp_path: Path
) -> None:
    """Source: SVG 2, 8.2 (viewBox to viewport); CSS values 4, 6.2: 1 in = 2.54 cm = 72 pt."""
    head = f'width="{width}" height="{width}" viewBox="0 0 1000 1000"'
    drawing = svg(tmp_path, head, '<rect x="100" y="100" width="600" height="300"/>')
    assert areas(drawing) == pytest.approx([180_000.0 * unit_mm**2], rel=1e-6)


def test_svg_transforms_nest(tmp_path: Path) -> None:
    body = (
        '<g transform="translate(100 50) rotate(30)"><g transform="scale(2 1)">'
        '<path id="side" d="M0 0 h200 v100 h-200 z"/></g></g>'
        '<g style="display:none"><rect width="900" height="900"/></g>'
        '<circle cx="800" cy="800" r="100" transform="matrix(1 0 0 0.5 0 400)"/>'
    )
    head = 'width="1000mm" height="1000mm" viewBox="0 0 1000 1000"'
    drawing = svg(tmp_path, head, body)
    expected = sorted([200 * 100 * 2, math.pi * 100 * 50])
    assert areas(drawing) == pytest.approx(expected, rel=1e-4)


def test_svg_without_a_size_is_asked_for_its_unit(tmp_path: Path) -> None:
    drawing = svg(tmp_path, 'viewBox="0 0 1000 1000"', '<rect width="600" height="300"/>')
    assert drawing.unit is None
    assert "DXF-010" in codes(drawing)


def test_svg_hole_by_even_odd_path_is_a_hole(tmp_path: Path) -> None:
    body = '<path d="M0 0 H600 V400 H0 Z M200 100 H300 V200 H200 Z"/>'
    head = 'width="1000mm" height="1000mm" viewBox="0 0 1000 1000"'
    (part,) = svg(tmp_path, head, body).outlines
    assert part.area_mm2 == pytest.approx(240_000.0 - 10_000.0)


def test_an_svg_transform_that_cannot_be_read_leaves_its_things_out_aloud(tmp_path: Path) -> None:
    path = tmp_path / "a.svg"
    path.write_text(
        '<svg xmlns="http://www.w3.org/2000/svg" width="900mm" height="900mm" '
        'viewBox="0 0 900 900"><rect x="0" y="0" width="300" height="200"/>'
        '<g transform="scaal(2)"><rect x="400" y="0" width="300" height="200"/></g></svg>',
        encoding="utf-8",
    )
    drawing = read_drawing(path, HEADER)
    assert areas(drawing) == [60_000.0]
    assert [x for x in drawing.left_out if "where it lies can't be read" in x.reason]
    assert "DXF-042" in codes(drawing)
