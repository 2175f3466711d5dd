"""Each compiled kernel against a slow double in numpy or shapely."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.nesting.kernels.bottomleft import leftmost, write_planes
from nestcut.nesting.kernels.cells import cell_depth
from nestcut.nesting.kernels.chance import below, shuffle, uniform
from nestcut.nesting.kernels.depth import pair_depth, pair_slope, pose_slot, slot_depth
from nestcut.nesting.kernels.world import overlap_cost, total_overlap
from nestcut.nesting.problem import FREE, Item, Problem, Turns
from nestcut.nesting.separating.arrays import Arrays, Bin, build
from nestcut.nesting.separating.bottomleft import room_for_planes
from nestcut.nesting.separating.separation import Search
from nestcut.nesting.separating.slots import no_tables
from tests.unit.nesting.layouts import DART, ELL, RING, RING_HOLE, box, sheet

HALF = Turns(centres_deg=(0.0, 180.0))


@pytest.fixture
def arrays() -> Arrays:
    """Four discrete shapes, one of them a ring, and a turning one; one sheet of 12 x 12."""
    items = (
        Item(id="ell", outline=ELL, turns=HALF),
        Item(id="dart", outline=DART, turns=HALF),
        Item(id="ring", outline=RING, holes=(RING_HOLE,)),
        Item(id="box", outline=box(2.0, 1.0)),
        Item(id="free", outline=ELL, turns=FREE),
    )
    return build(Problem(items=items, containers=(sheet(12.0, 12.0),))).with_tables()


def polygon_of(arrays: Arrays, s: int, dx: float = 0.0, dy: float = 0.0) -> BaseGeometry:
    """A slot as a polygon, from its convex parts."""
    slots = arrays.world.slots
    parts = [
        Polygon(np.column_stack((slots.x, slots.y))[slots.start[p] : slots.start[p + 1]])
        for p in range(slots.first[s], slots.first[s + 1])
    ]
    return affinity.translate(shapely.union_all(parts), dx, dy)


def least_shift(a: np.ndarray, b: np.ndarray) -> float:
    """Least shift that parts two convex rings: over all edge normals, in plain numpy."""
    depths = []
    for one, two in ((a, b), (b, a)):
        edges = np.roll(one, -1, axis=0) - one
        normals = np.column_stack((edges[:, 1], -edges[:, 0])) / np.hypot(*edges.T)[:, None]
        depths.append(((normals * one).sum(axis=1) - (normals @ two.T).min(axis=1)).min())
    return float(max(0.0, min(depths)))


def test_convex_depth_is_the_least_parting_shift(arrays: Arrays) -> None:
    slots, rng = arrays.world.slots, np.random.default_rng(1)
    s = int(arrays.world.option_slot[arrays.world.option_first[3]])
    ring = np.column_stack((slots.x, slots.y))[slots.start[slots.first[s]] :][:4]

    for dx, dy in rng.uniform(-2.5, 2.5, (200, 2)):
        expected = least_shift(ring, ring + np.array([dx, dy]))
        assert slot_depth(slots, s, s, dx, dy) == pytest.approx(expected, abs=1e-12)


def test_depth_is_positive_exactly_where_shapely_sees_overlap(arrays: Arrays) -> None:
    world, rng = arrays.world, np.random.default_rng(2)
    used = sorted({int(s) for s in world.option_slot})
    seen = 0
    for _ in range(400):
        a, b = (int(s) for s in rng.choice(used, 2))
        dx, dy = (float(v) for v in rng.uniform(-6.0, 6.0, 2))
        depth = pair_depth(world.slots, world.tables, a, b, dx, dy, 1e300)
        area = polygon_of(arrays, a).intersection(polygon_of(arrays, b, dx, dy)).area

        assert (depth > 1e-9) == (area > 1e-12), (a, b, dx, dy, depth, area)
        seen += depth > 0
    assert 50 < seen < 350


def test_table_depth_is_the_distance_to_the_no_fit_polygon(arrays: Arrays) -> None:
    """The no-fit polygon by its definition: the union of all differences of two shapes' parts."""
    world, rng = arrays.world, np.random.default_rng(3)
    first = world.option_first
    a, b = int(world.option_slot[first[0]]), int(world.option_slot[first[1] + 1])
    slots = world.slots
    corners = np.column_stack((slots.x, slots.y))
    hulls = [
        Polygon(_hull((p[:, None] - q[None]).reshape(-1, 2)))
        for p in _parts(corners, slots, a)
        for q in _parts(corners, slots, b)
    ]
    no_fit = shapely.union_all(hulls)
    for dx, dy in rng.uniform(-6.0, 6.0, (200, 2)):
        point = affinity.translate(
            Polygon([(0, 0), (1, 0), (0, 1)]).exterior.interpolate(0), dx, dy
        )
        inside = no_fit.contains(point)
        expected = no_fit.boundary.distance(point) if inside else 0.0
        depth = pair_depth(slots, world.tables, a, b, dx, dy, 1e300)
        assert depth == pytest.approx(expected, abs=1e-9)
        # the same pair asked the other way round
        other = pair_depth(slots, world.tables, b, a, -dx, -dy, 1e300)
        assert other == pytest.approx(depth, abs=1e-12)


