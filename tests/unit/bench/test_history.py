"""The job's files and their history: nothing is overwritten, nothing shown as saved is lost."""

from __future__ import annotations

import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest
import tomlkit
from starlette.testclient import TestClient

from nestcut.bench.files import ChangedMeanwhile, Keeper, digest_of
from tests.unit.bench.asking import change, desk_of, let_in, planned, post, told


def test_a_change_outside_is_noticed_and_nothing_is_overwritten(
    page: TestClient, folder: Path
) -> None:
    page.post("/demo")
    seen = told(page)["job"]["digest"]
    job = folder / "demo.toml"
    job.write_text(job.read_text() + "# mine\n")
    theirs = job.read_text()

    answer = change(page, ["saw", "kerf"], "3 mm", seen=seen)

    assert (answer.status_code, answer.json()["theirs"]) == (409, theirs)
    assert job.read_text() == theirs
    assert told(page)["job"]["changed_outside"]
    page.post("/keep-mine")
    assert "# mine" not in job.read_text()
    page.post("/undo")
    assert job.read_text() == theirs
    page.post("/redo")
    job.write_text(theirs)
    page.post("/take-theirs")
    assert told(page)["job"]["text"] == theirs


def test_a_change_outside_is_seen_by_whoever_listens(page: TestClient, folder: Path) -> None:
    desk = desk_of(page)
    assert desk.stamp() is None
    page.post("/demo")
    before = desk.stamp()
    assert desk.stamp() == before
    job = folder / "demo.toml"
    job.write_text(job.read_text() + "# mine\n")
    assert desk.stamp() not in {None, before}
    job.unlink()
    assert desk.stamp() is None


def test_undo_and_redo_bring_the_same_bytes_through_job_and_plan(
    page: TestClient, folder: Path
) -> None:
    planned(page)
    files = (folder / "demo.toml", folder / "demo.plan.json")
    first = [f.read_bytes() for f in files]
    assert change(page, ["saw", "kerf"], "3 mm").status_code == 200
    assert not files[1].exists()
    after = files[0].read_bytes()
    page.post("/undo")
    assert [f.read_bytes() for f in files] == first
    page.post("/redo")
    assert files[0].read_bytes() == after


def test_a_new_server_comes_back_where_the_old_one_was(page: TestClient, folder: Path) -> None:
    before = planned(page)
    again = let_in()
    assert post(again, "open", file="demo.toml").status_code == 200
    after = told(again)
    assert after["plan"] == before["plan"]
    assert after["job"] == before["job"]
    assert (folder / "demo.history").is_dir()


_EDITOR = """
import sys
from pathlib import Path
from nestcut.bench.files import Keeper, digest_of, with_value
keeper = Keeper(Path(sys.argv[1]))
start = int(sys.argv[2])
print("ready", flush=True)
for k in range(start, start + 100000):
    here = keeper.current.job
    job = with_value(here, ["saw", "gap"], f"{k} mm")
    keeper.change(f"edit {k}", seen=digest_of(here), job=job)
    print(k, flush=True)
"""


def _kill_while_editing(folder: Path, times: int) -> None:
    path = folder / "boat.toml"
    path.write_text('[saw]\nkerf = "2 mm"  # slot\ngap = "0 mm"\n')
    luck = np.random.default_rng(2)
    shown = 0
    for _ in range(times):
        editor = subprocess.Popen(
            [sys.executable, "-c", _EDITOR, str(path), str(shown + 1)],
            stdout=subprocess.PIPE,
            text=True,
        )
        assert editor.stdout is not None
        editor.stdout.readline()
        time.sleep(luck.uniform(0.01, 0.08))
        editor.send_signal(signal.SIGKILL)
        editor.wait()
        told_lines = [int(line) for line in editor.stdout.read().split()]
        editor.stdout.close()
        shown = max([shown, *told_lines])
        keeper = Keeper(path)
        text = path.read_text()
        assert keeper.current.job == text
        gap = int(str(tomlkit.parse(text).unwrap()["saw"]["gap"]).split()[0])
        assert gap in {shown, shown + 1}
        assert "# slot" in text
        shown = gap


def test_killed_while_editing_nothing_shown_as_saved_is_lost(tmp_path: Path) -> None:
    _kill_while_editing(tmp_path, 4)


@pytest.mark.deep
def test_killed_a_hundred_times_nothing_shown_as_saved_is_lost(tmp_path: Path) -> None:
    _kill_while_editing(tmp_path, 100)


def test_a_keeper_refuses_what_was_seen_before_another_change(tmp_path: Path) -> None:
    path = tmp_path / "boat.toml"
    path.write_text("a = 1\n")
    keeper = Keeper(path)
    seen = digest_of("a = 1\n")
    keeper.change("b", seen=seen, job="a = 2\n")
    with pytest.raises(ChangedMeanwhile):
        keeper.change("c", seen=seen, job="a = 3\n")
    assert path.read_text() == "a = 2\n"
