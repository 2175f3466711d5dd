"""Which unit a drawing is in: its header, the job, or a question."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import (
    ReadOptions,
)
from nestcut.errors import Severity
from nestcut.units import Unit
from tests.unit.drawings.looks import areas, codes
from tests.unit.drawings.pens import blank, box, read_back

HEADER = ReadOptions()


def silent(folder: Path) -> Path:
    """A drawing without any word on its unit: what old programs write."""
    lines = ["0", "SECTION", "2", "ENTITIES"]
    for x, y, w, h in ((0, 0, 1220, 300), (0, 400, 376, 200)):
        corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]
        for (a, b), (c, d) in zip(corners, [*corners[1:], corners[0]], strict=True):
            lines += ["0", "LINE", "8", "0", "10", str(a), "20", str(b), "11", str(c), "21", str(d)]
    path = folder / "silent.dxf"
    path.write_text("\n".join([*lines, "0", "ENDSEC", "0", "EOF", ""]), encoding="ascii")
    return path


@pytest.mark.parametrize(("code", "factor"), [(1, 25.4), (2, 304.8), (4, 1.0), (5, 10.0), (6, 1e3)])
def test_header_gives_the_unit(code: int, factor: float, tmp_path: Path) -> None:
    document, space = blank(insunits=code)
    box(space, 0, 0, 2000 / factor, 500 / factor)
    drawing = read_back(document, tmp_path, ReadOptions())
    assert areas(drawing) == pytest.approx([1e6])
    assert not drawing.findings


def test_silent_header_asks_and_says_what_each_unit_would_give(tmp_path: Path) -> None:
    document, space = blank(insunits=0)
    box(space, 0, 0, 96, 24)
    drawing = read_back(document, tmp_path, ReadOptions())
    (finding,) = drawing.findings
    assert drawing.unit is None
    assert (finding.code, finding.severity) == ("DXF-010", Severity.QUESTION)
    assert any("2,438 mm" in t for t in dict(finding.values)["choices"].names)  # type: ignore[union-attr]
    inches = read_back(document, tmp_path, ReadOptions(unit=Unit.INCH))
    assert inches.outlines[0].box_mm == pytest.approx((0, 0, 2438.4, 609.6))


@pytest.mark.parametrize("size", [120.0, 120_000.0])
def test_implausible_size_is_pointed_at(size: float, tmp_path: Path) -> None:
    document, space = blank(insunits=4)
    box(space, 0, 0, size, size / 4)
    drawing = read_back(document, tmp_path, ReadOptions())
    (finding,) = [f for f in drawing.findings if f.code in {"DXF-012", "DXF-013"}]
    is_absurd = size > 30_000
    assert (finding.code == "DXF-012") is is_absurd
    assert (finding.severity is Severity.QUESTION) is is_absurd


def test_word_of_the_job_overrules_the_header_and_says_so(tmp_path: Path) -> None:
    document, space = blank(insunits=1)
    box(space, 0, 0, 2000, 500)
    drawing = read_back(document, tmp_path)
    assert areas(drawing) == pytest.approx([1e6])
    assert codes(drawing)["DXF-011"] == 1


def test_no_header_no_unit_asked_with_the_sizes_of_each_answer(tmp_path: Path) -> None:
    drawing = read_drawing(silent(tmp_path))
    assert drawing.unit is None
    (asked,) = [f for f in drawing.findings if f.code == "DXF-010"]
    assert asked.is_blocking
    said = str(dict(asked.values)["choices"])
    assert '"mm"' in said
    assert "1,220 mm" in said
    assert "376 mm" in said
    assert '"m"' not in said  # 1,220 m is no boat
    assert areas(drawing) == [75_200.0, 366_000.0]


def test_answer_for_silent_drawings_leaves_a_speaking_one_alone(tmp_path: Path) -> None:
    document, space = blank(insunits=1)
    box(space, 0, 0, 40, 10)
    loud = read_back(document, tmp_path, ReadOptions(silent_unit=Unit.CM))
    assert loud.unit is Unit.INCH
    assert areas(loud) == pytest.approx([400 * 25.4**2])
    quiet = read_drawing(silent(tmp_path), ReadOptions(silent_unit=Unit.CM))
    assert quiet.unit is Unit.CM
    assert areas(quiet) == pytest.approx([7_520_000.0, 36_600_000.0])


def test_frame_of_376_metres_is_asked_about(tmp_path: Path) -> None:
    document, space = blank(insunits=6)
    box(space, 0, 0, 376, 200)
    drawing = read_back(document, tmp_path, HEADER)
    (asked,) = [f for f in drawing.findings if f.code == "DXF-012"]
    assert asked.is_blocking
    assert "376 mm" in str(dict(asked.values)["choices"])
