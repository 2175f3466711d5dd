"""What charts say where one who has never built a boat had to guess."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from functools import lru_cache
from itertools import combinations

import numpy as np
import pytest
import shapely
from scipy.interpolate import CubicSpline
from shapely.geometry import Polygon

from nestcut.model.shape import MarkUse
from nestcut.papers.draw.beside import Ground
from nestcut.papers.draw.diagram import Lines, Path, Pen, texts_of
from nestcut.papers.marking.base_lines import BaseLine, base_lines
from nestcut.papers.marking.charts import Chart, Form, charts_of
from nestcut.papers.marking.drawn import chart_figure
from nestcut.papers.marking.drawn.details import NUMBER_MM, SIZES, Crowd, details
from nestcut.papers.marking.lines import Way
from nestcut.papers.marking.notes import example, marking_notes, shown_line
from nestcut.papers.marking.rules import marking_rule
from nestcut.papers.marking.told.chart_words import chart_text
from nestcut.papers.view import PlanView, plan_view
from nestcut.units import LengthStyle, Unit, parse_length_mm
from tests.builders_demos import demo_view

FIGURE = r"(?:\d+(?:\.\d)?|\d+'-\d+(?: \d+/\d+)?\"|\d+ \d+/\d+\"|\d+(?:/\d+)?\")"
DEMOS = ("beach-boat", "punt")


@lru_cache(maxsize=4)
def charts(name: str, style: LengthStyle) -> tuple[Chart, ...]:
    return charts_of(demo_view(name), marking_rule(style))


def sentences(chart: Chart, view: PlanView) -> str:
    return " ".join(t for t in chart_text(chart, view).parts if isinstance(t, str))


def named_lines(name: str, style: LengthStyle) -> list[tuple[str, BaseLine]]:
    view = demo_view(name)
    found = base_lines(view, charts(name, style))
    return [(s.label, b) for s, row in zip(view.sheets, found, strict=True) for b in row]


@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("demo", DEMOS)
def test_whoever_follows_the_example_marks_a_point_on_the_edge(
    demo: str, style: LengthStyle
) -> None:
    """Two pricks, a tape and a square by the printed words alone: the point is on the outline."""
    by_sheet: dict[str, list[BaseLine]] = {}
    for sheet, line in named_lines(demo, style):
        by_sheet.setdefault(sheet, []).append(line)
    shown = shown_line(by_sheet.items())
    assert shown is not None
    sheet, line = shown
    assert line.chart.form is Form.PANEL
    words = example(sheet, line)
    assert words in marking_notes(marking_rule(style), charts(demo, style), shown)
    told = re.search(
        rf"({FIGURE}) along, ({FIGURE}) across: prick; ({FIGURE}), ({FIGURE}): prick; .*, its "
        rf"({FIGURE}) at .* tape's ({FIGURE}), (.*)\.$",
        words,
    )
    assert told
    ax, ay, bx, by, first, at = (parsed(v) for v in told.groups()[:-1])
    way = np.array([bx - ax, by - ay]) / math.hypot(bx - ax, by - ay)
    sides = {"left": np.array([-way[1], way[0]]), "right": np.array([way[1], -way[0]])}
    edge = Polygon(line.placed.shape.outline.points).exterior
    offs = re.findall(rf"({FIGURE}) to the (left|right)", told[7])
    assert offs
    for off, side in offs:
        spot = np.array([ax, ay]) + way * (at - first) + sides[side] * parsed(off)
        assert shapely.Point(*spot).distance(edge) < 1.6, (words, side)


def parsed(text: str) -> float:
    return float(parse_length_mm(text, bare=Unit.MM))


@pytest.mark.parametrize(
    ("demo", "style"), [("beach-boat", LengthStyle.MM), ("punt", LengthStyle.INCH)]
)
def test_an_arc_is_level_with_its_centre_where_a_straight_touches_it(
    demo: str, style: LengthStyle
) -> None:
    """8 9/16 beside a centre at 8 1/2 looks like a misprint: which of them is right?"""
    seen = 0
    for chart in charts(demo, style):
        line = chart.marking.lines[0]
        n = len(line.points)
        for k, p in enumerate(line.points):
            if p.circle is None or not (line.is_closed or k + 1 < n):
                continue
            before, after = line.points[k - 1], line.points[(k + 1) % n]
            for end, beyond in ((p, before), (after, line.points[(k + 2) % n])):
                is_before = end is p
                is_straight = (before if is_before else after).way is Way.STRAIGHT
                if not is_straight or (not line.is_closed and k in {0, n - 2}):
                    continue
                for axis in ("x", "y"):
                    here, there = (getattr(q, f"{axis}_mm") for q in (end, beyond))
                    other = "y" if axis == "x" else "x"
                    centre = getattr(p.circle, other)
                    own = getattr(end, f"{other}_mm")
                    radius = abs(here - getattr(p.circle, axis))
                    if here == there and abs(radius - p.circle.radius) < 0.01:
                        assert own == pytest.approx(centre, abs=0.02), (chart.number, k)
                        seen += 1
    assert seen > 4


def test_a_notch_is_trimmed_by_compass_and_nothing_else_is() -> None:
    """A gauge can't run in a notch of radius 7."""
    view = demo_view("beach-boat")
    told = {}
    for chart in charts("beach-boat", LengthStyle.MM):
        if chart.gauge_mm is not None:
            told[chart.uses[0].piece.part] = "at notches rule and compass" in sentences(chart, view)
    assert told["transom"]
    assert told["aft bulkhead"]
    assert not told["foredeck"]
    assert not told["side panel"]
    notes = " ".join(
        marking_notes(marking_rule(LengthStyle.MM), charts("beach-boat", LengthStyle.MM))
    )
    assert "round notches before sawing, by compass, the radius and the trim" in notes


