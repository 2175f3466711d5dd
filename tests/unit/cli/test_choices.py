"""Several ways to plan one boat, side by side."""

from __future__ import annotations

import json
from pathlib import Path

import click
import pytest

import nestcut
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
