"""The job that README shows is a whole one: read without a doubt, and planned."""

from __future__ import annotations

import re
from pathlib import Path

from nestcut.door import Budget, plan_job, read_job
from nestcut.intake.job import understand_job
from nestcut.search.settings import Effort

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
[JOB] = [x for x in re.findall(r"```toml\n(.*?)```", README, re.DOTALL) if "[offsets]" in x]


def test_it_is_read_without_a_doubt(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")
    found = understand_job(path)

    assert {f.severity.value for f in found.findings} == {"note"}
    assert [p.name for p in found.job.sheet_parts] == ["side", "bottom", "transom", "frame"]


def test_it_makes_a_boat() -> None:
    done = plan_job(read_job(JOB, drawings={}), Budget(effort=Effort.QUICK, seconds=1.0))

    assert done.plan.is_complete
    assert len(done.plan.joints) >= 3
