"""What a builder at the saw had to guess: whose number it is, what hangs on what, what may lack."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
import shapely
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon

from nestcut.papers.book.board_words import least_words
from nestcut.papers.draw import SIZES, Paper, text_width_mm
from nestcut.papers.draw.diagram import Area, Disc, Group, Item, Text, texts_of
from nestcut.papers.sheet.drawing import draw_sheet
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.legend import with_joints
from nestcut.papers.sheet.written.bevels import bar_bevels
from nestcut.papers.sheet.written.ground import Ground
from nestcut.papers.view import Figures, SheetView, bevels_of
from nestcut.papers.view.rows import PlanView
from nestcut.units import LengthStyle
from nestcut.words.how_to_use import Has, how_to_use
from tests.builders_demos import demo_view

MM = Figures(LengthStyle.MM)
INCHES = Figures(LengthStyle.INCH)


@pytest.fixture(scope="module", params=["beach-boat", "punt"])
def view(request: pytest.FixtureRequest) -> PlanView:
    return demo_view(request.param)


def framed(sheet: SheetView, scale: float) -> SheetFrame:
    return SheetFrame(
        scale, (40.0, 60.0), (0.0, 0.0, sheet.layout.length_mm, sheet.layout.width_mm)
    )


def labels(sheet: SheetView, scale: float) -> dict[str, list[Item]]:
    """What is written on or beside each piece, by its id."""
    frame = framed(sheet, scale)
    found: dict[str, list[Item]] = {}
    for item in draw_sheet(sheet, frame, MM, frame.paper_window).items:
        if isinstance(item, Group) and item.kind == "label":
            found.setdefault(item.key, []).extend(item.items)
    return found


@pytest.mark.parametrize("scale", [12.5, 16.0])
def test_a_number_that_stands_alone_has_a_frame(view: PlanView, scale: float) -> None:
    """ "1" beside "frame 2" reads as that frame; numbers before names have frames as well."""
    count = names = 0
    for sheet in view.sheets:
        for items in labels(sheet, scale).values():
            numbers = [t for t in items if isinstance(t, Text) and t.text.isdecimal()]
            for number in numbers:
                if number.size_mm < 2.9 or number.angle_deg:
                    continue  # no room for more than the number
                round_it = [
                    i
                    for i in items
                    if isinstance(i, Area) and i.pen is not None and _holds(i, number)
                ]
                assert round_it or number.size_mm < 4.0  # the largest has room for it
                count += bool(round_it) and not any(isinstance(i, Disc) for i in items)
            names += any(isinstance(t, Text) and not t.text.isdecimal() for t in items)
    assert count > names  # not only those before names


def _holds(area: Area, text: Text) -> bool:
    return Polygon(area.outline).buffer(0.05).contains(Point(text.at))


@pytest.mark.parametrize("scale", [14.0, 16.0])
def test_a_rings_number_stands_in_its_own_waste(scale: float) -> None:
    """On a rim as wide as a figure is high it lay on the lines."""
    view = demo_view("beach-boat")
    seen = 0
    for sheet in view.sheets:
        rings = [p for p in sheet.placed if p.piece.part.endswith("coaming")]
        told = labels(sheet, scale)
        frame = framed(sheet, scale)
        for ring in rings:
            hole = frame.shape(Polygon(ring.shape.holes[0].points))
            (number,) = [
                i for i in told[ring.piece.id] if isinstance(i, Text) and i.text == str(ring.number)
            ]
            (round_it,) = [
                i for i in told[ring.piece.id] if isinstance(i, Area) and _holds(i, number)
            ]
            assert hole.contains(Polygon(round_it.outline))
            seen += 1
    assert seen == 2


@pytest.mark.parametrize("scale", [12.5, 16.0])
def test_a_joints_name_tells_what_is_done_not_a_verdict(view: PlanView, scale: float) -> None:
    """ "J4 GOOD" reads as if the joint were good: it's the face to plane."""
    told: list[str] = []
    for sheet in view.sheets:
        frame = framed(sheet, scale)
        told += [t.text for t in texts_of(draw_sheet(sheet, frame, MM, frame.paper_window).items)]
    named = [t for t in told if re.match(r"J\d+( |$)", t)]
    if view.verified.job.name == "punt":  # straps may have their key alone: nothing is planed
        named = [t for t in named if " " in t]
    else:
        assert named
    assert [t for t in named if not re.search("plane|butt strap", t)] == []


