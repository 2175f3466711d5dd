"""A plan on the wall is replaced by no other run without a word."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from nestcut.cli.press import Press
from tests.endtoend.test_shed_and_again import place, run
from tests.unit.again.test_again import JOB

__all__ = ["place"]
QUICK = ("--effort", "quick")


def text_of(folder: Path) -> bytes:
    return (folder / "plan.json").read_bytes()


def test_a_plan_that_is_cut_by_is_not_replaced(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("again", "out", "--spoilt", "pad 1", "--cut", "plank 1", *QUICK) == 0
    before = text_of(place / "out-2")
    capsys.readouterr()

    assert run("plan", "boat.toml", "--out", "out-2", *QUICK) == 3

    told = capsys.readouterr().err
    assert "OUT-017" in told
    assert "2 sawn pieces" in told
    assert text_of(place / "out-2") == before
    assert run("plan", "boat.toml", "--out", "out", *QUICK) == 0  # nothing is cut of this one


def test_a_plan_of_another_job_file_is_not_replaced(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (place / "other.toml").write_text(JOB.replace("count = 5", "count = 4"))
    before = text_of(place / "out")

    assert run("plan", "other.toml", "--out", "out", *QUICK) == 3

    assert "another job file, boat.toml" in capsys.readouterr().err
    assert text_of(place / "out") == before
    (place / "boat.toml").rename(place / "renamed.toml")  # the same job under a new name
    assert run("plan", "renamed.toml", "--out", "out", *QUICK) == 0


def test_papers_stay_where_there_is_no_time_for_new_ones(
    place: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    (place / "boat.toml").write_text(JOB.replace("count = 5", "count = 4"))
    papers = (place / "out" / "shop.pdf").read_bytes()
    monkeypatch.setattr(Press, "finish", lambda *_: None)

    assert run("plan", "boat.toml", "--out", "out", *QUICK) == 0

    assert "OUT-019" in capsys.readouterr().err
    assert (place / "out" / "shop.pdf").read_bytes() == papers
    assert json.loads(text_of(place / "out-2"))["job"]["name"] == "again"
    assert not (place / "out-2" / "shop.pdf").exists()
