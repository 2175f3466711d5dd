"""Which face is which on a sheet's page, and what a blade has no room for along its edges."""

from __future__ import annotations

import re
from collections import Counter
from dataclasses import replace

import pytest
from shapely import affinity
from shapely.geometry import LineString, Polygon, box

from nestcut.model.part import Bearings, Outside, Timing, Towards
from nestcut.model.plan import Free, Offcut, Reserve
from nestcut.model.pose import Lie
from nestcut.model.shape import Ring, Shape
from nestcut.model.stock import GoodFaces, KeepOut, SheetStock
from nestcut.papers.draw import Column, Path, laid_table, text_width_mm
from nestcut.papers.draw.diagram import Area, Group, texts_of
from nestcut.papers.draw.paper import Paper
from nestcut.papers.lists import cut_rows
from nestcut.papers.page import PageMaker
from nestcut.papers.sheet import sheet_pages
from nestcut.papers.sheet.drawing import draw_sheet
from nestcut.papers.sheet.edges import edge_figures, stock_marks
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.how import how_words
from nestcut.papers.sheet.strips import thin_beside, thin_sides
from nestcut.papers.sheet.table import piece_row, sheet_rows
from nestcut.papers.sheet.written.ground import Ground
from nestcut.papers.sheet.written.number_labels import number_inside
from nestcut.papers.sheet.written.piece_labels import place_name
from nestcut.papers.sheet.written.stance_marks import Arrow, draw_stances, draw_waiting
from nestcut.papers.view import (
    Figures,
    Keep,
    PlacedPiece,
    SheetView,
    bevel_words_short,
    face_words,
    has_unsaid_face,
    keep_words,
    keeps_of,
    kept_name,
    rest_mm,
    stance_of,
    warnings_for,
)
from nestcut.papers.view.rows import PlanView
from nestcut.units import LengthStyle
from tests.builders_demos import demo_view

MM = Figures(LengthStyle.MM)
SHEET = (0.0, 0.0, 2440.0, 1220.0)


@pytest.fixture(scope="module")
def view() -> PlanView:
    return demo_view("beach-boat")


def transom_of(view: PlanView, lie: Lie) -> tuple[SheetView, PlacedPiece]:
    """The transom's sheet, on which it lies with this face up."""
    sheet = next(s for s in view.sheets if any(p.piece.part == "transom" for p in s.placed))
    own = next(p for p in sheet.placed if p.piece.part == "transom")
    turned = replace(own, placement=replace(own.placement, lie=lie))
    placed = tuple(turned if p is own else p for p in sheet.placed)
    return replace(sheet, placed=placed), turned


def test_a_piece_whose_good_face_is_underneath_has_back_pencilled(view: PlanView) -> None:
    sheet, transom = transom_of(view, Lie.FACE_DOWN)
    assert warnings_for(transom) == ("PENCIL BACK",)
    assert face_words(transom)[0] == (
        "PENCIL BACK on the face you see (forward face): GOOD (after face) is underneath"
    )
    assert "GOOD face (after, underneath)" in " ".join(bevel_words_short(transom, MM))
    assert f"BACK on {transom.number}" in how_words(sheet)


def test_a_list_calls_a_face_good_only_where_that_matters(view: PlanView) -> None:
    """Of a piece that may lie either way the list says whether its outline is mirrored."""
    told = {r.piece: r.lies for r in cut_rows(view, MM)}
    seen = set()
    for p in (p for s in view.sheets for p in s.placed):
        lies = told[p.piece.id]
        assert ("good face" in lies) is p.is_face_told
        assert (lies in ("good face up", "either face, as drawn")) is p.is_face_up
        seen.add(lies)
    assert {"good face up", "either face, as drawn"} <= seen


