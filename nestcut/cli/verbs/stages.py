"""``nestcut stages``: a plan bought and cut in the order of building."""

from __future__ import annotations

import json
import math
from dataclasses import asdict, dataclass
from pathlib import Path

import click

from nestcut.cli.form import Form
from nestcut.cli.searched import search_and_write
from nestcut.cli.session import Session
from nestcut.cli.supervise import Post
from nestcut.cli.talk import say, show, show_findings
from nestcut.door.again import (
    Bought,
    Stage,
    StagedPlan,
    plan_in_stages,
    read_stages,
    told_by_stage,
    whole_order,
)
from nestcut.door.findings import Speech, speech_of
from nestcut.door.job import Job
from nestcut.door.papers import (
    PlanView,
    check_papers_folder,
    choose_paper,
    next_folder,
    papers_folder,
    plan_view,
)
from nestcut.door.plan import Plan, VerifiedPlan, read_proven
from nestcut.door.search import Budget


def run_stages(
    path: Path,
    order: Path,
    *,
    carry: int,
    out: Path | None,
    budget: Budget,
    form: Form,
    session: Session,
) -> int:
    """Plan in stages, write the papers, and say what each stage buys and what the order costs.

    Parameters
    ----------
    path
        The plan file, or a folder of results.
    order
        File that names the stages and their parts.
    carry
        How many sheets can be carried in a trip.
    out
        Folder for the papers; None: the next free one beside those of the plan.
    form
        Who reads what is printed.
    """
    read = read_proven(path)
    job = read.job
    stages = whole_order(job, read.plan, read_stages(order))
    folder = out or next_folder(papers_folder(path))
    check_papers_folder(folder, job)
    task = InStages(job=job, plan=read.plan, order=stages, budget=budget)
    done = search_and_write(task, job, folder, choose_paper(None, job.style), session)
    staged = told_by_stage(read.plan, stages, done.verified)
    new = [f for f in done.verified.plan.findings if f not in read.plan.findings]
    show_findings((*new, *done.findings), speech_of(job))
    if form is Form.JSON:
        document = {
            "stages": [asdict(s) for s in staged.stages],
            "cost_minor": staged.cost_minor,
            "least_minor": staged.least_minor,
        }
        click.echo(json.dumps(document, indent=1, ensure_ascii=False))
    else:
        for line in stage_lines(staged, carry, speech_of(job)):
            show(line)
    if not done.is_alone:
        say(f"Papers: {done.folder}/shop.pdf and the files beside it.")
    return done.status


@dataclass(frozen=True, slots=True, kw_only=True)
class InStages:
    """Planning in stages, as a task for another process."""

    job: Job
    plan: Plan
    order: tuple[Stage, ...]
    budget: Budget

    def run(self, post: Post) -> VerifiedPlan:
        """Lay the pieces out stage by stage."""
        return plan_in_stages(
            self.job,
            self.plan,
            self.order,
            self.budget,
            watcher=post.watcher,
            stop=post.deadline,
            on_proven=post.on_proven,
        )


def stage_lines(staged: StagedPlan, carry: int, speech: Speech) -> list[str]:
    """Say what is bought and cut at each stage, in trips of as many sheets as can be carried.

    Parameters
    ----------
    carry
        How many sheets can be carried in a trip.
    """
    lines, trips = [], 0
    kinds = {s.name for s in staged.verified.job.sheet_stocks if s.is_to_buy}
    bought = {s.number for s in staged.verified.plan.sheets if s.stock in kinds}
    view = plan_view(staged.verified)
    for k, stage in enumerate(staged.stages, start=1):
        own = math.ceil(len(bought & set(stage.sheets)) / carry)
        trips += own
        lines.append(f"{k}. {stage.name}: {_what(stage, view)}{_paid(stage, staged, speech)}")
        if own > 1:
            lines.append(f"   {own} trips with {carry} sheets each")
        lines.append(f"   cut: {'; '.join(view.name_of(i) for i in stage.pieces)}")
    more = staged.cost_minor - staged.least_minor
    together = speech.money(staged.cost_minor) if staged.cost_minor else "nothing with a price"
    missing = any(b.count and not b.price_minor for b in staged.verified.plan.buy)
    if staged.cost_minor and missing:
        together += ", without what has no price"
    order = (
        f"{speech.money(more)} more than the whole plan without an order"
        if more > 0
        else "no more than the whole plan without an order"
    )
    lines.append(f"Together {together}, {trips} trips for sheets: {order}.")
    return lines


def _paid(stage: Bought, staged: StagedPlan, speech: Speech) -> str:
    """Say what a stage costs; nothing is sold for 0.00."""
    if stage.cost_minor:
        return f"; {speech.money(stage.cost_minor)}"
    plan = staged.verified.plan
    unpriced = {b.stock for b in plan.buy if b.count and not b.price_minor}
    taken = {s.stock for s in plan.sheets if s.number in stage.sheets}
    taken |= {b.stock for b in plan.boards if b.number in stage.boards}
    return "; no price given" if taken & unpriced else ""


def _what(stage: Bought, view: PlanView) -> str:
    """Name sheets and boards as their papers do."""
    labels = {s.layout.number: s.label.removeprefix("Sheet ") for s in view.sheets}
    told = []
    if stage.sheets:
        told.append("sheet " + ", ".join(labels[n] for n in stage.sheets))
    if stage.boards:
        told.append("board " + ", ".join(map(str, stage.boards)))
    return " and ".join(told) if told else "nothing to buy"
