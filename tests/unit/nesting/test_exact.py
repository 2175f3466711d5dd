"""Dividing items into sets that fill a container to the last bit."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from nestcut.geometry.pose import move_point
from nestcut.model.pose import Lie, Pose
from nestcut.nesting.exact.areas import full_sets
from nestcut.nesting.exact.jigsaw import Jigsaw
from nestcut.nesting.problem import FREE, Budget, Item, Nest, Problem, Turns
from nestcut.nesting.separating.bins import pack_bins
from nestcut.search.settings import Deadline
from nestcut.search.streams import stream
from tests.unit.nesting.layouts import assert_valid, box, sheet


def test_areas_that_must_go_together() -> None:
    areas = [0.6, 0.55, 0.45, 0.25, 0.15, 0.7, 0.3]
    sets = full_sets(areas, 1.0, Deadline())

    assert sets is not None
    assert sorted(i for s in sets for i in s) == list(range(7))
    assert all(sum(areas[i] for i in s) == pytest.approx(1.0) for s in sets)


def test_no_division_is_none() -> None:
    assert full_sets([0.6, 0.6, 0.4, 0.3999], 1.0, Deadline()) is None


def test_two_cut_up_squares_are_put_together_again() -> None:
    cuts = (
        np.array([[0.0, 0.0], [4.0, 0.0], [6.0, 10.0], [0.0, 10.0]]),
        np.array([[4.0, 0.0], [10.0, 0.0], [10.0, 10.0], [6.0, 10.0]]),
        np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 3.0], [0.0, 7.5]]),
        np.array([[0.0, 7.5], [10.0, 3.0], [10.0, 10.0], [0.0, 10.0]]),
    )
    items = tuple(Item(id=str(k), outline=c, turns=FREE) for k, c in enumerate(cuts))
    problem = Problem(items=items, containers=(sheet(10.0, 10.0),))
    nest = pack_bins(problem, Budget(passes=4000))

    assert_valid(problem, nest)
    assert len(nest.used) == 2


def test_equal_squares_are_found_by_area() -> None:
    items = tuple(Item(id=str(k), outline=box(5.0, 5.0)) for k in range(8))
    problem = Problem(items=items, containers=(sheet(10.0, 10.0),))

    assert len(pack_bins(problem, Budget(passes=500)).used) == 2


def test_a_search_for_sets_ends_with_its_time() -> None:
    """Called off, it finds nothing, though a division exists that takes many steps."""
    rng = np.random.default_rng(3)
    cuts = [np.diff([0.0, *np.sort(rng.random(7)), 1.0]) for _ in range(12)]
    areas = [float(a) for cut in cuts for a in cut]
    off = Deadline()
    off.interrupt()
    looked = 0

    def count() -> float:
        nonlocal looked
        looked += 1
        return float(looked)

    assert full_sets(areas, 1.0, off) is None
    assert full_sets(areas, 1.0, Deadline(2.0, count)) is None
    assert 1 < looked < 10


SQUARE = np.array([[0.0, 0.0], [10.0, 0.0], [10.0, 10.0], [0.0, 10.0]])

CUTS = (
    ((0, 0), (6, 0), (4, 7), (0, 5)),
    ((6, 0), (10, 0), (10, 3), (5, 3.5)),
    ((10, 3), (10, 10), (7, 10), (4, 7), (5, 3.5)),
    ((0, 5), (4, 7), (7, 10), (0, 10)),
)
"""A square in four pieces, one of them hollow."""


def puzzle(turns: Turns, lies: tuple[Lie, ...], drawn: Pose) -> tuple[Item, ...]:
    """Two such squares, each piece drawn in another pose."""
    rings = [np.array([move_point((float(x), float(y)), drawn) for x, y in cut]) for cut in CUTS]
    if not drawn.is_face_up:
        rings = [r[::-1] for r in rings]
    return tuple(
        Item(id=f"{k}{half}", outline=ring - ring.min(axis=0), turns=turns, lies=lies)
        for half in "ab"
        for k, ring in enumerate(rings)
    )


@pytest.mark.parametrize(
    ("turns", "drawn"),
    [
        (FREE, Pose(turn_deg=33.3)),
        (Turns(centres_deg=(0.0, 90.0, 180.0, 270.0)), Pose(turn_deg=90.0)),
        (FREE, Pose(Lie.FACE_DOWN, 12.5)),
    ],
)
def test_a_puzzle_is_put_together_corner_by_corner(turns: Turns, drawn: Pose) -> None:
    items = puzzle(turns, (Lie.FACE_UP, Lie.FACE_DOWN), drawn)
    jigsaw = Jigsaw(items, SQUARE, 2, stream(0, "test"))

    assert jigsaw.solve(2000, lambda: False)
    problem = Problem(items=items, containers=(sheet(10.0, 10.0),))
    nest = Nest(placements=jigsaw.placements("sheet"))
    assert_valid(problem, nest)
    assert len(nest.used) == 2
    assert len(pack_bins(problem, Budget(passes=3000)).used) == 2


def test_a_turn_that_is_not_allowed_is_not_taken() -> None:
    items = puzzle(Turns(), (Lie.FACE_UP,), Pose(turn_deg=90.0))
    quarter = items[0].outline[:, ::-1] * (-1.0, 1.0)
    one_turned = (replace(items[0], outline=quarter), *items[1:])

    assert Jigsaw(items, SQUARE, 2, stream(0, "test")).solve(2000, lambda: False)
    assert not Jigsaw(one_turned, SQUARE, 2, stream(0, "test")).solve(500, lambda: False)


def test_a_puzzle_with_a_wrong_piece_ends_with_its_nodes() -> None:
    items = puzzle(FREE, (Lie.FACE_UP,), Pose())
    bent = items[0].outline.copy()
    bent[2] += (0.1, 0.0)
    jigsaw = Jigsaw((replace(items[0], outline=bent), *items[1:]), SQUARE, 2, stream(0, "test"))

    assert not jigsaw.solve(300, lambda: False)
    assert jigsaw.nodes <= 300


def test_holes_are_filled_too() -> None:
    inner = box(4.0, 3.0)
    frame = Item(
        id="frame", outline=SQUARE, holes=(inner[::-1] + np.array([2.0, 2.0]),), turns=FREE
    )
    items = (frame, Item(id="core", outline=inner, turns=Turns()))

    assert Jigsaw(items, SQUARE, 1, stream(0, "test")).solve(100, lambda: False)