def test_a_piece_good_face_up_is_told_so_once(view: PlanView) -> None:
    sheet, transom = transom_of(view, Lie.FACE_UP)
    assert warnings_for(transom) == ()
    row = piece_row(transom, view, MM)[3]
    assert row.count("after face") == 1
    assert "outside" not in row  # the after face is the outer one: one word says it
    assert "GOOD face (after, in sight)" in row
    assert "BACK on" not in how_words(sheet)


def test_no_page_calls_a_face_down() -> None:
    """ "Good face down" beside "good face up" of the sheet: whose good face is it?"""
    view = demo_view("beach-boat")
    sheet, _ = transom_of(view, Lie.FACE_DOWN)
    maker = PageMaker(Paper.A4, MM, view)
    words = " ".join(t.text for page in sheet_pages(sheet, maker) for t in texts_of(page.items))
    assert "FACE DOWN" not in words
    assert "PENCIL BACK" in words


def test_a_handed_piece_without_any_face_said_is_asked_for(view: PlanView) -> None:
    own = next(p for s in view.sheets for p in s.placed if p.piece.part == "side panel")
    assert own.part is not None
    assert not has_unsaid_face(own)
    silent = replace(own, part=replace(own.part, bearings=Bearings(up=Towards.TOP)))
    assert has_unsaid_face(silent)
    assert not has_unsaid_face(
        replace(
            own, part=replace(own.part, bearings=Bearings(forward=Towards.LEFT, up=Towards.TOP))
        )
    )  # who sees its bow and its upper edge knows which side it is
    sheet = next(s for s in view.sheets if own in s.placed)
    sheet = replace(sheet, placed=(silent,))
    assert f"For {own.number} nobody said whether GOOD looks in or out" in how_words(sheet)
    # its own mirror image: either hand is the other turned over
    square = Shape(Ring(((0.0, 0.0), (200.0, 0.0), (200.0, 200.0), (0.0, 200.0))))
    assert not has_unsaid_face(replace(silent, piece=replace(silent.piece, shape=square)))
    said = replace(own.part, bearings=Bearings(outside=Outside.GOOD))
    assert not has_unsaid_face(replace(silent, part=said))
    assert not has_unsaid_face(replace(silent, piece=replace(silent.piece, hand=None)))


@pytest.mark.parametrize("name", ["beach-boat", "punt"])
def test_each_sheet_says_in_which_order_to_mark_and_saw(name: str) -> None:
    view = demo_view(name)
    assert view.sheets
    for sheet in view.sheets:
        told = "Mark all, then saw in the table's order"
        assert told in how_words(sheet)


def piece_at(view: PlanView, points: tuple[tuple[float, float], ...]) -> PlacedPiece:
    own = view.sheets[0].placed[0]
    return replace(own, shape=Shape(Ring(points)))


def test_a_slanting_end_is_planed_where_the_blade_has_no_room(view: PlanView) -> None:
    """6.5 mm of waste at one corner, none at the other: over a third of it thinner than 2 mm."""
    piece = piece_at(view, ((0.0, 300.0), (900.0, 300.0), (900.0, 755.0), (6.5, 755.0)))
    assert thin_sides(piece, SHEET, 2.0) == ("left",)
    whole = next(s for s in view.sheets if s.layout.outline is None)
    sheet = replace(whole, placed=(piece,))
    assert thin_beside(sheet, (), 2.0) == ((piece.number,), ())
    told = f"thinner than the blade (sheet's edge by {piece.number}), stop and plane it off."
    assert told in how_words(sheet, *thin_beside(sheet, (), 2.0))
    maker = PageMaker(Paper.A4, MM, view)
    words = " ".join(t.text for t in texts_of(sheet_pages(sheet, maker)[0].items))
    assert told in words
    assert "thinner than the blade, stop and plane it off." in how_words(sheet)


