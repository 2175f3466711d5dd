"""A plan that no clock has cut short says so, whatever kinds of parts the job has."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.boards import JointPreference
from nestcut.intake.job import read_job
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings, Silent

PLATE = """
[[sheet]]
name = "ply"
material = "ply"
thickness = "6 mm"
length = "1200 mm"
width = "600 mm"
count = "buy"

[[part]]
name = "plate"
thickness = "6 mm"
[part.shape]
kind = "rectangle"
length = "500 mm"
width = "300 mm"
"""
CLEAT = """
[[board]]
name = "pine"
material = "pine"
thickness = "20 mm"
width = "45 mm"
lengths = [{ length = "2.4 m" }]

[[rail]]
name = "cleat"
material = "pine"
section = ["20 mm", "45 mm"]
length = "400 mm"
count = 2
"""


@pytest.mark.parametrize("tables", [PLATE, CLEAT, PLATE + CLEAT], ids=["flat", "rails", "both"])
def test_a_run_without_a_limit_is_repeatable(tables: str, tmp_path: Path) -> None:
    job = tmp_path / "job.toml"
    job.write_text(f'[job]\nname = "x"\n[saw]\nkerf = "2 mm"\n{tables}', encoding="utf-8")
    desk = Desk(
        settings=Settings(effort=Effort.QUICK),
        deadline=Deadline(),
        watcher=Silent(),
        preference=JointPreference.BALANCED,
    )

    assert plan_job(read_job(job), desk).plan.is_repeatable
