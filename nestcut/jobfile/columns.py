"""Small tables of readings in files beside the job file.

The first row names the columns by the keys they stand for (``stations``, ``upper``,
``half_breadths``); ``[in]`` after a name gives the unit of its bare numbers.  A row without a
reading in some column leaves that station out there.  A column that ends in ``knuckle`` marks
stations by any sign.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Sequence

from nestcut.jobfile.tables import Table

_HEADING = re.compile(r"\s*([a-z_]+)\s*(?:\[\s*(mm|cm|m|inches|inch|in|feet|foot|ft)\s*\])?\s*")
_STATIONS = "stations"


def with_columns(table: Table, key: str, rows: Sequence[Sequence[str]]) -> Table:
    """Return a table of readings with the columns of a file added to its keys.

    Faults of the file are recorded, and the table stays as it was.

    Parameters
    ----------
    key
        Key that names the file, for faults.
    rows
        Cells; the first row names the columns.
    """
    headings = [_HEADING.fullmatch(cell.lower()) for cell in rows[0]] if rows else []
    names = [h[1] if h is not None else "" for h in headings]
    if len(rows) < 2 or not all(names) or len(set(names)) < len(names):
        table.told(key, "JOB-020")
        return table
    units = [h[2] if h is not None else None for h in headings]
    cells = [
        [_with_unit(row[i].strip() if i < len(row) else "", unit) for row in rows[1:]]
        for i, unit in enumerate(units)
    ]
    return _merged(table, dict(zip(names, cells, strict=True)), key)


def csv_rows(text: str) -> list[tuple[int, list[str]]]:
    """Cells by row, with the row's number; what parts them is what the first line has most of."""
    first = text.split("\n", 1)[0]
    separator = max(",;\t", key=first.count)
    rows = enumerate(csv.reader(io.StringIO(text), delimiter=separator), start=1)
    return [(n, row) for n, row in rows if any(cell.strip() for cell in row)]


def _with_unit(cell: str, unit: str | None) -> str:
    return f"{cell} {unit}" if unit and re.fullmatch(r"[+-]?\d*\.?\d+", cell) else cell


def _merged(table: Table, columns: dict[str, list[str]], key: str) -> Table:
    """Add columns as lists; gaps make a column bring stations of its own."""
    data = dict(table.data)
    stations = columns.get(_STATIONS)
    for name, cells in columns.items():
        if name in data:
            table.told(key, "JOB-035", name=name)
            return table
        if name.endswith("knuckle"):
            places = stations or []
            data[f"{name}s"] = [s for s, c in zip(places, cells, strict=False) if c]
        elif all(cells) or name == _STATIONS or stations is None:
            data[name] = [c for c in cells if c]
        else:
            kept = [(s, c) for s, c in zip(stations, cells, strict=True) if c]
            data[name] = [c for _, c in kept]
            data[f"{name}_stations"] = [s for s, _ in kept]
    del data[key]
    return Table(data, table.path, table.book, table.bare)
