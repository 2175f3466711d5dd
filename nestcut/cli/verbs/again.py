"""``nestcut again``: a plan continued after pieces were cut or spoilt."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

import click

from nestcut.cli.form import Form
from nestcut.cli.searched import search_and_write
from nestcut.cli.session import Session
from nestcut.cli.supervise import Post
from nestcut.cli.talk import say, show_findings
from nestcut.door.again import (
    Difference,
    Events,
    Held,
    Source,
    check_newest,
    compare_plans,
    continue_plan,
    gather_events,
    take_up,
)
from nestcut.door.findings import InputError, Severity, Speech, finding, speech_of
from nestcut.door.job import Job
from nestcut.door.papers import (
    PlanView,
    check_papers_folder,
    choose_paper,
    next_folder,
    papers_folder,
    plan_view,
)
from nestcut.door.plan import Plan, VerifiedPlan
from nestcut.door.search import Budget

PARTLY = ", without what has no price"


def run_again(
    path: Path,
    ticks: Path | None,
    *,
    cut: tuple[str, ...],
    spoilt: tuple[str, ...],
    changed: Path | None,
    out: Path | None,
    budget: Budget,
    form: Form,
    session: Session,
) -> int:
    """Plan again what isn't cut, and say what has changed against the papers on the wall.

    Parameters
    ----------
    path
        The plan file, or a folder of results.
    ticks
        File of ticks saved from the shop page; None: none.
    cut, spoilt
        Names of pieces, sheets or boards, as the builder types them.
    changed
        The job file as it is now; None: the job hasn't changed.
    out
        Folder for the papers; None: the next free one beside those of the plan.
    form
        Who reads what is printed.

    Raises
    ------
    InputError
        If nothing is spoilt, changed or missing, or the files are at fault.
    """
    before = take_up(path, changed)
    plan, job = before.plan, before.job
    view = before.view()
    events, noticed = gather_events(view, ticks, cut, spoilt)
    show_findings(noticed)
    if before.was is None and not events.spoilt and not plan.unplaced:
        raise InputError([finding("AGN-002", Severity.ERROR, str(path))])
    folder = out or next_folder(papers_folder(path))
    if folder.resolve() == papers_folder(path).resolve():
        raise InputError([finding("AGN-003", Severity.ERROR, str(folder))])
    check_newest(papers_folder(path), view, events)
    check_papers_folder(folder, job)
    task = Continued(job=job, plan=plan, events=events, budget=budget, was=before.was)
    done = search_and_write(task, job, folder, choose_paper(None, job.style), session)
    new = [f for f in done.verified.plan.findings if f not in plan.findings]
    show_findings((*new, *done.findings), speech_of(job))
    told = compare_plans(plan, done.verified.plan)
    if form is Form.JSON:
        click.echo(json.dumps(asdict(told), indent=1, ensure_ascii=False))
    else:
        for line in _difference_lines(told, view, plan_view(done.verified), speech_of(job)):
            click.echo(line)
    if not done.is_alone:
        say(f"Papers: {done.folder}/shop.pdf and the files beside it; ticks go on from there.")
    say(f"The next mishap is told to this plan: nestcut again {done.folder} ...")
    return done.status


@dataclass(frozen=True, slots=True, kw_only=True)
class Continued:
    """Going on with a plan, as a task for another process."""

    job: Job
    plan: Plan
    events: Events
    budget: Budget
    was: Held | None

    def run(self, post: Post) -> VerifiedPlan:
        """Plan again what isn't cut."""
        return continue_plan(
            self.job,
            self.plan,
            self.events,
            self.budget,
            watcher=post.watcher,
            stop=post.deadline,
            was=self.was,
            on_proven=post.on_proven,
        )


def _difference_lines(
    told: Difference, before: PlanView, view: PlanView, speech: Speech
) -> list[str]:
    was, now = _Pages.of(before), _Pages.of(view)
    after = {s.piece: (s.source, s.after) for s in told.shifts}
    at = {s.piece: (s.source, s.before) for s in told.shifts}
    lines = []
    if told.purchases:
        cost = sum(p.count * p.price_minor for p in told.purchases)
        what = "; ".join(
            f"{p.count} x {p.stock}, {speech.length(p.length_mm)}" for p in told.purchases
        )
        paid = speech.money(cost) if cost else "no price given"
        unpriced = cost and not all(p.price_minor for p in told.purchases)
        lines.append(f"To buy now: {what}: {paid}{PARTLY if unpriced else ''}.")
    else:
        lines.append("Nothing to buy: it comes out of what is there.")
    for heading, names in (
        ("Cut otherwise than before", [view.name_of(i) for i in told.changed]),
        ("New", [_placed(view.name_of(i), now, after.get(i)) for i in told.added]),
        ("Not wanted any more", [_placed(before.name_of(i), was, at.get(i)) for i in told.gone]),
        (
            "Called otherwise now",
            [f"{before.name_of(a)}: now {view.name_of(b)}" for a, b in told.renamed],
        ),
    ):
        if names:
            lines += [f"{heading}:", *(f"  {n}" for n in names)]
    shifts = [s for s in told.shifts if s.piece not in {*told.added, *told.gone}]
    if shifts:
        lines.append("Made again or moved:")
    lines += [
        f"  {(view if s.after else before).name_of(s.piece)}: "
        f"{was.at(s.source, s.before)} -> {now.at(s.source, s.after)}"
        for s in shifts
    ]
    if told.pages:
        old = was.all_at(told.pages)
        new = now.all_at({*told.pages, *((s.source, s.after) for s in told.shifts if s.after)})
        lines.append(f"Throw away the old front page and lists, and the pages of: {old}.")
        lines.append(f"Print instead: front page, lists, {new}. All other pages still hold.")
    return lines


def _placed(name: str, pages: _Pages, spot: tuple[Source, int] | None) -> str:
    """Name a piece with the sheet or board that it lies on in one of two plans."""
    return name if spot is None or not spot[1] else f"{name}: {pages.at(*spot)}"


@dataclass(frozen=True, slots=True)
class _Pages:
    """How papers call each sheet and board: a board that parts are sawn from is a board."""

    names: Mapping[tuple[str, int], str]

    @classmethod
    def of(cls, view: PlanView) -> _Pages:
        """Read the names off the papers."""
        sheets = {("sheet", s.layout.number): s.label for s in view.sheets}
        return cls({**sheets, **{("board", b.layout.number): b.label for b in view.boards}})

    def at(self, source: str, number: int) -> str:
        """Say where a piece is; 0: nowhere."""
        return self.names[source, number].lower() if number else "nowhere"

    def all_at(self, pages: Iterable[tuple[Source, int]]) -> str:
        """Name pages, each once: a board with rails and sawn parts has two drawings."""
        names = (self.at(source, number) for source, number in sorted(pages))
        return ", ".join(dict.fromkeys(names))
