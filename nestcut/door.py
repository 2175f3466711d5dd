"""The public door: a job from first reading to papers, for scripts and for every front end.

``import nestcut`` offers what stands here.  A front end (the command line, a page in a browser, a
script) uses nothing else of the package; what it adds is talk, files of its own and a clock.

>>> import nestcut
>>> job = nestcut.read_job("parts/punt/job.toml")
>>> job.name, len(job.sheet_parts), len(job.rail_parts)
('punt', 15, 5)
"""

from __future__ import annotations

import tempfile
from collections.abc import Mapping
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path

from nestcut.boards.outcome import JointPreference
from nestcut.errors import (
    Finding,
    InputError,
    JobFileError,
    NestcutError,
    PlanFileError,
    PlanRejectedError,
    Severity,
    blocking,
)
from nestcut.intake.job import Understanding, understand_job
from nestcut.intake.job import read_job as _read_job_file
from nestcut.intake.plan import PlanAndJob
from nestcut.intake.plan import read_plan as _read_plan_file
from nestcut.model.job import Job
from nestcut.model.plan import Plan, StopReason, VerifiedPlan
from nestcut.search.settings import Deadline, Effort, Settings, Silent, Watcher
from nestcut.verify import prove
from nestcut.verify.prove import Verification
from nestcut.words import Speech, speech_of, tell

__all__ = [
    "Budget",
    "Deadline",
    "Effort",
    "Finding",
    "InputError",
    "Job",
    "JobFileError",
    "JointPreference",
    "NestcutError",
    "Plan",
    "PlanAndJob",
    "PlanFileError",
    "PlanRejectedError",
    "Severity",
    "Speech",
    "StopReason",
    "Understanding",
    "Verification",
    "VerifiedPlan",
    "Watcher",
    "blocking",
    "check_job",
    "money",
    "plan_job",
    "read_job",
    "read_plan",
    "speech_of",
    "tell",
    "verify_plan",
    "with_kerf",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """What a search may spend, and what counts more: joints or money.

    Parameters
    ----------
    effort
        Amount of work; the same effort, seed and number of workers give the same plan again.
    seconds
        Wall-clock limit on the whole search; None: none. [s]
    seed
        Source of all chance.
    workers
        Processes that search side by side.
    joints
        Whether fewer joints or less money weighs more.
    """

    effort: Effort = Effort.NORMAL
    seconds: float | None = None
    seed: int = 0
    workers: int = 1
    joints: JointPreference = JointPreference.CHEAPEST


def check_job(source: str | Path, *, drawings: Mapping[str, bytes] | None = None) -> Understanding:
    """Read as much of a job as can be read, with everything that was noticed.

    Parameters
    ----------
    source
        Path of a job file; or, with ``drawings`` given, the text of one.
    drawings
        Contents of the drawings, by their paths from where the job file would lie
        (``"drawings/hull.dxf"``); empty for a job from numbers.

    Returns
    -------
    Understanding
        The job as far as it is understood; ``findings``; ``is_usable`` says whether it can be
        planned.

    Raises
    ------
    JobFileError
        If there is no file to read.
    """
    if drawings is None:
        return understand_job(Path(source))
    with tempfile.TemporaryDirectory() as folder:
        path = _laid_out(str(source), drawings, Path(folder))
        return _beside_nothing(understand_job(path), f"{Path(folder).as_posix()}/")


def read_job(source: str | Path, *, drawings: Mapping[str, bytes] | None = None) -> Job:
    """Read a job that can be planned; parameters as of :func:`check_job`.

    Raises
    ------
    JobFileError
        If anything stands in the way of a plan; carries all findings.
    """
    if drawings is None:
        return _read_job_file(Path(source))
    understanding = check_job(source, drawings=drawings)
    if not understanding.is_usable:
        raise JobFileError(understanding.findings)
    return understanding.job


def _beside_nothing(read: Understanding, folder: str) -> Understanding:
    """Take the passing folder out of file names: to the caller the text lies nowhere."""
    findings = tuple(replace(f, file=f.file.removeprefix(folder)) for f in read.findings)
    kept = tuple(f for f in findings if not f.is_blocking)
    job = replace(read.job, file=read.job.file.removeprefix(folder), findings=kept)
    return replace(read, job=job, findings=findings)


def _laid_out(text: str, drawings: Mapping[str, bytes], folder: Path) -> Path:
    """Lay a job's text and drawings out as files, as the readers want them."""
    for name, content in drawings.items():
        path = (folder / name).resolve()
        if not path.is_relative_to(folder.resolve()):
            raise ValueError(f"a drawing lies beside its job or below, not at '{name}'")
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(content)
    job = folder / "job.toml"
    job.write_text(text, encoding="utf-8")
    return job


def with_kerf(job: Job, kerf_mm: float) -> Job:
    """Return a job for another saw; a plan of it can be proven, not read back from its file."""
    return replace(job, cutting=replace(job.cutting, kerf_mm=kerf_mm))


def plan_job(
    job: Job,
    budget: Budget | None = None,
    *,
    watcher: Watcher | None = None,
    stop: Deadline | None = None,
    executor: Executor | None = None,
) -> VerifiedPlan:
    """Plan a job and prove the plan.

    Parameters
    ----------
    job
        What is asked for.
    budget
        What the search may spend; None: normal effort, no limit in time.
    watcher
        Who is told how the search goes; called from this thread only.
    stop
        A deadline that the caller may interrupt, from a signal handler or another thread;
        None: one that follows ``budget.seconds``.
    executor
        Where searches run side by side; None: in this process, or in processes of its own.

    Raises
    ------
    InputError
        If no plan can be made: every reason at once.
    PlanRejectedError
        If the verifier refuses the plan: a fault of ours.
    """
    # The solvers are loaded when there is something to solve: reading a job needs none.
    from nestcut.planning import plan_job as planning

    budget = budget or Budget()
    return planning.plan_job(
        job,
        planning.Desk(
            settings=Settings(
                seed=budget.seed,
                effort=budget.effort,
                seconds=budget.seconds,
                workers=budget.workers,
            ),
            deadline=stop or Deadline(budget.seconds),
            watcher=watcher or Silent(),
            preference=budget.joints,
            executor=executor,
        ),
    )


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


def money(plan: Plan) -> float:
    """Return what a plan's buying list comes to, in the currency of the job."""
    return sum(line.price_minor * line.count for line in plan.buy) / 100
