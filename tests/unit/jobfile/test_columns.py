"""Tables of offsets in CSV files: separators, units, gaps, knuckles, faults."""

from __future__ import annotations

import pytest

from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.columns import csv_rows, with_columns
from nestcut.jobfile.tables import Table


def table(**data: object) -> Table:
    return Table({"readings": "side.csv", **data}, "part[1].shape", FindingBook("job.toml"))


def cells(text: str) -> list[list[str]]:
    return [row for _, row in csv_rows(text)]


@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_columns_become_keys(separator: str) -> None:
    """Each column is a list under its name; a unit in brackets goes to bare numbers."""
    text = "stations [in],upper\n0,1-3-0\n24,1-2-4+\n".replace(",", separator)
    merged = with_columns(table(kind="panel"), "readings", cells(text))

    assert merged.data == {
        "kind": "panel",
        "stations": ["0 in", "24 in"],
        "upper": ["1-3-0", "1-2-4+"],
    }


def test_gaps_leave_stations_out() -> None:
    """An edge that doesn't reach a station brings stations of its own."""
    text = "stations,lower,upper\n0 mm,,300 mm\n500 mm,10 mm,310 mm\n900 mm,0 mm,305 mm\n"
    merged = with_columns(table(), "readings", cells(text))

    assert merged.data["lower"] == ["10 mm", "0 mm"]
    assert merged.data["lower_stations"] == ["500 mm", "900 mm"]
    assert merged.data["upper"] == ["300 mm", "310 mm", "305 mm"]


def test_knuckle_column() -> None:
    """Any sign in a knuckle column marks its station."""
    text = "stations [mm],upper [mm],upper_knuckle\n0,5,\n10,6,x\n20,5,\n"
    merged = with_columns(table(), "readings", cells(text))

    assert merged.data["upper_knuckles"] == ["10 mm"]


FAULTS = [
    pytest.param("", "JOB-020", id="empty"),
    pytest.param("0,1\n2,3\n", "JOB-020", id="no headings"),
    pytest.param("stations,stations\n0,1\n", "JOB-020", id="doubled heading"),
    pytest.param("kind,stations\n0,1\n", "JOB-035", id="key given twice"),
]


@pytest.mark.parametrize(("content", "told"), FAULTS)
def test_faults(content: str, told: str) -> None:
    """Each fault names the key and leaves the table as it was."""
    readings = table(kind="panel")
    assert with_columns(readings, "readings", cells(content)) is readings

    assert not readings.is_sound
    assert [f.code for f in readings.book.findings] == [told]
