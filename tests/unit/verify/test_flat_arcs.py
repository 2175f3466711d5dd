"""Arcs kilometres in radius, nearly straight, end where their neighbours begin but for noise."""

from __future__ import annotations

from pathlib import Path

import pytest
from ezdxf.filemanagement import new

import nestcut

JOB = """
[job]
name = "flat arc"
[saw]
kerf = "2 mm"
[[sheet]]
name = "ply"
thickness = "6 mm"
length = "2440 mm"
width = "1220 mm"
price = 50
[[part]]
name = "plate"
drawing = "plate.dxf"
layer = "plate"
thickness = "6 mm"
hand = "pair"
"""


@pytest.mark.parametrize("bulge", [-8.493726831147741e-05, -3.9237490442184386e-05, -1e-6, 1e-7])
@pytest.mark.parametrize(
    ("length", "low", "high"), [(500.7, 224.72, 280.9), (804.8625, 161.29, 201.6125)]
)
def test_an_edge_that_is_an_arc_of_kilometres_is_proven(
    tmp_path: Path, bulge: float, length: float, low: float, high: float
) -> None:
    document = new()
    document.header["$INSUNITS"] = 4
    corners = [(0, 0, 0), (length, 0, 0), (length, high, bulge), (0, low, 0)]
    document.modelspace().add_lwpolyline(
        corners, format="xyb", close=True, dxfattribs={"layer": "plate"}
    )
    document.saveas(tmp_path / "plate.dxf")
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    budget = nestcut.Budget(effort="quick", seconds=0.0)
    done = nestcut.plan_job(nestcut.read_job(tmp_path / "job.toml"), budget)
    assert done.plan.is_complete
