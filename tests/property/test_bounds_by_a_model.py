"""Bounds of small jobs against a model that shares nothing with the search (`tests.second.least`).

All 300 by hand: ``python -m tests.second.bounds --jobs 300``; figures in RESULTS.md.
"""

from __future__ import annotations

from collections import Counter

import pytest

from tests.second.asked import Saw, Stock
from tests.second.bounds import check_seed
from tests.second.least import Box, Least, _Model, least_cost

_FEW = 9
_ALL = 300


@pytest.mark.parametrize(
    "seed", [*range(_FEW), *(pytest.param(k, marks=pytest.mark.deep) for k in range(_FEW, _ALL))]
)
def test_no_plan_of_the_model_costs_less_than_a_bound(seed: int) -> None:
    tally: Counter[str] = Counter()
    assert check_seed(seed, tally) == []
    assert tally["bounds held against the model"] or tally["jobs without a plan"]


def a_sheet(length: float, width: float, price: int, count: int | None = None) -> Stock:
    saw = Saw(kerf_mm=2.0, gap_mm=0.0)
    return Stock("ply", "sheet", "ply", 6.0, length, width, price, count, saw)


def solved(boxes: list[Box], stocks: list[Stock], most: int) -> Least | None:
    return least_cost(_Model(), boxes, stocks, {"ply": 2.0}, most).solve(20.0)


def test_the_model_knows_the_saw() -> None:
    """Two halves don't come out of a sheet with a saw between them; a little less than half do."""
    half, less = Box(sizes=((500.0, 400.0),)), Box(sizes=((499.0, 400.0),))
    assert solved([half, half], [a_sheet(1000, 400, 30)], 2) == Least(60.0, 60.0)
    assert solved([less, less], [a_sheet(1000, 400, 30)], 2) == Least(30.0, 30.0)


def test_the_model_lays_five_in_a_ring() -> None:
    """Four round one: no cut goes through, and no other way fits (a pinwheel)."""
    long, small = Box(sizes=((600.0, 398.0), (398.0, 600.0))), Box(sizes=((198.0, 198.0),))
    boxes = [long, long, long, long, small]
    assert solved(boxes, [a_sheet(1000, 1000, 30)], 2) == Least(30.0, 30.0)


def test_the_model_takes_what_lies_in_the_shed() -> None:
    half = Box(sizes=((500.0, 400.0),))
    stocks = [a_sheet(600, 400, 0, count=1), a_sheet(1000, 400, 30)]
    assert solved([half, half], stocks, 2) == Least(30.0, 30.0)
