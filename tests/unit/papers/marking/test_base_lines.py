"""Base lines begin and end on the ply that first cuts leave, at the sheet page's own figures."""

from __future__ import annotations

import math
import re
from functools import cache
from itertools import pairwise

import pytest
import shapely
import shapely.ops

from nestcut.model.plan import VerifiedPlan
from nestcut.papers.draw import Text
from nestcut.papers.marking.base_lines import base_lines, printed_points
from nestcut.papers.marking.charts import Chart, Form, charts_of
from nestcut.papers.marking.drawn import Columns, chart_blocks, chart_figure
from nestcut.papers.marking.lines import Way
from nestcut.papers.marking.outline import MarkPoint
from nestcut.papers.marking.rules import MarkingRule, marking_rule
from nestcut.papers.marking.told.chart_stance import chart_stance
from nestcut.papers.marking.told.chart_words import base_line_row, chart_text
from nestcut.papers.view import PlanView, bevels_of, centre_line, keeps_of
from nestcut.papers.view.rows import plan_view
from nestcut.units import LengthStyle, parse_length_mm
from tests.builders_demos import demo_on_shelves
from tests.builders_papers import random_plan

EXACT_MM = 1e-6
READ_MM = 2e-3
"""What is lost where a printed figure is read back, and what figures alike may differ by."""
COLUMN_MM = {LengthStyle.MM: 88.0, LengthStyle.INCH: 64.0}
MOST_APART_MM = {LengthStyle.MM: 0.25, LengthStyle.INCH: 25.4 / 64.0}
"""Half a step of places, in inches a sixty-fourth: no figure is further from its place. [mm]"""


@cache
def plans() -> list[VerifiedPlan]:
    return [*map(demo_on_shelves, ("beach-boat", "punt")), *map(random_plan, range(6))]


@cache
def charted(style: LengthStyle) -> list[tuple[PlanView, MarkingRule, tuple[Chart, ...]]]:
    rule = marking_rule(style)
    views = [plan_view(verified) for verified in plans()]
    return [(view, rule, charts_of(view, rule)) for view in views]


@pytest.mark.parametrize("style", list(LengthStyle))
def test_base_lines_lie_on_the_ply_and_out_of_the_first_cuts(style: LengthStyle) -> None:
    seen = blades = 0
    for view, rule, charts in charted(style):
        for sheet, lines in zip(view.sheets, base_lines(view, charts), strict=True):
            ply = shapely.Polygon(sheet.outline)
            kerf = view.verified.job.cutting.on(sheet.stock).kerf_mm
            keeps = keeps_of(sheet, view.verified.job.cutting, rule.figures)
            cuts = [k for k in keeps if k.cut_mm is not None]
            for line in lines:
                if line.off_mm:
                    continue  # told with what to do
                for at in (line.zero, line.end):
                    seen += 1
                    assert ply.distance(shapely.Point(at)) < EXACT_MM
                    for keep in cuts:
                        blades += 1
                        place, cut = at[0 if keep.is_across else 1], keep.cut_mm or 0.0
                        if keep.is_beyond:
                            assert place > cut + kerf - EXACT_MM
                        else:
                            assert place < cut - kerf + EXACT_MM
    assert seen > 200
    assert blades > 0


@pytest.mark.parametrize("style", list(LengthStyle))
def test_no_printed_point_lies_off_the_sheet(style: LengthStyle) -> None:
    """Half breadths rounded up, set off from a base line at half a step, end beside the sheet.

    Only where a piece is as wide as its sheet is there no place from which all lie on it.
    """
    seen = 0
    for view, _, charts in charted(style):
        for sheet, lines in zip(view.sheets, base_lines(view, charts), strict=True):
            ply = shapely.Polygon(sheet.outline)
            tight = (view.verified.job.cutting.on(sheet.stock).kerf_mm + 1.0) / 2.0
            for line in lines:
                x0, y0, x1, y1 = line.placed.box_mm
                is_free = ply.contains(shapely.box(x0 - tight, y0, x1, y1)) or ply.contains(
                    shapely.box(x0, y0, x1 + tight, y1)
                )
                is_free = is_free and (
                    ply.contains(shapely.box(x0, y0 - tight, x1, y1))
                    or ply.contains(shapely.box(x0, y0, x1, y1 + tight))
                )
                if line.off_mm or not is_free:
                    continue
                for at in printed_points(line):
                    seen += 1
                    assert ply.distance(shapely.Point(at)) < EXACT_MM, (sheet.label, at)
    assert seen > 2000


@pytest.mark.parametrize("style", list(LengthStyle))
def test_a_place_has_one_figure_on_the_sheets_page_and_in_marking_out(style: LengthStyle) -> None:
    for view, rule, charts in charted(style):
        for lines in base_lines(view, charts):
            for line in lines:
                row = base_line_row(line, rule, view)
                for cell, at in ((row[2], line.zero), (row[3], line.end)):
                    shown = cell.partition(" at ")[2].split(", ")
                    assert shown == [rule.figures.place(v) for v in at]


@pytest.mark.parametrize("style", list(LengthStyle))
def test_printed_base_lines_are_as_long_as_their_figures_say(style: LengthStyle) -> None:
    """Who pricks a knee's corners at both marks makes it as long as its chart has it.

    Summed up from what the page prints, read back as a builder reads it.
    """
    seen = askew = 0
    for view, rule, charts in charted(style):
        for line in (line for lines in base_lines(view, charts) for line in lines):
            _, _, begins, ends, *_ = base_line_row(line, rule, view)
            (from_mm, *zero), (to_mm, *end) = (
                [parse_length_mm(f"{v}{rule.figures.tail}") for v in re.split(r" at |, ", cell)]
                for cell in (begins, ends)
            )
            off = abs(math.dist(zero, end) - (to_mm - from_mm))
            assert off <= MOST_APART_MM[style] + READ_MM, (line.placed.piece.id, begins, ends)
            seen += 1
            askew += all(abs(a - b) > 1.0 for a, b in zip(zero, end, strict=True))
    assert seen > 100
    assert askew > 10


