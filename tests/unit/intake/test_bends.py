"""A developed panel's tightest bend against what its thickness is usually bent to."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.intake.job import understand_job
from nestcut.trade.woods import least_bend_radius_mm
from nestcut.words import speech_of, tell

JOB = """
[job]
unit = "mm"
[saw]
kerf = 2
[[sheet]]
name = "ply"
material = "ply"
thickness = {thickness}
length = 2440
width = 1220
count = "buy"
[[line]]
name = "chine"
stations = [0, 500, 1000]
half_breadths = [300, 500, 300]
heights = [0, 0, 0]
[[line]]
name = "sheer"
stations = [0, 500, 1000]
half_breadths = [300, 500, 300]
heights = [300, 300, 300]
[[part]]
name = "side"
material = "ply"
thickness = {thickness}
[part.shape]
kind = "developed"
lower = "chine"
upper = "sheer"
"""


@pytest.mark.parametrize(
    ("thickness", "codes"),
    [(3, ["SHP-012"]), (4, ["SHP-012", "SHP-015"]), (9, ["SHP-012", "SHP-014"])],
)
def test_a_bend_is_held_against_the_handbooks_table(
    tmp_path: Path, thickness: int, codes: list[str]
) -> None:
    """A half-breadth rising 200 in 500 mm bends to some 600 mm; 9 mm ply is bent to 1.3 m."""
    path = tmp_path / "job.toml"
    path.write_text(JOB.format(thickness=thickness), encoding="utf-8")
    understood = understand_job(path)
    told = [f for f in understood.findings if f.code.startswith("SHP-01")]
    assert least_bend_radius_mm(9.0) == pytest.approx(1300.0, abs=100.0)
    assert [f.code for f in told] == codes, [str(f) for f in told]
    for f in told[1:]:
        said = tell(f, speech_of(understood.job))
        assert "FAA AC 43.13-1B" in said.message
        assert "test strip" in said.remedy
