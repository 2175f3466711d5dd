"""What a builder who marks out from the pages alone would otherwise have to guess."""

from __future__ import annotations

import re
from dataclasses import replace

import numpy as np
import pytest
import shapely

from nestcut.geometry.affine import apply, inverse, matrix
from nestcut.geometry.polygons import bounds_mm
from nestcut.model.plan import Offcut
from nestcut.model.pose import Pose
from nestcut.papers.draw.diagram import texts_of
from nestcut.papers.draw.paper import Paper
from nestcut.papers.marking.base_lines import BaseLine, base_lines
from nestcut.papers.marking.charts import Form, charts_of
from nestcut.papers.marking.notes import marking_notes
from nestcut.papers.marking.rules import marking_rule
from nestcut.papers.marking.told.chart_words import base_line_row, chart_text
from nestcut.papers.page import PageMaker
from nestcut.papers.sheet import sheet_pages
from nestcut.papers.sheet.edges import CROWDED, edge_figures, is_in_sight, square_edges
from nestcut.papers.view import Figures, allowance_words, keep_words, keeps_of, strap_words
from nestcut.papers.view.rows import PlanView, plan_view
from nestcut.units import LengthStyle, parse_length_mm
from tests.builders_demos import demo_charts, demo_on_shelves, demo_view

DEMOS = ("beach-boat", "punt")


@pytest.fixture(scope="module", params=DEMOS)
def demo(request: pytest.FixtureRequest) -> str:
    return str(request.param)


@pytest.fixture(scope="module")
def view(demo: str) -> PlanView:
    return demo_view(demo)


def test_a_panels_base_line_lies_on_its_piece(view: PlanView) -> None:
    rule = marking_rule(LengthStyle.MM)
    lines = [b for row in base_lines(view, charts_of(view, rule)) for b in row]
    through = [b for b in lines if b.chart.is_through]
    assert through
    for base in through:
        assert base.off_mm == 0.0
        middle = [(a + b) / 2.0 for a, b in zip(base.zero, base.end, strict=True)]
        x0, y0, x1, y1 = base.placed.box_mm
        assert x0 < middle[0] < x1
        assert y0 < middle[1] < y1


def test_mirror_is_said_where_a_piece_comes_out_as_its_charts_mirror_image(view: PlanView) -> None:
    rule = marking_rule(LengthStyle.MM)
    seen = plain = 0
    for lines in base_lines(view, charts_of(view, rule)):
        by_number = {line.placed.number: line for line in lines}
        for line in lines:
            *_, side, words = base_line_row(line, rule, view)
            told = re.search(r"\(mirror(?: of no\. (\d+))?\)", words)
            is_turned = is_turned_over(line)
            assert (side == "both") is line.chart.is_alike
            has_hand = line.chart.has_hand and not line.chart.is_alike
            assert (told is not None) is (has_hand and is_turned)
            if told and told[1]:
                twin, own = by_number[int(told[1])].placed.piece, line.placed.piece
                assert (twin.part, twin.copy, twin.share) == (own.part, own.copy, own.share)
                assert twin.hand is not own.hand
                assert not is_turned_over(by_number[int(told[1])])
                seen += 1
            plain += told is None
    assert seen
    assert plain


def is_turned_over(line: BaseLine) -> bool:
    """Whether figures that go up from the base line go to its right on the sheet."""
    (ax, ay), (bx, by) = line.zero, line.end
    body = line.placed.polygon.representative_point()
    back = inverse(matrix(line.placed.placement, Pose()))
    own = apply(line.use.matrix, apply(back, np.array([(body.x, body.y)])))[0]
    side = (bx - ax) * (body.y - ay) - (by - ay) * (body.x - ax)
    return bool(side * own[1] < 0.0)


def test_charts_stand_on_the_pages_that_tables_name(demo: str) -> None:
    pages = demo_charts(demo, LengthStyle.MM, Paper.A4)
    begins: dict[str, int] = {}
    named: set[tuple[str, int]] = set()
    for number, page in enumerate(pages, start=1):
        for text in texts_of(page.items):
            head = re.fullmatch(r"Chart (\d+)", text.text)
            row = re.fullmatch(r"(\d+), p\. (\d+)", text.text)
            if head:
                begins.setdefault(head[1], number)
            if row:
                named.add((row[1], int(row[2])))
    assert len(begins) > 3
    assert named == set(begins.items())


