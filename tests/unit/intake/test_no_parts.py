"""Outlines that a job says are no parts aren't asked about."""

from __future__ import annotations

from pathlib import Path

from ezdxf.filemanagement import new

from nestcut.intake.drawn import drawings_on_table
from nestcut.intake.job import understand_job

JOB = """\
[job]
name = "seat"
[[part]]
name = "seat"
drawing = "seat.dxf"
label = "SEAT"
thickness = "9 mm"
"""


def test_what_is_declined_by_number_is_not_told_of_again(tmp_path: Path) -> None:
    document = new("R2010", units=4)
    space = document.modelspace()
    space.add_lwpolyline([(0, 0), (900, 0), (900, 300), (0, 300)], close=True)
    space.add_text("SEAT", height=30, dxfattribs={"insert": (300, 100)})
    space.add_lwpolyline([(0, 500), (600, 500), (600, 900), (0, 900)], close=True)
    document.saveas(tmp_path / "seat.dxf")
    path = tmp_path / "seat.toml"

    def left(text: str) -> list[str]:
        path.write_text(text)
        found = understand_job(path).findings
        return [f.code for f in found if f.code in {"DXF-048", "DXF-066"}]

    declined = JOB + '[[drawing]]\nfile = "seat.dxf"\nno_parts = ["2 of 2"]\n'
    assert len(left(JOB)) == 1
    assert left(declined) == []
    assert drawings_on_table(path)[0].no_parts == frozenset({2})
    assert len(left(declined.replace("2 of 2", "2 of 3"))) == 1, "of another count: asked again"
