"""Lines on a terminal: broken between words, below the column that they belong to."""

from __future__ import annotations

import io
import os
import pty
import subprocess
import sys
from pathlib import Path

import click
import pytest

from nestcut.cli.width import broken, fitted
from tests.builders_demos import PARTS

PATH = "/a/path/that/is/longer/than/the/line/has/room/for/and/stays/whole/all/the/same.toml"


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("short", "short"),
        ("    -> say what it is, in words", "    -> say what it\n       is, in words"),
        ("  frame 1    2  18 mm ply, grain any", "  frame 1    2\n             18 mm ply,\n"),
        (f"    see {PATH} first", f"    see\n    {PATH}\n    first"),
        ("one two three four five six", "one two three four\n    five six"),
    ],
)
def test_lines_are_broken_between_words(line: str, told: str) -> None:
    if not told.endswith("\n"):
        assert broken(line, 20) == told
    lines = broken(line, 20).split("\n")
    assert all(len(x) <= 20 or PATH in x for x in lines)
    assert " ".join(x.strip() for x in lines).split() == line.split()


def test_colours_take_no_room() -> None:
    head = click.style("warning", fg="yellow", bold=True)
    assert broken(f"{head} DXF-001 file", 20) == f"{head} DXF-001 file"


def test_what_is_no_terminal_gets_lines_whole() -> None:
    line = "word " * 40
    assert fitted(line, io.StringIO()) == line


def test_a_terminal_of_80_columns_has_no_longer_line() -> None:
    job = PARTS / "beach-boat" / "job.toml"
    ours, theirs = pty.openpty()
    run = subprocess.Popen(
        [sys.executable, "-m", "nestcut", "check", str(job)],
        stdout=theirs,
        stderr=theirs,
        env={**os.environ, "COLUMNS": "80", "NO_COLOR": "1"},
        cwd=Path(),
    )
    os.close(theirs)
    told = b""
    try:
        while block := os.read(ours, 4096):
            told += block
    except OSError:  # the other end is closed
        pass
    os.close(ours)
    assert run.wait(60) == 0
    lines = told.decode().splitlines()
    assert len(lines) > 60
    assert [x for x in lines if len(x) > 80 and " " in x.strip()] == []
    assert any("side panel" in x for x in lines)
