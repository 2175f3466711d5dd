"""Edges of outlines: which stretches face a side, and which one is near a point."""

import math

import pytest

from nestcut.geometry.edges import Side, stretch_near, stretches_facing
from nestcut.model.curves import Point
from nestcut.model.shape import Ring, Shape

SQUARE: tuple[Point, ...] = ((0, 0), (400, 0), (400, 200), (0, 200))


def shape(*points: Point, holes: tuple[tuple[Point, ...], ...] = ()) -> Shape:
    return Shape(Ring(points), tuple(Ring(h) for h in holes))


@pytest.mark.parametrize(
    ("side", "line"),
    [
        (Side.BOTTOM, ((0, 0), (400, 0))),
        (Side.RIGHT, ((400, 0), (400, 200))),
        (Side.TOP, ((400, 200), (0, 200))),
        (Side.LEFT, ((0, 200), (0, 0))),
    ],
)
def test_a_rectangle_has_one_edge_a_side(side: Side, line: tuple[Point, ...]) -> None:
    assert stretches_facing(shape(*SQUARE), side) == (line,)


def test_a_v_bottom_is_one_edge_through_its_knuckle() -> None:
    found = stretches_facing(shape((0, 60), (200, 0), (400, 60), (400, 200), (0, 200)), Side.BOTTOM)

    assert found == (((0, 60), (200, 0), (400, 60)),)


def test_a_notch_divides_an_edge_and_is_none_itself() -> None:
    notched = shape(
        (0, 0), (400, 0), (400, 200), (250, 200), (250, 150), (150, 150), (150, 200), (0, 200)
    )

    assert stretches_facing(notched, Side.TOP) == (
        ((400, 200), (250, 200)),
        ((150, 200), (0, 200)),
    )
    assert stretches_facing(notched, Side.LEFT) == (((0, 200), (0, 0)),)


def test_a_hollow_edge_counts_though_its_middle_is_off_the_hull() -> None:
    hollow = [(400.0 - 10 * k, 200 - 60 * math.sin(math.pi * k / 40)) for k in range(41)]
    found = stretches_facing(shape((0, 0), (400, 0), *hollow), Side.TOP)

    assert found == (tuple(hollow),)


def test_a_triangle_has_no_edge_on_its_steep_side() -> None:
    steep = shape((0, 0), (100, 0), (0, 400), (-300, 400))

    assert stretches_facing(steep, Side.RIGHT) != ()
    assert stretches_facing(shape((0, 0), (400, 0), (0, 100)), Side.RIGHT) == ()


def test_near_takes_the_edge_from_corner_to_corner() -> None:
    bowed = [(400.0 - 10 * k, 200 + 30 * math.sin(math.pi * k / 40)) for k in range(41)]
    part = shape((0, 0), (400, 0), *bowed)

    line, away = stretch_near(part, (200, 240))
    assert line == tuple(bowed)
    assert away == pytest.approx(10.0, abs=0.1)
    right, off = stretch_near(part, (403, 100))
    assert right == ((400.0, 0.0), (400.0, 200.0))
    assert off == pytest.approx(3.0)
    assert stretch_near(part, (-3, 100))[0] == (bowed[-1], (0, 0))


def test_near_finds_the_edge_of_a_hole() -> None:
    hole: tuple[Point, ...] = ((100, 50), (100, 150), (300, 150), (300, 50))
    line, away = stretch_near(shape(*SQUARE, holes=(hole,)), (200, 140))

    assert line == ((100.0, 150.0), (300.0, 150.0))
    assert away == pytest.approx(10.0)


def test_a_round_part_is_all_one_edge() -> None:
    circle = [
        (100 * math.cos(k / 50 * math.pi), 100 * math.sin(k / 50 * math.pi)) for k in range(100)
    ]
    line, _ = stretch_near(shape(*circle), (90, 0))

    assert len(line) == 101
    assert line[0] == line[-1]
