"""A stock book's text to records."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from nestcut.errors import Finding, InputError, Severity, finding
from nestcut.gate import tables_of
from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.stock_tables import read_board, read_sheet
from nestcut.jobfile.tables import Table
from nestcut.model.stock import BoardStock, SheetStock

FORMAT = "nestcut shed"
VERSION = 1
OWN_KEYS = ("id", "came_from", "promised_to")
"""Keys of an entry that job files don't have."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """Where an entry came from, and which job it is set aside for; empty: none."""

    came_from: str = ""
    promised_to: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class NewEntry:
    """Something to be put into the book: one sheet, or one board of a single length."""

    stock: SheetStock | BoardStock
    came_from: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """Something that lies in the shed; its ``stock`` is named ``shed 7`` after the ``id``."""

    id: int
    stock: SheetStock | BoardStock
    origin: Origin


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """A book as read.

    Parameters
    ----------
    change, before
        Number of the change that made this state, and of the state that it was made from.
    next_id
        Number of the next entry; numbers are never used again.
    plans
        Digests of plans whose rests are in the book already.
    """

    text: str
    change: int
    before: int
    next_id: int
    plans: tuple[str, ...]
    entries: tuple[Entry, ...]
    findings: tuple[Finding, ...] = ()


def stock_name(number: int) -> str:
    """Return what an entry is called in a job file and on papers."""
    return f"shed {number}"


def parse_book(text: str, file: str) -> Book:
    """Read a book.

    Parameters
    ----------
    text
        What the file holds.
    file
        How findings call it.

    Returns
    -------
    Book
        What could be read; ``findings`` name every entry that couldn't.
    """
    nothing = Book(text=text, change=0, before=0, next_id=1, plans=(), entries=())
    try:
        data = tables_of(text, file)
    except InputError as error:
        return replace(nothing, findings=error.findings)
    except ValueError as error:
        return replace(
            nothing,
            findings=(finding("SHD-001", Severity.ERROR, file, fault=str(error).rstrip(".")),),
        )
    head = data.get("book")
    if not isinstance(head, Mapping) or (head.get("format"), head.get("version")) != (
        FORMAT,
        VERSION,
    ):
        return replace(nothing, findings=(finding("SHD-002", Severity.ERROR, file),))
    notes = FindingBook(file)
    entries: list[Entry] = []
    for kind in ("sheet", "board"):
        tables = data.get(kind, [])
        for place, table in enumerate(tables if isinstance(tables, list) else [], start=1):
            entry = _read_entry(kind, f"{kind}[{place}]", table, notes)
            if entry is not None:
                entries.append(entry)
    numbers = [e.id for e in entries]
    doubled = sorted({n for n in numbers if numbers.count(n) > 1})
    return Book(
        text=text,
        change=_whole(head.get("change")),
        before=_whole(head.get("before")),
        next_id=max([_whole(head.get("next_id")), *(n + 1 for n in numbers)], default=1),
        plans=tuple(str(p) for p in head.get("plans", ()) if isinstance(p, str)),
        entries=tuple(sorted(entries, key=lambda e: e.id)),
        findings=(
            *notes.findings,
            *(finding("SHD-003", Severity.ERROR, file, number=n) for n in doubled),
        ),
    )


def _whole(value: object) -> int:
    return value if isinstance(value, int) and not isinstance(value, bool) and value > 0 else 0


def _read_entry(kind: str, where: str, data: object, notes: FindingBook) -> Entry | None:
    if not isinstance(data, Mapping):
        notes.findings.append(finding("SHD-004", Severity.ERROR, f"{notes.file}, {where}"))
        return None
    number = _whole(data.get("id"))
    if not number:
        notes.findings.append(finding("SHD-005", Severity.ERROR, f"{notes.file}, {where}"))
        return None
    own = {k: v for k, v in data.items() if k not in OWN_KEYS}
    table = Table({"name": stock_name(number), **_as_job_writes(kind, own)}, where, notes)
    stock = read_sheet(table, []) if kind == "sheet" else read_board(table)
    if stock is None:
        return None
    origin = Origin(
        came_from=str(data.get("came_from", "")), promised_to=str(data.get("promised_to", ""))
    )
    return Entry(id=number, stock=stock, origin=origin)


def _as_job_writes(kind: str, own: dict[str, object]) -> dict[str, object]:
    """One to hand; a board of the book has one length, and its defects beside it."""
    if kind == "sheet":
        return {**own, "count": 1}
    length: dict[str, object] = {"count": 1}
    for key in ("length", "defects"):
        if key in own:
            length[key] = own.pop(key)
    return {**own, "lengths": [length]}