def test_a_crown_is_drawn_by_one_lath_over_its_notch() -> None:
    """As the words say, both sides at once: the edge still keeps to what is allowed."""
    view = demo_view("beach-boat")
    (chart,) = [
        c for c in charts("beach-boat", LengthStyle.MM) if c.uses[0].piece.part == "transom"
    ]
    told = re.search(r"Batten (\d+) to (\d+): one lath, over the notch", sentences(chart, view))
    assert told
    first, last = map(int, told.groups())
    half = [(p.x_mm, p.y_mm) for p in chart.marking.lines[0].points if first <= p.number <= last]
    through = np.array([*half, *((x, -y) for x, y in half[::-1])])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(through, axis=0).T))])
    lath = CubicSpline(along, through, bc_type="natural")(np.linspace(0.0, along[-1], 800))
    on_wood = lath[np.abs(lath[:, 1]) >= half[-1][1]]
    edge = Polygon(chart.shape.outline.points).exterior
    assert max(edge.distance(shapely.Point(*p)) for p in on_wood) <= 1.0
    others = [
        sentences(c, view)
        for c in charts("beach-boat", LengthStyle.MM)
        if c.uses[0].piece.part in {"foredeck", "aft thwart"}
    ]
    assert others
    assert not any("Batten" in words for words in others)


def test_both_lines_of_a_scarf_say_which_piece_ends_there() -> None:
    """Two dashed lines an overlap apart had the same name, one above, one below."""
    view = demo_view("beach-boat")
    for chart in charts("beach-boat", LengthStyle.MM):
        if chart.is_whole_panel:
            words = [t.text for t in texts_of(chart_figure(chart, view, 207.0).items)]
            shares = sorted({u.piece.share for u in chart.uses})
            letters = "ABCDE"[: len(shares)]
            wanted = [f"{a} ends" for a in letters[:-1]] + [f"{b} begins" for b in letters[1:]]
            assert sorted(w for w in words if w in wanted) == sorted(wanted)
    (side,) = [c for c in charts("punt", LengthStyle.INCH) if c.is_whole_panel]
    words = [t.text for t in texts_of(chart_figure(side, demo_view("punt"), 128.0).items)]
    assert "A ends, B begins" in words  # a butt has one line


