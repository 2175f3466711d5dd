"""Tables of offsets in the notations that plans use, pasted or in files; what is wrong is told."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path

import pytest
from openpyxl import Workbook

from nestcut.intake.readings import offset_grid
from nestcut.jobfile.book import FindingBook
from nestcut.jobfile.tables import Table
from nestcut.shapes.known import OffsetForm
from nestcut.shapes.table.doubts import (
    first_doubt,
    table_doubts,
    table_findings,
    table_rows,
)
from nestcut.shapes.table.offsets import Counted, OffsetTable, View, grid_of_text, read_offset_table
from nestcut.shapes.table.slips import least_seen_mm, slips_told
from nestcut.units import LengthStyle, Unit
from nestcut.words import Speech, tell

INCH = 25.4
PLAIN = """
station        |   0   |   1   |   2   |   3
at             | 0-0-0 | 2-0-0 | 4-0-0 | 6-0-0
heights
sheer          | 1-9-4 | 1-6-0 | 1-4-0 | 1-4-2+
keel           | 0-2-0 | 0-1-0 |   -   | 0-1-0
half-breadths
sheer          | 0-1-0 | 1-0-0 | 1-6-0 | 1-7-0
"""


def read(text: str, bare: Unit | None = None, **keys: object) -> tuple[OffsetTable | None, Table]:
    readings = Table({"table": text, **keys}, "offsets", FindingBook("job.toml"), bare)
    return read_offset_table(readings, grid_of_text(text)), readings


def sound(text: str, bare: Unit | None = None, **keys: object) -> OffsetTable:
    table, readings = read(text, bare, **keys)
    assert table is not None, readings.book.findings
    return table


def inches(table: OffsetTable, line: str, view: View) -> list[float | None]:
    return [None if v is None else round(v / INCH, 4) for v in table.row(line, view)]


def test_the_table_as_printed() -> None:
    """Feet, inches and eighths, + for a sixteenth, - for no reading; the keel is in the middle."""
    table = sound(PLAIN)

    assert table.stations == ("0", "1", "2", "3")
    assert inches(table, "sheer", View.HEIGHTS) == [21.5, 18.0, 16.0, 16.3125]
    assert inches(table, "keel", View.HEIGHTS) == [2.0, 1.0, None, 1.0]
    assert table.form is OffsetForm.EIGHTHS
    assert [p[0] for p in table.points("keel")] == ["3", "1", "0"]
    assert table.points("keel")[0][1:] == pytest.approx((0.0, 0.0, INCH))


def test_from_the_stern_nothing_is_turned() -> None:
    table = sound(PLAIN, measured_from="stern")

    assert table.counted is Counted.STERN
    assert [p[0] for p in table.points("sheer")] == ["0", "1", "2", "3"]


@pytest.mark.parametrize(
    "mend",
    [
        lambda t: t.replace("|", "\t"),
        lambda t: t.replace("|", ";"),
        lambda t: t.replace(" | ", "   ").replace("|", "  "),
        lambda t: "\n".join(f"| {x} |" if x and "|" in x else x for x in t.splitlines()),
        lambda t: t.replace("heights\n", "----------+------\nHEIGHTS above base line\n"),
        lambda t: t.replace("half-breadths", "Half breadths:").replace("station ", "Stations "),
    ],
    ids=["tabs", "semicolons", "blanks", "ruled", "other words", "capitals"],
)
def test_other_ways_to_set_it(mend: object) -> None:
    assert callable(mend)
    table = sound(mend(PLAIN))

    assert inches(table, "sheer", View.HEIGHTS) == [21.5, 18.0, 16.0, 16.3125]
    assert inches(table, "sheer", View.HALF_BREADTHS) == [1.0, 12.0, 18.0, 19.0]


def test_rows_may_name_their_view_themselves() -> None:
    table = sound(
        "station | A | B\nat | 0 mm | 500 mm\nsheer height | 400 mm | 380 mm\n"
        "sheer half-breadth | 100 mm | 300 mm\nht. of keel | 20 mm | 0 mm\n"
    )

    assert table.line_names == ("sheer", "keel")
    assert table.row("sheer", View.HALF_BREADTHS) == (100.0, 300.0)


@pytest.mark.parametrize(
    ("written", "figures", "mm"),
    [
        ("mm", "400 | 382", (400.0, 382.0)),
        ("cm", "40.0 | 38,2", (400.0, 382.0)),
        ("inch", "15-3/4 | 15", (15.75 * INCH, 15 * INCH)),
        ("inch", '15 3/4" | 1\' 3"', (15.75 * INCH, 15 * INCH)),
        ("feet", "1.25 | 1.5", (15 * INCH, 18 * INCH)),
        ("feet-inches-eighths", "1 3 6 | 1.3.0", (15.75 * INCH, 15 * INCH)),
        ("feet-inches-eighths", "11-4 | 1-3-0-", (11.5 * INCH, (15 - 1 / 16) * INCH)),
        ("lengths", "400 mm | 1' 3\"", (400.0, 15 * INCH)),
    ],
)
def test_notations(written: str, figures: str, mm: tuple[float, float]) -> None:
    text = f"station | 1 | 2\nheights\nsheer | {figures}\n"
    table = sound(text, written=written, spacing="600 mm")

    assert table.row("sheer", View.HEIGHTS) == pytest.approx(mm)


def test_distances_put_a_lines_end_off_its_station() -> None:
    """A raked transom: the chine ends before the sheer does."""
    text = PLAIN.replace("heights\n", "distances\nkeel | - | - | - | 5-9-0\nheights\n")
    table = sound(text)
    ends = {name: table.points(name)[0][1] for name in ("sheer", "keel")}

    assert ends["sheer"] == pytest.approx(0.0)
    assert ends["keel"] == pytest.approx(3 * INCH)


@pytest.mark.parametrize(
    ("old", "new", "code", "where"),
    [
        ("4-0-0 | 6-0-0", "4-0-0 | 3-0-0", "SHP-047", "offsets.table"),
        ("1-6-0 | 1-4-0 | 1-4-2+", "1-6-0 | 1-4-0", "SHP-045", "offsets.table[5]"),
        ("heights\n", "", "SHP-043", "offsets.table[4]"),
        ("station  ", "where    ", "SHP-042", "offsets.table[2]"),
        ("keel  ", "sheer ", "SHP-044", "offsets.table[6]"),
        ("half-breadths", "", "SHP-044", "offsets.table[8]"),
        ("1-6-0 | 1-4-0", "1-6-9 | 1-4-0", "JOB-006", "offsets.table[5]"),
    ],
)
def test_faults_name_their_row(old: str, new: str, code: str, where: str) -> None:
    table, readings = read(PLAIN.replace(old, new, 1))

    assert table is None
    assert [(f.code, f.where) for f in readings.book.findings] == [(code, where)]


def test_lines_that_cross_or_are_exchanged_are_told() -> None:
    text = """
