"""A job with two saws, planned and proven: each sheet keeps its own saw's clearance."""

from __future__ import annotations

from dataclasses import replace

from nestcut.door import Budget, plan_job, read_job, verify_plan
from nestcut.model.stock import Saw
from nestcut.search.settings import Effort
from tests.unit.intake.test_saws import JOB

STRIP = "thickness = 9\nlength = 403\nwidth = 100\n"
"""Four knees of 100 mm fill it exactly at the jigsaw's kerf of 1 mm."""


def test_each_sheet_keeps_its_saws_clearance() -> None:
    """One strip is enough for the jigsaw; for the circular saw the same plan is refused."""
    text = JOB.replace("thickness = 9\nlength = 2440\nwidth = 1220\n", STRIP)
    job = read_job(text.replace('saw = "jigsaw"', 'saw = "jigsaw"\ncount = 4'), drawings={})
    plan = plan_job(job, Budget(effort=Effort.QUICK)).plan
    strips = [x for x in plan.sheets if x.stock == "9 mm"]
    wide = Saw(name="circular saw", kerf_mm=3.0, gap_mm=1.0)
    sheets = tuple(replace(s, saw=wide) if s.name == "9 mm" else s for s in job.sheet_stocks)

    assert len(strips) == 1
    assert verify_plan(job, plan).is_proven
    refused = verify_plan(replace(job, sheet_stocks=sheets), plan).findings
    assert {f.code for f in refused} == {"VER-027"}
