"""Linear programmes that move all items at once: squares whose answer is plain."""

from __future__ import annotations

import numpy as np
import pytest

from nestcut.nesting.problem import Container, Item, Problem
from nestcut.nesting.separating.arrays import build
from nestcut.nesting.separating.compaction import part, shorten
from nestcut.nesting.separating.separation import Search
from nestcut.search.settings import Deadline
from tests.unit.nesting.layouts import box, sheet
from tests.unit.nesting.test_slides import search_of

HALF = 1.0
"""Half the side of the squares. [mm]"""


def squares(container: Container, *places: tuple[float, float]) -> Search:
    """Squares of 2 by 2 with their middles at these places."""
    items = tuple(Item(id=f"{k}", outline=box(2.0, 2.0)) for k in range(len(places)))
    arrays = build(Problem(items=items, containers=(container,))).with_tables()
    return search_of(arrays, *places)


def test_overlaps_are_parted_by_what_they_are_deep() -> None:
    """0.1 deep along x, and 0.2 along y: together they move apart by just that."""
    search = squares(sheet(9.0, 9.0), (2.0, 2.0), (3.9, 2.0), (3.9, 3.8))

    shifts = part(search.arrays.world, search.state, Deadline())

    assert shifts is not None
    assert shifts.shape == (3, 2)
    assert shifts[1, 0] - shifts[0, 0] >= 0.1 - 1e-9
    assert shifts[2, 1] - shifts[1, 1] >= 0.2 - 1e-9
    search.shift_all(shifts)
    assert search.overlap == 0.0


@pytest.mark.parametrize(("begin", "place", "way"), [(0.0, 2.9, 1.0), (7.0, 6.1, -1.0)])
def test_what_a_container_blocks_stays_where_it_is(begin: float, place: float, way: float) -> None:
    """A square that lies 0.1 deep on a blocked band, to the left or to the right of it."""
    band = box(2.0, 9.0) + np.array([begin, 0.0])
    container = Container(id="sheet", outline=box(9.0, 9.0), blocked=(band,))
    search = squares(container, (place, 4.0))

    shifts = part(search.arrays.world, search.state, Deadline())

    assert shifts is not None
    assert way * shifts[0, 0] >= 0.1 - 1e-9
    search.shift_all(shifts)
    assert search.overlap == 0.0


@pytest.mark.parametrize("axis", [0, 1])
def test_an_end_is_pulled_in_until_all_touch(axis: int) -> None:
    """Three in a row with gaps of 0.05 and 0.1 from the frame on: their end comes to 6."""
    row = [(1.05, 1.0), (3.1, 1.0), (5.15, 1.0)]
    search = squares(sheet(9.0, 9.0), *((x, y) if axis == 0 else (y, x) for x, y in row))

    shifts = shorten(search.arrays.world, search.state, 0, axis, Deadline())

    assert shifts is not None
    search.shift_all(shifts)
    at = np.sort((search.state.x, search.state.y)[axis])
    assert at == pytest.approx([1.0, 3.0, 5.0], abs=1e-8)
    assert at[-1] + HALF == pytest.approx(6.0, abs=1e-8)
    assert search.overlap == 0.0


def test_an_end_comes_in_no_further_than_items_may_move() -> None:
    search = squares(sheet(9.0, 9.0), (5.0, 5.0))

    shifts = shorten(search.arrays.world, search.state, 0, 0, Deadline(), reach=0.15)

    assert shifts is not None
    assert shifts[0, 0] == pytest.approx(-0.15 * 2.0)
