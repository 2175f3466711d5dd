"""One kind of line means one thing on a sheet's page, and one length has one figure."""

from __future__ import annotations

from dataclasses import replace

import pytest
import shapely
from shapely.geometry import LineString, Point, Polygon, box

from nestcut.model.part import Bearings, Grain, Hand, Towards
from nestcut.model.plan import Offcut
from nestcut.model.pose import Lie, Placement
from nestcut.model.shape import Ring, Shape
from nestcut.papers.draw.diagram import Area, Group, Item, Lines, Path, Pen, texts_of
from nestcut.papers.draw.paper import Paper
from nestcut.papers.lists.usage import SHARES, Share, sheet_shares_mm2
from nestcut.papers.page import PageMaker
from nestcut.papers.sheet import sheet_pages
from nestcut.papers.sheet.drawing import draw_sheet
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.how import lack_words
from nestcut.papers.sheet.legend import Legend, Special, sheet_legend
from nestcut.papers.sheet.table import piece_row
from nestcut.papers.view import (
    Figures,
    PlacedPiece,
    SheetView,
    bevels_of,
    keep_words,
    keeps_of,
    stance_of,
)
from nestcut.papers.view.plan_words import CAUTIONS
from nestcut.papers.view.rows import PlanView
from nestcut.units import LengthStyle, parse_length_mm
from tests.builders_demos import demo_view

MM = Figures(LengthStyle.MM)
SCALE = 12.5


@pytest.fixture(scope="module", params=["beach-boat", "punt"])
def view(request: pytest.FixtureRequest) -> PlanView:
    return demo_view(request.param)


def drawn(view: PlanView, sheet: SheetView) -> list[Item]:
    """A sheet at 1:12.5 as its page draws it."""
    size = (sheet.layout.length_mm, sheet.layout.width_mm)
    frame = SheetFrame(SCALE, (0.0, 0.0), (0.0, 0.0, *size))
    keeps = keeps_of(sheet, view.verified.job.cutting, MM)
    room = box(0.0, 0.0, size[0] / SCALE, size[1] / SCALE)
    return flat(draw_sheet(sheet, frame, MM, room, keeps=keeps).items)


def flat(items: tuple[Item, ...]) -> list[Item]:
    return [i for item in items for i in (flat(item.items) if isinstance(item, Group) else [item])]


def with_offcuts(sheet: SheetView, *boxes: tuple[float, float, float, float]) -> SheetView:
    offcuts = tuple(Offcut(from_mm=b[:2], to_mm=b[2:]) for b in boxes)
    return replace(sheet, layout=replace(sheet.layout, offcuts=offcuts))


def test_dashes_of_a_keep_never_run_beside_a_line_that_is_sawn(view: PlanView) -> None:
    """Beside a piece's edge they make it look thick and broken: a kind of line no key has."""
    seen = 0
    for sheet in view.sheets:
        x, y = sheet.placed[0].box_mm[2] + 4.0, sheet.placed[0].box_mm[1]
        items = drawn(view, with_offcuts(sheet, (x, y, x + 150.0, y + 200.0)))
        solid: list[LineString] = [
            Polygon(i.outline).exterior for i in items if isinstance(i, Area) and i.pen is Pen.CUT
        ]
        solid += [LineString(i.points) for i in items if isinstance(i, Path) and i.pen is Pen.CUT]
        near = shapely.union_all(solid).buffer(0.7)
        assert not [i for i in items if isinstance(i, Area) and i.pen is Pen.KEEP]
        for item in items:
            if isinstance(item, Path) and item.pen is Pen.KEEP:
                seen += 1
                assert LineString(item.points).intersection(near).length < 1.0
    assert seen


def test_a_first_cut_is_drawn_as_a_line_to_saw(view: PlanView) -> None:
    """Dashes say that nothing is sawn: the cut that takes an offcut off first isn't one of them."""
    seen = 0
    for sheet in view.sheets:
        if sheet.layout.outline is not None:
            continue
        length, width = sheet.layout.length_mm, sheet.layout.width_mm
        start = max(p.box_mm[2] for p in sheet.placed) + 20.0
        if start > length - 60.0:
            continue
        own = with_offcuts(sheet, (start, 0.0, length, width))
        (keep,) = keeps_of(own, view.verified.job.cutting, MM)
        assert keep.cut_mm is not None
        items = drawn(view, own)
        assert not any(isinstance(i, Path) and i.pen is Pen.KEEP for i in items)
        cut = LineString([(keep.cut_mm / SCALE, 0.0), (keep.cut_mm / SCALE, width / SCALE)])
        lines = [LineString(i.points) for i in items if isinstance(i, Path) and i.pen is Pen.CUT]
        assert any(line.hausdorff_distance(cut) < 0.01 for line in lines)
        seen += 1
    assert seen


