"""Which side of its line a frame stands on: names of lines that there are, each on one side."""

from pathlib import Path

import pytest

from nestcut.intake.job import understand_job
from nestcut.words import Speech, tell

JOB = """
[job]
unit = "mm"
[saw]
kerf = 2
gap = 1
[[sheet]]
name = "ply"
material = "ply"
thickness = 6
length = 2440
width = 1220
[[part]]
name = "side"
thickness = 6
{stands}
[part.shape]
kind = "panel"
lower_stations = [0, 500, 1000, 1500]
lower = [20, 5, 0, 10]
upper_stations = [0, 500, 1000, 1500]
upper = [300, 310, 310, 300]
mark_at = [500, 1000]
mark_names = ["frame 1", "frame 2"]
"""


def test_sides_are_read(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    path.write_text(
        JOB.format(stands='stands_aft = ["frame 1"]\nstands_forward = "frame 2"'), encoding="utf-8"
    )
    understood = understand_job(path)
    (part,) = understood.job.sheet_parts
    assert (part.stands_aft, part.stands_forward) == (("frame 1",), ("frame 2",))
    assert not [f for f in understood.findings if "stands" in f.where]


@pytest.mark.parametrize(
    ("stands", "code", "where"),
    [
        ('stands_aft = ["frame 3"]', "JOB-112", "part[1].stands_aft"),
        ('stands_forward = ["frame"]', "JOB-112", "part[1].stands_forward"),
        (
            'stands_aft = ["frame 1"]\nstands_forward = ["frame 1"]',
            "JOB-113",
            "part[1].stands_aft",
        ),
    ],
)
def test_a_name_that_is_no_line_or_stands_twice_is_told(
    tmp_path: Path, stands: str, code: str, where: str
) -> None:
    path = tmp_path / "job.toml"
    path.write_text(JOB.format(stands=stands), encoding="utf-8")
    (told,) = [f for f in understand_job(path).findings if "stands" in f.where]
    assert (told.code, told.where) == (code, where)
    assert told.is_blocking
    if code == "JOB-112":
        assert "frame 1, frame 2" in tell(told, Speech()).remedy.replace("'", "")


def test_a_part_without_lines_says_so(tmp_path: Path) -> None:
    path = tmp_path / "job.toml"
    bare = JOB[: JOB.index("mark_at")].format(stands='stands_aft = ["frame 1"]')
    path.write_text(bare, encoding="utf-8")
    (told,) = [f for f in understand_job(path).findings if "stands" in f.where]
    assert (told.code, told.where) == ("JOB-114", "part[1].stands_aft")
    assert "'frame 1'" in tell(told, Speech()).message
