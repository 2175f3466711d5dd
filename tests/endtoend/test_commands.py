"""The real command on small jobs, good and bad: exit statuses, files, repeatability."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from nestcut.cli.commands import _run

ROOT = Path(__file__).resolve().parents[2]
PAPERS = {
    "plan.json",
    "cut-list.csv",
    "buying-list.csv",
    "joints.csv",
    "usage.csv",
    "shop.pdf",
    "shop.html",
    "sheets",
    "boards",
}

SMALL = """
[job]
name = "tender bits"
currency = "EUR"
[saw]
kerf = "2 mm"
gap = "3 mm"
[[sheet]]
name = "6 mm ply"
material = "ply"
thickness = "6 mm"
length = "1220 mm"
width = "610 mm"
price = 20
count = "buy"
[[board]]
name = "spruce"
material = "spruce"
thickness = "20 mm"
width = "95 mm"
lengths = [{ length = "1.8 m", price = 7 }, { length = "2.4 m", price = 9 }]
[[part]]
name = "knee"
thickness = "6 mm"
hand = "pair"
grain = "any"
[part.shape]
kind = "polygon"
points = [
  ["0 mm", "0 mm"], ["300 mm", "0 mm"], ["300 mm", "60 mm"],
  ["80 mm", "220 mm"], ["0 mm", "220 mm"],
]
[[part]]
name = "plate"
thickness = "6 mm"
count = 3
grain = "along"
shape = { kind = "rectangle", length = "400 mm", width = "200 mm" }
[[part]]
name = "side"
thickness = "6 mm"
hand = "pair"
grain = "along"
shape = { kind = "taper", length = "1800 mm", start = "200 mm", end = "150 mm" }
joint = { kind = "scarf", slope = "8:1", at = ["900 mm"] }
[[rail]]
name = "gunwale"
section = ["20 mm", "40 mm"]
length = "3 m"
hand = "pair"
joint = { slope = "12:1", keep_clear = "none" }
"""


def write_job(folder: Path, text: str) -> Path:
    job = folder / "job.toml"
    job.write_text(text, encoding="utf-8")
    return job


def plan(job: Path, out: Path, *more: str) -> int:
    return _run(["plan", str(job), "--out", str(out), "--effort", "quick", "--workers", "1", *more])


def read_all(folder: Path) -> dict[str, bytes]:
    return {
        p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()
    }


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """The small job, planned once."""
    folder = tmp_path_factory.mktemp("small")
    job = write_job(folder, SMALL)
    assert plan(job, folder / "out") == 0
    return job, folder / "out"


def test_all_papers_are_written(planned: tuple[Path, Path]) -> None:
    """Every file of the contract is there, and nothing is left beside the folder."""
    job, out = planned

    assert {p.name for p in out.iterdir()} >= PAPERS
    assert {p.name for p in job.parent.iterdir()} == {"job.toml", "out"}
    assert sorted(p.suffix for p in (out / "sheets").iterdir()) == sorted(
        [".dxf", ".svg"] * len(json.loads((out / "plan.json").read_text())["sheets"])
    )


def test_the_same_run_gives_the_same_bytes(planned: tuple[Path, Path], tmp_path: Path) -> None:
    """Same job, seed, effort and workers: every file is the same, byte for byte."""
    job, out = planned

    assert plan(job, tmp_path / "again") == 0
    again = read_all(tmp_path / "again")
    first = read_all(out)
    assert {name for name in first if again.get(name) != first[name]} == set()
    assert first.keys() == again.keys()


def test_verify_and_report_agree(planned: tuple[Path, Path], tmp_path: Path) -> None:
    """The written plan is proven again, and its papers come out the same without searching."""
    _, out = planned

    assert _run(["verify", str(out / "plan.json")]) == 0
    assert _run(["report", str(out / "plan.json"), "--out", str(tmp_path / "papers")]) == 0
    papers, first = read_all(tmp_path / "papers"), read_all(out)
    assert {name for name in first if papers.get(name) != first[name]} == set()


def test_marking_out_in_feet_inches_eighths(planned: tuple[Path, Path], tmp_path: Path) -> None:
    """Only the marking-out papers change, and the page that holds them too."""
    _, out = planned
    asked = ["--marking", "feet-inches-eighths", "--out", str(tmp_path / "papers")]

    assert _run(["report", str(out / "plan.json"), *asked]) == 0
    papers, first = read_all(tmp_path / "papers"), read_all(out)
    changed = {str(name) for name in first if papers.get(name) != first[name]}
    papers_only = {"marking-out.csv", "marking-out.pdf", "shop.html"}
    assert changed == papers_only | {"plan.json"}  # whose list of files has other digests
    rows = (tmp_path / "papers" / "marking-out.csv").read_text(encoding="utf-8").splitlines()
    assert re.search(r",\d+-\d+-\d\+?,\d+-\d+-\d\+?,(corner|station),", rows[1])


def test_a_tampered_plan_is_refused(
    planned: tuple[Path, Path], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A piece moved by 50 mm in the file is named, and verify exits with 1."""
    job, out = planned
    shutil.copy(job, tmp_path / "job.toml")
    document = json.loads((out / "plan.json").read_text())
    placement = document["sheets"][0]["placements"][0]
    placement["shift_mm"][0] += 50.0
    (tmp_path / "plan.json").write_text(json.dumps(document))

    assert _run(["verify", str(tmp_path / "plan.json")]) == 1
    assert placement["piece"] in capsys.readouterr().err


