"""A pattern and labels from a real plan file."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from pypdf import PdfReader

from nestcut.cli.commands import _run
from nestcut.cli.verbs.single_papers import run_labels, run_pattern
from nestcut.errors import InputError

JOB = """
[job]
name = "slats"
[saw]
kerf = "2 mm"
[[sheet]]
name = "9 mm ply"
material = "ply"
thickness = "9 mm"
length = "1200 mm"
width = "600 mm"
price = 20
[[part]]
name = "slat"
material = "ply"
thickness = "9 mm"
count = 3
[part.shape]
kind = "rectangle"
length = "500 mm"
width = "80 mm"
"""


@pytest.fixture(scope="module")
def plan(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("job")
    job = folder / "job.toml"
    job.write_text(JOB, encoding="utf-8")
    out = folder / "out"
    assert _run(["plan", str(job), "--out", str(out), "--effort", "quick", "--workers", "1"]) == 0
    return out / "plan.json"


def ticks_for(plan: Path, *pieces: str) -> Path:
    data = json.loads(plan.read_text(encoding="utf-8"))
    places = {p["piece"]: s for s in data["sheets"] for p in s["placements"]}
    cut = [
        {"piece": p, "from": "sheet", "stock": places[p]["stock"], "number": places[p]["number"]}
        for p in pieces
    ]
    told = {
        "format": "nestcut progress",
        "version": 1,
        "job": {"name": "slats", "sha256": ""},
        "plan": "",
        "cut": cut,
    }
    path = plan.parent.parent / "ticks.json"
    path.write_text(json.dumps(told), encoding="utf-8")
    return path


def test_a_pattern_lies_beside_the_plan(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run_pattern(plan, "slat", out=None, paper="a4", tiles="touched") == 0
    told = capsys.readouterr().out
    assert "Pattern of slat, no. 1 of 3" in told
    assert "serves as well for: slat, no. 2 of 3; slat, no. 3 of 3" in told

    pages = PdfReader(plan.parent / "pattern-slat.pdf").pages
    assert len(pages) >= 3
    name = "slat, no. 2 of 3"
    assert run_pattern(plan, name, out=None, paper="a4", tiles="touched") == 0
    assert (plan.parent / "pattern-slat-2.pdf").exists()


def test_labels_lie_beside_the_plan(plan: Path, tmp_path: Path) -> None:
    assert run_labels(plan, out=None, paper="letter", grid=None, used=0) == 0
    other = tmp_path / "new" / "mine.pdf"
    grid = "2, 7, 99 mm, 38 mm, 4 mm, 15 mm, 2.5 mm"
    assert run_labels(plan, out=other, paper="a4", grid=grid, used=12) == 0

    assert len(PdfReader(plan.parent / "labels.pdf").pages) == 1
    assert len(PdfReader(other).pages) == 2


def test_faults_are_told(plan: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(InputError, match="PAT-001"):
        run_pattern(plan, "mast", out=None, paper=None, tiles="all")
    with pytest.raises(InputError, match="OUT-002"):
        run_labels(plan, out=tmp_path, paper=None, grid=None, used=0)
    strange = ticks_for(plan, "slat 1")
    data = json.loads(strange.read_text(encoding="utf-8"))
    data["cut"][0]["number"] = 9
    strange.write_text(json.dumps(data), encoding="utf-8")
    assert _run(["again", str(plan), str(strange)]) == 3
    assert "TCK-005" in capsys.readouterr().err
