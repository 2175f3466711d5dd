"""The papers of a plan, in a folder of its own, and never over what isn't ours.

Everything that draws and prints is loaded when something is to be drawn.
"""

from __future__ import annotations

from importlib import import_module
from pathlib import Path

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.plan import VerifiedPlan
from nestcut.outlet import (
    Outcome,
    Papers,
    check_folder,
    check_single,
    settle_folder,
    write_folder,
    write_single,
)
from nestcut.outlet.plans_kept import check_replaceable, has_papers
from nestcut.outlet.results import (
    PLAN_PAPERS,
    Haven,
    choose_paper,
    expected_papers,
    make_papers,
    next_folder,
    papers_folder,
    write_plan_alone,
    write_results,
    write_somewhere,
)
from nestcut.papers.draw import Paper
from nestcut.papers.view import PlanView, plan_view, spelling_findings
from nestcut.units import LengthStyle
from nestcut.words import safe_name

__all__ = [
    "PRINTERS",
    "Haven",
    "Outcome",
    "Paper",
    "Papers",
    "PlanView",
    "check_other_plans",
    "check_papers_folder",
    "check_single",
    "choose_paper",
    "has_papers",
    "load",
    "make_papers",
    "next_folder",
    "papers_folder",
    "plan_view",
    "results_folder",
    "settle_papers_folder",
    "spelling_findings",
    "summary_text",
    "write_folder",
    "write_papers",
    "write_plan_alone",
    "write_results",
    "write_single",
    "write_somewhere",
]

PRINTERS = (
    "reportlab.pdfgen.canvas",
    "reportlab.platypus",
    "jinja2",
    "ezdxf",
    "nestcut.papers.view",
    "nestcut.papers.book",
    "nestcut.papers.marking",
    "nestcut.papers.screen",
    "nestcut.papers.write",
    "nestcut.drawings.write",
    "nestcut.planfile.write",
    "nestcut.readback",
)
"""What draws and prints: whoever is going to may :func:`load` it, one after the other."""


def load(printer: str) -> None:
    """Load one of `PRINTERS`, so that copies of this process have it."""
    import_module(printer)


def write_papers(
    verified: VerifiedPlan,
    folder: str | Path,
    *,
    paper: str | None = None,
    units: str | None = None,
) -> None:
    """Write plan.json and all papers of a proven plan into a folder.

    Parameters
    ----------
    folder
        Where they go; it is made where it isn't there.
    paper
        ``"a4"`` or ``"letter"``; None: as the units go.
    units
        ``"mm"`` or ``"inch"``; None: as the job shows lengths.

    Raises
    ------
    InputError
        If the folder can't be written.
    """
    style = verified.job.style if units is None else LengthStyle(units)
    write_results(verified, Path(folder), choose_paper(paper, style), style)


def results_folder(job: Job) -> Path:
    """Return the folder that a job's papers go to unless someone says otherwise."""
    return Path("outputs") / safe_name(job.name)


def check_papers_folder(folder: Path, job: Job) -> None:
    """Refuse a folder that the papers of a job can't be written to, before anything is searched.

    A plan there that is being cut by, or that is of another job file, stays.

    Raises
    ------
    InputError
        With everything that stands in the way.
    """
    check_folder(folder, PLAN_PAPERS, expected_papers(job))
    check_replaceable(folder, job.file)


def check_other_plans(folder: Path, verified: VerifiedPlan) -> None:
    """Refuse to write a plan's papers over those of one that is being cut by, or of another job.

    Raises
    ------
    InputError
        If such a plan lies in the folder; the same plan is none.
    """
    from nestcut.planfile.write import plan_to_json

    check_replaceable(folder, verified.job.file, plan_to_json(verified))


def settle_papers_folder(folder: Path) -> tuple[Finding, ...]:
    """Finish or clear what a run that was stopped has left in a folder of papers."""
    return settle_folder(folder, PLAN_PAPERS)


def summary_text(verified: VerifiedPlan) -> str:
    """Say in a few plain lines what is cut from what, what to buy and what is left."""
    from nestcut.papers.lists import summary_text as summary

    return summary(verified, verified.job.style)