def test_json_is_the_only_thing_on_stdout(
    planned: tuple[Path, Path], capsys: pytest.CaptureFixture[str]
) -> None:
    """--json prints one document; talk stays on stderr."""
    job, out = planned
    capsys.readouterr()

    assert _run(["check", str(job), "--json"]) == 0
    document = json.loads(capsys.readouterr().out)
    assert document["usable"] is True
    assert {p["name"]: p["pieces"] for p in document["parts"]} == {
        "knee": 2,
        "plate": 3,
        "side": 2,
    }
    assert _run(["verify", str(out / "plan.json"), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["verified"] is True


FAULTY = (
    SMALL.replace('kerf = "2 mm"', 'kerf = "-2 mm"')
    .replace("currency", "curency")
    .replace('thickness = "6 mm"\nlength', 'thickness = "0 mm"\nlength')
    .replace('width = "95 mm"', 'width = "95 parsec"')
    + """
[[part]]
name = "ghost"
drawing = "missing.dxf"
layer = "A"
thickness = "6 mm"
"""
)


def test_all_faults_come_in_one_go(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Unknown key, wrong unit, negative kerf, zero thickness and a missing drawing: exit 3."""
    status = plan(write_job(tmp_path, FAULTY), tmp_path / "out")

    err = capsys.readouterr().err
    assert status == 3
    for words in (
        "saw.kerf",
        "job.curency",
        "Did you mean 'currency'?",
        "sheet[1].thickness",
        "board[1].width",
        "missing.dxf",
    ):
        assert words in err
    assert "Traceback" not in err
    assert not (tmp_path / "out").exists()


def test_an_open_outline_is_told(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A drawing whose outline doesn't close can't be cut."""
    from ezdxf.filemanagement import new

    document = new("R2000", units=4)
    document.modelspace().add_lwpolyline([(0, 0), (300, 0), (300, 200), (0, 150)], close=False)
    document.saveas(tmp_path / "open.dxf")
    text = SMALL + '[[part]]\nname = "gap"\ndrawing = "open.dxf"\nthickness = "6 mm"\n'

    assert plan(write_job(tmp_path, text), tmp_path / "out") == 3
    assert "open.dxf" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_a_part_larger_than_any_sheet_is_named(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A plate longer than the sheet fits nowhere: exit 3 from check and from plan."""
    job = write_job(tmp_path, SMALL.replace('length = "400 mm"', 'length = "4000 mm"'))

    assert _run(["check", str(job)]) == 3
    assert plan(job, tmp_path / "out") == 3
    assert "plate" in capsys.readouterr().err
    assert not (tmp_path / "out").exists()


def test_too_little_stock_leaves_pieces_unplaced(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """With one sheet to hand the plan is verified, but incomplete: exit 4, told by name."""
    job = write_job(tmp_path, SMALL.replace('count = "buy"', "count = 1"))

    assert plan(job, tmp_path / "out") == 4
    document = json.loads((tmp_path / "out" / "plan.json").read_text())
    assert document["unplaced"]
    assert document["unplaced"][0]["piece"] in capsys.readouterr().out
    assert _run(["verify", str(tmp_path / "out" / "plan.json")]) == 4


def test_wrong_usage_and_missing_files(tmp_path: Path) -> None:
    """Unknown options exit with 2, files that aren't there with 3."""
    assert _run(["plan", "--no-such-option"]) == 2
    assert _run(["plan", str(tmp_path / "no.toml")]) == 3
    assert _run(["verify", str(tmp_path / "no.json")]) == 3


def test_the_builders_own_files_stay(planned: tuple[Path, Path], tmp_path: Path) -> None:
    """A note kept in the result folder is still there after the next run."""
    job, out = planned
    folder = tmp_path / "out"
    shutil.copytree(out, folder)
    (folder / "notes.txt").write_text("sharpen the plane")

    assert _run(["report", str(out / "plan.json"), "--out", str(folder)]) == 0
    assert (folder / "notes.txt").read_text() == "sharpen the plane"
    assert job.exists()


@pytest.mark.skipif(os.name == "nt", reason="signals work otherwise there")
def test_interrupt_keeps_the_best_plan(tmp_path: Path) -> None:
    """Ctrl-C during the search still writes a verified plan and exits with 130."""
    job = write_job(tmp_path, SMALL.replace("count = 3", "count = 40"))
    out = tmp_path / "out"
    command = [sys.executable, "-m", "nestcut", "plan", str(job), "--out", str(out)]
    command += ["--effort", "thorough", "--workers", "1"]
    with subprocess.Popen(command, cwd=ROOT, stderr=subprocess.PIPE, text=True) as run:
        assert run.stderr is not None
        for line in run.stderr:
            if "sheets" in line:
                run.send_signal(signal.SIGINT)
                break
        run.communicate()

    assert run.returncode == 130
    document = json.loads((out / "plan.json").read_text())
    assert document["repeatable"] is False
    assert document["stopped_by"] == "interrupted"
    assert _run(["verify", str(out / "plan.json")]) in {0, 4}


def test_the_punt_in_inches_and_in_mm_is_one_plan(tmp_path: Path) -> None:
    """The same boat written in feet and inches and in mm gives the same placements."""
    plans = []
    for name in ("job.toml", "job-mm.toml"):
        job = ROOT / "parts" / "punt" / name
        out = tmp_path / name
        assert plan(job, out) == 0
        plans.append(json.loads((out / "plan.json").read_text()))
    first, second = plans

    assert first["sheets"] == second["sheets"]
    assert first["boards"] == second["boards"]
    assert first["joints"] == second["joints"]
