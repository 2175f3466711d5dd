"""Workers side by side: the same result whoever is first, in processes or a given executor."""

from __future__ import annotations

import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest

from nestcut.nesting.problem import Budget, Item, Problem, Turns
from nestcut.nesting.separating.bins import pack_bins
from nestcut.nesting.strips.strip import pack_strip
from tests.unit.nesting.layouts import DART, ELL, assert_valid, sheet

HALF = Turns(centres_deg=(0.0, 180.0))
ITEMS = tuple(Item(id=f"{k:02}", outline=(ELL, DART)[k % 2], turns=HALF) for k in range(14))
PROBLEM = Problem(items=ITEMS, containers=(sheet(8.0, 6.0),))


def test_processes_and_a_given_executor_agree() -> None:
    budget = Budget(passes=40, seed=1, workers=2)
    own = pack_bins(PROBLEM, budget)
    with ThreadPoolExecutor(1) as executor:
        given = pack_bins(PROBLEM, replace(budget, executor=executor))

    assert_valid(PROBLEM, own)
    assert own == given


def test_strip_with_workers_repeats() -> None:
    with ThreadPoolExecutor(1) as executor:
        budget = Budget(passes=60, seed=1, workers=2, executor=executor)
        assert pack_strip(ITEMS, 8.0, budget) == pack_strip(ITEMS, 8.0, budget)


def test_an_interrupted_caller_gets_the_start() -> None:
    budget = Budget(passes=10**9, workers=2)
    budget.deadline.interrupt()
    with ThreadPoolExecutor(1) as executor:
        nest = pack_bins(PROBLEM, replace(budget, passes=10, executor=executor))

    assert_valid(PROBLEM, nest)


def test_dask_takes_the_work() -> None:
    """A yard's own engine on loopback, two worker processes."""
    distributed = pytest.importorskip("distributed", reason="Dask is an optional extra")
    budget = Budget(passes=40, seed=1, workers=2)
    with (
        distributed.LocalCluster(
            n_workers=2, threads_per_worker=1, host="127.0.0.1", dashboard_address="127.0.0.1:0"
        ) as cluster,
        distributed.Client(cluster) as client,
    ):
        nest = pack_bins(PROBLEM, replace(budget, executor=client.get_executor()))
    own = pack_bins(PROBLEM, budget)

    assert nest == own


def test_workers_end_with_a_process_that_is_killed() -> None:
    """The pipe ends only when everybody who holds it is gone: the worker too."""
    program = (
        "import time\n"
        "from nestcut.nesting.workers import hired\n"
        "if __name__ == '__main__':\n"
        "    with hired(1) as pool:\n"
        "        pool.submit(time.sleep, 0.0).result()\n"
        "        pool.submit(time.sleep, 300.0)\n"
        "        print('hired', flush=True)\n"
        "        time.sleep(300.0)\n"
    )
    employer = subprocess.Popen(
        [sys.executable, "-c", program], stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    )
    assert employer.stdout is not None
    assert employer.stdout.readline().strip() == b"hired"

    employer.kill()

    employer.communicate(timeout=60)
