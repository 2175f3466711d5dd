"""Rectangles to keep: the largest is found, and none is left that the verifier would miss."""

from __future__ import annotations

import numpy as np
import pytest
import shapely
from shapely import affinity
from shapely.geometry import Polygon, box
from shapely.geometry.base import BaseGeometry

from nestcut.geometry.usable import whole_area
from nestcut.model.stock import Usable
from nestcut.sheets.left.offcuts import area_mm2, rectangles_left
from nestcut.trade.shop import OFFCUTS_MOST
from nestcut.verify.stock.room import Lines, Room

LENGTH_MM, WIDTH_MM = 2440.0, 1220.0
SHEET = box(0.0, 0.0, LENGTH_MM, WIDTH_MM)
FINE_MM = 10.0
"""Cells of the reference; a box on them falls short of the true one by two at most each way."""


def _round(x: float, y: float, r: float) -> Polygon:
    return shapely.Point(x, y).buffer(r, quad_segs=24)


def layout(luck: np.random.Generator, count: int) -> list[Polygon]:
    """Boxes that lie askew, and discs: as many as cover most of a sheet."""
    found: list[Polygon] = []
    for _ in range(count):
        x, y = luck.uniform((0.0, 0.0), (LENGTH_MM, WIDTH_MM))
        w, h, turn = luck.uniform(60.0, 900.0), luck.uniform(40.0, 260.0), luck.uniform(0.0, 180.0)
        shape = affinity.rotate(box(x, y, x + w, y + h), turn if luck.uniform() < 0.6 else 0.0)
        found.append(shape if luck.uniform() < 0.8 else _round(x, y, w / 4.0))
    inside = [g.intersection(SHEET) for g in found]
    return [g for g in inside if isinstance(g, Polygon) and not g.is_empty]


def by_cells_mm2(blocked: BaseGeometry) -> float:
    """Area of the largest useful box of fine cells that nothing touches: all are gone through."""
    xs, ys = np.arange(0.0, LENGTH_MM + 1.0, FINE_MM), np.arange(0.0, WIDTH_MM + 1.0, FINE_MM)
    left, low = np.meshgrid(xs[:-1], ys[:-1])
    shapely.prepare(blocked)
    free = ~np.asarray(
        shapely.intersects(blocked, shapely.box(left, low, left + FINE_MM, low + FINE_MM))
    )
    largest = 0
    for first in range(len(free)):
        column = np.ones(free.shape[1], dtype=bool)
        for last in range(first, len(free)):
            column &= free[last]
            steps = np.flatnonzero(np.diff(np.concatenate([[False], column, [False]])))
            runs = steps[1::2] - steps[::2]
            if not len(runs):
                break
            sides = sorted((int(runs.max()) * FINE_MM, (last + 1 - first) * FINE_MM))
            if sides[0] >= 150.0 and sides[1] >= 300.0:
                largest = max(largest, int(sides[0] * sides[1]))
    return float(largest)


HARD = [(1003, 9), (1037, 13), (1047, 23), (1049, 25)]
"""Layouts whose largest isn't seen by even lines alone, or in the region that looks best."""


@pytest.mark.parametrize(("seed", "count"), [*((s, 8 + 3 * s) for s in range(8)), *HARD])
def test_the_largest_is_found(seed: int, count: int) -> None:
    """No smaller than the largest of fine cells, however pieces lie."""
    pieces = layout(np.random.default_rng(seed), count)
    kept = rectangles_left(SHEET, pieces, (), 0.0)

    assert kept
    assert area_mm2(kept[0]) >= 0.99 * by_cells_mm2(shapely.union_all(pieces)) > 0.0


@pytest.mark.parametrize("kerf_mm", [0.0, 3.2])
def test_nothing_is_left_that_the_verifier_misses(kerf_mm: float) -> None:
    """Of layouts by lot: below four of a sheet no useful one; with four no larger one."""
    luck = np.random.default_rng(7)
    counts = set()
    for k in range(40):
        pieces = layout(luck, 20 + 3 * k)
        kept = rectangles_left(SHEET, pieces, (), kerf_mm)
        counts.add(len(kept))
        areas = [box(*o.from_mm, *o.to_mm) for o in kept]
        for a, area in enumerate(areas):
            apart = [*pieces, *areas[:a], *areas[a + 1 :]]
            assert all(area.distance(p) >= kerf_mm - 0.01 for p in apart)
            assert all(area.intersection(p).area < 0.01 * area.length for p in apart)
        grown = [g.buffer(kerf_mm, join_style="mitre") for g in (*pieces, *areas)]
        room = Room((0.0, 0.0, LENGTH_MM, WIDTH_MM), Lines.of(grown))
        if len(kept) < OFFCUTS_MOST.value:
            assert room.place_for(150.3, 300.3) is None
            assert room.place_for(300.3, 150.3) is None
        else:
            least_mm2 = 1.03 * min(area_mm2(o) for o in kept)
            wide = [w for w in np.geomspace(150.0, LENGTH_MM, 40) if least_mm2 / w >= 150.0]
            wide = [w for w in wide if max(w, least_mm2 / w) >= 300.0]
            assert not any(room.place_for(w, least_mm2 / w) for w in wide)
    assert counts == {0, 1, 2, 3, 4}


def test_a_strip_that_is_just_wide_enough_is_kept() -> None:
    for wide, count in ((150.0, 1), (149.9, 0)):
        pieces = [box(0.0, 0.0, LENGTH_MM - wide, WIDTH_MM)]
        assert len(rectangles_left(SHEET, pieces, (), 0.0)) == count


def test_all_parts_of_a_sheet_are_looked_at() -> None:
    """Two ends of an odd sheet, and a neck between them that the trim takes away."""
    points = [(0, 0), (900, 0), (900, 190), (950, 190), (950, 0), (1500, 0), (1500, 400)]
    points += [(950, 400), (950, 210), (900, 210), (900, 400), (0, 400)]
    usable = Usable(
        length_mm=1500.0,
        width_mm=400.0,
        outline=tuple((float(x), float(y)) for x, y in points),
        trim_mm=15.0,
        low_mm=(15.0, 15.0),
        high_mm=(1485.0, 385.0),
    )
    kept = rectangles_left(whole_area(usable), (), (), 3.0)
    assert [round(o.from_mm[0]) for o in kept] == [15, 965]


def test_a_round_tip_between_lines_that_nearly_meet_is_seen() -> None:
    """A plate's tip above a box: a KEEP once reached seven millimetres over it."""
    turns = np.radians(np.linspace(215.85974691884854, 199.71699890431831, 17))
    x, y = 1109.5072481498212 + 1178.608484113227 * np.array((np.cos(turns), np.sin(turns)))
    plate = Polygon(((0.0, 100.7), *zip(x, y - 318.3747029123972, strict=True)))
    low = Polygon(((0.0, 0.0), (433.1, 0.0), (433.1, 98.7), (0.0, 78.96)))
    found = rectangles_left(box(0.0, 0.0, 1242.2, 1064.8), [low, plate], (), 2.0)
    assert len(found) >= 2
    for offcut in found:
        kept = box(*offcut.from_mm, *offcut.to_mm)
        assert min(kept.distance(g) for g in (low, plate)) >= 2.0 - 0.01
