"""Small drawings of sheets beside their base lines: whole, or seen to go on."""

from __future__ import annotations

from itertools import combinations

import pytest
from shapely.geometry import Polygon

from nestcut.papers.draw.diagram import Area, Path, Pen, Text
from nestcut.papers.marking.base_lines import base_lines
from nestcut.papers.marking.charts import charts_of
from nestcut.papers.marking.drawn import sheet_figure
from nestcut.papers.marking.rules import marking_rule
from nestcut.papers.view import plan_view
from nestcut.units import LengthStyle
from tests.builders_demos import demo_on_shelves


@pytest.mark.parametrize("room_mm", [20.0, 60.0])
@pytest.mark.parametrize("demo", ["beach-boat", "punt"])
def test_a_sheet_that_goes_on_has_a_break_line_and_no_other_has(demo: str, room_mm: float) -> None:
    """Edges that just ended looked as if the sheet did."""
    view = plan_view(demo_on_shelves(demo))
    found = base_lines(view, charts_of(view, marking_rule(LengthStyle.MM)))
    seen = set()
    for sheet, lines in zip(view.sheets, found, strict=True):
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
    view = plan_view(demo_on_shelves(demo))
    found = base_lines(view, charts_of(view, marking_rule(LengthStyle.MM)))
    for sheet, lines in zip(view.sheets, found, strict=True):
        items = sheet_figure(sheet, lines, wide_mm, 60.0).items
        told = [i for i in items if isinstance(i, Text)]
        assert sorted(t.text for t in told) == sorted(str(n.placed.number) for n in lines)
        boxes = [Polygon(t.box) for t in told]
        assert not any(a.intersects(b) for a, b in combinations(boxes, 2))