def test_ticks_of_joints_and_battens_over_centre_lines_are_explained(view: PlanView) -> None:
    """A mark that no key has, a line that stops at a half-section's edge: both leave a guess."""
    maker = PageMaker(Paper.A4, Figures(LengthStyle.MM), view)
    for sheet in view.sheets:
        words = " ".join(t.text for p in sheet_pages(sheet, maker) for t in texts_of(p.items))
        has_laps = any(e.overlap_mm > 0.0 for p in sheet.placed for e in p.ends)
        assert ("ticks: its" in words) is has_laps
    rule = marking_rule(LengthStyle.MM)
    charts = charts_of(view, rule)
    told = " ".join(marking_notes(rule, charts))
    assert told.count("runs on over it") == any(c.form is Form.HALF for c in charts)
    others = tuple(c for c in charts if c.form is not Form.HALF)
    assert "runs on over it" not in " ".join(marking_notes(rule, others))


def test_how_to_read_stands_first(demo: str) -> None:
    first = demo_charts(demo, LengthStyle.MM, Paper.A4)[0]
    assert any(t.text.startswith("How to read") for t in texts_of(first.items))


def test_a_note_for_an_end_stands_on_the_piece_that_has_it() -> None:
    view = demo_view("beach-boat")
    told = {
        p.piece.id: "stem end" in p.piece.note
        for s in view.sheets
        for p in s.placed
        if p.piece.part == "side panel"
    }
    assert len(told) == 6
    assert {i for i, has in told.items() if has} == {i for i in told if i.endswith("3/3")}


def test_a_straps_place_along_its_joint_is_told() -> None:
    """The default margin of 3/8 in (10 mm): what is cut is that much shorter at both ends."""
    verified = demo_on_shelves("punt")
    view = plan_view(verified)
    figures = Figures(LengthStyle.INCH)
    straps = [p for s in view.sheets for p in s.placed if p.piece.strap_of is not None]
    assert len(straps) == 2
    rule = next(p.joint for p in verified.job.sheet_parts if p.name == "side")
    assert rule is not None
    gap = figures.near(rule.strap_margin_mm)
    side = view.sheet_parts["side"]
    for placed in straps:
        (told,) = strap_words(placed, view, figures)
        sawn = re.fullmatch(
            rf"along the joint (\S.*?) from the lower edge as sawn, (\S.*?) from the upper; {gap} "
            "once trimmed",
            told,
        )
        assert sawn
        # the panel's pieces as sawn, and the strap as it is, say what is left at both ends
        pieces = [p for p in verified.plan.pieces if p.part == "side" and p.hand is side.drawn]
        _, y0, _, y1 = bounds_mm(placed.piece.shape.outline.points)
        line = next(e.line for p in pieces for e in p.ends)
        across = shapely.union_all([shapely.Polygon(p.shape.outline.points) for p in pieces])
        (ax, ay), (bx, by) = line
        long = (
            shapely.LineString([(ax, ay - 500.0), (bx, by + 500.0)])
            .intersection(across.buffer(0.01))
            .length
        )
        left = sum(float(parse_length_mm(v)) for v in sawn.groups())
        assert left + (y1 - y0) == pytest.approx(long, abs=1.5)
        assert left > 2.0 * (side.allowance_mm + rule.strap_margin_mm) - 1.5
        # glued to the back, it is seen mirrored: its bow lies the other way
        assert placed.part is not None
        assert placed.part.bearings.forward is side.bearings.forward.turned


def test_trim_is_left_outside_alone_and_that_is_said_where_there_are_holes() -> None:
    """Grow a hole by its part's trim, or shrink it, and what is glued into it doesn't fit."""
    view = demo_view("beach-boat")
    figures, rule = Figures(LengthStyle.MM), marking_rule(LengthStyle.MM)
    charts = charts_of(view, rule)
    seen = {True: 0, False: 0}
    for placed in (p for s in view.sheets for p in s.placed):
        part, piece = placed.part, placed.piece
        if part is None or part.allowance_mm <= 0.0 or piece.n_shares > 1:
            continue
        holes = [bounds_mm(h.points) for h in part.shape.holes]
        own, wanted = bounds_mm(piece.shape.outline.points), bounds_mm(part.shape.outline.points)
        assert own[3] - own[1] > wanted[3] - wanted[1] + 1.99 * part.allowance_mm
        if piece.hand in {None, part.drawn}:
            assert [bounds_mm(h.points) for h in piece.shape.holes] == holes
        seen[bool(holes)] += 1
        assert ("to trim all round, not in its hole" in allowance_words(placed, figures)) is bool(
            holes
        )
        chart = next(c for c in charts if any(u.piece.id == piece.id for u in c.uses))
        told = " ".join(t for t in chart_text(chart, view).parts if isinstance(t, str))
        if chart.gauge_mm is not None:
            assert (re.search(r"gauge set to .*, not at .*holes", told) is not None) is bool(holes)
            assert ("not in holes" in " ".join(marking_notes(rule, (chart,)))) is bool(holes)
    assert all(seen.values())


