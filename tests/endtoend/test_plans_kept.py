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
    assert run("report", "out", "--out", "out-2") == 3
    assert "OUT-017" in capsys.readouterr().err
    assert text_of(place / "out-2") == before
    for _ in range(2):
        assert run("report", "out-2", "--out", "printed", "--units", "inch") == 0
    assert run("report", "out-2") == 0
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


def test_a_second_mishap_is_told_to_the_newest_plan(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("again", "out", "--spoilt", "pad 1", *QUICK) == 0
    assert "The next mishap is told to this plan: nestcut again out-2" in capsys.readouterr().err

    assert run("again", "out", "--spoilt", "plank 1", *QUICK) == 3

    told = capsys.readouterr().err
    assert "AGN-009" in told
    assert "the plan in out-2 goes on from this one" in told
    assert "pad, no. 1 of 5" in told
    assert not (place / "out-3").exists()
    assert run("again", "out-2", "--spoilt", "plank 1", *QUICK) == 0
    capsys.readouterr()
    assert run("again", "out", "--spoilt", "plank 2", *QUICK) == 3
    assert "nestcut again out-3" in capsys.readouterr().err
    # Begun again from the first with all that is known: nothing is forgotten.
    assert run("again", "out", "--spoilt", "pad 1", "--spoilt", "plank 1", *QUICK) == 0


def test_pieces_are_named_as_the_cut_list_has_them(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("again", "out", "--spoilt", "pad") == 3
    told = capsys.readouterr().err
    assert "AGN-010" in told
    assert "'pad, no. 1 of 5'" in told
    assert run("again", "out", "--spoilt", "rudder") == 3
    assert "'side panel, port, piece B of 3'" in capsys.readouterr().err
    assert run("again", "out", "--spoilt", "pad 1", "--cut", "pad, no. 1 of 5") == 3
    assert "AGN-011" in capsys.readouterr().err

    assert run("again", "out", "--spoilt", "Side,port, piece B of 2", *QUICK) == 0
    plan = json.loads(text_of(place / "out-2"))
    assert "side P1 2/2, spoilt" in {k["why"] for s in plan["sheets"] for k in s.get("spent", [])}


def test_what_is_new_or_not_wanted_is_neither_moved_nor_made_again(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lid = '[[part]]\nname = "lid"\nthickness = "6 mm"\n[part.shape]\nkind = "rectangle"\n'
    fewer = JOB.replace("count = 5", "count = 4") + lid + 'length = "150 mm"\nwidth = "80 mm"\n'
    (place / "boat2.toml").write_text(fewer.replace("price = 20\n", ""))
    assert run("again", "out", "--job", "boat2.toml", "--cut", "pad 5", *QUICK) == 0

    told = capsys.readouterr().out
    assert "nowhere" not in told
    assert "New:\n  lid: sheet" in told
    assert "Not wanted any more:\n  pad, no. 1 of 5: sheet" in told


def test_stock_without_a_price_is_not_said_to_cost_nothing(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    unpriced = JOB.replace("price = 20\n", "").replace(", price = 8.00", "")
    (place / "boat.toml").write_text(unpriced.replace(", price = 9.50", ""))
    (place / "order.toml").write_text('[[stage]]\nname = "pads"\nparts = ["pad"]\n')
    assert run("plan", "boat.toml", "--out", "free", *QUICK) == 0
    capsys.readouterr()
    assert run("stages", "free", "order.toml", *QUICK) == 0
    told = capsys.readouterr().out
    assert "1. pads: sheet 1; no price given" in told
    assert "0.00" not in told.replace("0.00 more", "")

    names = [
        p["piece"] for s in json.loads(text_of(place / "free"))["sheets"] for p in s["placements"]
    ]
    lost = [w for n in names for w in ("--spoilt", n)]
    assert run("again", "free", *lost, *QUICK) == 0
    told = capsys.readouterr().out
    assert "To buy now" in told
    assert "no price given" in told
    assert "0.00" not in told
