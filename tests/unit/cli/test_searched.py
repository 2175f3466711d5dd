"""Every command that searches keeps a stop, and writes the best plan so far."""

from __future__ import annotations

import json
import os
import signal
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from nestcut.again import plan as continuing
from nestcut.cli import main, searched
from nestcut.cli.supervise import Ended, Task
from nestcut.cli.talk import ProgressLine
from nestcut.model.plan import Plan
from nestcut.model.progress import Phase, Progress
from nestcut.search.settings import Deadline
from tests.unit.again.test_again import JOB

ORDER = '[[stage]]\nname = "pads"\nparts = ["pad"]\n'
COMMANDS = {
    "again": ["again", "out", "--spoilt", "pad 1"],
    "stages": ["stages", "out", "order.toml"],
}


def run(*words: str) -> int:
    with pytest.raises(SystemExit) as stopped:
        main(list(words))
    return int(str(stopped.value.code))


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.chdir(tmp_path)
    Path("boat.toml").write_text(JOB)
    Path("order.toml").write_text(ORDER)
    assert run("plan", "boat.toml", "--effort", "quick", "--out", "out") == 0
    return tmp_path


Together = Callable[[continuing.Search, Plan, frozenset[str]], Plan]


def _deaf_after_the_first(real: Together) -> Together:
    """A solver that hears nothing, once there is a plan that was made at once."""

    def together(search: continuing.Search, plan: Plan, moving: frozenset[str]) -> Plan:
        if search.deadline.seconds != 0.0:
            time.sleep(60.0)
        return real(search, plan, moving)

    return together


@pytest.mark.parametrize("name", COMMANDS)
def test_a_stop_is_kept_whatever_a_solver_is_at(
    place: Path, monkeypatch: pytest.MonkeyPatch, name: str
) -> None:
    real = continuing.Search.together
    monkeypatch.setattr(continuing.Search, "together", _deaf_after_the_first(real))
    tell = ProgressLine.tell

    def stop_at_first_plan(line: ProgressLine, progress: Progress) -> None:
        tell(line, progress)
        if progress.phase is Phase.FIRST_PLAN:
            os.kill(os.getpid(), signal.SIGINT)

    monkeypatch.setattr(ProgressLine, "tell", stop_at_first_plan)
    assert run(*COMMANDS[name]) == 130
    plan = json.loads((place / "out-2" / "plan.json").read_text())
    assert plan["stopped_by"] == "interrupted"
    assert run("verify", "out-2") == 0


def test_no_plan_in_time_writes_nothing_and_says_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A first plan takes a fraction of a second: what is planted stands for a very large job."""
    monkeypatch.chdir(tmp_path)
    Path("boat.toml").write_text(JOB)

    def find_nothing(task: Task, deadline: Deadline, *others: object) -> Ended:
        del task, others
        time.sleep(deadline.remaining_s() + 0.01)
        return Ended(best=None, fault=None)

    monkeypatch.setattr(searched, "search_aside", find_nothing)
    assert run("plan", "boat.toml", "--seconds", "0.1", "--out", "none") == 3
    assert "PLN-002" in capsys.readouterr().err
    assert not Path("none").exists()
