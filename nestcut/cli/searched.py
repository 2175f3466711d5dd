"""A search under supervision and what comes of it: the best plan's papers, whole or not at all.

For every command that searches: a stop is kept within two seconds, at any moment, and the best
plan so far is written.
"""

from __future__ import annotations

import signal
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType
from typing import Protocol

from nestcut.cli.press import Press, n_parts
from nestcut.cli.session import Session
from nestcut.cli.supervise import FaultElsewhereError, Task, search_aside
from nestcut.cli.talk import ProgressLine, say
from nestcut.door.findings import (
    Finding,
    InputError,
    JobFileError,
    Names,
    PlanRejectedError,
    Severity,
    blocking,
    finding,
    speech_of,
)
from nestcut.door.job import Job
from nestcut.door.papers import (
    Outcome,
    Paper,
    check_papers_folder,
    has_papers,
    next_folder,
    write_plan_alone,
    write_results,
    write_somewhere,
)
from nestcut.door.search import Deadline, StopReason, VerifiedPlan
from nestcut.tolerances.search import LATE_S


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """A plan whose files are in their place.

    Parameters
    ----------
    folder
        Where they lie after all.
    findings
        What went otherwise than it should.
    is_alone
        Whether time was left for plan.json and the lists only.
    """

    verified: VerifiedPlan
    folder: Path
    findings: tuple[Finding, ...]
    is_alone: bool

    @property
    def status(self) -> int:
        """Exit status of the command."""
        if blocking(self.findings):
            return 3
        plan = self.verified.plan
        if plan.stopped_by is StopReason.INTERRUPTED:
            return 130
        return 0 if plan.is_complete else 4


def search_and_write(task: Task, job: Job, folder: Path, paper: Paper, session: Session) -> Written:
    """Search aside, have papers made meanwhile, and write those of the best plan.

    Raises
    ------
    InputError
        If there is no plan, for whatever reason that its reader can do something about.
    KeyboardInterrupt
        If someone stopped before there was a plan.
    """
    progress = ProgressLine(speech_of(job), started_s=session.started_s)
    seconds = task.budget.seconds
    # The limit counts from the command's start: what was read took time as well.
    spent_s = time.monotonic() - session.started_s
    deadline = Deadline(None if seconds is None else max(0.0, seconds - spent_s))
    with Press(job, paper, job.style) as press, stopping_on_signal(deadline, session):
        try:
            verified, fault = _search(task, job, deadline, progress, press)
        finally:
            progress.close()
        made = press.finish(verified, lambda: deadline.ends_in_s(LATE_S))
        is_alone = made is None and not press.has_failed
        place, told = _beside_papers(folder, job) if is_alone else (folder, ())

        def write(place: Path) -> Outcome:
            def note() -> None:
                session.note_written(str(place))

            if is_alone:
                return write_plan_alone(verified, place, job.style, note)
            return write_results(verified, place, paper, job.style, note, made)

        haven = write_somewhere(place, write)
    if is_alone and not told:
        told = (finding("PLN-003", Severity.WARNING, job.name, folder=str(haven.folder)),)
    return Written(
        verified=verified,
        folder=haven.folder,
        findings=(*told, *fault, *haven.findings),
        is_alone=is_alone,
    )


def _beside_papers(folder: Path, job: Job) -> tuple[Path, tuple[Finding, ...]]:
    """Where a plan goes whose papers there was no time for: papers that lie there are kept."""
    if not has_papers(folder):
        return folder, ()
    beside = next_folder(folder)
    check_papers_folder(beside, job)
    return beside, (finding("OUT-019", Severity.WARNING, str(folder), folder=str(beside)),)


class Stoppable(Protocol):
    """What a signal stops: one search's deadline, or that of several."""

    def stop_reason(self) -> StopReason | None:
        """Why to stop now, or None to go on."""

    def interrupt(self) -> None:
        """Ask for an end."""


@contextmanager
def stopping_on_signal(deadline: Stoppable, session: Session) -> Iterator[None]:
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


def _search(
    task: Task, job: Job, deadline: Deadline, progress: ProgressLine, press: Press
) -> tuple[VerifiedPlan, tuple[Finding, ...]]:
    """Search; where the search or a later proof fails, the last proven plan is what there is."""
    ended = search_aside(task, deadline, progress, press)
    fault = ended.fault
    if isinstance(fault, InputError):
        raise JobFileError(fault.findings, job.style.value, job.fraction) from fault
    if ended.best is None:
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
