"""Labels on the demos' searched plans, where pieces lie askew and close: none over another."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import pytest

from nestcut.boards import JointPreference
from nestcut.intake.job import read_job
from nestcut.model.plan import VerifiedPlan
from nestcut.papers.draw.paper import Paper
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.units import LengthStyle
from tests.unit.papers.test_label_places import faults_of, pages_of

PARTS = Path(__file__).parents[3] / "parts"


@lru_cache(maxsize=2)
def searched(name: str) -> VerifiedPlan:
    desk = Desk(
        settings=Settings(effort=Effort.QUICK, workers=1),
        deadline=Deadline(),
        watcher=Silent(),
        preference=JointPreference.BALANCED,
    )
    return plan_job(read_job(PARTS / name / "job.toml"), desk)


@pytest.mark.parametrize("name", ["punt", "beach-boat"])
@pytest.mark.parametrize(
    ("paper", "style"), [(Paper.A4, LengthStyle.MM), (Paper.LETTER, LengthStyle.INCH)]
)
def test_searched_demos_have_no_label_over_another(
    name: str, paper: Paper, style: LengthStyle
) -> None:
    pages = pages_of(searched(name), paper, style)

    assert len(pages) > 5
    assert [f for page in pages for f in faults_of(page)] == []