station | 0 | 1 | 2 | 3 | 4
at | 0-0-0 | 2-0-0 | 4-0-0 | 6-0-0 | 8-0-0
heights
sheer | 1-8-0 | 1-5-2 | 1-4-0 | 1-4-0 | 1-5-2
chine | 0-4-0 | 0-2-0 | 0-1-0 | 0-1-4 | 0-3-0
"""
    speech = Speech(style=LengthStyle.INCH)

    def told(text: str) -> list[str]:
        table = sound(text)
        return [tell(f, speech).message for f in table_findings(table, table_doubts(table))]

    assert told(text) == []
    crossed = text.replace("0-1-0 | 0-1-4", "2-1-0 | 0-1-4")
    assert any("chine cross: their heights change places at station 2" in t for t in told(crossed))
    swapped = text.replace("sheer", "x").replace("chine", "sheer").replace("\nx", "\nchine")
    assert told(swapped)[-1] == "chine lies above sheer at every station."


# -- files -----------------------------------------------------------------------------------------


def from_file(folder: Path, name: str) -> tuple[OffsetTable | None, Table]:
    readings = Table({"file": name}, "offsets", FindingBook("job.toml"))
    return read_offset_table(readings, offset_grid(readings, folder)), readings


def test_csv_and_text_files(tmp_path: Path) -> None:
    (tmp_path / "a.csv").write_text(PLAIN.replace("|", ","), encoding="utf-8")
    (tmp_path / "a.txt").write_text(PLAIN, encoding="utf-8")
    tables = [from_file(tmp_path, name)[0] for name in ("a.csv", "a.txt")]

    assert all(t is not None and t.readings == sound(PLAIN).readings for t in tables)


def workbook(path: Path, rows: list[list[object]]) -> None:
    book = Workbook()
    sheet = book.active
    assert sheet is not None
    for row in rows:
        sheet.append(row)
    book.save(path)


def test_a_spreadsheet(tmp_path: Path) -> None:
    rows: list[list[object]] = [
        [cell.strip() for cell in line.split("|")] for line in PLAIN.strip().splitlines()
    ]
    workbook(tmp_path / "a.xlsx", rows)
    table, readings = from_file(tmp_path, "a.xlsx")

    assert table is not None, readings.book.findings
    assert table.readings == sound(PLAIN).readings


def test_a_reading_that_became_a_date_is_told(tmp_path: Path) -> None:
    """Spreadsheets take 2-3-4 for a day; what was typed is lost."""
    import datetime as dt

    workbook(tmp_path / "a.xlsx", [["station", 1], ["at", dt.datetime(2004, 3, 2)]])  # noqa: DTZ001
    table, readings = from_file(tmp_path, "a.xlsx")

    assert table is None
    assert readings.book.findings[0].code == "JOB-034"


@pytest.mark.parametrize(
    ("name", "content", "code"),
    [
        ("none.csv", None, "FIL-001"),
        ("a.xlsx", b"no workbook", "JOB-033"),
        ("a.csv", b"\xff\xfe", "JOB-032"),
    ],
)
def test_files_that_can_not_be_read(
    name: str, content: bytes | None, code: str, tmp_path: Path
) -> None:
    if content is not None:
        (tmp_path / name).write_bytes(content)
    table, readings = from_file(tmp_path, name)

    assert table is None
    assert [f.code for f in readings.book.findings] == [code]


ENDS_APART = """
station          | Stem  | 1     | 2     | Transom
aft of stem head |       | 2-0-0 | 4-0-0 |
distances
sheer            | 0-0-0 |       |       | 7-0-0
keel             | 0-10-0|       |       | 6-6-0
heights
sheer            | 2-1-4 | 1-10-5| 1-8-5 | 1-8-0
keel             | 0-6-4 | 0-3-7 | 0-1-0 | 0-3-0
half-breadths
sheer            | 0-0-6 | 0-11-2| 1-7-2 | 1-11-0
keel             | on the centre line throughout
"""


def test_ends_whose_distances_stand_with_the_lines_are_read() -> None:
    table = sound(ENDS_APART)
    assert [round(x / INCH, 4) for x in table.at_mm] == [0.0, 24.0, 48.0, 84.0]
    assert ("keel", View.HALF_BREADTHS) not in table.readings


def test_a_station_without_any_distance_is_named() -> None:
    text = ENDS_APART.replace("| 7-0-0", "|  ").replace("| 6-6-0", "|  ")
    assert said(text) == ["the row of the stations' distances has no figure for Transom."]


def test_every_row_at_fault_is_told_at_once() -> None:
    text = PLAIN.replace("keel           | 0-2-0 | 0-1-0 |   -   | 0-1-0", "keel | 0-2-0 | 0-1-0")
    text = text.replace("1-6-0 | 1-7-0", "1-6-0 | 1-7-9").replace("1-4-0 | 1-4-2+", "1-4-0 | 1-4-8")
    assert len(said(text)) == 3


def said(text: str) -> list[str]:
    table, readings = read(text)
    assert table is None
    return [tell(f, Speech()).message for f in readings.book.findings]


def test_headings_as_plans_print_them() -> None:
    """Bold letters' stars, and "fore and aft" for the distances of the lines' ends."""
    text = PLAIN.replace(
        "heights\n", "**Fore and aft (ends)** | |\nkeel | | | | 5-9-0\n**Heights**\n"
    )
    table = sound(text.replace("half-breadths", "**Half-breadths**"))

    assert inches(table, "keel", View.DISTANCES) == [None, None, None, 69.0]
    assert inches(table, "sheer", View.HALF_BREADTHS) == [1.0, 12.0, 18.0, 19.0]


FAIR = """
station        |   0   |   1   |   2   |   3   |   4   |   5   |   6
at             | 0-0-0 | 2-0-0 | 4-0-0 | 6-0-0 | 8-0-0 | 10-0-0 | 12-0-0
heights
sheer          | 2-0-0 | 1-8-3 | 1-5-5 | 1-4-0 | 1-3-3 | 1-3-7 | 1-5-3
half-breadths
sheer          | 0-1-0 | 0-11-0| 1-6-2 | 1-10-5| 2-0-2 | 1-11-3| 1-7-6
"""


def test_what_would_not_be_seen_is_told_as_the_table_is_written() -> None:
    """A note a view; the size named is seen, the next smaller one isn't, at the place tried."""
    table = sound(FAIR)
    told = [tell(f, Speech()).message for f in slips_told(table)]
    [heights] = [r for r in table_rows(table) if r.view == View.HEIGHTS.value]
    least = least_seen_mm([heights], (5.0, 10.0, 20.0, 40.0))

    assert [m.partition(" stands")[0] for m in told] == ["no height", "no half-breadth"]
    assert all(re.search(r"about 0-\d-\d", m) for m in told)
    assert least is not None
    for size, is_named in ((least, True), (least / 2.0, False)):
        signs = [
            first_doubt([replace(heights, y=(*heights.y[:3], heights.y[3] + s, *heights.y[4:]))])
            for s in (size, -size)
        ]
        assert all(d is not None and d.station == "3" for d in signs) is is_named


