"""``nestcut again``: a plan continued after pieces were cut or spoilt."""

from __future__ import annotations

import json
from dataclasses import asdict
from pathlib import Path

import click

from nestcut.again import Difference, Events, compare_plans
from nestcut.again.plan import continue_plan
from nestcut.cli.talk import ProgressLine, say, show_findings
from nestcut.errors import InputError, PlanRejectedError, Severity, blocking, finding
from nestcut.gate import Kind, read_text
from nestcut.intake.plan import read_plan
from nestcut.model.plan import Plan, VerifiedPlan
from nestcut.outlet import check_folder
from nestcut.outlet.results import (
    PLAN_PAPERS,
    choose_paper,
    expected_papers,
    papers_folder,
    write_results,
    write_somewhere,
)
from nestcut.papers.rest import match_progress, read_progress
from nestcut.papers.view import PlanView, plan_view
from nestcut.search.settings import Deadline, Settings
from nestcut.verify import verify_plan
from nestcut.words import Speech, speech_of


def run_again(
    path: Path,
    ticks: Path | None,
    *,
    cut: tuple[str, ...],
    spoilt: tuple[str, ...],
    out: Path | None,
    settings: Settings,
    as_json: bool,
) -> int:
    """Plan again what isn't cut, and say what has changed against the papers on the wall."""
    read = read_plan(path)
    if blocking(read.findings):
        raise InputError(read.findings)
    verification = verify_plan(read.job, read.text.plan)
    if not verification.is_proven:
        raise PlanRejectedError(verification.findings)
    job, plan = read.job, read.text.plan
    view = plan_view(VerifiedPlan(job=job, plan=plan, checks=verification.checks))
    events = _events(view, ticks, cut, spoilt)
    if not events.spoilt and not plan.unplaced:
        raise InputError([finding("AGN-002", Severity.ERROR, str(path))])
    folder = out or next_folder(papers_folder(path))
    if folder.resolve() == papers_folder(path).resolve():
        raise InputError([finding("AGN-003", Severity.ERROR, str(folder))])
    check_folder(folder, PLAN_PAPERS, expected_papers(job))
    progress = ProgressLine()
    done = continue_plan(job, plan, events, settings, Deadline(settings.seconds), progress)
    progress.close()
    haven = write_somewhere(
        folder, lambda place: write_results(done, place, choose_paper(None, job.style), job.style)
    )
    show_findings(haven.findings, speech_of(job))
    told = compare_plans(plan, done.plan)
    if as_json:
        click.echo(json.dumps(asdict(told), indent=1, ensure_ascii=False))
    else:
        for line in _difference_lines(told, plan_view(done), speech_of(job)):
            click.echo(line)
    say(f"Papers: {haven.folder}/shop.pdf and the files beside it; ticks go on from there.")
    if blocking(haven.findings):
        return 3
    return 0 if done.plan.is_complete else 4


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


def _difference_lines(told: Difference, view: PlanView, speech: Speech) -> list[str]:
    lines = []
    if told.purchases:
        cost = sum(p.count * p.price_minor for p in told.purchases)
        what = "; ".join(
            f"{p.count} x {p.stock}, {speech.length(p.length_mm)}" for p in told.purchases
        )
        lines.append(f"To buy now: {what}: {speech.money(cost)}.")
    else:
        lines.append("Nothing to buy: it comes out of what is there.")
    lines.append("Made again or moved:")
    lines += [
        f"  {view.name_of(s.piece)}: {_at(s.source, s.before)} -> {_at(s.source, s.after)}"
        for s in told.shifts
    ]
    if told.pages:
        pages = ", ".join(_at(source, number) for source, number in told.pages)
        lines.append(f"Throw away the old pages of: {pages}. All other pages still hold.")
    return lines


def _at(source: str, number: int) -> str:
    return f"{source} {number}" if number else "nowhere"