def test_offcuts_that_fall_free_as_one_piece_say_so(view: PlanView) -> None:
    """Nobody saws along dashes: what hangs together is kept together."""
    sheet = next(s for s in view.sheets if s.layout.outline is None)
    placed = sheet.placed[0]
    # a piece above, two offcuts below with waste between; a third behind a piece that parts them
    x0, y0, x1, y1 = 0.0, 0.0, 2400.0, 300.0
    bar = ((700.0, 0.0), (800.0, 0.0), (800.0, 600.0), (700.0, 600.0))
    shape = replace(
        placed.shape,
        outline=replace(placed.shape.outline, points=bar, curves=()),
        marks=(),
        holes=(),
    )
    top = ((x0, 600.0), (x1, 600.0), (x1, 1200.0), (x0, 1200.0))
    above = replace(shape, outline=replace(shape.outline, points=top))
    pieces = (
        replace(placed, number=1, shape=shape, ends=()),
        replace(placed, number=2, shape=above, ends=()),
    )
    own = with_offcuts(
        replace(sheet, placed=pieces),
        (900.0, y0 + 50.0, 1300.0, y1),
        (1500.0, y0 + 50.0, 1900.0, y1),
        (100.0, y0 + 50.0, 500.0, y1),
    )
    keeps = keeps_of(own, view.verified.job.cutting, MM)
    by_place = {k.offcut.from_mm[0]: k for k in keeps}
    left, middle, right = by_place[100.0], by_place[900.0], by_place[1500.0]
    assert left.joined == ()
    assert "in one piece" not in keep_words(left, MM, 0)
    assert middle.joined == (right.name,)
    assert f"in one piece with {middle.name}" in keep_words(right, MM, 0)
    assert right.bounded_by == middle.bounded_by


@pytest.mark.parametrize("style", list(LengthStyle))
def test_an_offcut_at_the_sheets_edge_ends_where_the_head_says_it_does(
    view: PlanView, style: LengthStyle
) -> None:
    """To 4'-0 1/16" on a sheet of 4'-0 1/32": which of them is it?"""
    figures = Figures(style)
    sheet = next(s for s in view.sheets if s.layout.outline is None)
    length, width = sheet.layout.length_mm, sheet.layout.width_mm
    own = with_offcuts(sheet, (length - 300.0, width - 200.0, length, width))
    (keep,) = keeps_of(own, view.verified.job.cutting, figures)
    words = keep_words(keep, figures, 0)
    assert f"to {figures.place(length)} along" in words
    assert f"to {figures.place(width)} across" in words
    maker = PageMaker(Paper.A4, figures, view)
    told = " ".join(t.text for t in texts_of(sheet_pages(own, maker)[0].items))
    assert figures.stock(length, width) in told
    for low, high, size in zip(keep.from_mm, keep.to_mm, keep.size_mm, strict=True):
        ends = [float(parse_length_mm(figures.place(v) + figures.tail)) for v in (low, high, size)]
        assert ends[1] - ends[0] == pytest.approx(ends[2])


def test_what_is_kept_is_what_the_pages_keep(view: PlanView) -> None:
    """A first cut with the gap beside its pieces leaves less than the search counted."""
    cutting = view.verified.job.cutting
    seen = 0
    for sheet in view.sheets:
        keeps = keeps_of(sheet, cutting, MM)
        if sheet.is_beside_rails or not keeps:
            continue
        kept = dict(
            zip(
                SHARES, sheet_shares_mm2(sheet, cutting.on(sheet.stock).kerf_mm, keeps), strict=True
            )
        )
        printed = sum(k.size_mm[0] * k.size_mm[1] for k in keeps)
        # sheets in inches end between two figures
        assert kept[Share.OFFCUTS] == pytest.approx(printed, rel=1e-3)
        seen += 1
    assert seen or all(not s.layout.offcuts for s in view.sheets)


def flat_piece(view: PlanView, points: tuple[tuple[float, float], ...]) -> PlacedPiece:
    own = next(p for s in view.sheets for p in s.placed if not p.ends)
    return replace(own, shape=Shape(Ring(points)))