def test_where_no_slip_would_be_seen_that_is_told() -> None:
    bent = FAIR.replace("1-8-3 | 1-5-5", "0-9-0 | 1-8-0")
    assert least_seen_mm(table_rows(sound(bent))[:1], (3.0, 4.0)) is None


def test_a_table_in_which_nothing_can_be_seen_says_so() -> None:
    """Lines that go up and down like this hide a slip of four inches."""
    text = """
station | 0     | 1     | 2     | 3     | 4     | 5
at      | 0-0-0 | 2-0-0 | 4-0-0 | 6-0-0 | 8-0-0 | 10-0-0
heights
sheer   | 2-0-0 | 0-8-0 | 3-5-0 | 0-4-0 | 3-3-0 | 0-3-7
"""
    [told] = slips_told(sound(text))

    assert told.code == "SHP-164"
    assert "even a slip of 0-4-0 wouldn't be seen" in tell(told, Speech()).message


def test_a_table_of_four_stations_is_not_weighed() -> None:
    assert slips_told(sound(PLAIN)) == ()


SKIFF = """
station | stem  | 1     | 2     | 3     | 4     | 5     | T
at      | 0-0-0 | 2-0-0 | 4-0-0 | 6-0-0 | 8-0-0 | 10-0-0 | 13-0-0
distances
chine   | 0-7-0  |        |       |       |       |        | 12-8-0
keel    | 0-10-0 |        |       |       |       |        | 12-6-7
heights
sheer   | 2-1-4  | 1-10-5 | 1-8-5 | 1-7-2 | 1-6-5 | 1-6-5  | 1-8-0
chine   | 0-11-4 | 0-8-6  | 0-6-2 | 0-5-0 | 0-4-7 | 0-5-4  | 0-6-6
keel    | 0-6-4  | 0-3-7  | 0-1-0 | 0-0-0 | 0-0-2 | 0-1-2  | 0-3-0
"""


def test_a_small_slip_that_throws_doubt_on_its_neighbour_is_named_beside_it() -> None:
    """Half an inch at station 4: station 5 could be seven eighths out as well, so both are told."""
    table = sound(SKIFF.replace("0-4-7", "0-4-3"))
    [told] = [tell(f, Speech()).message for f in table_findings(table, table_doubts(table))]

    assert "chine, station 5" in told
    assert (
        "Or it is station 4 that is misread: 0-4-3 stands there, and 0-4-7 would be fair." in told
    )
    assert not table_doubts(sound(SKIFF))


def test_a_plain_slip_accuses_no_neighbour() -> None:
    table = sound(SKIFF.replace("0-4-7", "0-4-1"))
    [told] = [tell(f, Speech()).message for f in table_findings(table, table_doubts(table))]

    assert "chine, station 4: the height 0-4-1" in told
    assert "Or it is" not in told
