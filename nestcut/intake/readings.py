"""Tables of readings that stand in CSV or spreadsheet files beside the job file."""

from __future__ import annotations

import datetime as dt
import io
import zipfile
from dataclasses import replace
from pathlib import Path

from nestcut.errors import InputError
from nestcut.gate import FileKind, read_file
from nestcut.jobfile.columns import csv_rows, with_columns
from nestcut.jobfile.tables import Table
from nestcut.shapes.table.offsets import Grid, grid_of_text

_READINGS, _FILE, _TABLE = "readings", "file", "table"
_SPREADSHEET = ".xlsx"


def with_readings(table: Table, folder: Path) -> Table:
    """Return a table with the columns of the file that it names under ``readings``, if any."""
    if not table.has(_READINGS):
        return table
    grid = _grid_of_file(table, _READINGS, folder)
    return table if grid is None else with_columns(table, _READINGS, [row for _, row in grid])


def offset_grid(table: Table, folder: Path) -> Grid:
    """Cells of a table of offsets, pasted or in a file; empty where there is none, and told."""
    if table.has(_FILE) and table.has(_TABLE):
        table.told(_FILE, "SHP-081")
        return ()
    if table.has(_FILE):
        return _grid_of_file(table, _FILE, folder) or ()
    if not table.has(_TABLE):
        table.told(_TABLE, "SHP-082")
        return ()
    return grid_of_text(table.text(_TABLE))


def _grid_of_file(table: Table, key: str, folder: Path) -> Grid | None:
    """Cells of a CSV or spreadsheet file, row by row; None where it can't be read, and told."""
    content = _content(table, key, folder)
    if content is None:
        return None
    suffix = Path(table.text(key)).suffix.lower()
    if suffix == _SPREADSHEET:
        return _grid_of_spreadsheet(table, key, content)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        table.told(key, "JOB-032", byte=error.start + 1)
        return None
    return grid_of_text(text) if key == _FILE and suffix == ".txt" else csv_rows(text)


def _content(table: Table, key: str, folder: Path) -> bytes | None:
    """Bytes of the file named under ``key``; None where it can't be read, and told."""
    name = table.text(key)
    if not table.is_sound:
        return None
    try:
        return read_file(folder / name, FileKind.READINGS)
    except InputError as error:
        table.is_sound = False
        table.book.findings += [replace(f, where=table.where(key)) for f in error.findings]
        return None


def _grid_of_spreadsheet(table: Table, key: str, content: bytes) -> Grid | None:
    """Cells of the first sheet of a workbook, as the builder sees them."""
    from openpyxl import load_workbook
    from openpyxl.utils.exceptions import InvalidFileException

    try:
        book = load_workbook(io.BytesIO(content), read_only=True, data_only=True)
        rows = [list(row) for row in book.worksheets[0].iter_rows(values_only=True)]
    except (InvalidFileException, zipfile.BadZipFile, KeyError, ValueError, IndexError):
        table.told(key, "JOB-033", name=table.text(key))
        return None
    grid: list[tuple[int, list[str]]] = []
    for number, row in enumerate(rows, start=1):
        for cell in row:
            if isinstance(cell, dt.date | dt.time):
                table.told(key, "JOB-034", row=number, cell=str(cell))
                return None
        cells = [_shown(cell) for cell in row]
        if any(cells):
            grid.append((number, cells))
    return grid


def _shown(cell: object) -> str:
    if cell is None:
        return ""
    return f"{cell:g}" if isinstance(cell, float) else str(cell).strip()