@pytest.mark.parametrize(
    ("points", "told"),
    [
        (((1.5, 300.0), (900.0, 300.0), (900.0, 755.0), (1.5, 755.0)), ["left"]),
        (((0.0, 0.0), (900.0, 0.0), (900.0, 455.0), (0.0, 455.0)), []),  # the sheet's own edges
        (((2.0, 2.0), (900.0, 2.0), (900.0, 455.0), (2.0, 455.0)), []),  # room for the blade
        # thins out to nothing as well, if over a short way
        (((0.0, 300.0), (900.0, 300.0), (900.0, 755.0), (38.0, 755.0)), ["left"]),
        (((0.0, 300.0), (900.0, 300.0), (900.0, 755.0), (200.0, 755.0)), []),  # no strip: a wedge
        (
            ((100.0, 9.0), (500.0, 1.0), (900.0, 9.0), (900.0, 455.0), (100.0, 455.0)),
            ["bottom"],
        ),
        (
            ((1500.0, 700.0), (2439.0, 700.0), (2439.0, 1219.0), (1500.0, 1215.0)),
            ["right", "top"],
        ),
    ],
)
def test_waste_along_the_sheets_edges(
    view: PlanView, points: tuple[tuple[float, float], ...], told: list[str]
) -> None:
    piece = piece_at(view, points)
    assert Polygon(points).is_valid
    assert list(thin_sides(piece, SHEET, 2.0)) == told


@pytest.mark.parametrize("name", ["beach-boat", "punt"])
def test_an_inch_page_on_letter_names_what_a_metric_one_on_a4_names(name: str) -> None:
    """Lines' names and centre lines; an arrow without room stands in the table's words."""
    view = demo_view(name)
    wide = PageMaker(Paper.A4, MM, view)
    narrow = PageMaker(Paper.LETTER, Figures(LengthStyle.INCH), view)
    told = 0
    for sheet in view.sheets:
        here, there = (_marks(sheet, maker) for maker in (wide, narrow))
        lost = {(words, count) for words, count in here.items() if there[words] < count}
        assert not lost, sheet.label
        rows = {row[0]: row[3] for row in sheet_rows(sheet, narrow)}
        for placed in sheet.placed:
            stance = stance_of(placed)
            for word, way in (("FWD", stance.forward), ("UP", stance.up)):
                assert way is None or f"{word} to the" in rows[str(placed.number)]
        told += here.total()
    assert told > 10


def _marks(sheet: SheetView, maker: PageMaker) -> Counter[str]:
    """What is written at lines and arrows on a sheet's first page."""
    groups = [i for i in sheet_pages(sheet, maker)[0].items if isinstance(i, Group)]
    words = [t.text for g in groups if g.kind == "stance" for t in texts_of(g.items)]
    return Counter(w for w in words if not w.endswith(("FWD", "UP")))


def test_waste_beside_a_first_cut_counts_as_waste_beside_the_sheets_edge(view: PlanView) -> None:
    """The blade runs from 998 to 1000 mm: 1 mm is left beside the piece, thinner than the blade."""
    piece = piece_at(view, ((100.0, 100.0), (997.0, 100.0), (997.0, 900.0), (100.0, 900.0)))
    offcut = Offcut(from_mm=(1000.0, 0.0), to_mm=SHEET[2:])
    layout = replace(view.sheets[0].layout, length_mm=2440.0, width_mm=1220.0, offcuts=(offcut,))
    sheet = replace(view.sheets[0], placed=(piece,), layout=layout)
    keeps = keeps_of(sheet, replace(view.verified.job.cutting, gap_mm=0.0), MM)
    assert [k.cut_mm for k in keeps] == [1000.0]
    assert rest_mm(sheet, keeps, 2.0) == (0.0, 0.0, 998.0, 1220.0)
    assert thin_sides(piece, rest_mm(sheet, keeps, 2.0), 2.0) == ("right",)
    assert thin_sides(piece, SHEET, 2.0) == ()
    assert thin_beside(sheet, keeps, 2.0) == ((), (piece.number,))  # not at the sheet's edge
    assert f"(first cut by {piece.number})," in how_words(sheet, (), (piece.number,))


