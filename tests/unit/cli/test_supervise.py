"""A search in a process of its own: stops are kept, and the reason is the one who stopped it."""

from __future__ import annotations

import os
import time
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from multiprocessing.process import BaseProcess
from pathlib import Path
from typing import cast

import pytest

import nestcut
from nestcut.cli import supervise
from nestcut.cli.press import Press
from nestcut.cli.supervise import Ended, search_aside
from nestcut.cli.verbs.plan import Whole
from nestcut.errors import InputError
from nestcut.model.plan import StopReason, VerifiedPlan
from nestcut.model.progress import Phase, Progress
from nestcut.papers.draw import Paper
from nestcut.planning import plan_job as planning
from nestcut.search.settings import Deadline, Effort, Silent, Watcher
from nestcut.units import LengthStyle
from tests.unit.again.test_again import JOB


def no_papers(verified: VerifiedPlan, folder: Path, paper: Paper, style: LengthStyle) -> None:
    """Make no papers, at once."""


@dataclass
class StoppedClock:
    """A clock that is put forward by hand: how fast this machine is makes no difference."""

    now_s: float = 0.0

    def __call__(self) -> float:
        return self.now_s


@dataclass
class AtFirstPlan:
    """A watcher that does something as soon as there is a first plan."""

    act: Callable[[], None]

    def tell(self, progress: Progress) -> None:
        if progress.phase is Phase.FIRST_PLAN:
            self.act()


def aside(
    job: nestcut.Job,
    budget: nestcut.Budget,
    deadline: Deadline,
    watcher: Watcher = Silent(),  # noqa: B008
) -> Ended:
    with Press(job, Paper.A4, LengthStyle.MM, no_papers) as press:
        task = Whole(job=job, budget=budget)
        return search_aside(task, deadline, watcher, press)


def search(deadline: Deadline, watcher: Watcher = Silent()) -> Ended:  # noqa: B008
    job = nestcut.read_job(JOB, drawings={})
    budget = nestcut.Budget(effort=Effort.THOROUGH, seconds=deadline.seconds)
    return aside(job, budget, deadline, watcher)


Planner = Callable[[nestcut.Job, planning.Desk], VerifiedPlan]


def _deaf(job: nestcut.Job, desk: planning.Desk) -> VerifiedPlan:
    """A solver that hears nothing."""
    del job
    time.sleep(60.0)
    return desk.proven[-1]


def _good(job: nestcut.Job, desk: planning.Desk) -> VerifiedPlan:
    """A solver that stops as soon as it is asked to."""
    del job
    while desk.deadline.stop_reason() is not StopReason.INTERRUPTED:
        time.sleep(0.02)
    best = desk.proven[-1]
    return replace(best, plan=replace(best.plan, stopped_by=StopReason.INTERRUPTED))


def test_a_plan_comes_back_proven() -> None:
    job = nestcut.read_job(JOB, drawings={})
    quick = nestcut.Budget(effort=Effort.QUICK)
    ended = aside(job, quick, Deadline())
    assert ended.fault is None
    assert ended.best is not None
    assert nestcut.verify_plan(job, ended.best.plan).is_proven
    assert ended.best.plan.stopped_by in {StopReason.PROVEN, StopReason.WORK_DONE}


@pytest.mark.parametrize("solver", [_deaf, _good])
def test_time_that_is_up_is_no_interruption(
    monkeypatch: pytest.MonkeyPatch, solver: Planner
) -> None:
    monkeypatch.setattr(planning, "_plan_well", _first_then(solver))
    clock = StoppedClock()
    deadline = Deadline(100.0, clock)

    def be_late() -> None:
        clock.now_s = 100.5

    ended = search(deadline, AtFirstPlan(be_late))
    assert ended.best is not None
    assert ended.best.plan.stopped_by is StopReason.TIME_UP