def _parts(corners: np.ndarray, slots: object, s: int) -> list[np.ndarray]:
    first, start = slots.first, slots.start  # type: ignore[attr-defined]
    return [corners[start[p] : start[p + 1]] for p in range(first[s], first[s + 1])]


def _hull(points: np.ndarray) -> np.ndarray:
    from scipy.spatial import ConvexHull

    return np.asarray(points[np.asarray(ConvexHull(points).vertices)])


def test_turning_a_slot_is_a_rotation(arrays: Arrays) -> None:
    world = arrays.world
    base = int(world.option_slot[world.option_first[4]])
    own = int(world.own[4])
    pose_slot(world.slots, base, own, np.cos(0.7), np.sin(0.7))
    expected = affinity.rotate(polygon_of(arrays, base), np.degrees(0.7), origin=(0, 0))

    assert polygon_of(arrays, own).symmetric_difference(expected).area < 1e-12
    assert world.slots.box[own] == pytest.approx(expected.bounds)


def scattered(arrays: Arrays, seed: int) -> Search:
    bins = (Bin(arrays.problem.containers[0], 0),)
    search = Search(arrays.on(bins), bins, seed, "test")
    first = arrays.world.option_first
    for i in range(len(arrays.problem.items)):
        x, y = search.rng.uniform(4.0, 8.0, 2)
        search.put(i, 0, int(first[i]), 0.0, float(x), float(y))
    search.refresh()
    return search


def test_cost_and_total_agree_with_pair_by_pair_sums(arrays: Arrays) -> None:
    search = scattered(arrays, 4)
    world, state = search.arrays.world, search.state
    n = len(arrays.problem.items)
    depth = np.zeros((n, n))
    for i in range(n):
        for j in range(n):
            if i != j:
                dx, dy = state.x[i] - state.x[j], state.y[i] - state.y[j]
                depth[i, j] = pair_depth(
                    world.slots, world.tables, int(state.slot[j]), int(state.slot[i]), dx, dy, 1e300
                )
    share = np.sqrt(np.outer(world.size, world.size))
    expected = (depth * share).sum() / 2 + (state.wall_depth * world.size).sum()
    assert total_overlap(world, state) == pytest.approx(expected)

    state.weight[0, 1] = state.weight[1, 0] = 3.0
    cost = ((depth[0] + world.offset) * share[0] * state.weight[0])[depth[0] > 0].sum()
    slot = int(state.slot[0])
    x, y = float(state.x[0]), float(state.y[0])
    assert overlap_cost(world, state, 0, 0, slot, x, y, np.inf) == pytest.approx(cost)


@pytest.mark.parametrize("offset", [0.01, 1.0])
def test_a_cost_below_its_limit_is_whole_and_no_other_is_told_to_be_below(
    arrays: Arrays, offset: float
) -> None:
    rng, short = np.random.default_rng(11), 0
    for seed in range(40):
        search = scattered(arrays, seed)
        world, state = search.arrays.world._replace(offset=offset), search.state
        for i in range(len(arrays.problem.items)):
            place = (i, 0, int(state.slot[i]), float(state.x[i]), float(state.y[i]))
            whole = overlap_cost(world, state, *place, np.inf)
            for limit in whole * np.append(rng.uniform(0.2, 1.8, 20), 1.0):
                cost = overlap_cost(world, state, *place, limit)
                assert (cost < limit) == (whole < limit)
                assert cost == whole or cost >= limit
                short += cost < whole
    assert short > 100


def test_costs_after_an_item_was_taken_out_are_those_without_it(arrays: Arrays) -> None:
    """The last member takes its place on the list, and its box must come along."""
    for out in range(len(arrays.problem.items)):
        search = scattered(arrays, 4)
        world, state = search.arrays.world, search.state
        search.put(out, -1, 0, 0.0, 0.0, 0.0)
        for i in range(len(arrays.problem.items)):
            expected = 0.0
            s, x, y = int(state.slot[i]), float(state.x[i]), float(state.y[i])
            for j in range(len(arrays.problem.items)):
                if out not in {i, j} and i != j:
                    dx, dy = x - state.x[j], y - state.y[j]
                    of = int(state.slot[j])
                    depth = pair_depth(world.slots, world.tables, of, s, dx, dy, np.inf)
                    share = np.sqrt(world.size[i] * world.size[j])
                    expected += share * (depth + world.offset) * (depth > world.tolerance)
            if i != out:
                cost = overlap_cost(world, state, i, 0, s, x, y, np.inf)
                assert cost == pytest.approx(expected)


