"""Whole boats from their drawings to a plan, as a first-time builder goes: start, answer, check."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import nestcut
from nestcut.cli import main
from tests.unit.drawings.boats import BOATS, answered

Capture = pytest.CaptureFixture[str]

QUICK = ("lofted", "tender")
"""Boats of few pieces, planned in every run."""

MOST_EDITS = 10
"""Lines that may have to be changed between the drawing and the papers (bar of the project)."""


def run(*words: str | Path) -> int:
    with pytest.raises(SystemExit) as stopped:
        main([str(w) for w in words])
    return int(str(stopped.value.code))


def begun(name: str, folder: Path, capsys: Capture) -> tuple[Path, int]:
    """Start a boat's job and answer it; the job file and the number of edits."""
    draw, file, _ = BOATS[name]
    draw(folder / file)
    target = folder / f"{name}.toml"
    assert run("start", folder / file, "--out", target) == 0
    capsys.readouterr()
    text, edits = answered(target.read_text(encoding="utf-8"))
    target.write_text(text, encoding="utf-8")
    return target, edits


@pytest.mark.parametrize("name", BOATS)
def test_right_parts_after_few_edits_and_a_picture_first(
    name: str, tmp_path: Path, capsys: Capture
) -> None:
    target, edits = begun(name, tmp_path, capsys)
    assert edits <= MOST_EDITS
    assert (tmp_path / f"{name}-picture.png").read_bytes().startswith(b"\x89PNG")
    assert run("check", target, "--json") == 0
    parts = json.loads(capsys.readouterr().out)["parts"]
    found = {p["name"]: (p["pieces"], p["length_mm"], p["width_mm"]) for p in parts}
    expected = {part: pytest.approx(sizes, abs=0.2) for part, sizes in BOATS[name][2].items()}
    assert found == expected


@pytest.mark.parametrize("name", [
    *QUICK,
    *(pytest.param(n, marks=pytest.mark.deep) for n in BOATS if n not in QUICK),
])  # fmt: skip
def test_what_passes_check_is_planned(name: str, tmp_path: Path, capsys: Capture) -> None:
    target, _ = begun(name, tmp_path, capsys)
    assert run("check", target) == 0
    plan = nestcut.plan_job(nestcut.read_job(target), nestcut.Budget(effort="quick", seconds=0.1))
    wanted = sum(pieces for pieces, _, _ in BOATS[name][2].values())
    assert sum(len(sheet.placements) for sheet in plan.plan.sheets) >= wanted