def test_an_interruption_is_kept_whatever_a_solver_is_at(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(planning, "_plan_well", _first_then(_deaf))
    deadline = Deadline()
    ended = search(deadline, AtFirstPlan(deadline.interrupt))
    assert ended.best is not None
    assert ended.best.plan.stopped_by is StopReason.INTERRUPTED


@dataclass
class Told:
    """A process that only notes what it is told."""

    calls: list[tuple[str, float | None]] = field(default_factory=list)

    def join(self, timeout: float | None = None) -> None:
        self.calls.append(("join", timeout))

    def kill(self) -> None:
        self.calls.append(("kill", None))


@pytest.mark.parametrize(
    ("heard", "first"),
    [
        (supervise._Heard(is_done=True), ("join", supervise.LEAVING_S)),
        (supervise._Heard(), ("kill", None)),
    ],
)
def test_a_search_that_is_not_done_is_ended_at_once(
    heard: supervise._Heard, first: tuple[str, float | None]
) -> None:
    process = Told()
    supervise._end(cast("BaseProcess", process), heard)
    assert process.calls[0] == first
    assert process.calls[-2:] == [("kill", None), ("join", None)]


def test_a_stop_before_the_first_plan_is_not_kept_waiting(monkeypatch: pytest.MonkeyPatch) -> None:
    def endless(job: nestcut.Job, desk: planning.Desk) -> VerifiedPlan:
        del job
        time.sleep(60.0)
        return desk.proven[-1]

    monkeypatch.setattr(planning, "_plan_well", endless)
    deadline = Deadline(0.2)
    ended = search(deadline)
    assert ended.best is None
    assert ended.fault is None
    assert deadline.stop_reason() is StopReason.TIME_UP


@dataclass
class Listed:
    """The other process's ear: what it was sent."""

    sent: list[object]

    def send(self, message: object) -> None:
        self.sent.append(message)


def test_a_first_plan_that_comes_after_the_stop_is_enough() -> None:
    job = nestcut.read_job(JOB, drawings={})
    quick = nestcut.Budget(effort=Effort.QUICK)
    first = aside(job, quick, Deadline()).best
    assert first is not None

    def waited(best_at_the_stop: VerifiedPlan | None) -> bool:
        clock, pipe = StoppedClock(), Listed([])
        deadline = Deadline(None, clock)
        deadline.interrupt()
        heard = supervise._Heard(best=best_at_the_stop)
        with Press(job, Paper.A4, LengthStyle.MM, no_papers) as press:
            press.takes_s = 100.0  # nobody waits for papers
            ear = supervise._Ear(pipe, None, quick, deadline, Silent(), press)  # type: ignore[arg-type]
            assert not supervise._is_enough(ear, heard)
            clock.now_s = 0.1
            heard.best = first
            return not supervise._is_enough(ear, heard)

    assert not waited(None)
    assert waited(first), "a search that has a plan may hand over a better one"


@pytest.mark.parametrize("lists_s", [0.0, supervise.GRACE_S])
def test_what_takes_long_to_write_is_waited_for_less(
    monkeypatch: pytest.MonkeyPatch, lists_s: float
) -> None:
    job = nestcut.read_job(JOB, drawings={})
    quick = nestcut.Budget(effort=Effort.QUICK)
    best = aside(job, quick, Deadline()).best
    deadline = Deadline(None, StoppedClock())
    deadline.interrupt()
    with Press(job, Paper.A4, LengthStyle.MM, no_papers) as press:
        press.takes_s, press.lists_s = 100.0, lists_s
        ear = supervise._Ear(Listed([]), None, quick, deadline, Silent(), press)  # type: ignore[arg-type]
        heard = supervise._Heard(best=best, stopped_s=49.9)
        with monkeypatch.context() as patched:
            patched.setattr(time, "monotonic", lambda: 50.0)
            assert supervise._is_enough(ear, heard) is (lists_s > 0.0)
        first = supervise._Heard()
        press.lists_s = 2.0 * lists_s  # longer than all the time that is left after a stop
        assert supervise._is_enough(ear, first) is (lists_s > 0.0)


def test_faults_cross_over(monkeypatch: pytest.MonkeyPatch) -> None:
    def stumble(job: nestcut.Job, desk: planning.Desk) -> VerifiedPlan:
        del job, desk
        raise ZeroDivisionError("of ours")

    monkeypatch.setattr(planning, "_plan_well", _first_then(stumble))
    ended = search(Deadline())
    assert ended.best is not None
    assert isinstance(ended.fault, supervise.FaultElsewhereError)
    assert ended.fault.name.startswith("ZeroDivisionError in test_supervise.py, line ")

    large = JOB.replace('length = "700 mm"', 'length = "9 m"')
    job = nestcut.read_job(large, drawings={})
    budget = nestcut.Budget(effort=Effort.QUICK)
    ended = aside(job, budget, Deadline())
    assert isinstance(ended.fault, InputError)
    assert [f.code for f in ended.fault.findings] == ["SHT-002"] * 3


def _first_then(later: Planner) -> Planner:
    """The real planning for the first plan, something else afterwards."""
    real, times = planning._plan_well, []

    def plan(job: nestcut.Job, desk: planning.Desk) -> VerifiedPlan:
        times.append(desk)
        return real(job, desk) if len(times) == 1 else later(job, desk)

    return plan


def test_what_libraries_chat_on_the_stream_of_messages_is_not_shown(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    plan = planning.plan_job

    def chatty(job: nestcut.Job, desk: planning.Desk) -> VerifiedPlan:
        os.write(2, b"No solution exists\n")
        return plan(job, desk)

    monkeypatch.setattr(planning, "plan_job", chatty)
    job = nestcut.read_job(JOB, drawings={})
    ended = aside(job, nestcut.Budget(effort=Effort.QUICK), Deadline())
    assert ended.best is not None
    assert "No solution" not in capfd.readouterr().err
    os.write(2, b"here it is\n")
    assert capfd.readouterr().err == "here it is\n"
