"""Several saws by name: who is cut with which, and what is kept between pieces."""

from __future__ import annotations

from pathlib import Path

import pytest

from nestcut.cli import main
from nestcut.intake.job import Understanding, understand_job

JOB = """
[job]
unit = "mm"
[[saw]]
name = "circular saw"
kerf = 3
gap = 1
[[saw]]
name = "jigsaw"
kerf = 1
[[sheet]]
name = "6 mm"
material = "ply"
thickness = 6
length = 2440
width = 1220
price = 1
[[sheet]]
name = "9 mm"
material = "ply"
thickness = 9
length = 2440
width = 1220
price = 1
[[board]]
name = "larch"
material = "larch"
thickness = 20
width = 95
lengths = [{ length = 4200, price = 15.0 }]
[[part]]
name = "floor"
thickness = 6
shape = { kind = "rectangle", length = 600, width = 500 }
[[part]]
name = "knee"
thickness = 9
saw = "jigsaw"
shape = { kind = "rectangle", length = 100, width = 100 }
[[rail]]
name = "rail"
section = [20, 40]
length = 3000
"""


def understood(text: str, tmp_path: Path) -> Understanding:
    (tmp_path / "job.toml").write_text(text, encoding="utf-8")
    return understand_job(tmp_path / "job.toml")


def clearances(text: str, tmp_path: Path) -> list[float]:
    """Clearance on each sheet, then the kerf on each board."""
    found = understood(text, tmp_path)
    assert found.is_usable, found.findings
    rules = found.job.cutting
    sheets = [rules.on(s).clearance_mm for s in found.job.sheet_stocks]
    return sheets + [rules.on(b).kerf_mm for b in found.job.board_stocks]


def test_the_first_saw_is_the_usual_one(tmp_path: Path) -> None:
    """A part that names a saw has its sheet cut with it; all else is cut with the first."""
    assert clearances(JOB, tmp_path) == [4.0, 1.0, 3.0]


def test_where_parts_differ_the_widest_cut_rules(tmp_path: Path) -> None:
    text = JOB.replace("thickness = 9\nsaw", "thickness = 6\nsaw")
    assert clearances(text, tmp_path) == [4.0, 4.0, 3.0]


def test_stock_may_say_it_itself(tmp_path: Path) -> None:
    """What a sheet or a board says goes before what parts say."""
    text = JOB.replace('name = "larch"\n', 'name = "larch"\nsaw = "jigsaw"\n')
    text = text.replace('name = "9 mm"\n', 'name = "9 mm"\nsaw = "circular saw"\n')
    assert clearances(text, tmp_path) == [4.0, 4.0, 1.0]


@pytest.mark.parametrize(
    ("old", "new", "code"),
    [
        ('saw = "jigsaw"', 'saw = "fretsaw"', "JOB-061"),
        ('name = "jigsaw"\n', "", "JOB-060"),
        ('name = "jigsaw"', 'name = "circular saw"', "JOB-060"),
        ("kerf = 1\n", "", "JOB-004"),
        ("kerf = 1\n", "kerf = 250\n", "JOB-056"),
    ],
)
def test_faults(old: str, new: str, code: str, tmp_path: Path) -> None:
    text = JOB.replace('saw = "jigsaw"', "") if "name" in old else JOB
    found = understood(text.replace(old, new, 1), tmp_path)
    assert [f.code for f in found.findings if f.is_blocking] == [code]


def test_check_says_which_saw_cuts_what(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "job.toml").write_text(JOB, encoding="utf-8")
    with pytest.raises(SystemExit):
        main(["check", str(tmp_path / "job.toml")])
    out = capsys.readouterr().out

    assert "saw: kerf 3 mm, gap 1 mm: pieces keep 4 mm apart" in out
    assert "; jigsaw: pieces keep 1 mm apart" in out