@pytest.mark.parametrize("demo", DEMOS)
def test_a_frame_stands_on_the_side_that_the_job_says(demo: str) -> None:
    view = demo_view(demo)
    seen = set()
    for chart in charts(demo, LengthStyle.MM):
        part = chart.uses[0].placed.part
        assert part is not None
        for mark in (m for use in chart.uses for m in use.piece.shape.marks):
            if mark.use is MarkUse.PLAIN and mark.label:
                side = "fwd" if mark.label in part.stands_forward else "aft"
                assert (mark.label in part.stands_aft) is (side == "aft")
                assert re.search(rf"{mark.label} \({side}\)[:,]", sentences(chart, view))
                seen.add(side)
    assert seen == {"fwd", "aft"}
    notes = " ".join(marking_notes(marking_rule(LengthStyle.MM), charts(demo, LengthStyle.MM)))
    assert "(fwd), (aft): the frame stands forward or aft of it" in notes
    assert "only the plans say" not in notes


def test_where_nobody_says_the_side_the_page_says_so() -> None:
    view = demo_view("punt")
    job = view.verified.job
    parts = tuple(replace(p, stands_forward=(), stands_aft=()) for p in job.sheet_parts)
    silent = plan_view(replace(view.verified, job=replace(job, sheet_parts=parts)))
    own = charts_of(silent, marking_rule(LengthStyle.MM))
    assert "only the plans say" in " ".join(marking_notes(marking_rule(LengthStyle.MM), own))
    assert not any(re.search(r"\((fwd|aft)\)", sentences(c, silent)) for c in own)
    (side, *rest) = [p for p in job.sheet_parts if p.stands_forward]
    assert not rest
    half = tuple(replace(p, stands_aft=()) if p is side else p for p in job.sheet_parts)
    partly = plan_view(replace(view.verified, job=replace(job, sheet_parts=half)))
    notes = marking_notes(
        marking_rule(LengthStyle.MM), charts_of(partly, marking_rule(LengthStyle.MM))
    )
    assert "where nothing is said, the plans know" in " ".join(notes)


def test_chine_logs_of_the_punt_pass_its_frames() -> None:
    """Its lower corners are cut out round 3/4 by 1 1/2 in, up the side from the bottom."""
    view = demo_view("punt")
    job = view.verified.job
    (log,) = [r for r in job.rail_parts if r.name == "chine log"]
    (frame,) = [p for p in job.sheet_parts if p.name == "frame"]
    body = Polygon(frame.shape.outline.points)
    x0, y0, x1, _ = body.bounds
    corner = np.array([(x0 + x1) / 2.0 + 419.1, y0])  # half the bottom's breadth, as the job has it
    up = np.array([457.2 - 419.1, 330.2])
    up /= np.hypot(*up)
    inward = np.array([-up[1], up[0]])
    for a in (0.1, 1.0):
        for b in (0.1, 1.0):
            spot = corner + up * log.width_mm * a + inward * log.thickness_mm * b
            assert not body.contains(shapely.Point(*spot))


def test_a_notch_is_shown_larger_where_its_numbers_lie_on_each_other() -> None:
    """Which way does it bite? Numbers of a detail stand in it alone, farther apart."""
    view = demo_view("beach-boat")
    (chart,) = [
        c for c in charts("beach-boat", LengthStyle.MM) if c.uses[0].piece.part == "aft bulkhead"
    ]
    figure = chart_figure(chart, view, 134.0)
    assert figure.has_all
    assert figure.crowds
    at = {t.text: t.at for t in texts_of(figure.items) if t.text.isdigit()}
    assert len(at) == len([t for t in texts_of(figure.items) if t.text.isdigit()])
    for crowd in figure.crowds:
        spots = [spot for _, spot in crowd.points]
        told = [at[str(number)] for number, _ in crowd.points]
        far = max(math.dist(a, b) for a in told for b in told)
        assert far > 1.5 * max(math.dist(a, b) for a in spots for b in spots)
        assert all(math.dist(t, s) > 3.0 for t, s in zip(told, spots, strict=True))