@pytest.mark.parametrize("short_mm", [0.0, 2.0])
def test_a_piece_at_the_far_edge_asks_for_a_sheet_as_large_as_said(
    view: PlanView, short_mm: float
) -> None:
    """Yards sell 2438 mm as 2440: found out before marking, not with the last piece."""
    is_told = short_mm == 0.0
    sheet = next(s for s in view.sheets if s.layout.outline is None)
    length = sheet.layout.length_mm - short_mm
    points = ((length - 300.0, 0.0), (length, 0.0), (length, 200.0), (length - 300.0, 200.0))
    placed = flat_piece(view, points)
    net, flat = Shape(Ring(points)), Placement(piece=placed.piece.id, lie=Lie.FACE_UP)
    placed = replace(placed, piece=replace(placed.piece, net=net), placement=flat)
    words = lack_words(replace(sheet, placed=(placed,)), MM)
    much = "nothing" if is_told else "2 mm"
    told = f"It may lack {much} on the right ({placed.number})"
    assert words == f"{told}; if it lacks more, plan again with its size."
    many = replace(sheet, placed=(placed,) * 5)
    assert "on the right (5 pieces)" in lack_words(many, MM)
    page = sheet_pages(replace(sheet, placed=(placed,)), PageMaker(Paper.A4, MM, view))[0]
    assert words in " ".join(t.text for t in texts_of(page.items))
    # what is left on to trim may go missing, and is said to
    spare = 3.0
    smaller = tuple((x - spare * (x > length - 1.0), y) for x, y in points)
    trimmed = replace(placed, piece=replace(placed.piece, net=Shape(Ring(smaller))))
    told = f"{spare + short_mm:g} mm on the right ({placed.number}, trim counted)"
    assert told in lack_words(replace(sheet, placed=(trimmed,)), MM)
    # a sheet that may lack a hand's breadth is none that anyone measures twice
    far = tuple((x - 50.0, y) for x, y in points)
    away = replace(
        placed, shape=Shape(Ring(far)), piece=replace(placed.piece, net=Shape(Ring(far)))
    )
    assert lack_words(replace(sheet, placed=(away,)), MM) == ""


@pytest.mark.parametrize(
    ("forward", "up", "side"),
    [
        (Towards.LEFT, Towards.TOP, "port"),
        (Towards.RIGHT, Towards.TOP, "starboard"),
        (Towards.RIGHT, Towards.BOTTOM, "port"),
        (Towards.TOP, Towards.RIGHT, "port"),
    ],
)
def test_bow_and_upper_edge_tell_the_side_in_sight(
    forward: Towards, up: Towards, side: str
) -> None:
    """Bow to the left, upper edge above: whoever sees that stands to port of it."""
    view = demo_view("beach-boat")
    own = next(p for s in view.sheets for p in s.placed if p.piece.part == "side panel")
    assert own.part is not None
    part = replace(own.part, bearings=Bearings(forward=forward, up=up))
    piece = replace(own.piece, hand=part.drawn)
    flat = Placement(piece=piece.id, lie=Lie.FACE_UP)
    placed = replace(own, piece=piece, part=part, placement=flat)
    own_side = "outboard" if part.drawn.value == side else "inboard"
    assert stance_of(placed).seen == f"{own_side} face (to {side})"
    other = next(h for h in Hand if h is not piece.hand)
    twin = replace(placed, piece=replace(piece, hand=other))
    assert {stance_of(p).seen for p in (placed, twin)} == {
        f"{own_side} face (to port)",
        f"{own_side} face (to starboard)",
    }
    unsaid = replace(placed, part=replace(part, bearings=Bearings(forward=forward)))
    assert stance_of(unsaid).seen == ""


@pytest.mark.parametrize("is_up", [True, False])
def test_the_section_of_a_bevel_has_its_wedge_on_the_face_that_is_planed(*, is_up: bool) -> None:
    """In sight means above: a section that shows the other case planes the wrong face."""
    kind, other = Special.SECTION_UP, Special.SECTION_UNDER
    kind = kind if is_up else other
    _, items = Legend(((kind, "section"),)).column(0.0, 0.0, 60.0)
    ring = next(i.outline for i in items if isinstance(i, Area))
    reach = {
        high: max(x for x, y in ring if (y > min(p[1] for p in ring) + 1.0) is high)
        for high in (True, False)
    }
    # the face that keeps its outline reaches further; the face in sight is drawn above
    assert (reach[False] > reach[True]) is is_up