def test_a_crowded_margin_has_no_figure_that_cannot_be_followed() -> None:
    view = demo_view("beach-boat")
    figures = Figures(LengthStyle.MM)
    crowded = 0
    for sheet in view.sheets:
        edges = edge_figures(sheet.placed, (), figures)
        for axis, shown in enumerate((edges.along, edges.across)):
            all_of_them = {
                round(at) for p in sheet.placed for at in square_edges(p, axis) if at > 1.0
            }
            if len(all_of_them) <= CROWDED + 2:
                continue
            crowded += 1
            by_number = {str(p.number): p for p in sheet.placed}
            for figure, _ in shown:
                owners = [by_number[name] for name in figure.whose]
                near = [
                    (placed, a)
                    for placed in owners
                    for a in square_edges(placed, axis)
                    if abs(a - figure.at_mm) < 1.0
                ]
                assert {placed.number for placed, _ in near} == {p.number for p in owners}
                assert any(is_in_sight(placed, axis, a, sheet.placed) for placed, a in near)
    assert crowded


def test_rails_of_both_hands_say_where_the_bow_lies() -> None:
    from nestcut.model.part import End
    from nestcut.papers.view.piece_words import rail_forward_words

    view = demo_view("beach-boat")
    joined = [c for b in view.boards for c in b.cuts if c.piece.n_shares > 1 and c.part is not None]
    assert joined
    for cut in joined:
        assert cut.part is not None
        assert cut.part.bow is End.FAR
        assert rail_forward_words(cut) == "FWD to the right"
        turned = replace(cut, part=replace(cut.part, bow=End.START))
        assert rail_forward_words(turned) == "FWD to the left"
        unsaid = replace(cut, part=replace(cut.part, bow=End.UNSAID))
        assert "either end" in rail_forward_words(unsaid)


@pytest.mark.parametrize("style", list(LengthStyle))
def test_no_first_cut_as_printed_takes_anything_off_a_piece(
    view: PlanView, style: LengthStyle
) -> None:
    """Figures of first cuts are rounded away from the pieces, and the blade is on their KEEP's side
    or in the gap: not 1/32 in off an end that is glued."""
    cutting = view.verified.job.cutting
    cuts = 0
    for sheet in view.sheets:
        for keep in keeps_of(sheet, cutting, Figures(style)):
            if keep.cut_mm is None:
                continue
            cuts += 1
            axis = 0 if keep.is_across else 1
            kerf = cutting.on(sheet.stock).kerf_mm
            start = keep.cut_mm if keep.is_beyond else keep.cut_mm - kerf
            assert keep.cut_mm == pytest.approx(printed_mm(Figures(style), keep.cut_mm))
            low, high = (keep.offcut.from_mm[1 - axis], keep.offcut.to_mm[1 - axis])
            for placed in sheet.placed:
                box = placed.box_mm
                if box[1 - axis] < high and box[3 - axis] > low:
                    assert box[axis] >= start + kerf - 1e-6 or box[axis + 2] <= start + 1e-6
    assert cuts


@pytest.mark.parametrize("style", list(LengthStyle))
@pytest.mark.parametrize("off_mm", [0.1, 0.3, 0.55, 0.8, 1.3])
def test_first_cuts_between_two_figures_go_to_the_one_in_the_offcut(
    view: PlanView, style: LengthStyle, off_mm: float
) -> None:
    """The nearest figure would lie up to half a step in the wood that pieces need."""
    cutting = view.verified.job.cutting
    seen = set()
    for sheet in view.sheets:
        length, width = sheet.layout.length_mm, sheet.layout.width_mm
        ends = ((1500.0 + off_mm, 0.0), (length, width)), ((0.0, 0.0), (800.0 + off_mm, width))
        for low, high in ends:
            offcut = Offcut(from_mm=low, to_mm=high)
            alone = replace(sheet, layout=replace(sheet.layout, offcuts=(offcut,)))
            for keep in keeps_of(alone, cutting, Figures(style)):
                if keep.cut_mm is None:
                    continue
                seen.add(keep.is_beyond)
                assert low[0] - 1e-6 <= keep.cut_mm <= high[0] + 1e-6
    assert seen == {False, True}