@pytest.mark.parametrize(("top_mm", "last"), [(1210.0, 9), (1150.0, 12)])
def test_an_offcut_that_no_first_cut_frees_says_when_it_comes_free(
    view: PlanView, top_mm: float, last: int
) -> None:
    """With the last of the pieces beside it, or beside waste that holds it: until then it hangs."""
    rings = (
        ((0.0, 0.0), (900.0, 0.0), (900.0, 400.0), (0.0, 400.0)),
        ((0.0, 405.0), (500.0, 405.0), (500.0, 1220.0), (0.0, 1220.0)),
        ((1400.0, 0.0), (2400.0, 0.0), (2400.0, top_mm), (1400.0, top_mm)),
        ((2410.0, 0.0), (2440.0, 0.0), (2440.0, 1220.0), (2410.0, 1220.0)),
    )
    placed = tuple(
        replace(piece_at(view, r), number=n) for r, n in zip(rings, (4, 9, 7, 12), strict=True)
    )
    offcut = Offcut(from_mm=(502.0, 405.0), to_mm=(1398.0, 1218.0))
    layout = replace(view.sheets[0].layout, length_mm=2440.0, width_mm=1220.0, offcuts=(offcut,))
    sheet = replace(view.sheets[0], placed=placed, layout=layout)
    (keep,) = keeps_of(sheet, view.verified.job.cutting, MM)
    assert keep.cut_mm is None
    *_, row = sheet_rows(sheet, PageMaker(Paper.A4, MM, view))
    assert row[:2] == ("", keep.name)  # nothing to saw, nothing to tick off
    assert keep_words(keep, MM, 0).startswith(
        f"falls free when {last} is cut, leave it whole: 502 "
    )


def test_the_offcut_that_holds_the_reserve_says_so_and_no_other(view: PlanView) -> None:
    """The builder asked for it: which of the rectangles to keep it is must be seen at the saw."""
    sheet = next(s for s in view.sheets if s.layout.offcuts)
    keep = keeps_of(sheet, view.verified.job.cutting, MM)[0]
    (x0, y0), (x1, _) = keep.offcut.from_mm, keep.offcut.to_mm
    free = Free(
        stock=sheet.layout.stock,
        sheet=sheet.layout.number,
        from_mm=(x0, y0),
        to_mm=(x0 + 200.0, y0 + 150.0),
    )
    kept = Reserve(material="ply", thickness_mm=6.0, free=free)
    beside = replace(kept, free=replace(free, to_mm=(x1 + 5.0, y0 + 150.0)))
    elsewhere = replace(kept, free=replace(free, sheet=sheet.layout.number + 1))
    given_up = replace(kept, free=None)

    told = [kept_name(keep, sheet, (r,)) for r in (kept, beside, elsewhere, given_up)]

    assert told == [f"{keep.name}: your reserve", *[keep.name] * 3]


def test_the_sheet_of_the_reserve_says_so_in_its_table(view: PlanView) -> None:
    sheet = next(s for s in view.sheets if s.layout.offcuts)
    offcut, layout = sheet.layout.offcuts[0], sheet.layout
    free = Free(stock=layout.stock, sheet=layout.number, from_mm=offcut.from_mm, to_mm=offcut.to_mm)
    kept = Reserve(material="ply", thickness_mm=6.0, free=free)
    plan = replace(view.verified.plan, reserves=(kept,))
    wanted = replace(view, verified=replace(view.verified, plan=plan))
    rows = [sheet_rows(sheet, PageMaker(Paper.A4, MM, v)) for v in (wanted, view)]
    told = [sum(word.endswith(": your reserve") for row in r for word in row) for r in rows]
    assert told == [1, 0]


