"""``nestcut plan``: search, prove, write the papers."""

from __future__ import annotations

import gc
import signal
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import FrameType

import click

from nestcut.boards.outcome import JointPreference
from nestcut.cli.talk import ProgressLine, say, show_findings
from nestcut.intake.job import read_job
from nestcut.model.plan import StopReason
from nestcut.nesting.kernels.separate import separate
from nestcut.outlet.folder import check_folder, safe_name
from nestcut.outlet.results import choose_paper, with_marking, write_results
from nestcut.planning.plan_job import Desk, plan_job
from nestcut.search.settings import Deadline, Effort, Settings
from nestcut.words import speech_of

COLLECT_AFTER = (100_000, 20, 100)
"""Things made between two looks for such as can be thrown away, by generation. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOptions:
    """What the command line says about a search."""

    settings: Settings
    preference: JointPreference
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
            out=None if words["out"] is None else Path(str(words["out"])),
            paper=None if words["paper"] is None else str(words["paper"]),
            marking=None if words["marking"] is None else str(words["marking"]),
            as_json=bool(words["as_json"]),
        )


@contextmanager
def _stopping_on_interrupt(deadline: Deadline) -> Iterator[None]:
    """First Ctrl-C: stop the search and keep its best. Second: stop at once."""

    def on_interrupt(number: int, frame: FrameType | None) -> None:
        del number, frame
        if deadline.stop_reason() is StopReason.INTERRUPTED:
            raise KeyboardInterrupt
        deadline.interrupt()
        say("\nStopping at the next step; the best so far is kept. (Ctrl-C again stops at once.)")

    before = signal.signal(signal.SIGINT, on_interrupt)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)


def _is_compiled() -> bool:
    """Whether an earlier run has left the compiled search in numba's cache."""
    folder = separate.stats.cache_path
    return folder is not None and any(Path(folder).glob("separate.separate-*.nbi"))


def run_plan(path: Path, options: PlanOptions, started_s: float) -> int:
    """Plan a job and write its papers; see the exit statuses of the room.

    ``started_s`` is the clock's reading when the command began; progress is told from there.
    """
    # A plan is made of many small things that stay: looking them through less often saves time.
    gc.set_threshold(*COLLECT_AFTER)
    job = with_marking(read_job(path), options.marking)
    folder = options.out or Path("outputs") / safe_name(job.name)
    check_folder(folder)
    show_findings(job.findings, speech_of(job))
    if not _is_compiled():
        say("First run on this machine: the search is compiled, a minute or so without news.")
    progress = ProgressLine(started_s=started_s)
    deadline = Deadline(options.settings.seconds)
    desk = Desk(
        settings=options.settings,
        deadline=deadline,
        watcher=progress,
        preference=options.preference,
    )
    with _stopping_on_interrupt(deadline):
        verified = plan_job(job, desk)
        progress.close()
        write_results(verified, folder, choose_paper(options.paper, job.style), job.style)
    # What tells of a plan is loaded when there is one: the search begins sooner.
    from nestcut.papers.lists import summary_text
    from nestcut.papers.view import spelling_findings
    from nestcut.planfile.write import plan_to_json

    if options.as_json:
        click.echo(plan_to_json(verified), nl=False)
    else:
        click.echo(summary_text(verified, job.style))
        click.echo(f"Papers: {folder}/shop.pdf (print this), shop.html, and the files beside them")
    more = (*verified.plan.findings[len(job.findings) :], *spelling_findings(job))
    show_findings(more, speech_of(job))
    if verified.plan.stopped_by is StopReason.INTERRUPTED:
        return 130
    return 0 if verified.plan.is_complete else 4
