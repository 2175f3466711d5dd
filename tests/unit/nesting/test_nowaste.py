"""Dividing items into sets that fill a container to the last bit."""

from __future__ import annotations

import numpy as np
import pytest

from nestcut.nesting.bins import pack_bins
from nestcut.nesting.nowaste import full_sets
from nestcut.nesting.problem import FREE, Budget, Item, Problem
from nestcut.search.settings import Deadline
from tests.unit.nesting.layouts import assert_valid, box, sheet


def test_areas_that_must_go_together() -> None:
    areas = [0.6, 0.55, 0.45, 0.25, 0.15, 0.7, 0.3]
    sets = full_sets(areas, 1.0, Deadline())

    assert sets is not None
    assert sorted(i for s in sets for i in s) == list(range(7))
    assert all(sum(areas[i] for i in s) == pytest.approx(1.0) for s in sets)


def test_no_division_is_none() -> None:
    assert full_sets([0.6, 0.6, 0.4, 0.3999], 1.0, Deadline()) is None


def test_two_cut_up_squares_are_put_together_again() -> None:
    cuts = (
        np.array([[0.0, 0.0], [4.0, 0.0], [6.0, 10.0], [0.0, 10.0]]),
        np.array([[4.0, 0.0], [10.0, 0.0], [10.0, 10.0], [6.0, 10.0]]),
        np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 3.0], [0.0, 7.5]]),
        np.array([[0.0, 7.5], [10.0, 3.0], [10.0, 10.0], [0.0, 10.0]]),
    )
    items = tuple(Item(id=str(k), outline=c, turns=FREE) for k, c in enumerate(cuts))
    problem = Problem(items=items, containers=(sheet(10.0, 10.0),))
    nest = pack_bins(problem, Budget(passes=4000))

    assert_valid(problem, nest)
    assert len(nest.used) == 2


def test_equal_squares_are_found_by_area() -> None:
    items = tuple(Item(id=str(k), outline=box(5.0, 5.0)) for k in range(8))
    problem = Problem(items=items, containers=(sheet(10.0, 10.0),))

    assert len(pack_bins(problem, Budget(passes=500)).used) == 2


def test_a_search_for_sets_ends_with_its_time() -> None:
    """Called off, it finds nothing, though a division exists that takes many steps."""
    rng = np.random.default_rng(3)
    cuts = [np.diff([0.0, *np.sort(rng.random(7)), 1.0]) for _ in range(12)]
    areas = [float(a) for cut in cuts for a in cut]
    off = Deadline()
    off.interrupt()
    looked = 0

    def count() -> float:
        nonlocal looked
        looked += 1
        return float(looked)

    assert full_sets(areas, 1.0, off) is None
    assert full_sets(areas, 1.0, Deadline(2.0, count)) is None
    assert 1 < looked < 10