@pytest.mark.parametrize(
    ("reason", "beside"),
    [("split corner", "split corner"), ("hatch ring 1, not wanted any more", "cross-hatched")],
)
def test_a_long_reason_takes_no_room_from_the_drawing(
    view: PlanView, reason: str, beside: str
) -> None:
    """Upright below the sheet it would halve the scale; the legend has it in full."""
    sheet = view.sheets[0]
    square = ((500.0, 300.0), (700.0, 300.0), (700.0, 500.0), (500.0, 500.0))
    spot = KeepOut(points=square, reason=reason)
    layout = replace(sheet.layout, outline=None, keep_outs=(spot,), spent=())
    barred = replace(sheet, layout=layout)
    assert [m[1] for m in stock_marks(barred)[0]] == [beside, beside]
    pages = sheet_pages(barred, PageMaker(Paper.A4, MM, view))
    told = " ".join(text.text for page in pages for text in texts_of(page.items))
    assert reason in told


def test_the_box_of_a_piece_that_is_cut_is_crossed_in_the_sheets_table() -> None:
    columns = (Column("no."), Column("to do"))
    rows = (("1", "J1 8:1"), ("2", "CUT ALREADY; J2 8:1"), ("", "CUT ALREADY"))
    strokes = [
        sum(isinstance(i, Path) for i in laid_table(columns, rows, 80.0, done).items((0, 0), 0, 3))
        for done in ("", "CUT ALREADY")
    ]
    assert strokes == [1, 3]  # the line under the head, and a cross


def test_a_sheet_with_two_good_faces_says_so_and_calls_none_the_back(view: PlanView) -> None:
    sheet = view.sheets[0]
    assert isinstance(sheet.stock, SheetStock)
    both = replace(sheet.stock, good_faces=GoodFaces.BOTH)
    plain = tuple(replace(p, is_face_told=False) for p in sheet.placed)
    alike = replace(sheet, stock=both, placed=plain)
    assert "Both faces are good: pencil the one that a row says you see; else" in how_words(alike)
    unsaid = tuple(replace(p, part=None) for p in plain)
    assert "Both faces are good: either may show." in how_words(replace(alike, placed=unsaid))
    named = next(s for s in view.sheets if sum(bool(stance_of(p).seen) for p in s.placed) > 1)
    plain = tuple(replace(p, is_face_told=False) for p in named.placed)
    alike = replace(named, stock=both, placed=plain)
    down = replace(
        plain[0], is_face_told=True, placement=replace(plain[0].placement, lie=Lie.FACE_DOWN)
    )
    mixed = how_words(replace(alike, placed=(down, *plain[1:])))
    assert f"BACK on {down.number}, on others what their row calls it, if anything" in mixed
    one_back = replace(sheet, placed=(down, *(replace(p, is_face_told=True) for p in plain[1:])))
    assert f"BACK on {down.number}, GOOD on all others" in how_words(one_back)
    page = sheet_pages(alike, PageMaker(Paper.A4, MM, view))[0]
    assert "both faces good" in " ".join(t.text for t in texts_of(page.items))
    one = replace(sheet, placed=plain, stock=replace(both, good_faces=GoodFaces.ONE))
    assert "No piece here minds which face is good" in how_words(one)


def test_every_arrow_says_whose_it_is(view: PlanView) -> None:
    """Right at a neighbour's edge, under its centre line, a bare FWD is taken for that one's."""
    seen = 0
    for style, paper in ((LengthStyle.MM, Paper.A4), (LengthStyle.INCH, Paper.LETTER)):
        maker = PageMaker(paper, Figures(style), view)
        for sheet in view.sheets:
            for page in sheet_pages(sheet, maker):
                words = [t.text for t in texts_of(page.items)]
                arrows = [w for w in words if re.fullmatch(r"\d* ?(FWD|UP)", w)]
                assert all(re.search(r"\d", w) for w in arrows), sheet.label
                seen += len(arrows)
    assert seen > 20


