"""``nestcut stages``: a plan bought and cut in the order of building."""

from __future__ import annotations

import json
import math
from dataclasses import asdict, dataclass
from pathlib import Path

import click

from nestcut.again.stages import (
    Bought,
    Stage,
    StagedPlan,
    plan_in_stages,
    told_by_stage,
    whole_order,
)
from nestcut.cli.again import next_folder
from nestcut.cli.searched import search_and_write
from nestcut.cli.session import Session
from nestcut.cli.supervise import Post
from nestcut.cli.talk import say, show_findings
from nestcut.errors import InputError, Severity, finding
from nestcut.gate import Kind, read_text, tables_of
from nestcut.intake.plan import read_proven
from nestcut.model.job import Job
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.outlet import check_folder
from nestcut.outlet.results import (
    PLAN_PAPERS,
    choose_paper,
    expected_papers,
    papers_folder,
)
from nestcut.search.settings import Settings
from nestcut.words import Speech, speech_of


def run_stages(
    path: Path,
    order: Path,
    *,
    carry: int,
    out: Path | None,
    settings: Settings,
    as_json: bool,
    session: Session,
) -> int:
    """Plan in stages, write the papers, and say what each stage buys and what the order costs."""
    read = read_proven(path)
    job = read.job
    stages = whole_order(job, read.plan, read_stages(read_text(order, Kind.JOB), str(order)))
    folder = out or next_folder(papers_folder(path))
    check_folder(folder, PLAN_PAPERS, expected_papers(job))
    task = InStages(job=job, plan=read.plan, order=stages, settings=settings)
    done = search_and_write(task, job, folder, choose_paper(None, job.style), session)
    staged = told_by_stage(read.plan, stages, done.verified)
    show_findings(done.findings, speech_of(job))
    if as_json:
        document = {
            "stages": [asdict(s) for s in staged.stages],
            "cost_minor": staged.cost_minor,
            "least_minor": staged.least_minor,
        }
        click.echo(json.dumps(document, indent=1, ensure_ascii=False))
    else:
        for line in stage_lines(staged, carry, speech_of(job)):
            click.echo(line)
    if not done.is_alone:
        say(f"Papers: {done.folder}/shop.pdf and the files beside it.")
    return done.status


@dataclass(frozen=True, slots=True, kw_only=True)
class InStages:
    """Planning in stages, as a task for another process."""

    job: Job
    plan: Plan
    order: tuple[Stage, ...]
    settings: Settings

    def run(self, post: Post) -> VerifiedPlan:
        """Lay the pieces out stage by stage."""
        return plan_in_stages(
            self.job,
            self.plan,
            self.order,
            self.settings,
            post.deadline,
            post.watcher,
            post.on_proven,
        )


def read_stages(text: str, name: str) -> tuple[Stage, ...]:
    """Read an order of stages; InputError with what is wrong with it."""
    try:
        tables = tables_of(text, name).get("stage")
    except ValueError as error:
        raise InputError([finding("AGN-006", Severity.ERROR, name, fault=str(error))]) from None
    stages = []
    for k, table in enumerate(tables if isinstance(tables, list) else [], start=1):
        parts = table.get("parts") if isinstance(table, dict) else None
        if not isinstance(parts, list) or not all(isinstance(p, str) for p in parts):
            fault = f"stage {k} has no list of parts"
            raise InputError([finding("AGN-006", Severity.ERROR, name, fault=fault)])
        stages.append(Stage(name=str(table.get("name", f"stage {k}")), parts=frozenset(parts)))
    if not stages:
        fault = "there is no [[stage]]"
        raise InputError([finding("AGN-006", Severity.ERROR, name, fault=fault)])
    return tuple(stages)


def stage_lines(staged: StagedPlan, carry: int, speech: Speech) -> list[str]:
    """Say what is bought and cut at each stage, in trips of as many sheets as can be carried."""
    lines, trips = [], 0
    kinds = {s.name for s in staged.verified.job.sheet_stocks if s.is_to_buy}
    bought = {s.number for s in staged.verified.plan.sheets if s.stock in kinds}
    for k, stage in enumerate(staged.stages, start=1):
        own = math.ceil(len(bought & set(stage.sheets)) / carry)
        trips += own
        lines.append(f"{k}. {stage.name}: {_what(stage)}; {speech.money(stage.cost_minor)}")
        if own > 1:
            lines.append(f"   {own} trips with {carry} sheets each")
        lines.append(f"   cut: {', '.join(stage.pieces)}")
    more = staged.cost_minor - staged.least_minor
    order = (
        f"{speech.money(more)} more than the whole plan without an order"
        if more > 0
        else "no more than the whole plan without an order"
    )
    lines.append(f"Together {speech.money(staged.cost_minor)}, {trips} trips for sheets: {order}.")
    return lines


def _what(stage: Bought) -> str:
    told = []
    if stage.sheets:
        told.append("sheet " + ", ".join(map(str, stage.sheets)))
    if stage.boards:
        told.append("board " + ", ".join(map(str, stage.boards)))
    return " and ".join(told) if told else "nothing to buy"
