"""Joints are offered by what can be used of a sheet, not by its size."""

from __future__ import annotations

import pytest

import nestcut
from nestcut.verify.truth import placed, region

JOB = """
[job]
name = "midline"
[saw]
kerf = "3 mm"
[[sheet]]
name = "6 mm ply"
thickness = "6 mm"
length = "2500 mm"
width = "1250 mm"
price = 40
keep_out = [{ from = ["1240 mm", "0 mm"], to = ["1260 mm", "1250 mm"], why = "glue line" }]
[[part]]
name = "side"
shape = { kind = "rectangle", length = "LENGTH", width = "300 mm" }
thickness = "6 mm"
joint = { kind = "scarf", keep_clear = "none" }
"""


@pytest.mark.parametrize(("length", "pieces"), [("2300 mm", 2), ("3300 mm", 3)])
def test_a_panel_is_joined_so_that_no_piece_crosses_what_is_barred(
    length: str, pieces: int
) -> None:
    job = nestcut.read_job(JOB.replace("LENGTH", length), drawings={})
    done = nestcut.plan_job(job, nestcut.Budget(effort=nestcut.Effort.QUICK))

    assert not done.plan.unplaced
    assert len(done.plan.pieces) == pieces
    shapes = {p.id: p.shape for p in done.plan.pieces}
    for sheet in done.plan.sheets:
        for lies in sheet.placements:
            x0, _, x1, _ = placed(region(shapes[lies.piece]), lies).bounds
            assert x1 <= 1240.0 + 1e-6 or x0 >= 1260.0 - 1e-6