def test_a_piece_that_waits_says_which_line_is_sawn_when(view: PlanView) -> None:
    told = {
        piece_row(p, view, MM)[3]: p.piece.timing for sheet in view.sheets for p in sheet.placed
    }
    for row, timing in told.items():
        waits = "only when the hull stands dry" in row
        assert waits is (timing is Timing.AFTER_DRY_FIT)
        # fitted to what, and the dotted line only a guide
        assert ("until it stands on its line: the dotted line" in row) is waits
    assert Timing.AFTER_DRY_FIT in told.values()


def test_an_arrow_without_room_is_left_to_its_row(view: PlanView) -> None:
    """In the waste beside its piece it is taken for the next one's."""
    sheet = next(s for s in view.sheets if any(p.piece.part == "frame 1" for p in s.placed))
    frame = next(p for p in sheet.placed if p.piece.part == "frame 1")
    where = SheetFrame(16.0, (20.0, 60.0), SHEET)
    board = Ground()
    board.marked.append(where.shape(frame.polygon))  # its own room is all written on
    draw_waiting((Arrow(frame, "UP", (0.0, 1.0)),), where, where.paper_window, board)
    assert board.items == []
    assert board.unmarked == [frame.number]


@pytest.mark.parametrize("scale", [12.5, 16.0])
def test_arrows_stand_in_their_own_piece_clear_of_their_words(view: PlanView, scale: float) -> None:
    """An arrow that ran through the D of its own FWD could not be read."""
    where = SheetFrame(scale, (20.0, 60.0), SHEET)
    seen = 0
    for sheet in view.sheets:
        bodies = {p.number: where.shape(p.polygon) for p in sheet.placed}
        drawn = draw_sheet(sheet, where, MM, where.paper_window)
        for group in (i for i in drawn.items if isinstance(i, Group) and i.kind == "stance"):
            told = [t for t in texts_of(group.items) if re.fullmatch(r"\d+ (FWD|UP)", t.text)]
            arrows = [LineString(i.points) for i in group.items if isinstance(i, Path)]
            for text in told:
                seen += 1
                wide = text_width_mm(text.text, text.size_mm, text.weight)
                word = affinity.rotate(
                    LineString([text.at, (text.at[0] + wide, text.at[1])]),
                    text.angle_deg,
                    origin=text.at,
                ).buffer(0.36 * text.size_mm, cap_style="flat")
                assert bodies[int(text.text.split()[0])].contains(word)
                assert all(arrow.distance(word) > 0.3 for arrow in arrows)
    assert seen > 20


def test_a_name_in_the_middle_leaves_an_end_to_the_arrow(view: PlanView) -> None:
    """With its arrow tried in the middle alone a box's side had none."""
    own = next(p for s in view.sheets for p in s.placed if p.piece.part == "box outer side")
    side = ((100.0, 960.0), (1000.0, 960.0), (960.0, 1220.0), (140.0, 1220.0))
    piece = replace(own, number=7, shape=Shape(Ring(side)), ends=())
    where = SheetFrame(12.5, (20.0, 60.0), SHEET)
    board = Ground()
    assert draw_stances((piece,), where, where.paper_window, MM, board) == ()
    words = [t.text for i in board.items if isinstance(i, Group) for t in texts_of(i.items)]
    assert words == ["7 UP"]
    assert place_name(piece, where, where.paper_window, MM, board) is not None


@pytest.mark.parametrize("wide", [60.0, 66.0, 72.0, 80.0, 120.0])
def test_a_numbers_frame_keeps_off_the_line_that_is_sawn(view: PlanView, wide: float) -> None:
    """A frame on the outline hides where to saw; a bare number has room where that would be."""
    outline = ((100.0, 100.0), (354.0, 100.0), (354.0, 100.0 + wide), (100.0, 100.0 + wide))
    piece = replace(view.sheets[0].placed[0], number=1, shape=Shape(Ring(outline)), ends=())
    where = SheetFrame(16.0, (20.0, 60.0), SHEET)
    board = Ground()
    assert number_inside(piece, {1: where.shape(piece.polygon)}, where, board)
    edge = where.shape(piece.polygon).boundary
    (label,) = [i for i in board.items if isinstance(i, Group)]
    frames = [Polygon(i.outline) for i in label.items if isinstance(i, Area)]
    assert all(frame.distance(edge) > 0.25 for frame in frames)
    assert frames or wide < 100.0


