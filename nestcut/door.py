"""The public door: a job from first reading to papers, for scripts and for every front end.

``import nestcut`` offers what stands here.  A front end (the command line, a page in a browser, a
script) uses nothing else of the package; what it adds is talk, files of its own and a clock.

>>> import nestcut
>>> job = nestcut.read_job("parts/punt/job.toml")
>>> job.name, len(job.sheet_parts), len(job.rail_parts)
('punt', 15, 5)
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from concurrent.futures import Executor
from dataclasses import dataclass, replace
from pathlib import Path

from nestcut.again.compare import compare_plans
from nestcut.again.events import Events, add_events
from nestcut.boards import JointPreference
from nestcut.byhand import Bench, Moved, put_down, slide_to
from nestcut.drawings.first.by_numbers import start_by_numbers
from nestcut.drawings.first.gaps import read_for_start
from nestcut.drawings.pictures.picture import drawing_picture as picture_of
from nestcut.drawings.read import read_drawing
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
from nestcut.facts import Slope
from nestcut.intake.drawn import drawings_on_table
from nestcut.intake.job import Understanding, understand_job
from nestcut.intake.job import read_job as _read_job_file
from nestcut.intake.pictures import job_fragments as job_pictures
from nestcut.intake.plan import PlanAndJob
from nestcut.intake.plan import read_plan as _read_plan_file
from nestcut.intake.text import understand_text
from nestcut.jobfile.schema import SCHEMAS as JOB_SCHEMA
from nestcut.model.job import Job
from nestcut.model.plan import Lie, Offcut, Placement, Plan, StopReason, VerifiedPlan
from nestcut.model.progress import Phase, Progress, SoFar
from nestcut.outlet import check_single, without_files, write_single
from nestcut.outlet.first import write_first_job
from nestcut.outlet.results import PLAN_PAPERS, choose_paper, write_results
from nestcut.planfile.compare import contradictions
from nestcut.planfile.faults import plan_fault
from nestcut.planfile.read import parse_plan_json
from nestcut.planfile.write import placed_shape, plan_to_json
from nestcut.search.settings import Deadline, Effort, Settings, Silent, Watcher
from nestcut.units import LengthStyle
from nestcut.verify import prove
from nestcut.verify.prove import Verification
from nestcut.words import Speech, finding_record, progress_line, speech_of, tell, tell_fact

__all__ = [
    "JOB_SCHEMA",
    "Bench",
    "Budget",
    "Deadline",
    "Effort",
    "Events",
    "Finding",
    "InputError",
    "Job",
    "JobFileError",
    "JointPreference",
    "Lie",
    "Moved",
    "NestcutError",
    "Offcut",
    "Phase",
    "Placement",
    "Plan",
    "PlanAndJob",
    "PlanFileError",
    "PlanRejectedError",
    "Progress",
    "Severity",
    "Slope",
    "SoFar",
    "Speech",
    "StopReason",
    "Understanding",
    "Verification",
    "VerifiedPlan",
    "Watcher",
    "add_events",
    "blocking",
    "check_job",
    "compare_plans",
    "continue_plan",
    "drawing_picture",
    "drawings_on_table",
    "finding_record",
    "job_pictures",
    "money",
    "parse_plan",
    "placed_shape",
    "plan_job",
    "plan_rest",
    "plan_text",
    "plan_text_in",
    "progress_line",
    "put_down",
    "read_job",
    "read_plan",
    "slide_to",
    "speech_of",
    "start_job",
    "tell",
    "tell_fact",
    "verify_plan",
    "with_kerf",
    "write_papers",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Budget:
    """What a search may spend, and what counts more: joints or money.

    Parameters
    ----------
    effort
        Amount of work, as a member of `Effort` or by its name (``"quick"``); the same effort, seed
        and number of workers give the same plan again.
    seconds
        Wall-clock limit on the whole search; None: none. [s]
    seed
        Source of all chance.
    workers
        Processes that search side by side.
    joints
        Whether fewer joints or less money weighs more; a member of `JointPreference` or its name.
    """

    effort: Effort | str = Effort.NORMAL
    seconds: float | None = None
    seed: int = 0
    workers: int = 1
    joints: JointPreference | str = JointPreference.CHEAPEST


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
    return understand_text(str(source), drawings)


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


def start_job(target: str | Path, drawings: Sequence[str | Path] = (), units: str = "mm") -> None:
    """Write a first job file: of drawings, with a picture page beside it (SVG, PNG); or of numbers.

    Parameters
    ----------
    target
        The file to write; it must not be there.
    drawings
        Paths as the job file shall name them, from where it lies.
    units
        ``"mm"`` or ``"inch"``: how lengths are written.

    Raises
    ------
    InputError
        If a drawing can't be read, none holds an outline, or the file can't be written.
    """
    path, style = Path(target), LengthStyle(units)
    if not drawings:
        check_single(path)
        write_single(path, start_by_numbers(path.stem, style).encode())
        return
    read = tuple((str(d), read_for_start(path.parent / d)) for d in drawings)
    write_first_job(path, read, style)


def drawing_picture(path: str | Path) -> str:
    """Return a picture (SVG) of a drawing, outlines numbered and faults ringed.

    Raises
    ------
    DrawingError
        If it can't be read.
    """
    return picture_of(read_drawing(Path(path)))


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


def plan_text_in(folder: str | Path) -> str:
    """Return the text of the plan whose papers lie in a folder, as :func:`plan_text` gives it.

    Empty where there is none.
    """
    try:
        return without_files(Path(folder) / PLAN_PAPERS.register)
    except (OSError, ValueError):
        return ""


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
        Who is told how the search goes, by records: its phase and what it is about, the share
        done, counts, cost, bound, and each better plan, proven, with all its layouts
        (:class:`Progress`; :func:`progress_line` says one in words).  Called from this thread only.
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
            settings=_settings(budget),
            deadline=stop or Deadline(budget.seconds),
            watcher=watcher or Silent(),
            preference=JointPreference(budget.joints),
            executor=executor,
        ),
    )


def plan_rest(
    job: Job,
    plan: Plan,
    pinned: Iterable[str],
    budget: Budget | None = None,
    *,
    watcher: Watcher | None = None,
    stop: Deadline | None = None,
) -> VerifiedPlan:
    """Search new places for all pieces on sheets but the ``pinned`` ones, named by their ids.

    Raises as :func:`plan_job`.
    """
    from nestcut.byhand.rest import plan_rest as search_rest

    budget = budget or Budget()
    return search_rest(
        job,
        plan,
        frozenset(pinned),
        _settings(budget),
        stop or Deadline(budget.seconds),
        watcher or Silent(),
    )


def continue_plan(
    job: Job,
    plan: Plan,
    events: Events,
    budget: Budget | None = None,
    *,
    watcher: Watcher | None = None,
    stop: Deadline | None = None,
) -> VerifiedPlan:
    """Plan again what isn't cut, after pieces were cut or spoilt.

    What is cut stays with its joints; spoilt pieces are made again out of what is there, if they
    can be; as little as possible moves.  Raises as :func:`plan_job`.
    """
    from nestcut.again.plan import continue_plan as go_on

    budget = budget or Budget()
    deadline = stop or Deadline(budget.seconds)
    return go_on(job, plan, events, _settings(budget), deadline, watcher or Silent())


def _settings(budget: Budget) -> Settings:
    return Settings(
        seed=budget.seed,
        effort=Effort(budget.effort),
        seconds=budget.seconds,
        workers=budget.workers,
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


def plan_text(verified: VerifiedPlan) -> str:
    """Return the text of plan.json."""
    return plan_to_json(verified)


def parse_plan(text: str, job: Job) -> Plan:
    """Read a plan's text back, for a job that is at hand.

    Raises
    ------
    PlanFileError
        If it is no plan, or contradicts itself.
    """
    read = parse_plan_json(text, "plan.json")
    if read.job_sha256 != job.sha256:
        raise PlanFileError([plan_fault("PLAN-005", "plan.json")])
    found = contradictions(read, job)
    if found:
        raise PlanFileError(found)
    return read.plan


def money(plan: Plan) -> float:
    """Return what a plan's buying list comes to with deliveries, in the currency of the job."""
    return plan.cost_minor / 100
