"""``nestcut again``: a plan continued after pieces were cut or spoilt."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import click

from nestcut.again import Difference, Events, compare_plans
from nestcut.cli.searched import search_and_write
from nestcut.cli.session import Session
from nestcut.cli.supervise import Post
from nestcut.cli.talk import say, show_findings
from nestcut.errors import InputError, Severity, blocking, finding
from nestcut.facts import Length
from nestcut.gate import Kind, read_text
from nestcut.intake.job import read_job, read_job_text
from nestcut.intake.plan import find_job, read_plan_file, read_proven
from nestcut.model.held import Held
from nestcut.model.job import Job
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.outlet import check_folder
from nestcut.outlet.results import (
    PLAN_PAPERS,
    choose_paper,
    expected_papers,
    papers_folder,
)
from nestcut.papers.rest import match_progress, read_progress
from nestcut.papers.view import PlanView, plan_view
from nestcut.planfile.read import PlanText
from nestcut.planfile.seal import seal_of
from nestcut.search.settings import Settings
from nestcut.words import Speech, speech_of


def run_again(
    path: Path,
    ticks: Path | None,
    *,
    cut: tuple[str, ...],
    spoilt: tuple[str, ...],
    changed: Path | None,
    out: Path | None,
    settings: Settings,
    as_json: bool,
    session: Session,
) -> int:
    """Plan again what isn't cut, and say what has changed against the papers on the wall."""
    before = _before(path, changed)
    plan, job = before.plan, before.job
    view = plan_view(VerifiedPlan(job=before.then, plan=plan, checks=()))
    events = _events(view, ticks, cut, spoilt)
    if before.was is None and not events.spoilt and not plan.unplaced:
        raise InputError([finding("AGN-002", Severity.ERROR, str(path))])
    folder = out or next_folder(papers_folder(path))
    if folder.resolve() == papers_folder(path).resolve():
        raise InputError([finding("AGN-003", Severity.ERROR, str(folder))])
    check_folder(folder, PLAN_PAPERS, expected_papers(job))
    task = Continued(job=job, plan=plan, events=events, settings=settings, was=before.was)
    done = search_and_write(task, job, folder, choose_paper(None, job.style), session)
    show_findings(done.findings, speech_of(job))
    told = compare_plans(plan, done.verified.plan)
    if as_json:
        click.echo(json.dumps(asdict(told), indent=1, ensure_ascii=False))
    else:
        for line in _difference_lines(told, view, plan_view(done.verified), speech_of(job)):
            click.echo(line)
    if not done.is_alone:
        say(f"Papers: {done.folder}/shop.pdf and the files beside it; ticks go on from there.")
    return done.status