def test_leftmost_is_free_and_nothing_further_left_is(arrays: Arrays) -> None:
    search = scattered(arrays, 5)
    world, state = search.arrays.world, search.state
    s = int(world.option_slot[world.option_first[3]])
    others = [polygon_of(arrays, int(state.slot[i]), state.x[i], state.y[i]) for i in range(5)]
    pair, plane = room_for_planes(world, state, 0, s)
    write_planes(world, state, 0, s, pair, plane)
    for y in (3.0, 5.5, 7.25, 9.0):
        x = leftmost(world, state, 0, s, y, 1.0, 11.0, pair, plane)
        me = polygon_of(arrays, s, x, y)
        assert max(me.intersection(o).area for o in others) < 1e-6
        for earlier in np.arange(1.0, x - 1e-6, 0.05):
            there = polygon_of(arrays, s, earlier, y)
            assert max(there.intersection(o).area for o in others) > 0.0


def test_a_depth_cut_short_is_still_enough(arrays: Arrays) -> None:
    world, rng = arrays.world, np.random.default_rng(7)
    used = sorted({int(s) for s in world.option_slot if s < world.tables.row.shape[0]})
    short = 0
    for _ in range(2000):
        a, b = (int(s) for s in rng.choice(used, 2))
        dx, dy = (float(v) for v in rng.uniform(-3.0, 3.0, 2))
        enough = float(rng.uniform(0.0, 1.0))
        whole = pair_depth(world.slots, world.tables, a, b, dx, dy, 1e300)
        depth = pair_depth(world.slots, world.tables, a, b, dx, dy, enough)

        assert depth <= whole + 1e-12
        assert depth >= min(whole, enough) - 1e-12
        short += depth < whole - 1e-9
    assert short > 50


@pytest.mark.parametrize("known", ["cells", "corners"])
def test_the_slope_leads_out_by_the_depth(arrays: Arrays, known: str) -> None:
    """Reference: shapely. Without cells only convex pairs: their depth is one half-plane's."""
    tabled = known == "cells"
    world, rng = arrays.world, np.random.default_rng(11)
    tables = world.tables if tabled else no_tables()
    used = sorted({int(s) for s in world.option_slot if s < world.tables.row.shape[0]})
    slots = world.slots
    tried = 0
    for _ in range(4000):
        a, b = (int(s) for s in rng.choice(used, 2))
        convex = slots.first[a + 1] - slots.first[a] == slots.first[b + 1] - slots.first[b] == 1
        dx, dy = (float(v) for v in rng.uniform(-3.0, 3.0, 2))
        depth = pair_depth(slots, tables, a, b, dx, dy, 1e300)
        if depth < 1e-3 or not (tabled or convex):
            continue
        nx, ny = pair_slope(slots, tables, a, b, dx, dy, depth, 1e-6)
        if nx == ny == 0.0:  # on a ridge
            continue
        here, there = polygon_of(arrays, a, 0.0, 0.0), polygon_of(arrays, b, dx, dy)
        gone, short = (
            affinity.translate(there, k * depth * nx, k * depth * ny) for k in (1.0001, 0.99)
        )

        assert np.hypot(nx, ny) == pytest.approx(1.0)
        assert here.intersection(gone).area < 1e-6
        assert here.intersection(short).area > 0.0
        tried += 1
    assert tried > 20


def test_cells_agree_with_the_half_planes_they_leave_out(arrays: Arrays) -> None:
    """Outside and inside are told as without cells, on the edges of cells too."""
    tables, rng = arrays.world.tables, np.random.default_rng(8)
    nofits, head = tables.nofits, tables.cells.head
    rows = np.flatnonzero(head[:, 6] > 0)
    assert len(rows) > 5
    for row in rows:
        for _ in range(100):
            cell = np.floor(rng.uniform(-1.0, head[row, 5] + 1.0, 2))
            dx, dy = head[row, :2] + (cell + rng.uniform(size=2).round()) / head[row, 2:4]
            depths = [
                (nofits.c[e0:e1] - nofits.nx[e0:e1] * dx - nofits.ny[e0:e1] * dy).min()
                for k in range(nofits.pair[row], nofits.pair[row + 1])
                for e0, e1 in [nofits.plane[k : k + 2]]
            ]
            depth = cell_depth(tables.cells, int(row), dx, dy, 1e300)
            if max(depths) > 1e-9:
                assert depth >= max(depths) - 1e-9
            if max(depths) < -1e-9:
                assert depth == 0.0


def test_chance_is_uniform_and_repeats() -> None:
    state = np.array([12345], dtype=np.uint64)
    again = state.copy()
    numbers = np.array([uniform(state) for _ in range(4000)])

    assert numbers.min() >= 0.0
    assert numbers.max() < 1.0
    assert abs(numbers.mean() - 0.5) < 0.02
    assert [uniform(again) for _ in range(5)] == list(numbers[:5])
    assert {below(state, 3) for _ in range(100)} == {0, 1, 2}
    order = np.arange(9)
    shuffle(state, order, 9)
    assert sorted(order) == list(range(9))
