"""Reliefs: the overlap as measured place by place, hollows found, and only where they serve."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from nestcut.nesting.kernels.candidates import COST, OPTION, X, Y
from nestcut.nesting.kernels.survey import survey
from nestcut.nesting.kernels.world import overlap_cost, overlap_field, places
from nestcut.nesting.problem import FREE, Container, Item, Problem, Turns
from nestcut.nesting.separating.arrays import Arrays, Bin, build
from nestcut.nesting.separating.reliefs import common_step, square_share
from nestcut.nesting.separating.separation import Search
from nestcut.tolerances.search import DEPTH_OFFSET, GRID_OFFSET
from tests.unit.nesting.layouts import DART, ELL, RING, RING_HOLE, box, sheet

MITRE = np.array([[0.0, 0.0], [5.0, 0.0], [5.0, 1.0], [3.0, 3.0], [0.0, 3.0]])
QUARTERS = Turns(centres_deg=(0.0, 90.0, 180.0, 270.0))


def arrays_of(*items: Item, container: Container | None = None) -> Arrays:
    return build(Problem(items=items, containers=(container or sheet(9.0, 7.0),))).with_tables()


def laid(arrays: Arrays, seed: int, step: float) -> Search:
    """All items in the one container, each at a place of the grid of ``step``, in any turn."""
    search = Search(arrays, (Bin(arrays.problem.containers[0], 0),), seed, "test")
    rng, world = np.random.default_rng(seed), arrays.world
    for i in range(len(arrays.problem.items)):
        first, last = world.option_first[i], world.option_first[i + 1]
        option = int(rng.integers(first, last))
        reach = world.slots.box[world.option_slot[option]]
        room = world.frame[0, 2:] - (reach[2:] - reach[:2])
        x, y = step * rng.integers(0, np.floor(room / step) + 1) - reach[:2]
        search.put(i, 0, option, float(world.option_turn[option]), float(x), float(y))
    search.refresh()
    return search


@pytest.mark.parametrize("seed", range(4))
def test_a_field_is_the_overlap_measured_at_each_of_its_places(seed: int) -> None:
    outlines = (ELL, MITRE, box(2.0, 1.0), 0.5 * ELL)
    arrays = arrays_of(
        *(Item(id=f"{k}", outline=o, turns=QUARTERS) for k, o in enumerate(outlines)),
        Item(id="ring", outline=RING, holes=(RING_HOLE,), turns=QUARTERS),
    )
    world, search = arrays.world, laid(arrays, seed, 0.5)
    assert world.relief.pitch == pytest.approx(0.5)
    rng = np.random.default_rng(seed)
    search.state.weight[:] = np.triu(rng.uniform(1.0, 9.0, search.state.weight.shape))
    search.state.weight[:] += search.state.weight.T
    seen = 0
    for i in range(len(outlines) + 1):
        for option in range(world.option_first[i], world.option_first[i + 1]):
            s = int(world.option_slot[option])
            across, up = places(world, 0, s)
            overlap_field(world, search.state, i, 0, s, across, up)
            x0, y0 = -world.slots.box[s, :2]
            for k in range(0, across * up, 3):
                x, y = x0 + 0.5 * (k % across), y0 + 0.5 * (k // across)
                cost = overlap_cost(world, search.state, i, 0, s, x, y, 1e300)
                assert search.state.field[k] == pytest.approx(cost, rel=1e-5, abs=1e-5)
                seen += cost > 0.0
    assert seen > 500


def test_the_one_place_that_is_left_is_found() -> None:
    """An L of three squares and its twin, half turned, fill 3 by 2; only one turn in four fits."""
    three = np.array([[0.0, 0.0], [2.0, 0.0], [2.0, 1.0], [1.0, 1.0], [1.0, 2.0], [0.0, 2.0]])
    items = tuple(Item(id=f"{k}", outline=three, turns=QUARTERS) for k in range(2))
    arrays = arrays_of(*items, container=sheet(3.0, 2.0))
    world = arrays.world
    for seed in range(5):
        search = Search(arrays, (Bin(arrays.problem.containers[0], 0),), seed, "test")
        search.put(0, 0, int(world.option_first[0]), 0.0, 1.0, 1.0)
        search.put(1, 0, int(world.option_first[1]) + 1, np.pi / 2, 1.0, 1.0)
        search.refresh()
        top = np.full((3, 6), 1e300)
        assert survey(world, search.state, 1, 0, top)
        assert top[0, COST] == 0.0
        assert top[0, OPTION] == world.option_first[1] + 2
        assert (top[0, X], top[0, Y]) == pytest.approx((2.0, 1.0))
        assert (np.diff(top[:, COST]) >= 0.0).all()


def test_on_a_grid_an_overlap_counts_however_shallow() -> None:
    """A third of an item's size each; elsewhere a thousandth, so that depth is what counts."""
    square = tuple(Item(id=f"{k}", outline=ELL, turns=QUARTERS) for k in range(3))
    sloping = tuple(Item(id=f"{k}", outline=DART, turns=QUARTERS) for k in range(3))
    for items, share in ((square, GRID_OFFSET), (sloping, DEPTH_OFFSET)):
        arrays = arrays_of(*items)
        world, search = arrays.world, laid(arrays, 1, 1.0)
        for i in (0, 1):
            search.put(i, 0, int(world.option_first[i]), 0.0, 2.0, 2.0)
        search.put(2, 0, int(world.option_first[2]), 0.0, 6.5, 6.5)
        search.refresh()
        first = overlap_cost(world, search.state, 0, 0, int(search.state.slot[0]), 2.0, 2.0, np.inf)
        deep = float(search.state.depth[0, 1])
        assert first == pytest.approx(world.size[0] * (deep + share * world.size[0]))


