"""Which part an outline of a drawing is, for pictures and for the bench's page."""

from __future__ import annotations

from pathlib import Path

from ezdxf.filemanagement import new

from nestcut.intake.drawn import drawings_on_table
from nestcut.intake.pictures import pictures_of

JOB = """
[[part]]
name = "frame"
drawing = "boat.dxf"
layer = "frames"

[[part]]
name = "nothing"
drawing = "boat.dxf"
layer = "none"
"""


def test_an_outline_with_a_hole_in_doubt_is_its_part(tmp_path: Path) -> None:
    """What is asked about a part's holes doesn't make it a stranger in the picture."""
    document = new("R2000", units=4)
    space = document.modelspace()
    frame = [(0, 0), (900, 0), (900, 400), (0, 400)]
    space.add_lwpolyline(frame, close=True, dxfattribs={"layer": "frames"})
    inner = [(100, 80), (800, 80), (800, 300), (100, 300)]
    space.add_lwpolyline(inner, close=True, dxfattribs={"layer": "other frames"})
    document.saveas(tmp_path / "boat.dxf")
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")

    (on,) = drawings_on_table(tmp_path / "job.toml")

    whole = next(o for o in on.drawing.outlines if o.layer == "frames")
    assert whole.doubts
    assert (on.parts[whole.number], on.names[whole.number]) == (0, "frame")
    assert 1 not in on.parts.values()
    ((file, picture),) = pictures_of(tmp_path / "job.toml")
    assert file == "boat.dxf"
    assert "frame" in picture
