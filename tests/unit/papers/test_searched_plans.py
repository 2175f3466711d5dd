"""Labels on the demos' searched plans, where pieces lie askew and close: none over another."""

from __future__ import annotations

import itertools
from functools import lru_cache
from pathlib import Path

import pypdf
import pytest

from nestcut.boards import JointPreference
from nestcut.intake.job import read_job
from nestcut.model.plan import VerifiedPlan
from nestcut.papers.draw.paper import Paper
from nestcut.papers.marking import marking_rule
from nestcut.papers.marking.pages import marking_pages
from nestcut.papers.view import plan_view
from nestcut.papers.write import write_papers
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings, Silent
from nestcut.units import LengthStyle
from tests.unit.papers.marking.test_label_places import faults_of, pages_of

PARTS = Path(__file__).parents[3] / "parts"


@lru_cache(maxsize=2)
def searched(name: str, seed: int = 0) -> VerifiedPlan:
    desk = Desk(
        settings=Settings(effort=Effort.QUICK, workers=1, seed=seed),
        deadline=Deadline(),
        watcher=Silent(),
        preference=JointPreference.BALANCED,
    )
    return plan_job(read_job(PARTS / name / "job.toml"), desk)


FOUR = list(itertools.product(Paper, LengthStyle))
USUAL = [(Paper.A4, LengthStyle.MM), (Paper.LETTER, LengthStyle.INCH)]
MOST_PAGES = {"beach-boat": (20, 16), "punt": (10, 6)}
"""Pages of shop.pdf and of marking-out.pdf."""
SHEETS = {"beach-boat": 10, "punt": 5}
"""So many sheets the plans of a search at leisure have; a quick one may need one more."""


@pytest.mark.parametrize("name", ["punt", "beach-boat"])
@pytest.mark.parametrize(("paper", "style"), FOUR)
def test_searched_demos_have_no_label_over_another(
    name: str, paper: Paper, style: LengthStyle
) -> None:
    pages = pages_of(searched(name), paper, style)

    assert len(pages) > 5
    assert [f for page in pages for f in faults_of(page)] == []


@pytest.mark.parametrize("name", ["punt", "beach-boat"])
@pytest.mark.parametrize(("paper", "style"), USUAL)
def test_searched_demos_have_no_more_pages_than_can_be_carried(
    name: str, paper: Paper, style: LengthStyle, tmp_path: Path
) -> None:
    verified = searched(name)
    write_papers(verified, tmp_path, paper, style)
    counts = tuple(
        len(pypdf.PdfReader(tmp_path / file).pages) for file in ("shop.pdf", "marking-out.pdf")
    )

    more = max(0, sum(1 for _ in verified.plan.sheets) - SHEETS[name] - boards_for_curves(verified))
    assert all(n <= most + more for n, most in zip(counts, MOST_PAGES[name], strict=True)), counts


@pytest.mark.deep
@pytest.mark.parametrize("name", ["punt", "beach-boat"])
@pytest.mark.parametrize(("paper", "style"), [one for one in FOUR if one not in USUAL])
def test_nor_have_they_on_the_other_paper(
    name: str, paper: Paper, style: LengthStyle, tmp_path: Path
) -> None:
    test_searched_demos_have_no_more_pages_than_can_be_carried(name, paper, style, tmp_path)


@pytest.mark.parametrize("seed", [1, 3])
def test_charts_need_no_more_pages_where_pieces_lie_otherwise(seed: int) -> None:
    """Other seeds bring charts in on other sheets; the inches of Letter are the tightest."""
    verified = searched("beach-boat", seed)
    job = verified.job
    rule = marking_rule(LengthStyle.INCH, job.fraction, job.marking)
    pages = marking_pages(plan_view(verified), rule, Paper.LETTER)

    sheets = sum(1 for _ in verified.plan.sheets) - boards_for_curves(verified)
    more = max(0, sheets - SHEETS["beach-boat"])
    assert len(pages) <= MOST_PAGES["beach-boat"][1] + more


def boards_for_curves(verified: VerifiedPlan) -> int:
    boards = {b.name for b in verified.job.board_stocks}
    return sum(s.stock in boards for s in verified.plan.sheets)
