"""Names of lines drawn across a chart: each at its own line's end, none left out on any paper."""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

import pytest
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.papers.draw import Ground, Item, Paper, Path, Pen, Text, Weight
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.draw.paper import MARGIN_MM, SIZES
from nestcut.papers.marking.charts import Chart, charts_of
from nestcut.papers.marking.drawn import Columns, chart_figure
from nestcut.papers.marking.drawn.line_names import LineName, name_lines
from nestcut.papers.marking.pages import COLUMNS
from nestcut.papers.marking.rules import marking_rule
from nestcut.papers.view import share_letter
from nestcut.units import LengthStyle
from tests.builders_demos import demo_view


@lru_cache(maxsize=4)
def panels(demo: str, style: LengthStyle) -> tuple[Chart, ...]:
    return tuple(c for c in charts_of(demo_view(demo), marking_rule(style)) if c.is_whole_panel)


def wanted(chart: Chart) -> list[str]:
    """What stands at a joined panel's lines, from its part and its pieces."""
    part = chart.uses[0].placed.part
    assert part is not None
    frames = [m.label for m in part.shape.marks if m.label]
    letters = [share_letter(n) for n in sorted({u.piece.share for u in chart.uses})]
    joints = [(f"{a} ends", f"{b} begins") for a, b in pairwise(letters)]
    lines = {round(c.line[0][0]) for u in chart.uses for c in u.cuts}
    at_one = len(lines) == len(joints)  # a butt has one line
    return [*frames, *(w for j in joints for w in ([", ".join(j)] if at_one else j))]


def stands_at(text: Text, items: tuple[Item, ...]) -> list[LineString]:
    """Lines across the panel whose ends a name stands at, or its leader runs to."""
    box = Polygon(text.box)
    across = [
        line
        for i in items
        if isinstance(i, Path) and i.pen in {Pen.MARK, Pen.HIDDEN}
        if (line := LineString(i.points)).bounds[2] - line.bounds[0] < 3.0
    ]
    leaders: list[BaseGeometry] = [
        LineString(i.points)
        for i in items
        if isinstance(i, Path) and i.pen is Pen.THIN and len(i.points) == 2
        if box.distance(shapely.Point(i.points[-1])) < 0.5
    ]
    away = {
        k: min(
            reach.distance(shapely.Point(line.coords[e]))
            for reach in (leaders or [box])
            for e in (0, -1)
        )
        for k, line in enumerate(across)
    }
    least = min(away.values())
    assert least < 1.6
    return [across[k] for k, off in away.items() if off < least + 0.15]


@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("paper", list(Paper))
@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
def test_every_line_across_a_joined_panel_has_its_name(
    demo: str, paper: Paper, style: LengthStyle
) -> None:
    """On Letter two frames and the end of a piece had none."""
    columns = Columns(COLUMNS, SIZES[paper].landscape.width_mm - 2 * MARGIN_MM)
    assert panels(demo, style)
    for chart in panels(demo, style):
        for span in (2, 3, 4):
            figure = chart_figure(chart, demo_view(demo), columns.width_mm(span))
            names = wanted(chart)
            told = [t for t in texts_of(figure.items) if t.text in set(names)]
            assert sorted(t.text for t in told) == sorted(names)
            lines = [stands_at(t, figure.items) for t in told]
            assert all(len(at) == 1 for at in lines)
            assert len({at[0].wkt for at in lines}) == len(names)  # each its own
            assert figure.has_all


def ground(ink: list[LineString], high: float = 20.0) -> Ground:
    return Ground(shapely.union_all(ink), shapely.box(0.0, -high, 60.0, 10.0 + high))


def test_names_of_close_lines_take_turns_above_and_below() -> None:
    body = shapely.box(0.0, 0.0, 60.0, 10.0)
    lines = [LineString([(x, 0.0), (x, 10.0)]) for x in (10.0, 22.0, 34.0, 46.0)]
    names = [
        LineName(f"frame {k}", ((at.bounds[0], 10.0), (at.bounds[0], 0.0)))
        for k, at in enumerate(lines)
    ]
    items, missed = name_lines(names, body, ground([body.exterior, *lines], 6.0))
    assert not missed
    texts = [i for i in items if isinstance(i, Text)]
    assert len(texts) == len(items) == 4  # without leaders
    for text, line in zip(texts, lines, strict=True):
        (x, y), box = text.at, Polygon(text.box)
        assert not 0.0 < y < 10.0
        own = box.distance(line)
        assert all(box.distance(other) > own for other in lines if other is not line)
        assert abs(x - line.bounds[0]) < 8.0


def test_a_name_without_any_room_is_said_to_be_missed() -> None:
    body = shapely.box(0.0, 0.0, 60.0, 10.0)
    wall = [LineString([(x / 2.0, -20.0), (x / 2.0, 30.0)]) for x in range(120)]
    items, missed = name_lines((LineName("frame", ((5.0, 10.0),)),), body, ground([*wall]))
    assert items == []
    assert [m.text for m in missed] == ["frame"]


def test_a_bevels_letter_stands_by_none_of_its_points() -> None:
    """Beside a point's number it is read as one with it."""
    edge = LineString([(0.0, 10.0), (60.0, 10.0)])
    spots = tuple((60.0 * share, 10.0) for share in (0.5, 0.3))
    name = LineName("a", spots, Weight.BOLD, clear_of=((30.4, 10.0),))
    (text,), missed = name_lines((name,), shapely.box(0.0, 0.0, 60.0, 10.0), ground([edge]))
    assert not missed
    assert isinstance(text, Text)
    assert abs(text.at[0] - 18.0) < 2.0


@pytest.mark.parametrize("part", ["stern transom", "bow transom"])
def test_a_half_sections_bevel_letter_stands_aside_of_its_centre_line(part: str) -> None:
    """In the middle of its edge it stood in a row with the centre line's name and a number."""
    charts = charts_of(demo_view("punt"), marking_rule(LengthStyle.INCH))
    (chart,) = [c for c in charts if c.uses[0].piece.part == part]
    texts = texts_of(chart_figure(chart, demo_view("punt"), 65.0).items)
    (letter,) = [t for t in texts if t.text == "a"]
    assert abs(letter.at[0] - 65.0 / 2.0) > 6.0
