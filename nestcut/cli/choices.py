"""``nestcut choices``: the same boat planned in several ways, side by side."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import asdict, dataclass, replace
from pathlib import Path

import click

from nestcut.cli.talk import say
from nestcut.door.findings import InputError, Speech, speech_of, tell
from nestcut.door.job import Job, free_names, read_job, with_kerf
from nestcut.door.lengths import LengthError, parse_length_mm
from nestcut.door.papers import write_papers
from nestcut.door.plan import Offcut, Plan, VerifiedPlan, money, verify_plan
from nestcut.door.search import Budget, JointPreference, plan_job


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One way to plan a job; ``name`` says what is different.

    ``holds_as_asked``: a plan made so is one of the job as it stands.
    """

    name: str
    job: Job
    joints: JointPreference
    holds_as_asked: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What a choice comes to; ``fault`` instead where no plan can be made so."""

    name: str
    cost: float | None = None
    sheets: int = 0
    boards: int = 0
    joints: int = 0
    largest_offcut_mm2: float = 0.0
    unplaced: int = 0
    fault: str = ""
    folder: str = ""
    cut_short: bool = False


def run_choices(
    path: Path,
    *,
    kerfs: tuple[str, ...],
    budget: Budget,
    out: Path | None,
    as_json: bool,
) -> int:
    """Plan a job in every way that is asked for; each plan is whole and proven."""
    job = read_job(path)
    rows: list[Row] = []
    choices = choices_of(job, kerfs)
    found: list[VerifiedPlan | str] = []
    for choice in choices:
        say(f"planning: {choice.name}")
        found.append(_planned(choice, replace(budget, joints=choice.joints)))
    found[:2] = _as_asked(job, choices, found)
    names = free_names(c.name for c in choices)
    for choice, done, name in zip(choices, found, names, strict=True):
        rows.append(_row(choice.name, done, None if out is None else out / name))
    if as_json:
        click.echo(json.dumps([asdict(r) for r in rows], indent=1, ensure_ascii=False))
    else:
        for line in table_lines(rows, speech_of(job)):
            click.echo(line)
    return 0


def choices_of(job: Job, kerfs: tuple[str, ...]) -> tuple[Choice, ...]:
    """Return the job as it is and each of its variations, the job as it is first.

    Variations: fewest joints and least money; each sheet on sale by itself where there are several
    of one material and thickness; each length of a board left out where there are several; other
    saws.  BadParameter for a kerf that is no length.
    """
    usual = JointPreference.CHEAPEST
    made = [
        Choice(name="as the job says, least money", job=job, joints=usual),
        Choice(name="fewest joints", job=job, joints=JointPreference.FEWEST),
    ]
    made += [
        Choice(name=name, job=changed, joints=usual)
        for name, changed in (*_sheets(job), *_boards(job))
    ]
    for kerf in kerfs:
        try:
            kerf_mm = float(parse_length_mm(kerf))
        except LengthError as error:
            raise click.BadParameter(str(error)) from None
        made.append(
            Choice(
                name=f"a saw that takes {kerf}",
                job=with_kerf(job, kerf_mm),
                joints=usual,
                holds_as_asked=False,
            )
        )
    return tuple(made)


def _sheets(job: Job) -> Iterator[tuple[str, Job]]:
    kinds: dict[tuple[str, float], list[str]] = {}
    for stock in job.sheet_stocks:
        if stock.is_to_buy:
            kinds.setdefault((stock.material, stock.thickness_mm), []).append(stock.name)
    for names in kinds.values():
        for name in names if len(names) > 1 else []:
            others = set(names) - {name}
            stocks = tuple(s for s in job.sheet_stocks if s.name not in others)
            yield f"only {name}", replace(job, sheet_stocks=stocks)


def _boards(job: Job) -> Iterator[tuple[str, Job]]:
    speech = speech_of(job)
    for stock in job.board_stocks:
        sold = [b for b in stock.lengths if b.is_to_buy]
        for left_out in sold if len(sold) > 1 else []:
            lengths = tuple(b for b in stock.lengths if b is not left_out)
            boards = tuple(
                replace(b, lengths=lengths) if b is stock else b for b in job.board_stocks
            )
            name = f"no {stock.name} of {speech.length(left_out.length_mm)}"
            yield name, replace(job, board_stocks=boards)


def _planned(choice: Choice, budget: Budget) -> VerifiedPlan | str:
    """Plan a job; what is wrong instead where none can be made."""
    try:
        return plan_job(choice.job, budget)
    except InputError as error:
        told = tell(error.findings[0], speech_of(choice.job))
        return f"{error.findings[0].where}: {told.message}"


def _as_asked(
    job: Job, choices: tuple[Choice, ...], found: list[VerifiedPlan | str]
) -> tuple[VerifiedPlan | str, VerifiedPlan | str]:
    """Return the plans with least money and with fewest joints, whichever search found them.

    A plan that does without some stock is one of the job as it stands, so a search that was cut
    short never shows such a plan as cheaper than the job allows.  What the narrower search proved
    of its own stock isn't carried along.
    """
    best = [found[0], found[1]]
    for choice, done in zip(choices, found, strict=True):
        if isinstance(done, str) or not choice.holds_as_asked or done in best:
            continue
        for place, worth in enumerate((_by_money, _by_joints)):
            now = best[place]
            if isinstance(now, str) or worth(done.plan) < worth(now.plan):
                plan = replace(done.plan, bounds=(), notes=())
                check = verify_plan(job, plan)
                if check.is_proven:
                    best[place] = VerifiedPlan(job=job, plan=plan, checks=check.checks)
    return best[0], best[1]


def _by_money(plan: Plan) -> tuple[int, float, int]:
    return len(plan.unplaced), money(plan), len(plan.joints)


def _by_joints(plan: Plan) -> tuple[int, int, float]:
    return len(plan.unplaced), len(plan.joints), money(plan)


def _row(name: str, done: VerifiedPlan | str, out: Path | None) -> Row:
    if isinstance(done, str):
        return Row(name=name, fault=done)
    plan = done.plan
    if out is not None:
        write_papers(done, out)
    return Row(
        name=name,
        cost=money(plan),
        sheets=len(plan.sheets),
        boards=len(plan.boards),
        joints=len(plan.joints),
        largest_offcut_mm2=max((_area(o) for s in plan.sheets for o in s.offcuts), default=0.0),
        unplaced=len(plan.unplaced),
        folder="" if out is None else str(out),
        cut_short=not plan.is_repeatable,
    )


def _area(offcut: Offcut) -> float:
    (x0, y0), (x1, y1) = offcut.from_mm, offcut.to_mm
    return (x1 - x0) * (y1 - y0)


def table_lines(rows: list[Row], speech: Speech) -> list[str]:
    """Write the rows as a table, with a bar for each cost; the cheapest whole plan is named."""
    width = max(len(r.name) for r in rows)
    whole = [r for r in rows if r.cost is not None and not r.unplaced]
    most = max((r.cost or 0.0 for r in whole), default=0.0)
    lines = [f"{'':{width}}  {'to buy':>12}  sheets  boards  joints  largest offcut"]
    for row in rows:
        if row.cost is None:
            lines.append(f"{row.name:{width}}  no plan: {row.fault}")
            continue
        bar = "#" * round(20 * row.cost / most) if most and not row.unplaced else ""
        left = f"  {row.unplaced} left without a place" if row.unplaced else ""
        left += "  (cut short)" if row.cut_short else ""
        lines.append(
            f"{row.name:{width}}  {speech.money(100 * row.cost):>12}  {row.sheets:>6}  "
            f"{row.boards:>6}  {row.joints:>6}  {speech.area(row.largest_offcut_mm2):>14}  "
            f"{bar}{left}".rstrip()
        )
    if whole:
        best = min(whole, key=lambda r: (r.cost or 0.0, r.joints))
        lines.append(f"Least money: {best.name}.")
        lines += _prices_of_joints(whole, best, speech)
    if any(r.cut_short for r in rows):
        lines.append(
            "Cut short: the time was up before the search's work was done; more may be had."
        )
    return lines


def _prices_of_joints(whole: list[Row], best: Row, speech: Speech) -> list[str]:
    """Say what fewer joints cost than the cheapest plan has, for each number that can be had."""
    lines = []
    cheapest: dict[int, Row] = {}
    for row in sorted(whole, key=lambda r: r.cost or 0.0):
        cheapest.setdefault(row.joints, row)
    for joints in sorted((n for n in cheapest if n < best.joints), reverse=True):
        row, fewer = cheapest[joints], best.joints - joints
        more = speech.money(100 * ((row.cost or 0.0) - (best.cost or 0.0)))
        lines.append(
            f"{fewer} {'joint' if fewer == 1 else 'joints'} fewer: {row.name}, {more} more."
        )
    return lines