def test_a_notch_shown_larger_is_hatched_in_its_waste() -> None:
    """Hatched is waste, here as on the sheets: nobody saws on the wrong side of the line."""
    spots = ((25.0, 0.0), (25.0, 2.0), (28.0, 2.0), (28.0, 0.0))
    body = Polygon([(0.0, 0.0), *spots, (60.0, 0.0), (60.0, 30.0), (0.0, 30.0)])
    crowd = Crowd(tuple(enumerate(spots, start=1)))
    ink = shapely.union(body.exterior, shapely.box(0.0, -6.0, 60.0, -0.5))
    ground = Ground(ink, shapely.box(-40.0, -40.0, 100.0, 60.0))
    drawn = details((crowd,), body, ground)
    frame = next(i for i in drawn if isinstance(i, Path))
    (x0, y0), (x1, y1) = frame.points[0], frame.points[2]
    mx, my = crowd.middle
    zoom = crowd.zoom(SIZES[0])
    assert abs(x1 - x0) == pytest.approx(SIZES[0].wide_mm)
    strokes = [s for i in drawn if isinstance(i, Lines) for s in i.segments]
    assert len(strokes) > 5
    for (ax, ay), (bx, by) in strokes:
        at = ((ax + bx - x0 - x1) / 2.0, (ay + by - y0 - y1) / 2.0)
        assert not body.contains(shapely.Point(mx + at[0] / zoom, my + at[1] / zoom))


@pytest.mark.parametrize("name", ["frame 1", "frame 2", "frame 3"])
@pytest.mark.parametrize("style", list(LengthStyle))
def test_notches_of_a_narrow_chart_are_shown_larger_too(name: str, style: LengthStyle) -> None:
    """In one column a detail had no room in its usual size: smaller ones stand in the frame."""
    (chart,) = [c for c in charts("beach-boat", style) if c.uses[0].piece.part == name]
    figure = chart_figure(chart, demo_view("beach-boat"), 65.0)
    bites = {p.number for p in chart.marking.lines[0].points if p.circle is not None}
    assert figure.has_all
    assert {1, 3} <= bites  # over keel and chine log
    frames = [
        box
        for path in (i for i in figure.items if isinstance(i, Path) and len(i.points) == 5)
        if (box := Polygon(path.points)).area == pytest.approx(box.envelope.area)
    ]
    at = [t for t in texts_of(figure.items) if t.text.isdigit()]
    shown = [{int(t.text) for t in at if box.contains(shapely.Point(t.at))} for box in frames]
    assert {1, 2} in shown
    assert {3, 4} in shown
    assert {len(numbers) for numbers in shown} == {2}
    assert len(at) == len({t.text for t in at})
    assert {t.size_mm for t in at} == {NUMBER_MM}


@pytest.mark.parametrize("name", ["fore bulkhead", "aft bulkhead"])
@pytest.mark.parametrize("style", list(LengthStyle))
def test_details_stand_so_that_their_leaders_dont_cross(name: str, style: LengthStyle) -> None:
    """The first took the other's place, and both leaders ran across the drawing."""
    (chart,) = [c for c in charts("beach-boat", style) if c.uses[0].piece.part == name]
    figure = chart_figure(chart, demo_view("beach-boat"), 136.0)
    leaders = [
        line
        for path in figure.items
        if isinstance(path, Path) and len(path.points) == 2 and path.pen is Pen.THIN
        if (line := shapely.LineString(path.points)).length > 1.0
    ]
    assert len(leaders) >= 2
    for a, b in combinations(leaders, 2):
        assert not a.intersects(b)
    assert sum(line.length for line in leaders) < 35.0


def test_a_leader_is_never_lost_among_the_lines() -> None:
    """A leader along an edge, or over three of them, is taken for one more."""
    spots = ((30.0, 0.0), (31.0, 0.8), (32.0, 0.0))
    body = Polygon([(0.0, 0.0), *spots, (60.0, 0.0), (60.0, 12.0), (0.0, 12.0)])
    bars = shapely.MultiLineString([[(-40.0, y), (100.0, y)] for y in (-3.0, -5.0, -7.0)])
    ground = Ground(shapely.union(body.exterior, bars), shapely.box(-40.0, -30.0, 100.0, 12.5))
    assert details((Crowd(tuple(enumerate(spots, start=1))),), body, ground) == []
    free = Ground(body.exterior, shapely.box(-40.0, -30.0, 100.0, 12.5))
    assert details((Crowd(tuple(enumerate(spots, start=1))),), body, free)
