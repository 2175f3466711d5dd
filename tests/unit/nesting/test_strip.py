"""Fixed height, shortest length."""

from __future__ import annotations

import numpy as np
import pytest

from nestcut.nesting.problem import Budget, Container, Item, Nest, Problem, Turns
from nestcut.nesting.strips.strip import STRIP, bottom_left_strip, pack_strip
from tests.unit.nesting.layouts import DART, ELL, assert_valid, box

HALF = Turns(centres_deg=(0.0, 180.0))


def strip_problem(items: tuple[Item, ...], nest: Nest, height: float) -> Problem:
    return Problem(items=items, containers=(Container(id=STRIP, outline=box(nest.length, height)),))


def ells_and_darts(n: int) -> tuple[Item, ...]:
    return tuple(Item(id=f"{k:02}", outline=(ELL, DART)[k % 2], turns=HALF) for k in range(n))


def test_search_is_valid_and_shorter_than_bottom_left() -> None:
    items = ells_and_darts(16)
    plain = bottom_left_strip(items, 9.0)
    nest = pack_strip(items, 9.0, Budget(passes=400))

    assert_valid(strip_problem(items, plain, 9.0), plain)
    assert_valid(strip_problem(items, nest, 9.0), nest)
    assert nest.length < plain.length


def test_two_ells_interlock_exactly() -> None:
    """Two 4 x 3 ells with 1 wide arms, one half-turned, make a 5 x 3 block less a gap."""
    items = tuple(Item(id=str(k), outline=ELL, turns=HALF) for k in range(2))
    nest = pack_strip(items, 3.0, Budget(passes=600))

    assert nest.length == pytest.approx(5.0, abs=1e-6)


def test_a_cut_up_square_goes_together_again() -> None:
    """Zero waste: only the exact fit has length 10."""
    pieces = (
        [[0, 0], [4, 0], [6, 5], [0, 5]],
        [[4, 0], [10, 0], [10, 5], [6, 5]],
        [[0, 5], [3, 5], [5, 10], [0, 10]],
        [[3, 5], [10, 5], [10, 7], [5, 10]],
        [[10, 7], [10, 10], [5, 10]],
    )
    items = tuple(Item(id=str(k), outline=np.array(p, float)) for k, p in enumerate(pieces))
    nest = pack_strip(items, 10.0, Budget(passes=4000))

    assert_valid(strip_problem(items, nest, 10.0), nest)
    assert nest.length == pytest.approx(10.0, abs=1e-6)


def test_seed_and_work_decide_the_layout() -> None:
    items = ells_and_darts(10)
    budget = Budget(passes=120, seed=3)

    assert pack_strip(items, 7.0, budget) == pack_strip(items, 7.0, budget)


def test_no_work_gives_the_bottom_left_layout() -> None:
    items = ells_and_darts(6)

    assert pack_strip(items, 7.0, Budget(passes=0)).length <= bottom_left_strip(items, 7.0).length
