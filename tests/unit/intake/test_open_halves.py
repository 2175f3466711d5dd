"""A line open between two ends in line: half a part, or a part whose one edge is missing."""

from __future__ import annotations

from itertools import pairwise
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from ezdxf.filemanagement import new

import nestcut
from nestcut.drawings.first.start import first_job
from nestcut.drawings.read import read_drawing
from nestcut.drawings.records import ReadOptions
from nestcut.errors import Severity
from nestcut.geometry.rings import shape_area_mm2
from nestcut.intake.job import understand_job
from nestcut.words import Speech, tell

if TYPE_CHECKING:
    from nestcut.errors import Finding


def drawn(folder: Path) -> None:
    """A seat of 500 x 200 mm without its left edge, and a knee beside it."""
    document = new("R2010", units=4)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (500, 0), (500, 200), (0, 200)])
    space.add_text("SEAT", height=30, dxfattribs={"insert": (100, 100)})
    space.add_lwpolyline([(0, 500), (600, 500), (600, 900)], close=True)
    space.add_text("KNEE", height=30, dxfattribs={"insert": (350, 550)})
    document.saveas(folder / "boat.dxf")


def job(folder: Path, answer: str, more: str = "") -> Path:
    """The job that is begun from it, with that answer."""
    text = first_job((("boat.dxf", read_drawing(folder / "boat.dxf")),), name="boat").text
    answers = {"thickness": "9 mm", "kerf": "3 mm", "drawn_half": answer}
    for asked, said in answers.items():
        text = text.replace(f'{asked} = ""', f'{asked} = "{said}"')
    file = folder / "boat.toml"
    file.write_text(text + more, encoding="utf-8")
    return file


def told(file: Path) -> list[Finding]:
    return [f for f in understand_job(file).findings if f.code.startswith("DXF")]


def test_no_half_is_closed_by_a_straight_edge_and_that_is_said(tmp_path: Path) -> None:
    drawn(tmp_path)
    file = job(tmp_path, "no")
    (closed,) = told(file)
    assert (closed.code, closed.severity) == ("DXF-069", Severity.REPAIRED)
    assert dict(closed.values)["length"].mm == pytest.approx(200)  # type: ignore[union-attr]
    seat = next(p for p in nestcut.read_job(file).sheet_parts if p.name.casefold() == "seat")
    assert shape_area_mm2(seat.shape) == pytest.approx(100_000)


def test_the_drawings_own_word_closes_it_too(tmp_path: Path) -> None:
    drawn(tmp_path)
    file = job(tmp_path, "", '\n[[drawing]]\nfile = "boat.dxf"\ndrawn_half = "no"\n')
    file.write_text(file.read_text().replace('drawn_half = ""', "#"))
    assert [f.code for f in told(file)] == ["DXF-069"]


def test_while_it_is_asked_about_it_is_in_a_part_of_the_job(tmp_path: Path) -> None:
    """A part that waits for an answer has its outline: nobody is told to add it again."""
    drawn(tmp_path)
    file = job(tmp_path, "no")
    file.write_text(file.read_text().replace('drawn_half = "no"', "#"))
    assert [f.code for f in told(file)] == ["DXF-056"]
    assert '"no"' in tell(told(file)[0], Speech()).remedy


def test_the_question_says_what_no_does_to_an_open_line(tmp_path: Path) -> None:
    drawn(tmp_path)
    assert "a straight line between its ends" in job(tmp_path, "").read_text()


def test_a_number_says_whether_gaps_are_closed_where_it_counts(tmp_path: Path) -> None:
    """Of 3 and of 4 in one file: both are right, and look wrong while nobody says so."""
    document = new("R2010", units=4)
    space = document.modelspace()
    for x, high in ((0, 300), (1000, 350)):
        space.add_lwpolyline([(x, 0), (x + 500, 0), (x + 500, high)], close=True)
    corners = [(0, 501.2), (0, 900), (400, 900), (400, 500), (0, 500)]
    for a, b in pairwise(corners):
        space.add_line(a, b)
    document.saveas(tmp_path / "boat.dxf")

    def numbers(*gaps: tuple[str, float]) -> list[str]:
        drawing = read_drawing(tmp_path / "boat.dxf", ReadOptions(layer_gaps=gaps))
        text = first_job((("boat.dxf", drawing),), name="boat").text
        return [line for line in text.splitlines() if line.startswith("outline = ")]

    assert not any("#" in line for line in numbers())
    closed = numbers(("0", 1.5))
    assert any('of 2"   # counted without closing gaps' in line for line in closed), closed
    assert any('of 3"   # counted with gaps closed' in line for line in closed), closed
