"""Key paths of findings, found as lines of a job file."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from nestcut.errors import Severity, finding
from nestcut.jobfile.spots import lines_of, named, spot_of

JOB = """[job]
name = "boat"

[saw]
kerf = -2   # wrong

[[part]]
# the first
name = "side panel"
joint = { kind = "", slope = "8:1" }

[[ part ]]   # another
name = 'frame'
thickness = "6 mm"
[part.shape]
kind = "rectangle"
length = "1 m"
holes = [
  { diameter = "0 mm" },
]
[[rail]]
name = "gunwale"
"""


@pytest.mark.parametrize(
    ("where", "line", "name"),
    [
        ("saw.kerf", 5, ""),
        ("job.name", 2, "boat"),
        ("part[1].joint.kind", 10, "side panel"),
        ("part[1].thickness", 7, "side panel"),
        ("part[2]", 12, "frame"),
        ("part[2].thickness", 14, "frame"),
        ("part[2].shape.length", 17, "frame"),
        ("part[2].shape.width", 15, "frame"),
        ("part[2].shape.holes[1].diameter", 19, "frame"),
        ("rail[1].length", 21, "gunwale"),
    ],
)
def test_lines_and_names(where: str, line: int, name: str) -> None:
    spot = spot_of(where, JOB.splitlines())
    assert spot is not None
    assert (spot.line, spot.name) == (line, name)


@pytest.mark.parametrize(
    ("where", "pointed"),
    [
        ("saw.kerf", "-2"),
        ("part[1].joint.kind", '""'),
        ("part[2].shape.length", '"1 m"'),
        ("part[2]", "[[ part ]]   # another"),
    ],
)
def test_the_value_is_pointed_at(where: str, pointed: str) -> None:
    spot = spot_of(where, JOB.splitlines())

    assert spot is not None
    assert spot.text[spot.column - 1 : spot.column - 1 + spot.width] == pointed


def test_an_item_of_a_list_and_a_row_of_a_table_are_pointed_at() -> None:
    text = (
        "[offsets]\ntable = '''\nstation | 1\nat | 2\n'''\n[[line]]\nheights = [1, \"2 in\", 3]\n"
    )
    lines = text.splitlines()
    item, row = spot_of("line[1].heights[1]", lines), spot_of("offsets.table[2]", lines)

    assert item is not None
    assert item.text[item.column - 1 : item.column - 1 + item.width] == '"2 in"'
    assert row is not None
    assert (row.line, row.text) == (4, "at | 2")


@pytest.mark.parametrize("where", ["part[3].name", "board[1]", "sheet", "", "???"])
def test_what_is_not_there_has_no_line(where: str) -> None:
    assert spot_of(where, JOB.splitlines()) is None


def test_an_unreadable_file_has_no_lines(tmp_path: Path) -> None:
    (tmp_path / "boat.toml").write_bytes(b"\xff\xfe[job]")

    assert lines_of(tmp_path / "boat.toml") == []
    assert lines_of(tmp_path / "none.toml") == []
    assert spot_of("job.name", []) is None


def test_the_caret_is_under_the_cell_that_is_doubted() -> None:
    """Rows of a pasted table: cells apart by | or two blanks; 0 is the row's name."""
    lines = [
        "[offsets]",
        "table = '''",
        "at    | 0-0-0 | 2-0-0",
        "Half breadth   1-1-2    1-8-5",
        "'''",
    ]
    for where, pointed in (
        ("offsets.table[1][2]", "2-0-0"),
        ("offsets.table[2][1]", "1-1-2"),
        ("offsets.table[2][0]", "Half breadth"),
        ("offsets.table[2]", "Half breadth   1-1-2    1-8-5"),
        ("offsets.table[2][9]", "Half breadth   1-1-2    1-8-5"),
    ):
        spot = spot_of(where, lines)
        assert spot is not None
        assert spot.text[spot.column - 1 : spot.column - 1 + spot.width] == pointed


INLINE = """rail = [
  { name = "gunwale", length = "13ft",
    joint = { slope = "8:1", keep_clear = [{ at = "3" }, { to = "}" }] } },
  { name = "inwale" },  # { name = "none" }
]
[[part]]
name = "frame"
[part.shape]
at = "3"
notches = [
  { edge = "top", width = "2in" },
  { edge = "right", width = "1in" }, { line = "sheer", at = "0in" },
]
"""


@pytest.mark.parametrize(
    ("where", "line", "pointed", "name"),
    [
        ("rail[1].joint.keep_clear[1].at", 3, '"3"', "gunwale"),
        ("rail[1].joint.keep_clear[2].to", 3, '"}"', "gunwale"),
        ("rail[1].length", 2, '"13ft"', "gunwale"),
        ("rail[2]", 4, '{ name = "inwale" }', "inwale"),
        ("rail[2].length", 4, '{ name = "inwale" }', "inwale"),
        ("part[1].shape.at", 9, '"3"', "frame"),
        ("part[1].shape.notches[1].at", 11, '{ edge = "top", width = "2in" }', "frame"),
        ("part[1].shape.notches[2].width", 12, '"1in"', "frame"),
        ("part[1].shape.notches[3].at", 12, '"0in"', "frame"),
    ],
)
def test_tables_in_braces_are_found(where: str, line: int, pointed: str, name: str) -> None:
    """A notch without the key is pointed at itself, not at the frame's own key of that name."""
    spot = spot_of(where, INLINE.splitlines())

    assert spot is not None
    assert (spot.line, spot.name) == (line, name)
    assert spot.text[spot.column - 1 : spot.column - 1 + spot.width] == pointed


def test_findings_that_come_onto_paper_say_the_name_of_their_table() -> None:
    places = ("part[2].shape.length", "rail[1].joint.at", "saw.kerf", "frame 3")
    doubts = [finding("JOB-108", Severity.WARNING, where) for where in places]
    fault = finding("JOB-009", Severity.ERROR, "part[1].name")

    told = named([*doubts, fault], JOB.splitlines())

    assert [f.about for f in told] == ["frame", "gunwale", "", "", ""]
    assert [f.where for f in told] == [*places, "part[1].name"]


def test_who_names_its_part_already_keeps_it() -> None:
    told = replace(finding("JOB-108", Severity.WARNING, "rail[1].joint.at"), about="cap")

    assert named([told], JOB.splitlines()) == [told]


COMMENTED = """[[part]]
name = ""   # QUESTION: its name? such as name = "seat"
count = 1   # drawn once; one for each side? hand = "pair"
# [[board]]
# name = "boards"
# thickness = "20 mm"
"""


@pytest.mark.parametrize(
    ("where", "line"), [("part[1].name", 2), ("part[1].thickness", 1), ("part[1].hand", 1)]
)
def test_what_is_commented_out_is_no_part_of_a_table(where: str, line: int) -> None:
    """Neither a heading nor a key nor a name; behind a key's value too."""
    spot = spot_of(where, COMMENTED.splitlines())
    assert spot is not None
    assert (spot.line, spot.name) == (line, "")


def test_a_number_sign_in_quotes_begins_no_comment() -> None:
    spot = spot_of("part[1].count", ["[[part]]", 'x = { name = "no. # 3", count = 2 }'])
    assert spot is not None
    assert (spot.name, spot.text[spot.column - 1 :]) == ("no. # 3", "2 }")
