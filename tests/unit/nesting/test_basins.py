"""Basins: little overlap is drawn most often, and what leads nowhere moves back."""

from __future__ import annotations

import numpy as np

from nestcut.nesting.strips.basins import MOST, Basins


def poses(k: int) -> np.ndarray:
    return np.full((1, 6), float(k))


def draws(basins: Basins, times: int) -> list[int]:
    rng = np.random.default_rng(0)
    return [int(basins.draw(rng)[0, 0]) for _ in range(times)]


def test_little_overlap_is_drawn_most_often() -> None:
    basins = Basins()
    for k in (3, 1, 2):
        basins.add(float(k), poses(k))

    drawn = draws(basins, 300)

    counts = [drawn.count(k) for k in (1, 2, 3)]
    assert counts[0] > counts[1] > counts[2] > 0


def test_a_layout_found_again_is_kept_once_and_moves_back() -> None:
    basins = Basins()
    basins.add(1.0, poses(1))
    basins.add(1.2, poses(2))
    for _ in range(3):
        basins.add(1.001, poses(3))  # the first one again, a hair worse

    assert [int(b.poses[0, 0]) for b in basins.kept] == [2, 1]


def test_a_better_copy_takes_the_place_of_what_it_copies() -> None:
    basins = Basins()
    basins.add(1.0, poses(1))
    basins.add(0.99, poses(2))

    assert [int(b.poses[0, 0]) for b in basins.kept] == [2]
    assert basins.kept[0].overlap == 0.99


def test_a_start_that_leads_elsewhere_wears_too() -> None:
    basins = Basins()
    basins.add(1.0, poses(1))
    draws(basins, 1)
    before = basins.kept[0].standing
    basins.add(5.0, poses(2))

    assert basins.kept[0].standing > before


def test_a_length_reached_forgets_all_and_there_is_an_end_to_what_is_kept() -> None:
    basins = Basins()
    for k in range(2 * MOST):
        basins.add(1.05**k, poses(k))
    assert len(basins.kept) == MOST
    assert int(basins.kept[0].poses[0, 0]) == 0

    basins.clear()
    assert not basins.kept
