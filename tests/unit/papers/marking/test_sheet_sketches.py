"""Small drawings of sheets beside their base lines: whole, or seen to go on."""

from __future__ import annotations

import math
from functools import lru_cache
from itertools import combinations

import pytest
import shapely
from shapely.geometry import LineString, Polygon

from nestcut.papers.draw.diagram import Area, Disc, Fill, Item, Path, Pen, Text
from nestcut.papers.marking.base_lines import BaseLine, base_lines
from nestcut.papers.marking.charts import charts_of
from nestcut.papers.marking.drawn import sheet_figure
from nestcut.papers.marking.drawn.circles import Scene, place_circles
from nestcut.papers.marking.rules import marking_rule
from nestcut.papers.view import SheetView
from nestcut.units import LengthStyle
from tests.builders_demos import demo_view


@lru_cache(maxsize=2)
def sheets_of(demo: str) -> tuple[tuple[SheetView, tuple[BaseLine, ...]], ...]:
    view = demo_view(demo)
    found = base_lines(view, charts_of(view, marking_rule(LengthStyle.MM)))
    return tuple(zip(view.sheets, found, strict=True))


@pytest.mark.parametrize("room_mm", [20.0, 60.0])
@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
def test_a_sheet_that_goes_on_has_a_break_line_and_no_other_has(demo: str, room_mm: float) -> None:
    """Edges that just ended looked as if the sheet did."""
    seen = set()
    for sheet, lines in sheets_of(demo):
        figure = sheet_figure(sheet, lines, 64.0, room_mm)
        wholes = [i for i in figure.items if isinstance(i, Area) and i.pen is Pen.CUT]
        edges = [i for i in figure.items if isinstance(i, Path) and i.pen is Pen.CUT]
        broken = [
            i
            for i in figure.items
            if isinstance(i, Path) and i.pen is Pen.THIN and len(i.points) > 4
        ]
        assert len(wholes) + len(edges) == 1
        assert len(broken) == len(edges)
        seen.add(bool(edges))
        for edge, line in zip(edges, broken, strict=True):
            (x, y), *_, (other, z) = line.points
            ends = (edge.points[0], edge.points[-1])
            assert x == other == max(p[0] for p in edge.points)
            assert x == pytest.approx(min(p[0] for p in ends))
            assert y < min(p[1] for p in ends)
            assert z > max(p[1] for p in ends)
            assert -figure.height_mm <= y
            assert z <= 0.0
            assert min(p[0] for p in line.points) >= 0.0
            assert max(p[0] for p in line.points) <= 64.0
    assert seen == ({True, False} if room_mm > 20.0 else {False} | seen)


@pytest.mark.parametrize("wide_mm", [64.0, 104.0])
@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
def test_every_piece_has_its_number_on_the_sketch_once(demo: str, wide_mm: float) -> None:
    """A piece without one has a base line that nobody can find in the table."""
    for sheet, lines in sheets_of(demo):
        items = sheet_figure(sheet, lines, wide_mm, 60.0).items
        told = [i for i in items if isinstance(i, Text)]
        assert sorted(t.text for t in told) == sorted(str(n.placed.number) for n in lines)
        boxes = [Polygon(t.box) for t in told]
        assert not any(a.intersects(b) for a, b in combinations(boxes, 2))


def leaders_of(items: tuple[Item, ...], numbers: dict[str, int]) -> dict[int, LineString]:
    """Leaders from circles by the place of the piece whose number the circle has."""
    circles = [i for i in items if isinstance(i, Disc) and i.fill is Fill.PAPER]
    ways = [i for i in items if isinstance(i, Path) and i.pen is Pen.THIN and len(i.points) == 2]
    found = {}
    for text in (i for i in items if isinstance(i, Text)):
        for circle in (c for c in circles if math.dist(c.centre, text.at) < 0.01):
            (way,) = [
                w
                for w in ways
                if abs(math.dist(w.points[0], circle.centre) - circle.radius_mm) < 0.01
            ]
            found[numbers[text.text]] = LineString(way.points)
    return found


