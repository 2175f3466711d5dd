"""A plan file that was changed after it was written: refused, and nobody's bug."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from nestcut.cli import main

JOB = """
[job]
name = "plate"
[saw]
kerf = "2 mm"
[[sheet]]
name = "6 mm ply"
thickness = "6 mm"
length = "1220 mm"
width = "610 mm"
[[part]]
name = "plate"
thickness = "6 mm"
shape = { kind = "rectangle", length = "413 mm", width = "207 mm" }
"""


def run(*words: str | Path) -> int:
    with pytest.raises(SystemExit) as stopped:
        main([str(w) for w in words])
    return int(str(stopped.value.code))


def test_papers_of_a_plan_that_was_changed_are_refused_as_such(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("job.toml").write_text(JOB, encoding="utf-8")
    assert run("plan", "job.toml", "--effort", "quick", "--out", "out") == 0
    plan = Path("out/plan.json")
    written = json.loads(plan.read_text(encoding="utf-8"))
    (piece,) = written["sheets"][0]["placements"]
    piece["shift_mm"][0] += 900.0  # beyond the sheet's end
    piece["outline"] = [[x + 900.0, y] for x, y in piece["outline"]]
    plan.write_text(json.dumps(written), encoding="utf-8")
    pages = Path("out/shop.pdf").read_bytes()
    capsys.readouterr()
    for words in (("report", "out"), ("labels", "out", "--out", "l.pdf")):
        assert run(*words) == 1
        said = capsys.readouterr().err
        assert "our fault" not in said
        assert "changed since it was written" in said
    assert Path("out/shop.pdf").read_bytes() == pages
    assert not Path("l.pdf").exists()
