"""Tables of readings that stand in CSV files beside the job file."""

from __future__ import annotations

from pathlib import Path

from nestcut.jobfile.columns import MAX_CSV_BYTES, with_columns
from nestcut.jobfile.tables import Table

_KEY = "readings"


def with_readings(table: Table, folder: Path) -> Table:
    """Return a table with the columns of the CSV file that it names under ``readings``, if any."""
    if not table.has(_KEY):
        return table
    name = table.text(_KEY)
    if not table.is_sound:
        return table
    try:
        with (folder / name).open("rb") as file:
            content = file.read(MAX_CSV_BYTES + 1)
    except (OSError, ValueError) as error:
        told = getattr(error, "strerror", None) or error
        table.fault(
            _KEY,
            "JOB-021",
            f"the table '{name}' can't be read ({told}).",
            "Put it beside the job file.",
        )
        return table
    if len(content) > MAX_CSV_BYTES:
        table.fault(_KEY, "JOB-021", f"the table '{name}' is far too long.", "Check the file.")
        return table
    return with_columns(table, _KEY, content)
