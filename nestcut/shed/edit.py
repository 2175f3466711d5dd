"""Changes of a book's text; what a builder wrote into it by hand stays as it is."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import tomlkit

from nestcut.shed.book import FORMAT, VERSION, Book, NewEntry
from nestcut.shed.tables import kind_of, stock_table, tables_of

_HEAD = """\
# What lies in the shed: sheets, boards and offcuts, as nestcut keeps them.
# Edit it as you like; lengths are written as in a job file. 'nestcut shed back' undoes a change.

[book]
format = "{format}"
version = {version}
change = 0
before = 0
next_id = 1
plans = []
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What becomes of a book.

    Parameters
    ----------
    added
        What is put in; numbers follow each other.
    removed
        Numbers of what is gone.
    promised
        By number the job that an entry is set aside for; empty: for none any more.
    plan
        Digest of the plan whose rest is put in; empty: none.
    """

    added: tuple[NewEntry, ...] = ()
    removed: frozenset[int] = frozenset()
    promised: Mapping[int, str] = field(default_factory=dict)
    plan: str = ""


def new_book_text() -> str:
    """Return the text of a book with nothing in it."""
    return _HEAD.format(format=FORMAT, version=VERSION)


def changed_text(book: Book, change: Change, number: int) -> str:
    """Return a book's text after a change.

    Parameters
    ----------
    book
        The book as it is; it has no findings.
    change
        What to do.
    number
        Number of this change.
    """
    document = tomlkit.parse(book.text)
    for kind in ("sheet", "board"):
        tables = document.get(kind)
        if tables is None:
            continue
        for table in tables:
            wanted = change.promised.get(int(table["id"]))
            if wanted:
                table["promised_to"] = wanted
            elif wanted is not None:
                table.pop("promised_to", None)
        for place in reversed(range(len(tables))):
            if int(tables[place]["id"]) in change.removed:
                del tables[place]
    next_id = book.next_id
    for entry in change.added:
        table = tomlkit.table()
        table["id"] = next_id
        table.update(stock_table(entry.stock))
        table["came_from"] = entry.came_from
        table.add(tomlkit.nl())
        tables_of(document, kind_of(entry.stock)).append(table)
        next_id += 1
    head = document["book"]
    head["change"], head["before"], head["next_id"] = number, book.change, next_id
    if change.plan:
        head["plans"] = [*book.plans, change.plan]
    return tomlkit.dumps(document)
