"""``nestcut choices``: the same boat planned in several ways, side by side."""

from __future__ import annotations

import json
import math
import time
from collections.abc import Sequence
from dataclasses import asdict, replace
from functools import partial
from pathlib import Path

import click

from nestcut.cli.form import Form
from nestcut.cli.press import NoPapers, n_parts
from nestcut.cli.searched import stopping_on_signal
from nestcut.cli.session import Session
from nestcut.cli.supervise import search_aside
from nestcut.cli.talk import ProgressLine, say, show_findings
from nestcut.cli.verbs.plan import Whole
from nestcut.door.choices import (
    ChoiceRow,
    Found,
    Way,
    as_plan_of,
    best_of_all,
    better_of,
    check_choices_folder,
    choice_words,
    row_of,
    way_words,
    ways_of,
    ways_of_joints,
    write_choices,
)
from nestcut.door.findings import InputError, Severity, Speech, finding, speech_of
from nestcut.door.job import Job, free_names, read_job
from nestcut.door.lengths import LengthError, parse_length_mm
from nestcut.door.papers import has_papers, write_plan_alone
from nestcut.door.plan import VerifiedPlan, plan_text, plan_text_in
from nestcut.door.search import Budget, Deadline, StopReason

EXIT_INTERRUPTED = 130
FIRST_SHARE = 1 / 3
"""Of the time for all ways the job as it is gets so much at least: all others wait for it. [-]"""
MORE_TIME = 1.5
"""A search that was cut short is begun anew where so many times its time is left. [-]"""


class Shares:
    """One limit on several searches; each has its share of what is left when it begins."""

    def __init__(self, seconds: float | None) -> None:
        self.whole = Deadline(seconds)
        self.now = self.whole

    def next(self, left: int) -> Deadline:
        """Return the deadline of the next of ``left`` searches; the first has a third at least."""
        rest = self.whole.remaining_s()
        share = 1.0 / left if self.now is not self.whole else max(1.0 / left, FIRST_SHARE)
        self.now = Deadline(None if math.isinf(rest) else rest * share)
        if self.stop_reason() is StopReason.INTERRUPTED:  # by a signal between two searches
            self.now.interrupt()
        return self.now

    def stop_reason(self) -> StopReason | None:
        """Why to begin no other search; None: go on."""
        return self.whole.stop_reason()

    def interrupt(self) -> None:
        """End the search that is going on, and begin no other."""
        self.whole.interrupt()
        self.now.interrupt()


def run_choices(
    path: Path,
    *,
    kerfs: tuple[str, ...],
    budget: Budget,
    out: Path | None,
    paper: str | None = None,
    form: Form,
    session: Session,
) -> int:
    """Plan a job in every way that is asked for; each plan is whole and proven.

    Parameters
    ----------
    path
        The job file.
    kerfs
        Other kerfs to try, as the builder types them.
    out
        Folder for a plan of each way; None: only the table is printed.
    paper
        Size of the pages; None: the usual one for the job's units.
    form
        Who reads what is printed.

    Raises
    ------
    KeyboardInterrupt
        If someone stopped before there was any plan.
    """
    widths = _kerfs_mm(kerfs)
    job = read_job(path)
    if out is not None:
        check_choices_folder(out)
    spent_s = time.monotonic() - session.started_s
    shares = Shares(None if budget.seconds is None else max(0.0, budget.seconds - spent_s))
    with stopping_on_signal(shares, session):
        found: Sequence[Found] = _looked_at(job, widths, budget, shares, session)
        if shares.stop_reason() is not StopReason.INTERRUPTED:
            found = best_of_all(job, found)
        elif all(f.plan is None for f in found):
            raise KeyboardInterrupt
        if all(f.plan is None and f.fault is None for f in found):
            raise InputError([finding("PLN-002", Severity.ERROR, job.name, pieces=n_parts(job))])
        rows = _written(job, found, out, session)
        if out is not None:
            show_findings(write_choices(job, rows, out, paper), speech_of(job))
    if form is Form.JSON:
        click.echo(json.dumps([_record(r) for r in rows], indent=1, ensure_ascii=False))
    else:
        for line in table_lines(rows, choice_words(rows, job), speech_of(job)):
            click.echo(line)
    if out is not None:
        say(
            f"Side by side: {out}/choices.pdf (and .html, .svg). 'nestcut report {out}/NAME' prints"
        )
        say("the papers of the way that you choose.")
    return EXIT_INTERRUPTED if shares.stop_reason() is StopReason.INTERRUPTED else 0


def _kerfs_mm(kerfs: Sequence[str]) -> tuple[float, ...]:
    try:
        return tuple(float(parse_length_mm(k)) for k in kerfs)
    except LengthError as error:
        raise click.BadParameter(str(error)) from None