def test_what_lies_off_the_grid_is_measured_where_it_lies() -> None:
    items = tuple(Item(id=f"{k}", outline=ELL, turns=QUARTERS) for k in range(4))
    arrays = arrays_of(*items)
    search = laid(arrays, 3, 0.37)
    for i in range(4):
        top = np.full((3, 6), 1e300)
        assert survey(arrays.world, search.state, i, 0, top)
        for row in top[top[:, COST] < 1e300]:
            s = int(arrays.world.option_slot[int(row[OPTION])])
            cost = overlap_cost(arrays.world, search.state, i, 0, s, row[X], row[Y], 1e300)
            assert row[COST] == pytest.approx(cost)


def test_a_grid_has_the_greatest_step_that_all_corners_lie_on() -> None:
    def step(*outlines: np.ndarray) -> float:
        return common_step(tuple(Item(id=str(k), outline=o) for k, o in enumerate(outlines)))

    assert step(ELL) == pytest.approx(1.0)
    assert step(6.0 * ELL + 0.77, 4.0 * box(2.0, 1.0)) == pytest.approx(2.0)
    assert step(0.1 * ELL, 0.25 * MITRE) == pytest.approx(0.05)
    assert step(ELL, np.sqrt(2.0) * ELL) < 1e-3
    ring = Item(id="ring", outline=RING, holes=(0.5 * RING_HOLE,))
    assert common_step((ring,)) == pytest.approx(0.5)


def test_a_relief_is_worked_out_only_where_it_serves() -> None:
    plate = Item(id="plate", outline=MITRE, turns=QUARTERS)
    slanted = Item(id="dart", outline=DART, turns=QUARTERS)
    assert square_share((plate,)) == 1.0
    assert square_share((slanted,)) == pytest.approx(
        6.0 / (6.0 + 2.0 * np.hypot(1.8, 1.2)), rel=1e-9
    )
    assert arrays_of(plate).world.relief.head.shape[0] > 0

    hole = replace(sheet(9.0, 7.0), blocked=(box(2.0, 2.0),))
    without = [
        arrays_of(slanted),
        arrays_of(replace(plate, turns=FREE)),
        arrays_of(replace(plate, turns=Turns(centres_deg=(0.0, 30.0)))),
        arrays_of(plate, container=hole),
        arrays_of(plate, Item(id="fine", outline=MITRE / 700.0, turns=QUARTERS)),
    ]
    for arrays in without:
        assert arrays.world.relief.head.shape[0] == 0
