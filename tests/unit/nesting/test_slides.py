"""Slides: into pockets exactly, never uphill, and to the least point of the lines."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import linprog

from nestcut.nesting.kernels.slides import FRAME, frame_lines, least_point, slide, weigh
from nestcut.nesting.kernels.world import overlap_cost
from nestcut.nesting.problem import Item, Problem, Turns
from nestcut.nesting.separating.arrays import Arrays, Bin, build
from nestcut.nesting.separating.separation import Search
from tests.unit.nesting.layouts import DART, ELL, box, sheet


def search_of(arrays: Arrays, *places: tuple[float, float]) -> Search:
    """All items in one container, unturned, the middle of each at its place."""
    search = Search(arrays, (Bin(arrays.problem.containers[0], 0),), 1, "test")
    for i, (x, y) in enumerate(places):
        search.put(i, 0, int(arrays.world.option_first[i]), 0.0, x, y)
    search.refresh()
    return search


def slid(search: Search, i: int, reach: float, jumps: int) -> tuple[float, float, float, float]:
    """Slide item i; return x, y, its cost there and its cost before."""
    world, state = search.arrays.world, search.state
    s, x, y = int(state.slot[i]), float(state.x[i]), float(state.y[i])
    before = overlap_cost(world, state, i, 0, s, x, y, 1e300)
    spot = np.array([x, y, before])
    slide(world, state, i, 0, s, spot, np.empty((16, 4)), (reach, jumps))
    return float(spot[0]), float(spot[1]), float(spot[2]), before


def test_a_square_slides_into_the_corner_between_two_others_exactly() -> None:
    """Squares of 2 by 2 at (1, 3) and (3, 1) leave (3, 3) and (1, 1); (3, 3) is the nearer one."""
    items = tuple(Item(id=f"{k}", outline=box(2.0, 2.0)) for k in range(3))
    arrays = build(Problem(items=items, containers=(sheet(4.0, 4.0),))).with_tables()
    search = search_of(arrays, (1.0, 3.0), (3.0, 1.0), (2.6, 2.5))

    x, y, cost, before = slid(search, 2, reach=2.0, jumps=8)

    assert before > 0.0
    assert cost == 0.0
    assert (x, y) == pytest.approx((3.0, 3.0), abs=1e-7)


def test_slides_never_end_deeper_or_outside() -> None:
    turns = Turns(centres_deg=(0.0,))
    items = tuple(
        Item(id=f"{k:02}", outline=(ELL, DART, box(2.0, 1.0))[k % 3], turns=turns)
        for k in range(12)
    )
    arrays = build(Problem(items=items, containers=(sheet(9.0, 9.0),))).with_tables()
    rng = np.random.default_rng(4)
    shallower = 0
    for _ in range(30):
        search = search_of(
            arrays, *((float(u), float(v)) for u, v in rng.uniform(2.5, 6.5, (12, 2)))
        )
        world, state = arrays.world, search.state
        for i in range(12):
            x, y, cost, before = slid(search, i, reach=1.5, jumps=8)
            s = int(state.slot[i])
            box_ = world.slots.box[s]
            assert cost <= before
            assert cost == overlap_cost(world, state, i, 0, s, x, y, 1e300)
            assert world.frame[0, 0] - 1e-9 <= x + box_[0]
            assert x + box_[2] <= world.frame[0, 2] + 1e-9
            assert world.frame[0, 1] - 1e-9 <= y + box_[1]
            assert y + box_[3] <= world.frame[0, 3] + 1e-9
            shallower += cost < before
    assert shallower > 180


@pytest.mark.parametrize("seed", range(20))
def test_the_least_point_is_a_linear_programme_s(seed: int) -> None:
    """Reference: scipy's HiGHS on min sum w_k t_k, t_k >= c_k - n_k p, t_k >= 0, p in the frame."""
    rng = np.random.default_rng(seed)
    arrays = build(
        Problem(items=(Item(id="a", outline=box(1.0, 1.0)),), containers=(sheet(8.0, 6.0),))
    )
    world, s = arrays.world, int(arrays.world.option_slot[0])
    m = int(rng.integers(1, 7))
    lines = np.empty((FRAME + m, 4))
    frame_lines(world, 0, s, lines)
    angles = rng.uniform(0.0, 2.0 * np.pi, m)
    normals = np.column_stack((np.cos(angles), np.sin(angles)))
    through = rng.uniform((0.5, 0.5), (7.5, 5.5), (m, 2))
    weights = rng.uniform(0.5, 5.0, m)
    lines[FRAME:] = np.column_stack((normals, (normals * through).sum(axis=1), weights))
    here = (4.0, 3.0)

    x, y, least = least_point(world, 0, s, lines, FRAME + m, here, 100.0)

    solved = linprog(
        np.concatenate(([0.0, 0.0], weights)),
        A_ub=np.column_stack((-normals, -np.eye(m))),
        b_ub=-lines[FRAME:, 2],
        bounds=[(0.5, 7.5), (0.5, 5.5)] + [(0.0, None)] * m,
    )
    assert least == pytest.approx(weigh(lines, FRAME + m, x, y, np.inf), abs=1e-12)
    assert least >= solved.fun - 1e-9
    # the frame's corners are not looked at, nor crossings of lines that are all but parallel
    px, py = solved.x[:2]
    in_corner = min(abs(px - 0.5), abs(px - 7.5)) + min(abs(py - 0.5), abs(py - 5.5)) < 1e-6
    assert in_corner or least <= solved.fun + 1e-9