@pytest.mark.parametrize("scale", [12.0, 14.0])
def test_a_joints_name_hides_no_line_of_its_piece(scale: float) -> None:
    """Written from edge to edge it lay over both trim lines."""
    seen = 0
    for sheet in demo_view("beach-boat").sheets:
        frame = framed(sheet, scale)
        groups = [
            i
            for i in draw_sheet(sheet, frame, MM, frame.paper_window).items
            if isinstance(i, Group) and i.kind == "outline"
        ]
        for placed in sheet.placed:
            lines = [frame.shape(LineString(m.points)) for m in placed.shape.marks if m.points[1:]]
            for text in (t for g in groups if g.key == placed.piece.id for t in texts_of(g.items)):
                wide = text_width_mm(text.text, text.size_mm, text.weight)
                word = affinity.rotate(
                    LineString([text.at, (text.at[0] + wide, text.at[1])]),
                    text.angle_deg,
                    origin=text.at,
                ).buffer(0.36 * text.size_mm, cap_style="flat")
                assert all(line.distance(word) > 0.1 for line in lines), (sheet.label, text.text)
                seen += bool(lines)
    assert seen > 5


def test_a_bevel_takes_no_room_from_the_piece_beside_it(view: PlanView) -> None:
    """A pad beside a transom had its number on a page of details alone."""
    seen = 0
    for sheet in view.sheets:
        frame = framed(sheet, 16.0)
        for placed in sheet.placed:
            if not bevels_of(placed):
                continue
            board = Ground()
            bar_bevels((placed,), frame, board)
            own = frame.shape(placed.polygon)
            for other in sheet.placed:
                if other is not placed:
                    deep = frame.shape(other.polygon).buffer(-0.3)
                    assert not shapely.union_all(board.marked).intersects(deep)
            assert shapely.union_all(board.marked).intersection(own).area > 0.0
            seen += 1
    assert seen


def test_a_board_that_is_all_used_says_how_long_it_must_be(view: PlanView) -> None:
    """2390 of 2400 mm: one that is a little short spoils the last piece."""
    board = view.boards[0]
    last = max(c.to_mm for c in board.parted)
    tight = replace(board, layout=replace(board.layout, length_mm=last + 5.0))
    assert least_words(tight, MM) == f"at least {MM.place(last)} mm needed"
    assert least_words(tight, INCHES) == f"at least {INCHES.place(last)} needed"
    easy = replace(board, layout=replace(board.layout, length_mm=last + 25.0))
    assert least_words(easy, MM) == ""


def test_pages_of_boards_say_how_long_joints_are_where_they_have_room() -> None:
    page = SIZES[Paper.A4].landscape
    alike = [("J1", 240.0), ("J2", 240.0)]
    assert with_joints("Note.", alike, MM, page) == "Note. Joints: 240 mm long."
    two = [*alike, ("J3", 192.0), ("J3", 192.0), ("J4", 0.0)]
    told = "Note. Joints: J1, J2 240 mm; J3 192 mm long."
    assert with_joints("Note.", two, MM, page) == told
    many = [(f"J{k}", 100.0 + k) for k in range(60)]
    assert with_joints("Note.", many, MM, page) == "Note. Lengths of joints: see Joints."
    assert with_joints("Note.", [("J4", 0.0)], MM, page) == "Note."


def test_what_to_hand_means_is_told_where_something_is() -> None:
    assert "to hand: you have it" in " ".join(how_to_use(frozenset(Has)))
    assert "to hand" not in " ".join(how_to_use(frozenset(Has) - {Has.TO_HAND}))
