"""``--cluster``: searches on a Dask cluster on loopback, and what happens when it goes away."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import pytest

import nestcut
from nestcut.cli import cluster as clusters
from nestcut.cli.cluster import crew_at
from nestcut.cli.press import Press
from nestcut.cli.supervise import search_aside
from nestcut.cli.verbs.plan import Whole
from nestcut.errors import InputError
from nestcut.model.plan import VerifiedPlan
from nestcut.nesting.problem import Budget, Nest
from nestcut.nesting.workers import side_by_side
from nestcut.papers.draw import Paper
from nestcut.search.settings import Deadline, Effort, Silent
from nestcut.units import LengthStyle
from tests.unit.again.test_again import JOB
from tests.unit.cli.test_supervise import no_papers

distributed: Any = pytest.importorskip("distributed", reason="Dask is an optional extra")


@dataclass(frozen=True)
class Cluster:
    """A scheduler at an address, and its process."""

    address: str
    scheduler: subprocess.Popen[bytes]


@contextmanager
def cluster() -> Iterator[Cluster]:
    """Start one on loopback by README's two commands, with two worker processes."""
    with closing(socket.socket()) as probe:
        probe.bind(("127.0.0.1", 0))
        port = str(probe.getsockname()[1])
    address = f"tcp://127.0.0.1:{port}"
    with (
        started("scheduler", "--host", "127.0.0.1", "--port", port) as scheduler,
        started("worker", address, "--nworkers", "2", "--nthreads", "1"),
    ):
        with distributed.Client(address, timeout=60, set_as_default=False) as client:
            client.wait_for_workers(2, timeout=120)
        yield Cluster(address, scheduler)


@contextmanager
def started(*words: str) -> Iterator[subprocess.Popen[bytes]]:
    """Run a command of Dask's for the time being, in a process group of its own."""
    process = subprocess.Popen(
        [sys.executable, "-m", "dask", *words, "--no-dashboard"],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[3])},
    )
    try:
        yield process
    finally:
        with suppress(ProcessLookupError):  # a test has ended it
            os.killpg(process.pid, signal.SIGKILL)
        process.wait()


def planned(address: str | None) -> VerifiedPlan:
    job = nestcut.read_job(JOB, drawings={})
    budget = nestcut.Budget(effort=Effort.QUICK, workers=2)
    task = Whole(job=job, budget=budget, cluster=address)
    with Press(job, Paper.A4, LengthStyle.MM, no_papers) as press:
        ended = search_aside(task, Deadline(), Silent(), press)
    if ended.fault is not None:
        raise ended.fault
    assert ended.best is not None
    return ended.best


def codes(address: str) -> list[str]:
    with pytest.raises(InputError) as raised:
        planned(address)
    return [f.code for f in raised.value.findings]


def refusal(address: str) -> list[str]:
    with pytest.raises(InputError) as raised, crew_at(address):
        pass
    return [f.code for f in raised.value.findings]


def test_a_cluster_plans_what_processes_here_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    with cluster() as there:
        address = there.address
        assert planned(address) == planned(None)

        monkeypatch.setattr(clusters, "here", lambda: "0.0")
        monkeypatch.setattr(clusters, "_versions", lambda client: {"tcp://1": "0.1"})
        assert refusal(address) == ["PLN-007"]
        monkeypatch.setattr(clusters, "_versions", lambda client: {})
        assert refusal(address) == ["PLN-006"]


def test_nobody_at_the_address_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(clusters, "CONNECT_S", 0.5)
    assert codes("tcp://127.0.0.1:1") == ["PLN-005"]
    assert refusal("nowhere at all") == ["PLN-005"]


def dies_once(note: Path, budget: Budget) -> Nest:
    """A search whose process is killed the first time that it runs."""
    mine = note / budget.stream.replace("/", " ")
    if not mine.exists():
        mine.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    return Nest(placements=(), length=float(len(budget.stream)))


def takes_all_along(home: int, scheduler: int, budget: Budget) -> Nest:
    """A search that ends its cluster, unless it runs at home."""
    if os.getpid() != home:
        os.kill(scheduler, signal.SIGKILL)
        time.sleep(120.0)
    return Nest(placements=(), length=float(len(budget.stream)))


def test_lost_workers_lose_nothing(tmp_path: Path) -> None:
    """Both are killed at work, and are replaced; then the whole cluster goes."""
    budget = Budget(passes=1, workers=2)
    with cluster() as there, crew_at(there.address) as executor:
        manned = replace(budget, executor=executor)
        nests = side_by_side(dies_once, (tmp_path,), manned)
        assert len(nests) == 2
        assert len(list(tmp_path.iterdir())) == 2

        alone = (os.getpid(), there.scheduler.pid)
        assert side_by_side(takes_all_along, alone, manned) == nests
        assert there.scheduler.wait(timeout=30) == -signal.SIGKILL
        # nobody is there to take anything any more
        assert side_by_side(takes_all_along, alone, manned) == nests


def test_no_address_is_no_cluster() -> None:
    with crew_at(None) as executor:
        assert executor is None
