"""Plan files: read with their job, proven again, written down."""

from __future__ import annotations

from pathlib import Path

from nestcut.errors import Finding, PlanFileError
from nestcut.intake.plan import PlanAndJob, read_proven
from nestcut.intake.plan import read_plan as _read_plan_file
from nestcut.model.job import Job
from nestcut.model.plan import Offcut, Plan, VerifiedPlan
from nestcut.model.pose import Lie, Placement
from nestcut.outlet import folder_state, without_files
from nestcut.outlet.results import PLAN_PAPERS
from nestcut.planfile.compare import contradictions
from nestcut.planfile.faults import plan_fault
from nestcut.planfile.read import parse_plan_json
from nestcut.planfile.write import placed_shape, plan_to_json
from nestcut.verify import prove
from nestcut.verify.prove import Verification
from nestcut.words.piece_names import names_in_words

__all__ = [
    "Lie",
    "Offcut",
    "Placement",
    "Plan",
    "PlanAndJob",
    "Verification",
    "VerifiedPlan",
    "money",
    "names_in_words",
    "papers_of_plan",
    "parse_plan",
    "placed_shape",
    "plan_text",
    "plan_text_in",
    "read_plan",
    "read_proven",
    "verify_plan",
]


def read_plan(path: str | Path) -> PlanAndJob:
    """Read a plan file and the job it was made from.

    Raises
    ------
    PlanFileError
        If the plan can't be read or its job can't be found.
    JobFileError
        If the job has become faulty.
    """
    return _read_plan_file(Path(path))


def verify_plan(job: Job, plan: Plan) -> Verification:
    """Prove a plan against its job; objections are findings, none for a good plan."""
    return prove.verify_plan(job, plan)


def papers_of_plan(path: str | Path) -> tuple[Finding, ...]:
    """Say what is wrong with the files beside a plan: gone, changed, or written half.

    Empty for a plan file that lies by itself.
    """
    path = Path(path)
    if not path.is_dir() and path.name != PLAN_PAPERS.register:
        return ()
    return folder_state(path if path.is_dir() else path.parent, PLAN_PAPERS)


def plan_text(verified: VerifiedPlan) -> str:
    """Return the text of plan.json."""
    return plan_to_json(verified)


def plan_text_in(folder: str | Path) -> str:
    """Return the text of the plan whose papers lie in a folder, as :func:`plan_text` gives it.

    Empty where there is none.
    """
    try:
        return without_files(Path(folder) / PLAN_PAPERS.register)
    except (OSError, ValueError):
        return ""


def parse_plan(text: str, job: Job) -> Plan:
    """Read a plan's text back, for a job that is at hand.

    Raises
    ------
    PlanFileError
        If it is no plan, or contradicts itself.
    """
    read = parse_plan_json(text, "plan.json")
    if not job.says(read.job_sha256):
        raise PlanFileError([plan_fault("PLAN-005", "plan.json")])
    found = contradictions(read, job)
    if found:
        raise PlanFileError(found)
    return read.plan


def money(plan: Plan) -> float:
    """Return what a plan's buying list comes to with deliveries, in the currency of the job."""
    return plan.cost_minor / 100
