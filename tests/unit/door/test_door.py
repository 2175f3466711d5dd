"""The public door: a script needs nothing else."""

from __future__ import annotations

import doctest
import re
from importlib import import_module
from pathlib import Path

import pytest

import nestcut
from nestcut import door
from tests.builders_jobs import SHELF

ROOT = Path(__file__).resolve().parents[3]
PUNT = ROOT / "parts/punt/job.toml"


def test_the_examples_in_the_door_run(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    assert doctest.testmod(door).failed == 0


def test_readmes_scripts_run_as_they_stand(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    text = (ROOT / "README.md").read_text(encoding="utf-8")
    costs, watched = re.findall(r"```python\n(.*?)```", text, flags=re.DOTALL)
    monkeypatch.chdir(ROOT)

    exec(compile(costs, "README.md", "exec"), {"__name__": "__main__"})  # noqa: S102

    lines = capsys.readouterr().out.splitlines()
    assert [line.split(":")[0] for line in lines] == ["kerf 3.2 mm", "kerf 1.5 mm"]
    assert all(float(line.split()[3]) > 100.0 for line in lines)

    exec(compile(watched, "README.md", "exec"), {"__name__": "__main__"})  # noqa: S102

    lines = capsys.readouterr().out.splitlines()
    assert lines[0].startswith("first plan: ")
    assert {line.split(":")[0] for line in lines[1:]} == {"proven"}
    assert all(float(line.split(": ")[1].split(",")[0]) > 100.0 for line in lines)


def test_all_names_are_offered_and_no_other() -> None:
    assert {"read_job", "plan_job", "verify_plan", "Budget"} <= set(dir(nestcut))
    for name in dir(nestcut):
        assert getattr(nestcut, name) is not None
    with pytest.raises(AttributeError, match="offers no 'solve'"):
        _ = nestcut.solve


def test_a_job_is_read_planned_and_proven_with_another_kerf() -> None:
    job = nestcut.read_job(SHELF, drawings={})
    costs = []
    for kerf_mm in (job.cutting.kerf_mm, 1.5):
        done = nestcut.plan_job(
            nestcut.with_kerf(job, kerf_mm), nestcut.Budget(effort=nestcut.Effort.QUICK)
        )
        assert nestcut.verify_plan(done.job, done.plan).is_proven
        costs.append(nestcut.money(done.plan))
    assert costs == [20.0, 20.0]


def test_drawings_come_as_bytes_by_their_paths_beside_the_job() -> None:
    boat = ROOT / "parts/beach-boat"
    files = sorted(boat.rglob("*.dxf"))
    drawings = {p.relative_to(boat).as_posix(): p.read_bytes() for p in files}
    text = (boat / "job.toml").read_text(encoding="utf-8")
    from_files = nestcut.read_job(boat / "job.toml")

    job = nestcut.read_job(text, drawings=drawings)

    assert [p.shape for p in job.sheet_parts] == [p.shape for p in from_files.sheet_parts]
    with pytest.raises(ValueError, match="beside its job"):
        nestcut.check_job(text, drawings={"../boat.dxf": b""})


def test_faults_come_as_findings_all_at_once() -> None:
    with pytest.raises(nestcut.JobFileError) as caught:
        nestcut.read_job(SHELF.replace("400 mm", "400 miles").replace("3 mm", "3 elk"), drawings={})
    assert {(f.where, f.file) for f in caught.value.findings} == {
        ("saw.kerf", "job.toml"),
        ("part[1].shape.length", "job.toml"),
    }


def test_every_name_of_every_room_is_offered_once() -> None:
    seen: dict[str, object] = {}
    for room in door.ROOMS:
        module = import_module(f"nestcut.door.{room}")
        for name in module.__all__:
            own = getattr(module, name)
            assert seen.setdefault(name, own) is own, f"two things are called {name}"
            assert getattr(nestcut, name) is own
    assert set(dir(nestcut)) == {"__version__", *seen}


def test_the_examples_in_the_rooms_run(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(ROOT)
    tried = [doctest.testmod(import_module(f"nestcut.door.{room}")) for room in door.ROOMS]
    assert all(t.failed == 0 for t in tried)
    assert sum(t.attempted for t in tried) > 0
