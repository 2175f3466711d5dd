"""The stock book: what lies in the shed, handed out to a job, filled from a plan, taken back."""

from __future__ import annotations

import hashlib
import re
from dataclasses import dataclass
from pathlib import Path

from nestcut.errors import Finding, InputError, Severity, blocking, finding
from nestcut.gate import FileKind, read_text
from nestcut.intake.job import understand_job
from nestcut.intake.plan import folder_of, read_proven
from nestcut.model.job import Job
from nestcut.model.stock import BoardStock, SheetStock
from nestcut.outlet import replace_single, without_files
from nestcut.shed import (
    Book,
    Change,
    Entry,
    Kept,
    NewEntry,
    gather_rest,
    go_back,
    handed_out,
    read_book,
    relevant_entries,
    states_of,
    write_change,
)

__all__ = [
    "BoardStock",
    "Book",
    "Entry",
    "Kept",
    "PutAway",
    "SheetStock",
    "Taken",
    "entries_of",
    "open_book",
    "put_rest",
    "states_of",
    "take_back",
    "take_stock",
]

_SHED_NAME = re.compile(r"shed (\d+)")


def open_book(path: Path) -> Book:
    """Read a book that must be there: a name mistyped is no empty shed.

    Raises
    ------
    InputError
        If there is none, or it can't be read.
    """
    if not path.exists():
        raise InputError([finding("SHD-012", Severity.ERROR, path.as_posix())])
    return read_book(path)


def entries_of(book: Book, numbers: tuple[int, ...] = ()) -> tuple[Entry, ...]:
    """Return entries of a book by their numbers; all without any.

    Raises
    ------
    InputError
        If there is none of a number.
    """
    known = {e.id for e in book.entries}
    gone = [n for n in numbers if n not in known]
    if gone:
        raise InputError([_not_there(n) for n in gone])
    return tuple(e for e in book.entries if not numbers or e.id in numbers)


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What a job was given; ``kept`` is its file as it was, None where nothing changed."""

    job: Job
    entries: tuple[Entry, ...]
    kept: Path | None


def take_stock(path: Path, job_path: Path) -> Taken:
    """Write what a job can use into its job file, as stock to hand, and set it aside for it.

    Raises
    ------
    InputError
        If the file is no job, or one of the two can't be written.
    """
    understanding = understand_job(job_path)
    job = understanding.job
    if not (job.sheet_parts or job.rail_parts) and blocking(understanding.findings):
        # A job without stock may well take it from the shed; a file that is no job is left alone.
        raise InputError(understanding.findings)
    text = read_text(job_path, FileKind.JOB)
    taken: tuple[Entry, ...] = ()

    def decide(book: Book) -> Change:
        nonlocal taken
        taken = relevant_entries(book, job)
        mine = {e.id: "" for e in book.entries if e.origin.promised_to == job.file}
        return Change(promised={**mine, **{e.id: job.file for e in taken}})

    open_book(path)
    write_change(path, decide)
    made = handed_out(text, taken)
    kept = None if made == text else replace_single(job_path, made.encode())
    return Taken(job=job, entries=taken, kept=kept)


@dataclass(frozen=True, slots=True, kw_only=True)
class PutAway:
    """What a cut plan put into the book, and how many entries it used up."""

    job: Job
    added: tuple[NewEntry, ...]
    n_used: int


def put_rest(plan_path: Path, path: Path, kept: Kept) -> PutAway:
    """Put what a cut plan leaves into the book, and take out what it used up.

    Raises
    ------
    InputError
        If the plan was put away before, or used what isn't in the book.
    """
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
    return PutAway(job=job, added=tuple(rest), n_used=len(used))


def take_back(path: Path, to: int | None = None) -> Book:
    """Take the last change of a book back, or bring back a state by its number.

    Raises
    ------
    InputError
        If there is no such state.
    """
    if not path.exists() and not states_of(path):
        open_book(path)
    return go_back(path, to)


def _not_there(number: int) -> Finding:
    return finding("SHD-011", Severity.ERROR, f"shed {number}", name=f"shed {number}")
