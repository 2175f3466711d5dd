"""A plan file and the job it was made from."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from nestcut.errors import (
    Finding,
    InputError,
    PlanFileError,
    ReadPlanRejectedError,
    Severity,
    blocking,
    finding,
)
from nestcut.facts import Length
from nestcut.gate import FileKind, is_plain_file, read_text
from nestcut.intake.job import read_job
from nestcut.model.held import with_held
from nestcut.model.job import Job
from nestcut.model.otherwise import with_otherwise
from nestcut.model.plan import VerifiedPlan
from nestcut.planfile.compare import contradictions
from nestcut.planfile.faults import plan_fault
from nestcut.planfile.read import PlanText, parse_plan_json
from nestcut.verify import verify_plan


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanAndJob:
    """A plan file's content with its job; ``findings`` say where the two don't belong together."""

    text: PlanText
    job: Job
    findings: tuple[Finding, ...]


def folder_of(path: Path) -> Path:
    """Folder of a plan that is given as a file or as its folder."""
    return path if path.is_dir() else path.parent


def read_plan_file(path: Path) -> PlanText:
    """Read a plan file alone, without its job.

    Raises
    ------
    PlanFileError
        If the plan can't be read.
    """
    if path.is_dir():
        path /= "plan.json"
        if not is_plain_file(path):
            raise PlanFileError([finding("PLAN-009", Severity.ERROR, str(path.parent))])
    if path.suffix.lower() == ".toml":
        raise PlanFileError([finding("PLAN-010", Severity.ERROR, str(path))])
    try:
        content = read_text(path, FileKind.PLAN)
    except InputError as error:
        raise PlanFileError(error.findings) from None
    return parse_plan_json(content, str(path))


def read_proven(path: Path) -> VerifiedPlan:
    """Read a plan file and its job, and prove the plan once more.

    Raises
    ------
    InputError
        If one of them can't be read, or the two don't belong together.
    ReadPlanRejectedError
        If the verifier objects.
    """
    read = read_plan(path)
    if blocking(read.findings):
        raise InputError(read.findings)
    verification = verify_plan(read.job, read.text.plan)
    if not verification.is_proven:
        raise ReadPlanRejectedError(verification.findings)
    return VerifiedPlan(job=read.job, plan=read.text.plan, checks=verification.checks)


def find_job(path: Path, text: PlanText) -> Path:
    """Return where a plan's job file is, as :func:`read_plan` looks for it."""
    return _find_job(path / "plan.json" if path.is_dir() else path, text.job_file)


def read_plan(path: Path) -> PlanAndJob:
    """Read a plan file and its job.

    The job's path is taken as the plan gives it, from the working folder or from any folder above
    the plan file.

    Raises
    ------
    PlanFileError
        If the plan can't be read or its job can't be found.
    JobFileError
        If the job has become faulty.
    """
    text = read_plan_file(path)
    path = path / "plan.json" if path.is_dir() else path
    asked = with_otherwise(read_job(_find_job(path, text.job_file)), text.plan.otherwise)
    job = with_held(asked, text.plan.held)
    findings = list(contradictions(text, job))
    if not job.says(text.job_sha256):
        findings.append(plan_fault("PLAN-005", text.job_file))
    cutting = job.cutting
    if (text.kerf_mm, text.gap_mm) != (cutting.kerf_mm, cutting.gap_mm):
        findings.append(
            plan_fault(
                "PLAN-006",
                str(path),
                kerf=Length(text.kerf_mm),
                gap=Length(text.gap_mm),
                job_kerf=Length(cutting.kerf_mm),
                job_gap=Length(cutting.gap_mm),
            )
        )
    return PlanAndJob(text=text, job=job, findings=tuple(findings))


def _find_job(plan: Path, job_file: str) -> Path:
    wanted = Path(job_file)
    folders = [Path(), *plan.resolve().parents]
    for folder in folders:
        if is_plain_file(folder / wanted):
            return folder / wanted if folder != Path() else wanted
    raise PlanFileError([finding("PLAN-007", Severity.ERROR, str(plan), file=job_file)])
