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
from nestcut.door.plan import Offcut, money
from nestcut.door.search import Budget, JointPreference, plan_job


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One way to plan a job; ``name`` says what is different."""

    name: str
    job: Job
    joints: JointPreference


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
    for choice, name in zip(choices, free_names(c.name for c in choices), strict=True):
        say(f"planning: {choice.name}")
        folder = None if out is None else out / name
        rows.append(_row(choice, replace(budget, joints=choice.joints), folder))
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
            Choice(name=f"a saw that takes {kerf}", job=with_kerf(job, kerf_mm), joints=usual)
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


def _row(choice: Choice, budget: Budget, out: Path | None) -> Row:
    try:
        done = plan_job(choice.job, budget)
    except InputError as error:
        told = tell(error.findings[0], speech_of(choice.job))
        return Row(name=choice.name, fault=f"{error.findings[0].where}: {told.message}")
    plan = done.plan
    if out is not None:
        write_papers(done, out)
    return Row(
        name=choice.name,
        cost=money(plan),
        sheets=len(plan.sheets),
        boards=len(plan.boards),
        joints=len(plan.joints),
        largest_offcut_mm2=max((_area(o) for s in plan.sheets for o in s.offcuts), default=0.0),
        unplaced=len(plan.unplaced),
        folder="" if out is None else str(out),
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
        lines.append(
            f"{row.name:{width}}  {speech.money(100 * row.cost):>12}  {row.sheets:>6}  "
            f"{row.boards:>6}  {row.joints:>6}  {speech.area(row.largest_offcut_mm2):>14}  "
            f"{bar}{left}".rstrip()
        )
    if whole:
        best = min(whole, key=lambda r: (r.cost or 0.0, r.joints))
        lines.append(f"Least money: {best.name}.")
    return lines
