"""Parts stay the outlines that they are where their drawing is read otherwise."""

from __future__ import annotations

from pathlib import Path

import pytest
from ezdxf.filemanagement import new

from nestcut.intake.carried import moved_outlines

JOB = """\
[[part]]
name = "seat"
drawing = "seats.dxf"
label = "SEAT"
"""
CLOSED = JOB + '\n[[drawing]]\nfile = "seats.dxf"\njoin_gap = "17 mm"\n'


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """One seat, and above it another with a gap of 15 mm that takes the label when it is closed."""
    document = new("R2010", units=4)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (600, 0), (600, 300), (0, 300)], close=True)
    space.add_lwpolyline([(0, 400), (600, 400), (600, 700), (0, 700), (0, 415)])
    space.add_text("SEAT", height=30, dxfattribs={"insert": (250, 410)})
    document.saveas(tmp_path / "seats.dxf")
    return tmp_path / "seats.toml"


def test_a_part_whose_label_goes_to_another_outline_stays_by_its_number(job: Path) -> None:
    moved = moved_outlines(job, JOB, CLOSED)

    assert {place: (m.was, m.now, m.pointer) for place, m in moved.items()} == {0: (1, 1, "1 of 2")}


def test_nothing_is_carried_where_parts_are_what_they_were(job: Path) -> None:
    pointed = JOB.replace('label = "SEAT"', 'outline = "1 of 2"')

    assert moved_outlines(job, JOB, JOB) == {}
    assert moved_outlines(job, pointed, pointed + '\n[drawings]\nunit = "cm"\n') == {}


def test_a_part_that_found_no_outline_before_is_left_alone(job: Path) -> None:
    lost = JOB.replace('label = "SEAT"', 'label = "THWART"')

    assert moved_outlines(job, lost, lost + CLOSED.removeprefix(JOB)) == {}
