"""Workers side by side: the same result whoever is first, in processes or a given executor."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from threading import Event

import pytest

from nestcut.nesting.problem import Budget, Item, Nest, Problem, Turns
from nestcut.nesting.separating.arrays import Arrays
from nestcut.nesting.separating.bins import pack_bins
from nestcut.nesting.strips import strip
from nestcut.nesting.strips.strip import bottom_left_strip, pack_strip
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


def test_an_interrupted_strip_with_workers_is_the_first_layout() -> None:
    budget = Budget(passes=10**9, workers=2)
    budget.deadline.interrupt()
    with ThreadPoolExecutor(1) as executor:
        executor.submit(Event().wait, 1.0)  # whoever could answer is busy
        nest = pack_strip(ITEMS, 8.0, replace(budget, executor=executor))

    assert nest.length <= bottom_left_strip(ITEMS, 8.0).length
    assert len(nest.placements) == len(ITEMS)


def test_a_round_of_a_strip_is_longer_after_one_that_won_nothing(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    lengths = [9.0, 8.0, 8.0, 8.0, 7.5, 7.0, 6.9]
    rounds: list[tuple[int, float, float | None]] = []

    def look(_: Arrays, start: Nest | None, explore: float, budget: Budget) -> Nest:
        rounds.append((budget.passes, explore, start.length if start else None))
        return Nest(placements=(), length=lengths[len(rounds) - 1], work=budget.passes)

    def alone(
        search: Callable[..., Nest], arguments: tuple[object, ...], budget: Budget, _: float
    ) -> list[Nest]:
        return [search(*arguments, budget)]

    monkeypatch.setattr(strip, "_round", look)
    monkeypatch.setattr(strip, "side_by_side", alone)
    nest = pack_strip(ITEMS, 8.0, Budget(passes=1000, workers=2))

    assert rounds == [
        (100, 1.0, None),
        (100, 1.0, 9.0),
        (100, 1.0, 8.0),
        (250, 1.0, 8.0),
        (125, 1.0, 8.0),
        (125, 1.0, 7.5),
        (200, 0.0, 7.0),
    ]
    assert (nest.length, nest.work) == (6.9, 1000)


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