@pytest.mark.parametrize("number", [1, 14])
def test_a_number_keeps_off_the_holes_of_its_piece(view: PlanView, number: int) -> None:
    """Right beside a bolt hole 1 reads as 10, 14 as 140."""
    pad = ((100.0, 100.0), (354.0, 100.0), (354.0, 163.5), (100.0, 163.5))
    hole = Ring(tuple((x + 227.0, y + 131.75) for x, y in ((-6, -6), (-6, 6), (6, 6), (6, -6))))
    own = view.sheets[0].placed[0]
    piece = replace(own, number=number, shape=Shape(Ring(pad), (hole,)), ends=())
    where = SheetFrame(16.0, (20.0, 60.0), SHEET)
    board = Ground()
    assert number_inside(piece, {number: where.shape(piece.polygon)}, where, board)
    (label,) = board.taken
    assert label.distance(where.shape(Polygon(hole.points))) > 1.0


@pytest.mark.parametrize(("number", "is_there"), [(9, False), (7, True)])
def test_a_turned_number_is_none_that_reads_as_another(
    view: PlanView, number: int, *, is_there: bool
) -> None:
    """In a strip 2.6 mm high on paper a number stands turned: 9 would be 6."""
    strip = Shape(Ring(((100.0, 100.0), (500.0, 100.0), (500.0, 126.0), (100.0, 126.0))))
    own = view.sheets[0].placed[0]
    pieces = tuple(replace(own, number=k, shape=strip, ends=()) for k in range(1, 11))
    where = SheetFrame(10.0, (20.0, 60.0), SHEET)
    shapes = {p.number: where.shape(p.polygon) for p in pieces}
    board = Ground()
    x0, y0, x1, y1 = shapes[number].bounds
    board.taken.append(box(x0, y0 + 2.0, x1, y1))  # no room for a level one
    assert number_inside(pieces[number - 1], shapes, where, board) is is_there


def test_an_offcuts_figure_gives_way_to_the_edge_it_lies_on(view: PlanView) -> None:
    """Rounded inwards by a step it would be a second figure for one line."""
    inch = Figures(LengthStyle.INCH)
    piece = piece_at(view, ((100.0, 100.0), (900.0, 100.0), (900.0, 1214.0), (100.0, 1214.0)))
    offcut = Offcut(from_mm=(910.0, 500.0), to_mm=(1500.0, 1214.0))
    low, high = offcut.from_mm, (offcut.to_mm[0], 1213.0)
    keep = Keep("KEEP", offcut, low, high)
    across = edge_figures((piece,), (keep,), inch, SHEET[2:]).across
    assert [f.whose for f, _ in across if f.at_mm > 1200.0] == [(str(piece.number),)]
    near = replace(keep, to_mm=(offcut.to_mm[0], 1213.1))  # one line for a pencil, two figures
    assert inch.place(1213.1) != inch.place(1213.4)
    lower = piece_at(view, ((100.0, 100.0), (900.0, 100.0), (900.0, 1213.4), (100.0, 1213.4)))
    across = edge_figures((lower,), (near,), inch, SHEET[2:]).across
    assert [f.whose for f, _ in across if f.at_mm > 1200.0] == [(str(piece.number),)]
    first = replace(keep, cut_mm=1213.0, is_across=False)  # a saw runs there: its own figure
    across = edge_figures((piece,), (first,), inch, SHEET[2:]).across
    assert ("KEEP",) in [f.whose for f, _ in across]
