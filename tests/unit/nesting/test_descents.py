"""Descents: steps, patience, and taking turns."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from nestcut.nesting.problem import Budget
from nestcut.nesting.strips.descents import Descent, Found, Steps
from nestcut.nesting.strips.strip import StripSearch, strip_arrays
from tests.unit.nesting.layouts import assert_valid
from tests.unit.nesting.test_strip import ells_and_darts, strip_problem

STEPS = Steps()


def test_steps_get_shorter_with_failures_and_longer_again_with_success() -> None:
    descent = Descent(STEPS.explore)
    for _ in range(STEPS.failures):
        descent.fail(STEPS)
    assert descent.step == pytest.approx(0.6 * STEPS.explore)

    for _ in range(100):
        descent.fail(STEPS)
    assert descent.step == STEPS.explore_least

    descent.basins.add(1.0, np.zeros((1, 6)))
    descent.succeed(STEPS)
    assert descent.step == pytest.approx(1.5 * STEPS.explore_least)
    assert not descent.basins.kept


def test_patience_grows_with_what_a_layout_took() -> None:
    descent = Descent(STEPS.explore)
    assert descent.patience(STEPS, 10) == STEPS.least_idle * 10

    descent.spent = 1_000_000
    descent.keep(Found(5.0, np.empty((0, 5))))
    assert descent.length == 5.0
    assert descent.patience(STEPS, 10) == STEPS.idle_share * 1_000_000


def impatient(passes: int) -> StripSearch:
    """A search over ten items that soon begins again."""
    arrays = strip_arrays(ells_and_darts(10), 7.0, 0.0).with_tables()
    search = StripSearch(arrays, Budget(passes=passes, seed=5))
    search.steps = replace(STEPS, least_idle=10, explore_patience=(10, 20), squeeze_items=5)
    return search


def test_descents_take_turns_and_the_best_is_kept(monkeypatch: pytest.MonkeyPatch) -> None:
    search = impatient(6000)
    began: list[Descent] = [search.descent]
    begin_again = search.begin_again

    def spy() -> Descent:
        began.append(begin_again())
        return began[-1]

    monkeypatch.setattr(search, "begin_again", spy)
    nest = search.run(None, 0.8)

    assert len(began) > 2
    assert nest.length <= min(d.length for d in began) + 1e-9
    assert 0 < nest.found_after <= nest.work
    assert_valid(strip_problem(ells_and_darts(10), nest, 7.0), nest)
    # passes are counted to the descent that they went into, and the last squeeze is one of its own
    assert 0.75 * nest.work < sum(d.spent for d in began) <= nest.work


def test_no_other_descent_begins_where_none_would_get_as_far(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A start that took longer than all the work there is left is only gone on with."""
    first = impatient(1500).run(None, 0.8)
    search = impatient(1500)
    begun: list[int] = []
    monkeypatch.setattr(search, "begin_again", lambda: begun.append(1))
    nest = search.run(replace(first, found_after=10_000), 0.8)

    assert not begun
    assert nest.length <= first.length
