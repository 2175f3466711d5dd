"""Loads: listed by area, guessed at, chosen together, laid out, dealt out."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import product

import numpy as np
import pytest

from nestcut.nesting.arrays import Bin, build
from nestcut.nesting.bins import BinSearch, first_layout, pack_bins
from nestcut.nesting.loads.choice import Shelf, likeliest, next_below
from nestcut.nesting.loads.kinds import kinds_of, loads_within
from nestcut.nesting.loads.odds import Odds
from nestcut.nesting.loads.search import LoadSearch
from nestcut.nesting.loads.trial import Trial
from nestcut.nesting.problem import Budget, Container, Item, Problem, Turns
from nestcut.nesting.separation import Purse
from nestcut.search.settings import Deadline
from tests.unit.nesting.layouts import ELL, assert_valid, box, sheet

QUARTERS = Turns(centres_deg=(0.0, 90.0, 180.0, 270.0))


def planks(*lengths: float) -> tuple[Item, ...]:
    """One unit high: on sheets of that height their lengths alone decide."""
    return tuple(Item(id=f"{k:02}", outline=box(length, 1.0)) for k, length in enumerate(lengths))


def problem_of(items: tuple[Item, ...], *containers: Container) -> Problem:
    return Problem(items=items, containers=containers)


def test_items_are_alike_by_shape_and_freedom() -> None:
    turning = Item(id="x", outline=box(3.0, 1.0), turns=QUARTERS)
    kinds = kinds_of(build(problem_of((*planks(3, 5, 3), turning), sheet(9.0, 9.0))))

    assert kinds.items == ((1,), (0, 2), (3,))
    assert kinds.demand.tolist() == [1, 2, 1]


def test_loads_are_all_counts_that_the_area_allows() -> None:
    kinds = kinds_of(build(problem_of(planks(5, 3, 3, 2, 2, 2), sheet(10.0, 1.0))))
    loads = loads_within(kinds, 10.0, 1000)

    expected = {
        counts
        for counts in product(range(2), range(3), range(4))
        if any(counts) and np.dot(counts, (5, 3, 2)) <= 10
    }
    assert loads is not None
    assert sorted(map(tuple, loads.tolist())) == sorted(expected)
    assert loads_within(kinds, 10.0, len(expected) - 1) is None


def odds_of_planks() -> Odds:
    kinds = kinds_of(build(problem_of(planks(5, 3, 3, 2, 2, 2), sheet(10.0, 1.0))))
    loads = loads_within(kinds, 10.0, 1000)
    assert loads is not None
    return Odds(loads, kinds.area, 10.0, 0.8)


def test_a_known_load_takes_the_doubt_from_all_that_hold_no_more() -> None:
    odds = odds_of_planks()
    before = odds.doubt()
    odds.know(np.array([1, 0, 2]), 7)
    after = odds.doubt()

    for load, now, then in zip(odds.loads.tolist(), after, before, strict=True):
        within = load[1] == 0 and load[2] <= 2
        assert now == (0.0 if within else then)
    assert sorted(set(odds.known.tolist())) == [-1, 7]
    worth = [tuple(odds.loads[k]) for k in odds.worth_a_look(after)]
    assert (1, 0, 2) in worth
    assert (1, 0, 1) not in worth


def test_a_miss_makes_what_holds_more_less_likely_and_a_hit_the_opposite() -> None:
    odds = odds_of_planks()
    number = {tuple(load): k for k, load in enumerate(odds.loads.tolist())}
    before = odds.doubt()
    odds.miss(number[1, 1, 0])
    after = odds.doubt()
    assert after[number[1, 1, 1]] > before[number[1, 1, 1]] + 1.0
    assert before[number[0, 2, 1]] < after[number[0, 2, 1]] < before[number[0, 2, 1]] + 1.0

    odds.hit(number[0, 2, 1])
    assert odds.doubt()[number[0, 2, 1]] < after[number[0, 2, 1]]


def test_the_choice_holds_all_within_the_cost() -> None:
    kinds = kinds_of(build(problem_of(planks(5, 5, 3, 3, 2, 2), sheet(10.0, 1.0))))
    loads = loads_within(kinds, 10.0, 1000)
    assert loads is not None
    # whatever is full is known to fit: two sheets hold it all
    odds = Odds(loads, kinds.area, 10.0, 1.1)
    shelf = Shelf(sheet(10.0, 1.0), odds)
    share = kinds.area / 10.0
    held = []
    for seed in range(5):
        rng = np.random.default_rng(seed)
        chosen = likeliest((shelf,), kinds.demand, share, 3.0, rng)
        assert len(chosen) <= 2
        held.append(sum(loads[k] for _, k in chosen).tolist())
        # below two sheets there is one
        assert len(likeliest((shelf,), kinds.demand, share, 2.0, rng)) == 1
    assert [2, 2, 2] in held


def test_the_next_lower_cost_is_one_that_prices_can_come_to() -> None:
    assert next_below(13.0, [1.0]) == pytest.approx(12.0, abs=1e-4)
    assert next_below(120.0, [60.0, 45.0, 0.0]) == pytest.approx(105.0, abs=1e-3)
    assert 120.0 > next_below(120.0, [math.pi, 45.0]) > 119.99


def test_a_container_is_chosen_no_oftener_than_there_are() -> None:
    kinds = kinds_of(build(problem_of(planks(5, 5, 5, 5), sheet(10.0, 1.0))))
    loads = loads_within(kinds, 5.0, 1000)
    assert loads is not None
    free = Container(id="offcut", outline=box(5.0, 1.0), cost=0.0, count=2)
    shelves = tuple(Shelf(c, Odds(loads, kinds.area, 5.0, 1.1)) for c in (free, sheet(5.0, 1.0)))
    for seed in range(10):
        rng = np.random.default_rng(seed)
        chosen = likeliest(shelves, kinds.demand, kinds.area / 5.0, 3.0, rng)
        assert sorted(s for s, _ in chosen) == [0, 0, 1, 1]


def test_a_load_is_laid_out_without_overlaps_or_comes_near() -> None:
    items = tuple(Item(id=str(k), outline=ELL, turns=QUARTERS) for k in range(4))
    arrays = build(problem_of(items, sheet(5.0, 4.0))).with_tables()
    trial = Trial(arrays, Bin(sheet(5.0, 4.0), 0), 0, "trial")

    purse = Purse(10**6, Deadline())
    two = trial.lay_out((1, 3), 20, purse)
    assert two.is_sound
    assert np.flatnonzero(two.poses[:, 0] >= 0).tolist() == [1, 3]
    assert 0 < purse.spent < 10**6

    small = Trial(arrays, Bin(sheet(4.5, 4.5), 0), 0, "small")
    assert not small.lay_out((0, 1, 2, 3), 2, purse).is_sound


def test_too_few_sheets_by_falling_size_are_found_by_loads() -> None:
    """Falling size lays 5 + 5, 4 + 4, 3 + 3 + 3 and 3; two of 4 + 3 + 3 need a sheet less."""
    problem = problem_of(planks(5, 5, 4, 4, 3, 3, 3, 3), sheet(10.0, 1.0))
    budget = Budget(passes=20_000)
    assert first_layout(problem, budget).cost == 4.0
    search = BinSearch(problem, budget)
    search.arrays = search.arrays.with_tables()
    loads = LoadSearch(search.arrays, search.areas, budget)
    first = search.first()
    loads.open(first)
    assert loads.is_open
    tried = (loads.go_on(first.cost, search.purse) for _ in range(50))
    found = next(f for f in map(search.finish, tried) if not f.unplaced and search.mended(f))
    assert found.cost == 3.0
    assert_valid(problem, found)


def test_more_loads_than_can_be_listed_leave_it_closed() -> None:
    items = planks(*(1.0 + k / 100 for k in range(40)))
    problem = problem_of(items, sheet(30.0, 1.0))
    search = BinSearch(problem, Budget(passes=10))
    loads = LoadSearch(search.arrays, search.areas, search.budget)
    loads.open(search.first())
    assert not loads.is_open


def test_loads_repeat_bit_for_bit() -> None:
    problem = problem_of(planks(5, 5, 4, 4, 3, 3, 3, 3), sheet(10.0, 1.0))
    one, two = (pack_bins(problem, Budget(passes=300, seed=3)) for _ in range(2))
    assert replace(one) == two
    assert_valid(problem, one)