@pytest.mark.parametrize("wide_mm", [64.0, 80.0, 104.0])
@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
def test_no_leader_is_taken_for_another_pieces(demo: str, wide_mm: float) -> None:
    """One ran through the dot of a knee to the pad behind it: the pad's number was the knee's."""
    n_leaders = 0
    for sheet, lines in sheets_of(demo):
        items = sheet_figure(sheet, lines, wide_mm, 60.0).items
        bodies = [
            Polygon(i.outline, i.holes)
            for i in items
            if isinstance(i, Area) and i.pen is Pen.THIN and len(i.outline) > 2
        ]
        dots = [i.centre for i in items if isinstance(i, Disc) and i.fill is Fill.INK]
        assert len(dots) == len(bodies) == len(lines)  # leaders end without any
        leaders = leaders_of(items, {str(b.placed.number): k for k, b in enumerate(lines)})
        n_leaders += len(leaders)
        for k, leader in leaders.items():
            assert bodies[k].buffer(0.01).contains(shapely.Point(leader.coords[-1]))
            others = [d for d in dots if d != dots[k]]
            assert all(leader.distance(shapely.Point(d)) > 1.0 for d in others)
            assert leader.length < 25.0
        for a, b in combinations(leaders.values(), 2):
            assert a.distance(b) > 0.5
    assert n_leaders > 3


def square(x: float, y: float, side: float = 1.5) -> Polygon:
    return shapely.box(x, y, x + side, y + side)


def test_circles_make_room_for_each_other() -> None:
    """One after the other the first took the only place of the last."""
    walls = [shapely.box(0.0, 15.0, 60.0, 23.0), shapely.box(18.0, 0.0, 60.0, 15.0)]
    small = [square(7.0, y) for y in (5.0, 3.0, 1.0, 11.0)]
    bodies = (*small, *walls)
    scene = Scene(
        bodies=bodies,
        dots=tuple((b.bounds[0], b.bounds[1]) for b in bodies),
        lines=LineString([(59.0, 1.0), (59.0, 2.0)]),
        edge=LineString([(0.0, -9.0), (40.0, -9.0)]),
        written=(),
        room=shapely.box(0.0, 0.0, 60.0, 23.0),
    )
    found = place_circles((0, 1, 2, 3), scene)
    assert set(found.placed) == {0, 1, 2, 3}
    assert (found.n_wrong, found.n_over) == (0, 0)
    ways = {k: LineString([b.centre, b.foot]) for k, b in found.placed.items()}
    assert all(way.length < 8.0 for way in ways.values())
    for (k, a), (j, b) in combinations(ways.items(), 2):
        assert a.distance(b) > 0.5
        assert math.dist(found.placed[k].centre, found.placed[j].centre) > 5.2
        assert a.distance(shapely.Point(found.placed[j].centre)) > 2.6


def test_a_circle_stands_in_no_hole_of_another_piece() -> None:
    """There it is that piece's number."""
    ring = Polygon(
        shapely.box(6.0, 1.0, 20.0, 14.0).exterior, [shapely.box(7.0, 2.0, 19.0, 13.0).exterior]
    )
    scene = Scene(
        bodies=(square(4.0, 7.0), ring),
        dots=((4.0, 7.0), (20.0, 14.0)),
        lines=LineString([(4.0, 7.0), (5.0, 7.0)]),
        edge=LineString([(0.0, -9.0), (40.0, -9.0)]),
        written=(shapely.box(0.0, 0.0, 3.9, 24.0),),
        room=shapely.box(0.0, 0.0, 30.0, 24.0),
    )
    (balloon,) = place_circles((0,), scene).placed.values()
    assert not ring.envelope.intersects(shapely.Point(balloon.centre))
    (own,) = place_circles((1,), scene).placed.values()
    assert ring.envelope.distance(shapely.Point(own.centre)) < 4.0
