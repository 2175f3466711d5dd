"""From the shed to a job: what it can use is written into its job file as stock to hand."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import tomlkit

from nestcut.model.job import Job
from nestcut.shed.book import Book, Entry, stock_name
from nestcut.shed.tables import job_table, kind_of

_BEGIN = "# ---- from the shed: 'nestcut shed take' writes what stands here anew ----"
_END = "# ---- end of what comes from the shed ----"


def relevant_entries(book: Book, job: Job) -> tuple[Entry, ...]:
    """Return what a job can use and no other job has: material and thickness that it asks for."""
    sheets = {(p.material, p.thickness_mm) for p in job.sheet_parts}
    boards = {r.material for r in job.rail_parts} | {p.material for p in job.sheet_parts}
    return tuple(
        e
        for e in book.entries
        if e.origin.promised_to in {"", job.file}
        and (
            (e.stock.material, e.stock.thickness_mm) in sheets
            if kind_of(e.stock) == "sheet"
            else e.stock.material in boards
        )
    )


def handed_out(job_text: str, entries: Sequence[Entry]) -> str:
    """Return a job file's text with a block of these entries at its end, in place of an older one.

    All else of the text stays as it is, byte for byte.
    """
    head, begun, rest = job_text.partition(_BEGIN)
    if not begun and not entries:
        return job_text
    _, ended, tail = rest.partition(_END)
    if begun and not ended:
        head, tail = job_text, ""
    kept = head.rstrip("\n") + "\n" + tail.strip("\n")
    if not entries:
        return kept.rstrip("\n") + "\n"
    document = tomlkit.document()
    for kind in ("sheet", "board"):
        tables = tomlkit.aot()
        for entry in entries:
            if kind_of(entry.stock) == kind:
                table = job_table(replace(entry.stock, name=stock_name(entry.id)))
                if entry.origin.came_from:
                    table.comment(" ".join(entry.origin.came_from.split()))
                tables.append(table)
        if len(tables):
            document[kind] = tables
    block = tomlkit.dumps(document).strip("\n")
    return f"{kept.rstrip(chr(10))}\n\n{_BEGIN}\n\n{block}\n\n{_END}\n"