def _looked_at(
    job: Job, kerfs_mm: Sequence[float], budget: Budget, shares: Shares, session: Session
) -> list[Found]:
    """Search the ways one after the other; those that no time is left for have no plan."""
    ways = list(ways_of(job, kerfs_mm))
    found: list[Found] = []
    had_s: list[float] = []
    while len(found) < len(ways):
        way = ways[len(found)]
        if shares.stop_reason() is not None and found:
            found.append(Found(way=way))
            continue
        deadline = shares.next(len(ways) - len(found))
        had_s.append(deadline.remaining_s())
        which = f" {len(found) + 1} of {len(ways)}" if found else ""  # joints' ways come after it
        say(f"planning{which}: {way_words(way, job)}")
        found.append(_searched(job, way, budget, deadline, session))
        first = found[0].plan
        if len(found) == 1 and first is not None:
            ways += ways_of_joints(job, first.plan)
    _longer(job, found, had_s, budget, shares, session)
    return found


def _longer(
    job: Job,
    found: list[Found],
    had_s: Sequence[float],
    budget: Budget,
    shares: Shares,
    session: Session,
) -> None:
    """Search again, with what others left of the time, the ways that were cut short.

    A search begins anew, so it is worth while only with more time than it had.

    Parameters
    ----------
    found
        What came of each way; better plans take their places.
    had_s
        How much time each had. [s]
    """
    short = [k for k, one in enumerate(found) if one.is_cut_short and k < len(had_s)]
    for nth, k in enumerate(short):
        rest_s = shares.whole.remaining_s()
        wanted_s = MORE_TIME * had_s[k]
        if shares.stop_reason() is not None or rest_s <= wanted_s:
            continue
        left = min(len(short) - nth, int(rest_s / wanted_s)) if wanted_s > 0.0 else 1
        way = found[k].way
        say(f"planning again, with the time that is left: {way_words(way, job)}")
        found[k] = better_of(found[k], _searched(job, way, budget, shares.next(left), session))


def _searched(job: Job, way: Way, budget: Budget, deadline: Deadline, session: Session) -> Found:
    """Search one way under supervision; what is wrong instead where no plan can be made."""
    progress = ProgressLine(speech_of(job), started_s=session.started_s)
    seconds = None if budget.seconds is None else deadline.remaining_s()
    task = Whole(job=way.job, budget=replace(budget, joints=way.joints, seconds=seconds))
    try:
        ended = search_aside(task, deadline, progress, NoPapers())
    finally:
        progress.close()
    if ended.best is not None:
        return Found(way=way, plan=as_plan_of(job, way, ended.best))
    if isinstance(ended.fault, InputError):
        return Found(way=way, fault=ended.fault)
    if ended.fault is not None and deadline.stop_reason() is None:
        raise ended.fault
    return Found(way=way)


def _written(
    job: Job, found: Sequence[Found], out: Path | None, session: Session
) -> list[ChoiceRow]:
    """Write each plan into a folder of its own, and return the rows."""
    speech = speech_of(job)
    names = free_names(way_words(f.way, job) for f in found)
    rows = []
    for one, name in zip(found, names, strict=True):
        if one.plan is not None and out is not None:
            _write(one.plan, out / name, speech, session)
        rows.append(row_of(one, speech, name if out is not None else ""))
    return rows


def _write(done: VerifiedPlan, place: Path, speech: Speech, session: Session) -> None:
    """Write one plan; papers that are of the very same plan stay, and those of another are told."""
    was_printed = has_papers(place)
    if was_printed and plan_text_in(place) == plan_text(done):
        session.note_written(str(place))
        return
    note = partial(session.note_written, str(place))
    show_findings(write_plan_alone(done, place, done.job.style, note).findings, speech)
    if was_printed:
        say(f"{place}: its papers were of another plan and are gone; this plan's are printed by")
        say(f"'nestcut report {place}'.")


def _record(row: ChoiceRow) -> dict[str, object]:
    """A row as JSON has it: money in the job's currency, not in its minor units."""
    told = asdict(row)
    minor = told.pop("cost_minor")
    return {"name": told.pop("name"), "cost": None if minor is None else minor / 100, **told}


def table_lines(rows: Sequence[ChoiceRow], words: Sequence[str], speech: Speech) -> list[str]:
    """Write the rows as a table, with a bar for each cost.

    Parameters
    ----------
    words
        Lines to print below.
    """
    width = max(len(r.name) for r in rows)
    most = max((r.paid_minor for r in rows if r.is_whole), default=0)
    lines = [f"    {'':{width}}  {'to buy':>12}  sheets  boards  joints  {'largest offcut':>20}"]
    for number, row in enumerate(rows, start=1):
        head = f"{number:>2}. {row.name:{width}}"
        if row.cost_minor is None:
            lines.append(f"{head}  {row.fault}")
            continue
        bar = "#" * round(20 * row.cost_minor / most) if most and not row.unplaced else ""
        left = f"  {row.unplaced} left without a place" if row.unplaced else ""
        left += "  (cut short)" if row.is_cut_short else ""
        offcut = speech.size(row.offcut_mm) if min(row.offcut_mm) > 0.0 else "none"
        lines.append(
            f"{head}  {speech.money(row.cost_minor):>12}  {row.sheets:>6}  "
            f"{row.boards:>6}  {row.joints:>6}  {offcut:>20}  {bar}{left}".rstrip()
        )
    return [*lines, *words]
