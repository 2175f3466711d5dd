"""``nestcut plan``: search, prove, write the papers."""

from __future__ import annotations

import gc
from dataclasses import dataclass, replace
from pathlib import Path

import click

from nestcut.boards import JointPreference
from nestcut.cli.cluster import crew_at
from nestcut.cli.searched import Written, search_and_write
from nestcut.cli.session import Session
from nestcut.cli.supervise import Post
from nestcut.cli.talk import say, show_findings
from nestcut.intake.job import read_job
from nestcut.model.job import Job
from nestcut.model.plan import VerifiedPlan
from nestcut.nesting.kernels.separate import separate
from nestcut.outlet import check_folder, safe_name
from nestcut.outlet.results import PLAN_PAPERS, choose_paper, expected_papers, with_marking
from nestcut.search.settings import Effort, Settings
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


def _is_compiled() -> bool:
    """Whether an earlier run has left the compiled search in numba's cache."""
    folder = separate.stats.cache_path
    return folder is not None and any(Path(folder).glob("separate.separate-*.nbi"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """Planning a job from its beginning. ``cluster``: where its workers are; None: here."""

    job: Job
    settings: Settings
    preference: JointPreference
    cluster: str | None = None

    def run(self, post: Post) -> VerifiedPlan:
        """Plan the job."""
        from nestcut.planning.plan_job import Desk, plan_job

        desk = Desk(
            settings=self.settings,
            deadline=post.deadline,
            watcher=post.watcher,
            preference=self.preference,
            on_proven=post.on_proven,
        )
        with crew_at(self.cluster) as executor:
            return plan_job(self.job, replace(desk, executor=executor))


def run_plan(path: Path, options: PlanOptions, session: Session) -> int:
    """Plan a job and write its papers; see the exit statuses of the room."""
    # A plan is made of many small things that stay: looking them through less often saves time.
    gc.set_threshold(*COLLECT_AFTER)
    job = with_marking(read_job(path), options.marking)
    folder = options.out or Path("outputs") / safe_name(job.name)
    check_folder(folder, PLAN_PAPERS, expected_papers(job))
    show_findings(job.findings, speech_of(job))
    if not _is_compiled():
        say("First run on this machine: the search is compiled, a minute or so without news.")
    task = Whole(
        job=job,
        settings=options.settings,
        preference=options.preference,
        cluster=options.cluster,
    )
    done = search_and_write(task, job, folder, choose_paper(options.paper, job.style), session)
    _tell(done, options)
    from nestcut.papers.view import spelling_findings

    own = done.verified.plan.findings[len(job.findings) :]
    show_findings((*own, *spelling_findings(job), *done.findings), speech_of(job))
    return done.status


def _tell(done: Written, options: PlanOptions) -> None:
    # What tells of a plan is loaded when there is one: the search begins sooner.
    from nestcut.papers.lists import summary_text
    from nestcut.planfile.write import plan_to_json

    if options.as_json:
        click.echo(plan_to_json(done.verified), nl=False)
        return
    click.echo(summary_text(done.verified, done.verified.job.style))
    if done.is_alone:
        click.echo(f"Plan and lists: {done.folder}/plan.json and the files beside it")
        return
    papers = f"{done.folder}/shop.pdf (print this), shop.html, and the files beside them"
    click.echo(f"Papers: {papers}")
