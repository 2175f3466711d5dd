"""An inch job is told inches, an mm job millimetres: check and every finding of the demos.

Papers have a walk of their own.
"""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from nestcut.cli import main
from nestcut.errors import InputError, Severity, finding
from nestcut.facts import Length, Size
from nestcut.intake.job import understand_job
from nestcut.words import finding_line, speech_of
from tests.mistakes import JOB, MISTAKES

PARTS = Path(__file__).parents[2] / "parts"
INCH = ("punt/job.toml", "skiff/job.toml")
MM = ("punt/job-mm.toml", "beach-boat/job.toml")
MILLIMETRES = re.compile(r"\d\s*(mm|cm|m)\b(?!\d)|\bmm\b")
INCHES = re.compile(r"\d\s*(in|inch|ft|feet)\b|\d[\"']")


def said(path: Path, capsys: pytest.CaptureFixture[str]) -> str:
    """Everything that ``nestcut check`` prints of a job, but its own lines shown with a caret."""
    with pytest.raises(SystemExit):
        main(["check", str(path)])
    out = capsys.readouterr()
    lines = [x for x in (out.out + out.err).splitlines() if not x.startswith("    | ")]
    return "\n".join(lines)


def names(path: Path) -> list[str]:
    """Names that the builder gave; they may hold any unit."""
    job = understand_job(path).job
    return [s.name for s in job.sheet_stocks] + [b.name for b in job.board_stocks]


@pytest.mark.parametrize("job", INCH)
def test_inch_jobs_hear_no_millimetres(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert MILLIMETRES.findall(said(PARTS / job, capsys)) == []


@pytest.mark.parametrize("job", MM)
def test_mm_jobs_hear_no_inches(job: str, capsys: pytest.CaptureFixture[str]) -> None:
    told = said(PARTS / job, capsys)
    for name in names(PARTS / job):
        told = told.replace(name, "")

    told = told.replace(" in the picture", " of the picture")  # a number, not inches
    assert INCHES.findall(told) == []


def test_faults_of_an_inch_job_hear_no_millimetres(tmp_path: Path) -> None:
    """All mistakes of the collection, but the one that types millimetres itself."""
    path = tmp_path / "job.toml"
    for mistake in MISTAKES:
        if " mm" in mistake.new or mistake.name == "unknown unit":
            continue
        path.write_text(mistake.text, encoding="utf-8")
        found = understand_job(path)
        speech = speech_of(found.job)
        for told in found.findings:
            assert not MILLIMETRES.search(finding_line(told, speech)), mistake.name


def test_the_walk_would_notice() -> None:
    """The patterns see what they are to see."""
    assert MILLIMETRES.search("6.35 mm")
    assert INCHES.search("5' 4\"")
    assert INCHES.search("about 3 ft")
    assert not INCHES.search("station 5, 12.5 mm")
    assert 'show = "inch"' in JOB


def test_a_plan_refused_says_lengths_as_the_job_shows_them(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What ``plan`` says of a faulty job is what ``check`` says of it."""
    path = tmp_path / "job.toml"
    path.write_text(JOB.replace('"1ft 4in", "1ft 6in"', '"9ft", "1ft 6in"'), encoding="utf-8")
    with pytest.raises(SystemExit):
        main(["plan", str(path), "--out", str(tmp_path / "out")])

    assert "which is 8'-0\" x 4'-0\"." in capsys.readouterr().err


def test_what_fits_no_sheet_is_told_as_the_job_shows_lengths(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Found by the search, in a process of its own, where nobody knows who reads."""
    path = tmp_path / "job.toml"
    path.write_text(JOB, encoding="utf-8")

    told = finding(
        "SHT-002",
        Severity.ERROR,
        "side",
        size=Size((2445.0, 406.4)),
        material="ply",
        thickness=Length(6.35),
        largest="ply",
        offers=Size((2438.4, 1219.2)),
    )

    def no_room(*_: object) -> None:
        raise InputError([told])

    monkeypatch.setattr("nestcut.planning.plan_job._plan_at_once", no_room)
    with pytest.raises(SystemExit):
        main(["plan", str(path), "--out", str(tmp_path / "out")])

    heard = capsys.readouterr().err
    assert 'ply 1/4"' in heard
    assert not MILLIMETRES.search(heard)
