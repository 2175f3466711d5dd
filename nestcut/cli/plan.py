"""``nestcut plan``: search, prove, write the papers."""

from __future__ import annotations

import gc
import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

import click

from nestcut.boards import JointPreference
from nestcut.cli.press import Press, n_parts
from nestcut.cli.session import Session
from nestcut.cli.supervise import LATE_S, FaultElsewhereError, Wanted, search_aside
from nestcut.cli.talk import ProgressLine, say, show_findings
from nestcut.errors import (
    Finding,
    InputError,
    PlanRejectedError,
    Severity,
    blocking,
    finding,
)
from nestcut.facts import Names
from nestcut.intake.job import read_job
from nestcut.model.job import Job
from nestcut.model.plan import StopReason, VerifiedPlan
from nestcut.nesting.kernels.separate import separate
from nestcut.outlet import Outcome, check_folder, safe_name
from nestcut.outlet.results import (
    PLAN_PAPERS,
    Haven,
    choose_paper,
    expected_papers,
    with_marking,
    write_plan_alone,
    write_results,
    write_somewhere,
)
from nestcut.search.settings import Deadline, Effort, Settings
from nestcut.words import speech_of

COLLECT_AFTER = (100_000, 20, 100)
"""Things made between two looks for such as can be thrown away, by generation. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOptions:
    """What the command line says about a search."""

    settings: Settings
    preference: JointPreference
    cluster: str | None
    out: Path | None
    paper: str | None
    marking: str | None
    as_json: bool

    @classmethod
    def from_words(cls, **words: object) -> PlanOptions:
        """Take click's values apart."""
        seconds = words["seconds"]
        return cls(
            settings=Settings(
                seed=int(str(words["seed"])),
                effort=Effort(str(words["effort"])),
                seconds=None if seconds is None else float(str(seconds)),
                workers=int(str(words["workers"])),
            ),
            preference=JointPreference(str(words["joints"])),
            cluster=None if words["cluster"] is None else str(words["cluster"]),
            out=None if words["out"] is None else Path(str(words["out"])),
            paper=None if words["paper"] is None else str(words["paper"]),
            marking=None if words["marking"] is None else str(words["marking"]),
            as_json=bool(words["as_json"]),
        )


@contextmanager
def _stopping_on_signal(deadline: Deadline, session: Session) -> Iterator[None]:
    """First signal: stop the search and keep its best. Second: stop at once."""

    def on_signal(number: int, frame: FrameType | None) -> None:
        del number, frame
        if deadline.stop_reason() is StopReason.INTERRUPTED:
            raise KeyboardInterrupt
        deadline.interrupt()
        say("\nStopping; the best plan so far is written. (Ctrl-C again: nothing is.)")

    before = {}
    try:
        for number in (signal.SIGINT, signal.SIGTERM):
            before[number] = signal.signal(number, on_signal)
        if session.is_stop_asked:  # before there was anything to stop; a library swallowed it
            raise KeyboardInterrupt
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _is_compiled() -> bool:
    """Whether an earlier run has left the compiled search in numba's cache."""
    folder = separate.stats.cache_path
    return folder is not None and any(Path(folder).glob("separate.separate-*.nbi"))


def run_plan(path: Path, options: PlanOptions, session: Session) -> int:
    """Plan a job and write its papers; see the exit statuses of the room."""
    # A plan is made of many small things that stay: looking them through less often saves time.
    gc.set_threshold(*COLLECT_AFTER)
    job = with_marking(read_job(path), options.marking)
    folder = options.out or Path("outputs") / safe_name(job.name)
    check_folder(folder, PLAN_PAPERS, expected_papers(job))
    show_findings(job.findings, speech_of(job))
    progress = ProgressLine(speech_of(job), started_s=session.started_s)
    seconds = options.settings.seconds
    # The limit counts from the command's start: what was read took time as well.
    spent_s = time.monotonic() - session.started_s
    deadline = Deadline(None if seconds is None else max(0.0, seconds - spent_s))
    paper = choose_paper(options.paper, job.style)
    with Press(job, paper, job.style) as press, _stopping_on_signal(deadline, session):
        verified, fault = _search(job, options, deadline, progress, press)
        progress.close()
        made = press.finish(verified, lambda: deadline.ends_in_s(LATE_S))
        is_alone = made is None and not press.has_failed

        def write(place: Path) -> Outcome:
            def note() -> None:
                session.note_written(str(place))

            if is_alone:
                return write_plan_alone(verified, place, job.style, note)
            return write_results(verified, place, paper, job.style, note, made)

        haven = write_somewhere(folder, write)
    _tell(verified, haven, options, is_alone=is_alone)
    from nestcut.papers.view import spelling_findings

    more = (*verified.plan.findings[len(job.findings) :], *spelling_findings(job))
    if is_alone:
        more = (*more, finding("PLN-003", Severity.WARNING, job.name, folder=str(haven.folder)))
    show_findings((*more, *fault, *haven.findings), speech_of(job))
    if blocking(haven.findings):
        return 3
    if verified.plan.stopped_by is StopReason.INTERRUPTED:
        return 130
    return 0 if verified.plan.is_complete else 4


def _search(
    job: Job, options: PlanOptions, deadline: Deadline, progress: ProgressLine, press: Press
) -> tuple[VerifiedPlan, tuple[Finding, ...]]:
    """Search; where the search or a later proof fails, the last proven plan is what there is."""
    if not _is_compiled():
        say("First run on this machine: the search is compiled, a minute or so without news.")
    wanted = Wanted(options.settings, options.preference, options.cluster)
    ended = search_aside(job, wanted, deadline, progress, press)
    fault = ended.fault
    if ended.best is None or isinstance(fault, InputError):
        if fault is None and deadline.stop_reason() is StopReason.TIME_UP:
            none = finding("PLN-002", Severity.ERROR, job.name, pieces=n_parts(job))
            raise InputError([none])
        raise fault or KeyboardInterrupt
    if fault is None:
        return ended.best, ()
    told = fault.findings if isinstance(fault, PlanRejectedError) else ()
    codes = tuple(dict.fromkeys(f.code for f in told)) or (_name_of(fault),)
    kept = finding("PLN-001", Severity.WARNING, job.name, reason=Names(codes))
    return ended.best, (kept,)


def _name_of(fault: Exception) -> str:
    return fault.name if isinstance(fault, FaultElsewhereError) else type(fault).__name__


def _tell(verified: VerifiedPlan, haven: Haven, options: PlanOptions, *, is_alone: bool) -> None:
    # What tells of a plan is loaded when there is one: the search begins sooner.
    from nestcut.papers.lists import summary_text
    from nestcut.planfile.write import plan_to_json

    if options.as_json:
        click.echo(plan_to_json(verified), nl=False)
        return
    click.echo(summary_text(verified, verified.job.style))
    if is_alone:
        click.echo(f"Plan and lists: {haven.folder}/plan.json and the files beside it")
        return
    papers = f"{haven.folder}/shop.pdf (print this), shop.html, and the files beside them"
    click.echo(f"Papers: {papers}")