@dataclass(frozen=True, slots=True, kw_only=True)
class Continued:
    """Going on with a plan, as a task for another process."""

    job: Job
    plan: Plan
    events: Events
    settings: Settings
    was: Held | None

    def run(self, post: Post) -> VerifiedPlan:
        """Plan again what isn't cut."""
        from nestcut.again.plan import continue_plan

        return continue_plan(
            self.job,
            self.plan,
            self.events,
            self.settings,
            post.deadline,
            post.watcher,
            self.was,
            post.on_proven,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Before:
    """The plan on the wall; the job ``then`` and now; its stock, where the job has changed."""

    plan: Plan
    then: Job
    job: Job
    was: Held | None


def _before(path: Path, changed: Path | None) -> _Before:
    """Read the plan and prove it, if its job is still what it was; else it is taken as it lies."""
    text = read_plan_file(path)
    file = find_job(path, text)
    now = read_job(file if changed is None else changed)
    if read_job_text(file).sha256 == text.job_sha256:
        then = read_proven(path).job
        is_same = now.sha256 == text.job_sha256
        was = None if is_same else text.stock
    else:
        if text.document.get("seal") != seal_of(text.document):
            raise InputError([finding("PLAN-008", Severity.ERROR, str(path))])
        was = text.stock
        then = replace(now, sheet_stocks=was.sheets, board_stocks=was.boards)
    if was is not None:
        _check_change(path, text, now, was)
    return _Before(plan=text.plan, then=then, job=now, was=was)


def _check_change(path: Path, text: PlanText, now: Job, was: Held) -> None:
    """Refuse what can't be planned on from: another saw, a plan that doesn't know its stock."""
    faults = []
    if (text.kerf_mm, text.gap_mm) != (now.cutting.kerf_mm, now.cutting.gap_mm):
        then, saw = Length(text.kerf_mm + text.gap_mm), Length(now.cutting.clearance_mm)
        faults.append(finding("AGN-007", Severity.ERROR, now.file, then=then, now=saw))
    known = {s.name for s in was.sheets} | {b.name for b in was.boards}
    used = {s.stock for s in text.plan.sheets} | {b.stock for b in text.plan.boards}
    if not used <= known:
        faults.append(finding("AGN-008", Severity.ERROR, str(path)))
    if faults:
        raise InputError(faults)


def _events(
    view: PlanView, ticks: Path | None, cut: tuple[str, ...], spoilt: tuple[str, ...]
) -> Events:
    """Gather what came off the saw, from ticks and from names on the command line."""
    names = _names(view)
    strange = [n for n in (*cut, *spoilt) if n not in names]
    if strange:
        raise InputError([finding("AGN-001", Severity.ERROR, n) for n in strange])
    done = {names[n] for n in cut}
    lost = {names[n] for n in spoilt}
    if ticks is not None:
        progress = read_progress(read_text(ticks, Kind.TICKS), str(ticks))
        found = match_progress(progress, view)
        if blocking(found):
            raise InputError(found)
        show_findings(found)
        done |= progress.done
        lost |= progress.spoilt
    return Events(cut=frozenset(done - lost), spoilt=frozenset(lost))


def _names(view: PlanView) -> dict[str, str]:
    """Ids of all pieces by their short names and by their names in words."""
    plan: Plan = view.verified.plan
    ids = [*(p.id for p in plan.pieces), *(p.id for p in plan.rail_pieces)]
    return {**{view.name_of(i): i for i in ids}, **{i: i for i in ids}}


def next_folder(folder: Path) -> Path:
    """``outputs/punt`` is followed by ``outputs/punt-2``, this one by ``outputs/punt-3``."""
    stem, dash, tail = folder.name.rpartition("-")
    if not (dash and tail.isdigit()):
        stem, tail = folder.name, "1"
    number = int(tail) + 1
    while (folder.parent / f"{stem}-{number}").exists():
        number += 1
    return folder.parent / f"{stem}-{number}"


def _difference_lines(
    told: Difference, before: PlanView, view: PlanView, speech: Speech
) -> list[str]:
    lines = []
    if told.purchases:
        cost = sum(p.count * p.price_minor for p in told.purchases)
        what = "; ".join(
            f"{p.count} x {p.stock}, {speech.length(p.length_mm)}" for p in told.purchases
        )
        lines.append(f"To buy now: {what}: {speech.money(cost)}.")
    else:
        lines.append("Nothing to buy: it comes out of what is there.")
    for heading, names in (
        ("Cut otherwise than before", [view.name_of(i) for i in told.changed]),
        ("New", [view.name_of(i) for i in told.added]),
        ("Not wanted any more", [before.name_of(i) for i in told.gone]),
        (
            "Called otherwise now",
            [f"{before.name_of(a)}: now {view.name_of(b)}" for a, b in told.renamed],
        ),
    ):
        if names:
            lines += [f"{heading}:", *(f"  {n}" for n in names)]
    if told.shifts:
        lines.append("Made again or moved:")
    lines += [
        f"  {(view if s.after else before).name_of(s.piece)}: "
        f"{_at(s.source, s.before)} -> {_at(s.source, s.after)}"
        for s in told.shifts
    ]
    if told.pages:
        pages = ", ".join(_at(source, number) for source, number in told.pages)
        lines.append(f"Throw away the old pages of: {pages}. All other pages still hold.")
    return lines


def _at(source: str, number: int) -> str:
    return f"{source} {number}" if number else "nowhere"
