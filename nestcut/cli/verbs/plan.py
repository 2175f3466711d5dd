"""``nestcut plan``: search, prove, write the papers."""

from __future__ import annotations

import gc
from dataclasses import dataclass
from pathlib import Path

import click

from nestcut.cli.cluster import crew_at
from nestcut.cli.form import Form
from nestcut.cli.searched import Written, search_and_write
from nestcut.cli.session import Session
from nestcut.cli.supervise import Post
from nestcut.cli.talk import say, show_findings
from nestcut.door.findings import speech_of
from nestcut.door.job import Job, read_job, with_marking
from nestcut.door.papers import (
    check_papers_folder,
    choose_paper,
    results_folder,
    spelling_findings,
    summary_text,
)
from nestcut.door.plan import plan_text
from nestcut.door.search import Budget, VerifiedPlan, is_compiled, plan_job

COLLECT_AFTER = (100_000, 20, 100)
"""Things made between two looks for such as can be thrown away, by generation. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanOptions:
    """What the command line says about a search."""

    budget: Budget
    cluster: str | None
    out: Path | None
    paper: str | None
    marking: str | None
    form: Form

    @classmethod
    def from_words(cls, **words: object) -> PlanOptions:
        """Take click's values apart."""
        seconds = words["seconds"]
        return cls(
            budget=Budget(
                seed=int(str(words["seed"])),
                effort=str(words["effort"]),
                seconds=None if seconds is None else float(str(seconds)),
                workers=int(str(words["workers"])),
                joints=str(words["joints"]),
            ),
            cluster=None if words["cluster"] is None else str(words["cluster"]),
            out=None if words["out"] is None else Path(str(words["out"])),
            paper=None if words["paper"] is None else str(words["paper"]),
            marking=None if words["marking"] is None else str(words["marking"]),
            form=Form(words["form"]),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Whole:
    """Planning a job from its beginning. ``cluster``: where its workers are; None: here."""

    job: Job
    budget: Budget
    cluster: str | None = None

    def run(self, post: Post) -> VerifiedPlan:
        """Plan the job."""
        with crew_at(self.cluster) as executor:
            return plan_job(
                self.job,
                self.budget,
                watcher=post.watcher,
                stop=post.deadline,
                executor=executor,
                on_proven=post.on_proven,
            )


def run_plan(path: Path, options: PlanOptions, session: Session) -> int:
    """Plan a job and write its papers; see the exit statuses of the room."""
    # A plan is made of many small things that stay: looking them through less often saves time.
    gc.set_threshold(*COLLECT_AFTER)
    job = with_marking(read_job(path), options.marking)
    folder = options.out or results_folder(job)
    check_papers_folder(folder, job)
    show_findings(job.findings, speech_of(job))
    if not is_compiled():
        say("First run on this machine: the search is compiled, a minute or so without news.")
    task = Whole(
        job=job,
        budget=options.budget,
        cluster=options.cluster,
    )
    done = search_and_write(task, job, folder, choose_paper(options.paper, job.style), session)
    _tell(done, options)
    own = done.verified.plan.findings[len(job.findings) :]
    show_findings((*own, *spelling_findings(job), *done.findings), speech_of(job))
    return done.status


def _tell(done: Written, options: PlanOptions) -> None:
    if options.form is Form.JSON:
        click.echo(plan_text(done.verified), nl=False)
        return
    click.echo(summary_text(done.verified))
    if done.is_alone:
        click.echo(f"Plan and lists: {done.folder}/plan.json and the files beside it")
        return
    papers = f"{done.folder}/shop.pdf (print this), shop.html, and the files beside them"
    click.echo(f"Papers: {papers}")