@pytest.mark.parametrize("demo", [0, 1])
@pytest.mark.parametrize("style", list(LengthStyle))
def test_every_point_of_a_table_has_its_number_and_charts_stay_whole(
    style: LengthStyle, demo: int
) -> None:
    view, _, charts = charted(style)[demo]
    count = 3 if style is LengthStyle.MM else 4
    columns = Columns(count, COLUMN_MM[style] * count + 6.0 * (count - 1))
    for chart in charts:
        blocks = chart_blocks(chart, view, columns, 170.0)
        assert len(blocks) == 1
        if chart.form is Form.PANEL:
            continue
        figure = chart_figure(chart, view, columns.width_mm(blocks[0].span))
        assert figure.has_all
        texts = [i.text for i in figure.items if isinstance(i, Text) and i.text.isdigit()]
        assert len(texts) == len(set(texts))


@pytest.mark.parametrize("style", list(LengthStyle))
def test_bevels_of_two_angles_have_both_on_their_charts(style: LengthStyle) -> None:
    seen = 0
    for view, _, charts in charted(style):
        for chart in charts:
            words = " ".join(p for p in chart_text(chart, view).parts if isinstance(p, str))
            for use in chart.uses:
                for bevel in bevels_of(use.placed):
                    for ends in bevel.at_ends_deg:
                        seen += 1
                        assert all(f"{round(a, 1):g}°" in words for a in ends)
    assert seen > 0


def test_what_has_no_hand_is_no_mirror() -> None:
    for view, _, charts in charted(LengthStyle.MM):
        for chart in charts:
            text = chart_text(chart, view)
            assert chart.has_hand or "(mirror" not in text.names
            assert (
                not all(u.is_turned for u in chart.uses)
                or chart.is_whole_panel
                or (not chart.has_hand)
            )


def test_arcs_without_wood_under_their_centre_say_what_to_do() -> None:
    view, _, charts = charted(LengthStyle.MM)[0]
    told = 0
    for chart in charts:
        words = [p for p in chart_text(chart, view).parts if isinstance(p, str)]
        beside = [w for w in words if "beside the sheet" in w]
        told += len(beside)
        assert not beside or any("by way of" in w for w in words)
        minus = any(", -" in w or "centre -" in w for w in words)
        assert not minus or any(w.startswith("Minus ") for w in words)
    assert told > 0


@pytest.mark.parametrize("demo", [0, 1])
@pytest.mark.parametrize("style", list(LengthStyle))
def test_every_chart_shows_the_bow_and_what_is_up(style: LengthStyle, demo: int) -> None:
    """As far as they are known, in the narrow columns of inch papers too."""
    view, _, charts = charted(style)[demo]
    seen = 0
    for chart in charts:
        words = [
            i.text for i in chart_figure(chart, view, COLUMN_MM[style]).items if isinstance(i, Text)
        ]
        stance = chart_stance(chart)
        for word, way in (("FWD", stance.forward), ("UP", stance.up)):
            assert (word in words) is (way is not None), chart.number
            seen += way is not None
    assert seen > 5


@pytest.mark.parametrize("style", list(LengthStyle))
def test_an_edge_along_or_across_has_one_figure_at_both_ends(style: LengthStyle) -> None:
    """11 1/32 at one end and 11 at the other: a straight edge that isn't straight."""
    seen = 0
    for _, _, charts in charted(style):
        for chart in charts:
            for line in chart.marking.lines:
                ring = [*line.points, *line.points[:1]] if line.is_closed else [*line.points]
                for a, b in pairwise(ring):
                    off = abs(a.x_mm - b.x_mm), abs(a.y_mm - b.y_mm)
                    if a.way is not Way.STRAIGHT or min(off) > 0.8 or max(off) < 20.0:
                        continue
                    true = _edge_near(chart, a, b)
                    if true is not None and min(true) < 0.05:
                        seen += 1
                        assert min(off) < EXACT_MM, (chart.number, a.number, b.number)
    assert seen > 50


def _edge_near(chart: Chart, a: MarkPoint, b: MarkPoint) -> tuple[float, float] | None:
    """How far the true edge between two points runs along and across; None without one."""
    corners = shapely.MultiPoint(
        [p for r in (chart.shape.outline, *chart.shape.holes) for p in r.points]
    )
    ends = [shapely.ops.nearest_points(shapely.Point(p.x_mm, p.y_mm), corners)[1] for p in (a, b)]
    if any(
        e.distance(shapely.Point(p.x_mm, p.y_mm)) > 1.2 for e, p in zip(ends, (a, b), strict=True)
    ):
        return None
    return abs(ends[0].x - ends[1].x), abs(ends[0].y - ends[1].y)


def test_a_centre_line_that_is_drawn_has_figures() -> None:
    """Of a plain four-sided part, whose chart isn't a half-section."""
    view, _, charts = charted(LengthStyle.INCH)[1]
    told = [
        p
        for chart in charts
        for p in chart_text(chart, view).parts
        if isinstance(p, str) and p.startswith("CL: ")
    ]
    drawn = [c for c in charts if c.form is not Form.HALF and centre_line(c.uses[0].placed)]
    assert len(told) == len(drawn) > 0
