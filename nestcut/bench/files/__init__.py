"""The job's files: their history, changes of their text, what was understood of them.

The only room of the bench that writes job and plan files.
"""

from nestcut.bench.files.edits import (
    EditError,
    pointed_at,
    tables_as_written,
    with_gap,
    with_no_part,
    with_parts,
    with_table,
    with_value,
    without,
    without_no_part,
)
from nestcut.bench.files.keeper import ChangedMeanwhile, Found, Keeper, State, digest_of, stamp_of
from nestcut.bench.files.work import BOOK, Work

__all__ = [
    "BOOK",
    "ChangedMeanwhile",
    "EditError",
    "Found",
    "Keeper",
    "State",
    "Work",
    "digest_of",
    "pointed_at",
    "stamp_of",
    "tables_as_written",
    "with_gap",
    "with_no_part",
    "with_parts",
    "with_table",
    "with_value",
    "without",
    "without_no_part",
]
