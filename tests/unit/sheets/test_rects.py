"""The rectangle packer: whole numbers, nothing overlaps, nothing sticks out."""

from __future__ import annotations

import itertools

import numpy as np
import pytest

from nestcut.nesting import rectangles
from nestcut.nesting.problem import Rect, RectBin, RectPacking
from nestcut.nesting.rectangles import pack_strip, strip_bound
from nestcut.search.settings import Deadline
from nestcut.sheets.rectangles.rect_search import piece_um, sheet_um
from nestcut.sheets.rectangles.through_cuts import Panel, best_through_cutting


def is_sound(rects: tuple[Rect, ...], bins: tuple[RectBin, ...], packing: RectPacking) -> bool:
    """Paint every rectangle on its bin's grid and count what is painted twice."""
    grids = [np.zeros((b.width, b.height), dtype=int) for b in bins]
    for rect, place in zip(rects, packing.places, strict=True):
        if place is None:
            continue
        w, h = (rect.height, rect.width) if place.turned else (rect.width, rect.height)
        if place.turned and not rect.can_turn:
            return False
        grid = grids[place.bin]
        if place.x + w > grid.shape[0] or place.y + h > grid.shape[1]:
            return False
        grid[place.x : place.x + w, place.y : place.y + h] += 1
    return all(int(g.max(initial=0)) <= 1 for g in grids)


def some(seed: int, n: int, *, can_turn: bool) -> tuple[Rect, ...]:
    rng = np.random.default_rng(seed)
    return tuple(
        Rect(width=int(rng.integers(1, 30)), height=int(rng.integers(1, 30)), can_turn=can_turn)
        for _ in range(n)
    )


@pytest.mark.parametrize("seed", range(12))
@pytest.mark.parametrize("can_turn", [True, False])
def test_packings_are_sound(seed: int, *, can_turn: bool) -> None:
    rects = some(seed, 25, can_turn=can_turn)
    bins = (
        RectBin(width=40, height=60),
        RectBin(width=60, height=35),
        RectBin(width=33, height=90),
    )

    greedy = rectangles.first(rects, bins)
    found = rectangles.search(rects, bins, tries=2000, seed=seed, name="t", deadline=Deadline())

    assert is_sound(rects, bins, greedy)
    assert is_sound(rects, bins, found)
    assert found.left <= greedy.left
    area = sum(r.width * r.height for r, p in zip(rects, found.places, strict=True) if p is None)
    assert area == found.left


def test_the_same_seed_gives_the_same_packing() -> None:
    rects = some(3, 20, can_turn=True)
    bins = (RectBin(width=50, height=70),)
    once, again = (
        rectangles.search(rects, bins, tries=4000, seed=9, name="t", deadline=Deadline())
        for _ in range(2)
    )
    assert once == again


def test_strips_are_sound_and_not_below_their_bound() -> None:
    rects = some(5, 18, can_turn=True)
    height, packing = pack_strip(rects, 45, tries=20_000, seed=0, deadline=Deadline())

    assert packing.is_complete
    assert is_sound(rects, (RectBin(width=45, height=height),), packing)
    assert height >= strip_bound(rects, 45, sum(r.width * r.height for r in rects))


def test_a_rectangle_wider_than_the_strip_is_refused() -> None:
    with pytest.raises(ValueError, match="wider than 5"):
        pack_strip(
            (Rect(width=9, height=6, can_turn=True),), 5, tries=10, seed=0, deadline=Deadline()
        )


def test_micrometres_are_rounded_to_the_safe_side() -> None:
    assert piece_um(609.6, 3.175) == 612_775
    assert piece_um(0.0001, 0.0) == 1
    assert sheet_um(2438.4, 3.175) == 2_441_575
    assert sheet_um(0.9999, 0.0) == 999


def test_through_cuts_by_hand() -> None:
    """A 10 x 6 sheet: two 5 x 6 of value 7 beat one 6 x 6 and what is left of it."""
    best = best_through_cutting(
        10, 6, (Panel(width=5, height=6, value=7.0), Panel(width=6, height=6, value=9.0))
    )
    assert best.value == 14.0
    assert sorted((p.x, p.y) for p in best.places) == [(0, 0), (5, 0)]


def test_through_cuts_pay_for_the_kerf() -> None:
    panel = (Panel(width=5, height=6, value=7.0),)
    assert best_through_cutting(10, 6, panel, kerf=1).value == 7.0
    assert best_through_cutting(11, 6, panel, kerf=1).value == 14.0


def test_through_cuts_agree_with_counting_on_small_sheets() -> None:
    """Strips of one height, tried one by one, give the same on sheets one piece high."""
    for width, (a, b) in itertools.product(range(7, 20), [(3, 5), (4, 7)]):
        panels = (
            Panel(width=a, height=1, value=float(a)),
            Panel(width=b, height=1, value=b + 0.5),
        )
        by_hand = max(
            m * a + n * (b + 0.5)
            for m in range(width // a + 1)
            for n in range((width - m * a) // b + 1)
        )
        assert best_through_cutting(width, 1, panels).value == by_hand
