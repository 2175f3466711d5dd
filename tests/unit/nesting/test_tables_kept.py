"""No-fit tables are kept between searches of the same shapes: the same tables, bounded memory."""

from __future__ import annotations

import numpy as np

from nestcut.nesting.kernels.depth import Tables
from nestcut.nesting.problem import Item, Problem
from nestcut.nesting.separating import slots as room
from nestcut.nesting.separating.arrays import Arrays, build
from tests.unit.nesting.layouts import sheet


def _ells(long: float) -> Arrays:
    ring = np.array([[0, 0], [long, 0], [long, 1], [1, 1], [1, 3], [0, 3]], dtype=float)
    items = tuple(Item(id=f"ell {k}", outline=ring * (1.0 + k)) for k in range(3))
    return build(Problem(items=items, containers=(sheet(30.0, 30.0),)))


def _same(a: Tables, b: Tables) -> bool:
    ours, theirs = ((t.row, *t.nofits, *t.cells, t.hint) for t in (a, b))
    return all(np.array_equal(x, y) for x, y in zip(ours, theirs, strict=True))


def test_tables_of_the_same_shapes_are_laid_once_and_never_mixed_up() -> None:
    first, other = _ells(4.0).with_tables().world, _ells(4.001).with_tables().world
    again = _ells(4.0).with_tables().world
    assert again.tables.cells is first.tables.cells
    assert other.tables.cells is not first.tables.cells
    for arrays, world in ((_ells(4.0), again), (_ells(4.001), other)):
        fresh = room._worked_out(arrays.world.slots, arrays.n_fixed, arrays.n_tabled)
        assert _same(world.tables, fresh)


def test_what_a_search_writes_down_is_not_kept() -> None:
    first = _ells(5.0).with_tables().world.tables
    before = first.hint.copy()
    first.hint[:] += 1
    assert np.array_equal(_ells(5.0).with_tables().world.tables.hint, before)


def test_memory_is_bounded_and_the_longest_unasked_goes_first() -> None:
    tables = [_ells(6.0 + k).with_tables().world.tables for k in range(3)]
    size = max(room._bytes_of(t) for t in tables)
    kept = room._Kept(int(2.5 * size))
    for k in range(2):
        kept.put(k, tables[k])
    assert kept.get(0) is tables[0]
    kept.put(2, tables[2])
    assert [kept.get(k) is not None for k in range(3)] == [True, False, True]
    small = room._Kept(size - 1)
    large = max(tables, key=room._bytes_of)
    small.put("large", large)
    assert small.get("large") is None
