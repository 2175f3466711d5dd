"""Several ways to plan one boat, side by side."""

from __future__ import annotations

import json
from dataclasses import replace
from pathlib import Path

import click
import pytest

import nestcut
from nestcut.cli import choices
from nestcut.cli.choices import Row, choices_of, run_choices, table_lines
from nestcut.words import Speech

JOB = """
[job]
name = "seat"
currency = "EUR"
[saw]
kerf = "3 mm"
[[sheet]]
name = "large"
material = "ply"
length = "2440 mm"
width = "1220 mm"
thickness = "6 mm"
price = 58
[[sheet]]
name = "small"
material = "ply"
length = "1220 mm"
width = "610 mm"
thickness = "6 mm"
price = 19
[[board]]
name = "fir"
material = "fir"
thickness = "20 mm"
width = "45 mm"
lengths = [{ length = "2.4 m", price = 6 }, { length = "3 m", price = 7 }]
[[part]]
name = "seat"
thickness = "6 mm"
count = 2
[part.shape]
kind = "rectangle"
length = "900 mm"
width = "300 mm"
[[part]]
name = "bottom"
thickness = "6 mm"
[part.shape]
kind = "rectangle"
length = "1800 mm"
width = "300 mm"
[[rail]]
name = "cleat"
material = "fir"
section = ["20 mm", "45 mm"]
length = "2.9 m"
"""


def test_every_way_is_named() -> None:
    job = nestcut.read_job(JOB, drawings={})
    assert [c.name for c in choices_of(job, ("1.5 mm",))] == [
        "as the job says, least money",
        "fewest joints",
        "only large",
        "only small",
        "no fir of 2400 mm",
        "no fir of 3000 mm",
        "a saw that takes 1.5 mm",
    ]
    with pytest.raises(click.BadParameter):
        choices_of(job, ("elk",))


def test_each_is_a_whole_plan_or_says_why_not(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    job = tmp_path / "job.toml"
    job.write_text(JOB)
    budget = nestcut.Budget(effort="quick")
    assert run_choices(job, kerfs=(), budget=budget, out=tmp_path / "all", as_json=True) == 0
    rows = {r["name"]: Row(**r) for r in json.loads(capsys.readouterr().out)}
    assert rows["only large"].cost == 65.0
    assert rows["as the job says, least money"].cost == 65.0
    assert "bottom" in rows["only small"].fault
    assert rows["no fir of 3000 mm"].cost is None or rows["no fir of 3000 mm"].joints == 1
    for row in rows.values():
        if row.cost is not None:
            assert (Path(row.folder) / "plan.json").is_file()


def test_the_table_names_the_cheapest_whole_plan() -> None:
    rows = [
        Row(name="a", cost=10.0, sheets=1, joints=2),
        Row(name="b", cost=9.0, sheets=1, unplaced=1),
        Row(name="c", fault="seat: it fits nowhere"),
        Row(name="d", cost=10.0, sheets=1, joints=1),
    ]
    lines = table_lines(rows, Speech(currency="EUR"))
    assert lines[-1] == "Least money: d."
    assert "1 left without a place" in lines[2]
    assert lines[3].endswith("no plan: seat: it fits nowhere")


def test_the_price_of_fewer_joints_is_told_and_what_was_cut_short() -> None:
    rows = [
        Row(name="a", cost=10.0, sheets=1, joints=2, cut_short=True),
        Row(name="b", cost=12.5, sheets=2, joints=1),
        Row(name="c", cost=14.0, sheets=2, joints=1),
        Row(name="d", cost=11.0, sheets=2, joints=3),
    ]
    lines = table_lines(rows, Speech(currency="EUR"))
    assert lines[1].endswith("(cut short)")
    assert lines[-3:] == [
        "Least money: a.",
        "1 joint fewer: b, 2.50 EUR more.",
        "Cut short: the time was up before the search's work was done; more may be had.",
    ]


def test_what_a_narrower_job_finds_holds_for_the_job_as_asked(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A search that finds little for the job itself, and more with less stock to choose from."""
    job = tmp_path / "job.toml"
    job.write_text(JOB)
    full = nestcut.plan_job

    def poor(asked: nestcut.Job, budget: nestcut.Budget) -> nestcut.VerifiedPlan:
        if len(asked.board_stocks[0].lengths) == 2:
            dear = replace(asked.board_stocks[0], lengths=asked.board_stocks[0].lengths[1:])
            sheets = tuple(s for s in asked.sheet_stocks if s.name == "large")
            done = full(replace(asked, board_stocks=(dear,), sheet_stocks=sheets), budget)
            two = replace(done.plan, buy=tuple(replace(b, price_minor=9900) for b in done.plan.buy))
            return replace(done, plan=two)
        return full(asked, budget)

    monkeypatch.setattr(choices, "plan_job", poor)
    budget = nestcut.Budget(effort="quick")
    assert run_choices(job, kerfs=(), budget=budget, out=None, as_json=True) == 0
    rows = {r["name"]: Row(**r) for r in json.loads(capsys.readouterr().out)}
    assert rows["as the job says, least money"].cost == rows["no fir of 2400 mm"].cost == 65.0
