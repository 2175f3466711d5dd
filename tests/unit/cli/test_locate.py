"""Key paths of findings, found as lines of a job file."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.cli.locate import Spot, spot_of

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
        ("part[2].shape.holes[1].diameter", 18, "frame"),
        ("rail[1].length", 21, "gunwale"),
    ],
)
def test_lines_and_names(where: str, line: int, name: str, tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    path.write_text(JOB, encoding="utf-8")

    assert spot_of(where, path) == Spot(line, name)


@pytest.mark.parametrize("where", ["part[3].name", "board[1]", "sheet", "", "???"])
def test_what_is_not_there_has_no_line(where: str, tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    path.write_text(JOB, encoding="utf-8")

    assert spot_of(where, path) is None


def test_an_unreadable_file_has_no_lines(tmp_path: Path) -> None:
    (tmp_path / "boat.toml").write_bytes(b"\xff\xfe[job]")

    assert spot_of("job.name", tmp_path / "boat.toml") is None
    assert spot_of("job.name", tmp_path / "none.toml") is None