def test_bevels_legend_shows_the_section_of_the_face_that_is_planed() -> None:
    view = demo_view("punt")
    seen = set()
    for sheet in view.sheets:
        planed = {b.is_planed_up for p in sheet.placed for b in bevels_of(p)}
        kinds = {kind for kind, _ in sheet_legend(sheet.placed, sheet).entries}
        assert (Special.SECTION_UP in kinds) is (True in planed)
        assert (Special.SECTION_UNDER in kinds) is (False in planed)
        seen |= planed
    assert seen


@pytest.mark.parametrize("grain", list(Grain))
def test_a_piece_across_the_grain_says_whose_wish_that_is(view: PlanView, grain: Grain) -> None:
    """A bottom with its grain athwart looks like a slip unless its row says so."""
    seen = set()
    for sheet in view.sheets:
        for own in sheet.placed:
            if own.part is None:
                continue
            placed = replace(own, part=replace(own.part, grain=grain))
            row = piece_row(placed, view, MM)[3]
            free, asked = (
                ("grain across the length, as allowed" in row),
                ("grain across the length, as asked" in row),
            )
            assert (free or asked) is placed.is_across
            assert free is (placed.is_across and grain is Grain.ANY)
            seen.add(placed.is_across)
    assert seen == {True, False}


def test_the_front_page_says_how_to_saw_inside_corners_and_with_which_saw() -> None:
    told = " ".join(CAUTIONS)
    assert "stop before inside corners" in told
    assert "no blade may cut wider" in told


def test_frames_carry_their_arrow_in_the_ring() -> None:
    """Both alike: an arrow in the waste beside one of them is nobody's."""
    view = demo_view("punt")
    seen = 0
    for sheet in view.sheets:
        size = (sheet.layout.length_mm, sheet.layout.width_mm)
        frame = SheetFrame(SCALE, (0.0, 0.0), (0.0, 0.0, *size))
        items = draw_sheet(sheet, frame, MM, frame.paper_window).items
        for placed in sheet.placed:
            if placed.piece.part != "frame":
                continue
            own = [i for i in items if isinstance(i, Group) and i.key == placed.piece.id]
            words = [t for g in own if g.kind == "stance" for t in texts_of(g.items)]
            (arrow,) = [t for t in words if t.text == f"{placed.number} UP"]
            assert frame.shape(placed.polygon).contains(Polygon(arrow.box))
            seen += 1
    assert seen == 2


def test_names_of_centre_lines_keep_off_the_marks_of_bevels() -> None:
    view = demo_view("punt")
    seen = 0
    for sheet in view.sheets:
        size = (sheet.layout.length_mm, sheet.layout.width_mm)
        frame = SheetFrame(SCALE, (0.0, 0.0), (0.0, 0.0, *size))
        groups = [
            i
            for i in draw_sheet(sheet, frame, MM, frame.paper_window).items
            if isinstance(i, Group)
        ]
        strokes = [
            LineString(s)
            for g in groups
            if g.kind == "bevel"
            for i in g.items
            if isinstance(i, Lines)
            for s in i.segments
        ]
        names = [t for g in groups if g.kind == "stance" for t in texts_of(g.items)]
        for name in names:
            if name.text == "CL" and strokes:
                seen += 1
                assert not any(Polygon(name.box).intersects(s) for s in strokes)
    assert seen


def test_a_number_too_small_to_read_stands_beside_its_piece() -> None:
    view = demo_view("punt")
    sheet = next(s for s in view.sheets if s.layout.outline is None)
    long_mm, size = 600.0, (sheet.layout.length_mm, sheet.layout.width_mm)
    frame = SheetFrame(SCALE, (0.0, 0.0), (0.0, 0.0, *size))
    found = {}
    for high_mm in (22.0, 40.0):
        right, top = 500.0 + long_mm, 500.0 + high_mm
        ring = ((500.0, 500.0), (right, 500.0), (right, top), (500.0, top))
        placed = replace(flat_piece(view, ring), number=7)
        alone = replace(sheet, placed=(placed,))
        items = flat(draw_sheet(alone, frame, MM, frame.paper_window).items)
        numbers = [t for t in texts_of(tuple(items)) if t.text == "7"]
        assert numbers
        body = frame.shape(placed.polygon)
        found[high_mm] = not any(body.intersects(Point(t.at)) for t in numbers)
        assert min(t.size_mm for t in numbers) >= 2.5
    assert found == {22.0: True, 40.0: False}
