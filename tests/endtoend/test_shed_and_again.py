"""The stock book, planning again, stages and the bench's start, by the commands themselves."""

from __future__ import annotations

import builtins
import json
import socket
from pathlib import Path

import pytest
from pypdf import PdfReader

from nestcut.cli import main
from tests.unit.again.test_again import JOB

SMALL = (
    JOB[: JOB.index("[[part]]")].replace('name = "again"', 'name = "next"')
    + """
[[part]]
name = "lid"
thickness = "6 mm"
[part.shape]
kind = "rectangle"
length = "250 mm"
width = "120 mm"
"""
)


def run(*words: str | Path) -> int:
    with pytest.raises(SystemExit) as stopped:
        main([str(w) for w in words])
    return int(str(stopped.value.code))


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    (tmp_path / "boat.toml").write_text(JOB)
    assert run("plan", "boat.toml", "--effort", "quick", "--out", "out") == 0
    return tmp_path


def test_offcuts_go_into_the_book_and_into_the_next_job(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("shed", "show", "shed.toml") == 3
    assert "SHD-012" in capsys.readouterr().err
    assert run("shed", "add", "out", "shed.toml") == 0
    assert run("shed", "show", "shed.toml", "--units", "inch") == 0
    shown = capsys.readouterr().out
    assert 'shed 1: ply 6 mm (15/64")' in shown
    assert run("shed", "add", "out", "shed.toml") == 3
    assert "SHD-010" in capsys.readouterr().err

    (place / "next.toml").write_text(SMALL)
    assert run("shed", "take", "shed.toml", "next.toml") == 0
    assert (place / "next.toml~").read_text() in (place / "next.toml").read_text()
    assert run("plan", "next.toml", "--effort", "quick", "--out", "out2") == 0
    plan = json.loads((place / "out2" / "plan.json").read_text())
    used = {s["stock"] for s in plan["sheets"] if s["stock"].startswith("shed ")}
    assert used

    assert run("shed", "add", "out2", "shed.toml") == 0
    names = (place / "shed.toml").read_text()
    assert all(f"id = {n.split()[1]}\n" not in names for n in used)
    assert "promised_to" not in names
    assert run("shed", "back", "shed.toml") == 0
    assert "promised_to" in (place / "shed.toml").read_text()
    assert run("shed", "back", "shed.toml", "--to", "0") == 0
    capsys.readouterr()
    assert run("shed", "add", "out2", "shed.toml") == 3
    assert "SHD-011" in capsys.readouterr().err


def test_a_spoilt_piece_is_made_again_beside_what_is_cut(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run("again", "out") == 3
    assert "AGN-002" in capsys.readouterr().err
    assert run("again", "out", "--spoilt", "mast") == 3
    assert "AGN-001" in capsys.readouterr().err
    assert run("again", "out", "--spoilt", "pad 1", "--out", "out") == 3
    assert "AGN-003" in capsys.readouterr().err
    before = (place / "out" / "plan.json").read_bytes()

    words = ("again", "out", "--spoilt", "pad, no. 1 of 5", "--cut", "side P1 1/2")
    assert run(*words, "--effort", "quick") == 0

    told = capsys.readouterr().out
    assert "Nothing to buy" in told
    assert "pad, no. 1 of 5: sheet" in told
    assert "Throw away the old front page and lists" in told
    assert "Print instead: front page, lists, sheet" in told
    assert "All other pages still hold." in told
    assert (place / "out" / "plan.json").read_bytes() == before
    assert run("verify", "out-2") == 0
    assert run("again", "out-2", "--spoilt", "plank 1", "--effort", "quick", "--json") == 0
    assert (place / "out-3" / "shop.pdf").is_file()
    plan = json.loads((place / "out-3" / "plan.json").read_text())
    assert plan["already_cut"] == ["side P1 1/2"]
    assert sum(len(s.get("spent", [])) for s in plan["sheets"]) == 2
    pages = [p.extract_text() for p in PdfReader(place / "out-3" / "shop.pdf").pages]
    assert "1 piece lies cut already" in pages[0]
    marked = [p for p in pages[1:] if "CUT ALREADY" in p]
    assert len(marked) == 2  # the cut list and the piece's sheet
    page = (place / "out-3" / "shop.html").read_text()
    assert [r.split('"')[1] for r in page.split("<li ") if " data-cut>" in r] == ["piece"]
    assert 'data-piece="side P1 1/2"' in next(r for r in page.split("<li ") if " data-cut>" in r)


def test_ticks_of_the_page_say_what_is_cut_and_spoilt(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plan = json.loads((place / "out" / "plan.json").read_text())
    sheet = plan["sheets"][0]
    names = [p["piece"] for p in sheet["placements"]]
    entries = [
        {"piece": n, "from": "sheet", "stock": sheet["stock"], "number": 1, "spoilt": n == names[0]}
        for n in names
    ]
    job = {"name": plan["job"]["name"], "sha256": plan["job"]["sha256"]}
    ticks = {"format": "nestcut progress", "version": 1, "job": job, "plan": "x", "cut": entries}
    (place / "ticks.json").write_text(json.dumps(ticks))

    assert run("again", "out", "ticks.json", "--effort", "quick") == 0

    assert "TCK-004" in capsys.readouterr().err
    after = json.loads((place / "out-2" / "plan.json").read_text())
    assert sorted(after["already_cut"]) == sorted(names[1:])


def test_stages_are_planned_in_their_order(place: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (place / "order.toml").write_text('[[stage]]\nname = "pads"\nparts = ["pad"]\n')
    assert run("stages", "out", "order.toml", "--effort", "quick", "--carry", "1") == 0
    told = capsys.readouterr().out
    assert told.startswith("1. pads: sheet 1; 20.00")
    assert "Together " in told
    assert run("stages", "out", "order.toml", "--effort", "quick", "--json") == 0
    assert json.loads(capsys.readouterr().out)["stages"][0]["name"] == "pads"


def test_the_bench_says_why_it_cannot_begin(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    assert run("bench", "nowhere", "--no-browser") == 3
    assert "BEN-001" in capsys.readouterr().err
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        assert run("bench", "--port", port, "--no-browser") == 3
    assert "BEN-003" in capsys.readouterr().err

    real = builtins.__import__

    def without(name: str, *rest: object, **more: object) -> object:
        if name == "nestcut.bench":
            raise ModuleNotFoundError("no starlette", name="starlette")
        return real(name, *rest, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(builtins, "__import__", without)
    assert run("bench", "--no-browser") == 3
    assert "BEN-002" in capsys.readouterr().err


def test_the_job_may_change_while_it_is_cut_and_the_rest_gets_labels(
    place: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (place / "boat2.toml").write_text(JOB.replace('length = "700 mm"', 'length = "720 mm"'))
    words = ("--cut", "plank 1", "--cut", "pad 2", "--effort", "quick")
    assert run("again", "out", *words, "--job", "boat2.toml") == 0
    told = capsys.readouterr().out
    assert "Cut otherwise than before:\n  plank, no. 1 of 3" in told
    assert run("verify", "out-2") == 0
    assert "kerf" not in capsys.readouterr().err
    # The same in the job file itself: the plan is taken as it lies.
    (place / "boat.toml").write_text((place / "boat2.toml").read_text())
    assert run("verify", "out") == 1
    assert run("again", "out", *words, "--out", "out-3") == 0
    assert "Cut otherwise than before:\n  plank, no. 1 of 3" in capsys.readouterr().out
    # Another saw can't be planned on from.
    other = (place / "boat2.toml").read_text().replace('kerf = "3 mm"', 'kerf = "2 mm"')
    (place / "boat3.toml").write_text(other)
    assert run("again", "out", *words, "--job", "boat3.toml", "--out", "out-4") == 3
    assert "AGN-007" in capsys.readouterr().err

    assert run("shed", "add", "out-2", "shed.toml") == 0
    assert run("shed", "labels", "shed.toml", "1", "--out", "labels.pdf") == 0
    assert (place / "labels.pdf").read_bytes().startswith(b"%PDF")
    assert run("shed", "labels", "shed.toml", "99") == 3
