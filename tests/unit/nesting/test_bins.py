"""Several containers: valid, complete, cheap, repeatable."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from nestcut.model.plan import StopReason
from nestcut.model.pose import Lie
from nestcut.nesting.problem import FREE, Budget, Container, Item, Nest, Problem, Turns
from nestcut.nesting.separating.bins import first_layout, pack_bins, settle
from nestcut.search.settings import Deadline
from tests.unit.nesting.layouts import DART, ELL, RING, RING_HOLE, assert_valid, box, faults, sheet

HALF = Turns(centres_deg=(0.0, 180.0))
QUARTERS = Turns(centres_deg=(0.0, 90.0, 180.0, 270.0))


def mixed_items(n: int) -> tuple[Item, ...]:
    return tuple(
        Item(
            id=f"{k:02}",
            outline=(ELL, DART, box(2.0, 1.0))[k % 3],
            turns=(HALF, FREE, QUARTERS)[k % 3],
            lies=(Lie.FACE_UP, Lie.FACE_DOWN) if k % 2 else (Lie.FACE_UP,),
        )
        for k in range(n)
    )


def test_first_layout_is_valid() -> None:
    problem = Problem(items=mixed_items(18), containers=(sheet(8.0, 6.0),))
    nest = first_layout(problem, Budget(passes=0))

    assert_valid(problem, nest)
    assert nest.unplaced == ()
    assert nest.cost == len(nest.used)


def test_packing_is_valid_and_no_dearer_than_the_first_layout() -> None:
    problem = Problem(items=mixed_items(24), containers=(sheet(8.0, 6.0),))
    first = first_layout(problem, Budget(passes=0))
    nest = pack_bins(problem, Budget(passes=100))

    assert_valid(problem, nest)
    assert nest.cost <= first.cost


def test_four_squares_fill_a_sheet() -> None:
    items = tuple(Item(id=str(k), outline=box(2.0, 2.0)) for k in range(4))
    problem = Problem(items=items, containers=(sheet(4.0, 4.0),))
    nest = pack_bins(problem, Budget(passes=100))

    assert_valid(problem, nest)
    assert len(nest.used) == 1
    assert nest.stopped_by is StopReason.PROVEN


def test_the_same_seed_and_work_repeat_bit_for_bit() -> None:
    problem = Problem(items=mixed_items(24), containers=(sheet(8.0, 6.0),))
    one = pack_bins(problem, Budget(passes=60, seed=5))
    two = pack_bins(problem, Budget(passes=60, seed=5))

    assert one == two


def test_what_costs_nothing_is_used_first() -> None:
    offcut = Container(id="offcut", outline=box(4.0, 3.0), cost=0.0, count=1)
    items = (Item(id="a", outline=box(3.0, 2.0)),)
    problem = Problem(items=items, containers=(sheet(8.0, 6.0), offcut))
    nest = pack_bins(problem, Budget(passes=20))

    assert nest.used == (("offcut", 0),)
    assert nest.cost == 0.0


def test_a_dear_large_sheet_gives_way_to_a_cheap_small_one() -> None:
    small = Container(id="small", outline=box(4.0, 3.0), cost=1.0)
    large = Container(id="large", outline=box(8.0, 6.0), cost=3.0)
    items = tuple(Item(id=str(k), outline=box(3.9, 2.9)) for k in range(2))
    problem = Problem(items=items, containers=(large, small))
    start = pack_bins(replace(problem, containers=(large,)), Budget(passes=20))
    nest = pack_bins(problem, Budget(passes=100), start)

    assert_valid(problem, nest)
    assert nest.cost == 2.0


def test_stock_that_runs_out_leaves_pieces_unplaced() -> None:
    items = tuple(Item(id=str(k), outline=box(3.0, 3.0)) for k in range(3))
    problem = Problem(items=items, containers=(sheet(4.0, 4.0, count=2),))
    nest = pack_bins(problem, Budget(passes=50))

    assert_valid(problem, nest)
    assert len(nest.unplaced) == 1


def test_a_piece_larger_than_any_container_is_unplaced() -> None:
    items = (Item(id="big", outline=box(9.0, 1.0)), Item(id="ok", outline=box(1.0, 1.0)))
    problem = Problem(items=items, containers=(sheet(4.0, 4.0),))
    nest = pack_bins(problem, Budget(passes=50))

    assert nest.unplaced == ("big",)
    assert [p.item for p in nest.placements] == ["ok"]


def test_nothing_to_place_is_an_empty_layout() -> None:
    assert pack_bins(Problem(items=(), containers=(sheet(1, 1),)), Budget(passes=5)) == Nest(
        placements=()
    )


def test_irregular_container_and_blocked_area_are_kept() -> None:
    outline = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 4.0], [5.0, 4.0], [5.0, 8.0], [0.0, 8.0]])
    knot = np.array([[2.0, 2.0], [3.0, 2.0], [3.0, 3.0], [2.0, 3.0]])
    container = Container(id="offcut", outline=outline, blocked=(knot,), count=1)
    problem = Problem(items=mixed_items(9), containers=(container, sheet(8.0, 6.0)))
    nest = pack_bins(problem, Budget(passes=100))

    assert_valid(problem, nest)
    assert "offcut" in {kind for kind, _ in nest.used}


def test_small_item_goes_into_a_usable_hole() -> None:
    ring = Item(id="ring", outline=RING, holes=(RING_HOLE,))
    core = Item(id="core", outline=box(3.5, 3.5))
    problem = Problem(items=(ring, core), containers=(sheet(6.5, 6.5),))

    assert_valid(problem, pack_bins(problem, Budget(passes=100)))
    assert len(pack_bins(problem, Budget(passes=100)).used) == 1
    solid = replace(problem, items=(replace(ring, holes=()), core))
    assert len(pack_bins(solid, Budget(passes=20)).used) == 2


def test_a_long_bar_fits_only_when_turned_a_little() -> None:
    bar = box(10.2, 0.5)
    container = Container(id="s", outline=box(10.0, 4.0), count=1)
    straight = Item(id="bar", outline=bar)
    turning = replace(straight, turns=Turns(span_deg=20.0))

    def alone(item: Item, passes: int) -> Nest | None:
        problem = Problem(items=(item,), containers=(container,))
        return settle(problem, (("s", 0),), Budget(passes=passes))

    assert alone(straight, 50) is None
    nest = alone(turning, 100)
    assert nest is not None
    assert_valid(Problem(items=(turning,), containers=(container,)), nest)


def test_settle_says_no_where_the_area_is_too_small() -> None:
    items = tuple(Item(id=str(k), outline=box(2.0, 2.0)) for k in range(5))
    problem = Problem(items=items, containers=(sheet(4.0, 4.0),))

    assert settle(problem, (("sheet", 0),), Budget(passes=50)) is None
    nest = settle(problem, (("sheet", 0), ("sheet", 1)), Budget(passes=50))
    assert nest is not None
    assert_valid(problem, nest)


def test_a_deadline_that_is_over_still_gives_the_first_layout() -> None:
    deadline = Deadline()
    deadline.interrupt()
    problem = Problem(items=mixed_items(12), containers=(sheet(8.0, 6.0),))
    nest = pack_bins(problem, Budget(passes=1000, deadline=deadline))

    assert_valid(problem, nest)
    assert nest.stopped_by is StopReason.INTERRUPTED


def test_every_better_layout_is_told() -> None:
    told: list[Nest] = []
    problem = Problem(items=mixed_items(24), containers=(sheet(8.0, 6.0),))
    nest = pack_bins(problem, Budget(passes=150, progress=told.append))

    assert told[-1].placements == nest.placements
    assert [n.cost for n in told] == sorted((n.cost for n in told), reverse=True)
    assert all(faults(problem, n) == [] for n in told)


@pytest.mark.parametrize("seed", range(3))
def test_free_triangles_pair_into_squares(seed: int) -> None:
    triangle = np.array([[0.0, 0.0], [2.0, 0.0], [0.0, 2.0]])
    items = tuple(Item(id=str(k), outline=triangle, turns=FREE) for k in range(4))
    problem = Problem(items=items, containers=(sheet(2.05, 4.1),))
    nest = pack_bins(problem, Budget(passes=400, seed=seed))

    assert_valid(problem, nest)
    assert len(nest.used) == 1
