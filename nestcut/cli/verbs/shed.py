"""``nestcut shed``: the stock book shown, filled from a plan, handed out to a job, taken back."""

from __future__ import annotations

from pathlib import Path

import click

from nestcut.cli.talk import say
from nestcut.door.findings import InputError, Size, Speech
from nestcut.door.lengths import LengthStyle
from nestcut.door.papers import write_single
from nestcut.door.single import LabelSheet, stock_labels
from nestcut.door.stockbook import (
    BoardStock,
    Entry,
    Kept,
    SheetStock,
    entries_of,
    open_book,
    put_rest,
    states_of,
    take_back,
    take_stock,
)


def run_show(path: Path, style: LengthStyle) -> int:
    """Print what a book holds."""
    book = open_book(path)
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
    taken = take_stock(path, job_path)
    if taken.kept is None:
        say(f"{job_path} stays as it is: {len(taken.entries)} entries of {path} are of use to it.")
        return 0
    speech = Speech(style=taken.job.style)
    for entry in taken.entries:
        click.echo(_entry_line(entry, speech))
    say(
        f"{len(taken.entries)} of the shed's entries stand at the end of {job_path} as stock to "
        f"hand; the file as it was: {taken.kept}"
    )
    return 0


def run_add(plan_path: Path, path: Path, kept: Kept) -> int:
    """Put what a cut plan leaves into the book, and take out what it used up."""
    done = put_rest(plan_path, path, kept)
    speech = Speech(style=done.job.style)
    for entry in done.added:
        click.echo(f"kept: {_stock_words(entry.stock, speech)}; from {entry.came_from}")
    say(
        f"{len(done.added)} put into {path}, {done.n_used} used up; 'nestcut shed back {path}' "
        "undoes it"
    )
    return 0


def _stock_words(stock: SheetStock | BoardStock, speech: Speech) -> str:
    if isinstance(stock, SheetStock):
        return f"{stock.material} {speech.say(Size((stock.length_mm, stock.width_mm)))}"
    return f"{stock.material} {speech.say(Size((stock.lengths[0].length_mm, stock.width_mm)))}"


def _promised(path: Path) -> dict[int, str]:
    """For which job each entry is set aside, by its number; none of a book that can't be read."""
    try:
        book = open_book(path)
    except InputError:
        return {}
    return {e.id: e.origin.promised_to for e in book.entries if e.origin.promised_to}


def run_shed_labels(
    path: Path,
    numbers: tuple[int, ...],
    *,
    out: Path | None,
    sheet: LabelSheet,
    style: LengthStyle,
) -> int:
    """Write labels of a book's entries.

    Parameters
    ----------
    path
        The stock book.
    numbers
        Entries to label; none: all.
    out
        The PDF to write; None: one beside the book.
    """
    book = open_book(path)
    entries = entries_of(book, numbers)
    data = stock_labels(f"{path.stem}: labels", entries, sheet, style)
    name = f"{path.stem}-labels-{book.change}.pdf"
    target = path.with_name(name) if out is None else out
    write_single(target, data)
    click.echo(f"Labels: {target}")
    return 0


def run_back(path: Path, to: int | None) -> int:
    """Take the last change back, or bring back a state by its number."""
    before = _promised(path)
    book = take_back(path, to)
    count = len(book.entries)
    say(f"{path}: back at change {book.change}, {count} {'entry' if count == 1 else 'entries'}")
    now = {e.id: e.origin.promised_to for e in book.entries}
    for job in sorted({job for n, job in before.items() if now.get(n) != job}):
        say(
            f"{job} still has what was set aside for it as stock to hand: delete its block of the "
            f"shed, or have it written anew by 'nestcut shed take {path} {job}'"
        )
    say(f"states kept: {', '.join(map(str, states_of(path)))}")
    return 0
