"""``nestcut shed``: the stock book shown, filled from a plan, handed out to a job, taken back."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import click

from nestcut.cli.talk import say
from nestcut.errors import Finding, InputError, Severity, blocking, finding
from nestcut.facts import Size
from nestcut.gate import Kind, read_text
from nestcut.intake.job import understand_job
from nestcut.intake.plan import folder_of, read_proven
from nestcut.model.stock import BoardStock, SheetStock
from nestcut.outlet import replace_single, without_files, write_single
from nestcut.outlet.results import choose_paper
from nestcut.papers.labels import default_grid, parse_grid, stock_label, texts_pdf
from nestcut.papers.view import Figures
from nestcut.shed import (
    Book,
    Change,
    Entry,
    Kept,
    gather_rest,
    go_back,
    handed_out,
    read_book,
    relevant_entries,
    states_of,
    write_change,
)
from nestcut.units import LengthStyle
from nestcut.words import Speech

_SHED_NAME = re.compile(r"shed (\d+)")


def _known(path: Path) -> Book:
    """A book that must be there: a name mistyped is no empty shed."""
    if not path.exists():
        raise InputError([finding("SHD-012", Severity.ERROR, path.as_posix())])
    return read_book(path)


def run_show(path: Path, style: LengthStyle) -> int:
    """Print what a book holds."""
    book = _known(path)
    speech = Speech(style=style)
    for entry in book.entries:
        click.echo(_entry_line(entry, speech))
    count = len(book.entries)
    click.echo(f"{path}: {count} {'entry' if count == 1 else 'entries'}, change {book.change}")
    return 0


def _entry_line(entry: Entry, speech: Speech) -> str:
    stock = entry.stock
    if isinstance(stock, SheetStock):
        what = f"{stock.material} {speech.length(stock.thickness_mm)}, "
        what += speech.size((stock.length_mm, stock.width_mm))
        if stock.outline:
            what += ", with an outline of its own"
    else:
        what = f"{stock.material} {speech.size((stock.thickness_mm, stock.width_mm))}, "
        what += speech.length(stock.lengths[0].length_mm)
    told = [f"{stock.name}: {what}"]
    if entry.origin.came_from:
        told.append(f"from {entry.origin.came_from}")
    if entry.origin.promised_to:
        told.append(f"set aside for {entry.origin.promised_to}")
    return "; ".join(told)


def run_take(path: Path, job_path: Path) -> int:
    """Write what a job can use into its job file, as stock to hand, and set it aside for it."""
    understanding = understand_job(job_path)
    job = understanding.job
    if not (job.sheet_parts or job.rail_parts) and blocking(understanding.findings):
        # A job without stock may well take it from the shed; a file that is no job is left alone.
        raise InputError(understanding.findings)
    text = read_text(job_path, Kind.JOB)
    taken: tuple[Entry, ...] = ()

    def decide(book: Book) -> Change:
        nonlocal taken
        taken = relevant_entries(book, job)
        mine = {e.id: "" for e in book.entries if e.origin.promised_to == job.file}
        return Change(promised={**mine, **{e.id: job.file for e in taken}})

    _known(path)
    write_change(path, decide)
    made = handed_out(text, taken)
    if made == text:
        say(f"{job_path} stays as it is: {len(taken)} entries of {path} are of use to it.")
        return 0
    kept = replace_single(job_path, made.encode())
    speech = Speech(style=job.style)
    for entry in taken:
        click.echo(_entry_line(entry, speech))
    say(
        f"{len(taken)} of the shed's entries stand at the end of {job_path} as stock to hand; the "
        f"file as it was: {kept}"
    )
    return 0


def run_add(plan_path: Path, path: Path, kept: Kept) -> int:
    """Put what a cut plan leaves into the book, and take out what it used up."""
    read = read_proven(plan_path)
    plan, job = read.plan, read.job
    file = folder_of(plan_path) / "plan.json" if plan_path.is_dir() else plan_path
    digest = hashlib.sha256(without_files(file).encode()).hexdigest()
    rest = gather_rest(job, plan, kept)
    names = [*(s.stock for s in plan.sheets), *(b.stock for b in plan.boards)]
    used = {int(m[1]) for name in names if (m := _SHED_NAME.fullmatch(name))}

    def decide(book: Book) -> Change:
        if digest in book.plans:
            raise InputError([finding("SHD-010", Severity.ERROR, str(plan_path))])
        known = {e.id for e in book.entries}
        gone = [n for n in sorted(used) if n not in known]
        if gone:
            raise InputError([_not_there(n) for n in gone])
        free = {
            e.id: "" for e in book.entries if e.origin.promised_to == job.file and e.id not in used
        }
        return Change(added=rest, removed=frozenset(used), promised=free, plan=digest)

    write_change(path, decide)
    speech = Speech(style=job.style)
    for entry in rest:
        click.echo(f"kept: {_stock_words(entry.stock, speech)}; from {entry.came_from}")
    say(f"{len(rest)} put into {path}, {len(used)} used up; 'nestcut shed back {path}' undoes it")
    return 0


def _stock_words(stock: SheetStock | BoardStock, speech: Speech) -> str:
    if isinstance(stock, SheetStock):
        return f"{stock.material} {speech.say(Size((stock.length_mm, stock.width_mm)))}"
    return f"{stock.material} {speech.length(stock.lengths[0].length_mm)}"


def _not_there(number: int) -> Finding:
    return finding("SHD-011", Severity.ERROR, f"shed {number}", name=f"shed {number}")


def run_shed_labels(
    path: Path,
    numbers: tuple[int, ...],
    *,
    out: Path | None,
    paper: str | None,
    grid: str | None,
    used: int,
    style: LengthStyle,
) -> int:
    """Write labels of a book's entries."""
    book = _known(path)
    known = {e.id for e in book.entries}
    gone = [n for n in numbers if n not in known]
    if gone:
        raise InputError([_not_there(n) for n in gone])
    size = choose_paper(paper, style)
    measures = default_grid(size) if grid is None else parse_grid(grid, size)
    figures = Figures(style, 16, "")
    labels = [
        stock_label(e.stock, e.origin.came_from, figures)
        for e in book.entries
        if not numbers or e.id in numbers
    ]
    name = f"{path.stem}-labels-{book.change}.pdf"
    target = path.with_name(name) if out is None else out
    write_single(target, texts_pdf(labels, f"{path.stem}: labels", measures, used))
    click.echo(f"Labels: {target}")
    return 0


def run_back(path: Path, to: int | None) -> int:
    """Take the last change back, or bring back a state by its number."""
    if not path.exists() and not states_of(path):
        _known(path)
    book = go_back(path, to)
    say(f"{path}: back at change {book.change}, {len(book.entries)} entries")
    say(f"states kept: {', '.join(map(str, states_of(path)))}")
    return 0