@pytest.mark.parametrize("style", list(LengthStyle))
def test_sizes_of_offcuts_are_what_lies_between_their_figures(
    view: PlanView, style: LengthStyle
) -> None:
    """Length of the sheet less the first cut is the size printed: a builder checks with these."""
    figures = Figures(style)
    kinds = set()
    for sheet in view.sheets:
        size = (sheet.layout.length_mm, sheet.layout.width_mm)
        for keep in keeps_of(sheet, view.verified.job.cutting, figures):
            kinds.add(keep.cut_mm is None)
            for axis in (0, 1):
                ends = (keep.from_mm[axis], keep.to_mm[axis])
                low, high = (placed_mm(figures, v) for v in ends)
                assert placed_mm(figures, keep.size_mm[axis]) == pytest.approx(high - low)
                assert keep.from_mm[axis] >= keep.offcut.from_mm[axis] - 1e-6
                is_edge = abs(keep.offcut.to_mm[axis] - size[axis]) < 1e-6
                assert is_edge or keep.to_mm[axis] <= keep.offcut.to_mm[axis] + 1e-6
            if keep.cut_mm is not None:
                axis = 0 if keep.is_across else 1
                assert keep.cut_mm in {keep.from_mm[axis], keep.to_mm[axis]}
    assert kinds


@pytest.mark.parametrize("off_mm", [0.2, 30.0])
def test_a_first_cut_that_passes_a_piece_near_says_so(view: PlanView, off_mm: float) -> None:
    """Plans keep the kerf from offcuts, not the gap: the words tell whom the blade passes."""
    cutting = view.verified.job.cutting
    told = 0
    for sheet in view.sheets:
        rules = cutting.on(sheet.stock)
        ends = [p.box_mm[2] for p in sheet.placed]
        low = max(ends) + rules.kerf_mm + off_mm
        length, width = sheet.layout.length_mm, sheet.layout.width_mm
        if low > length - 100.0 or rules.gap_mm < 0.5:
            continue
        offcut = Offcut(from_mm=(low, 0.0), to_mm=(length, width))
        alone = replace(sheet, layout=replace(sheet.layout, offcuts=(offcut,)))
        (keep,) = keeps_of(alone, cutting, Figures(LengthStyle.MM))
        assert keep.cut_mm is not None
        blade = keep.cut_mm - rules.kerf_mm
        near = tuple(p.number for p in sheet.placed if blade - p.box_mm[2] < rules.gap_mm)
        assert keep.beside == near
        assert bool(near) is (keep.cut_mm - low + off_mm < rules.gap_mm)
        words = keep_words(keep, Figures(LengthStyle.MM), 0)
        assert ("straightedge" in words) is bool(near)
        told += 1
    assert told


@pytest.mark.parametrize("long_mm", [60.0, 900.0])
@pytest.mark.parametrize("style", list(LengthStyle))
def test_a_first_cut_leaves_the_gap_where_its_offcut_can_spare_it(
    view: PlanView, style: LengthStyle, long_mm: float
) -> None:
    """A large offcut gives the saw room to wander; a narrow one keeps its size, and it's said."""
    cutting = view.verified.job.cutting
    seen = 0
    for sheet in view.sheets:
        rules = cutting.on(sheet.stock)
        ends = max(p.box_mm[2] for p in sheet.placed)
        low = ends + rules.kerf_mm
        if rules.gap_mm < 0.5 or sheet.layout.outline is not None:
            continue
        offcut = Offcut(from_mm=(low, 0.0), to_mm=(low + long_mm, sheet.layout.width_mm))
        layout = replace(sheet.layout, length_mm=low + long_mm, offcuts=(offcut,))
        (keep,) = keeps_of(replace(sheet, layout=layout), cutting, Figures(style))
        assert keep.cut_mm is not None
        left_mm = keep.cut_mm - rules.kerf_mm - ends
        is_large = long_mm > 500.0
        assert (left_mm >= rules.gap_mm - 1e-6) is is_large
        assert bool(keep.beside) is not is_large
        assert keep.size_mm[0] > 0.98 * long_mm - Figures(style).step_mm
        seen += 1
    assert seen


def printed_mm(figures: Figures, length_mm: float) -> float:
    """A length as the page has it, read back."""
    return float(parse_length_mm(figures.length(length_mm)))


def placed_mm(figures: Figures, at_mm: float) -> float:
    """A place as the page has it, read back."""
    return float(parse_length_mm(figures.place(at_mm) + figures.tail))
