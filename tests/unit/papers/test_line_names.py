"""Names of lines on a sheet's drawing: beside their lines, on the side where the frame stands."""

from __future__ import annotations

from dataclasses import replace

import pytest
from shapely.geometry import LineString

from nestcut.model.shape import Mark, Ring, Shape
from nestcut.papers.draw.diagram import Group, Text, texts_of
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.sheet.written.ground import Ground
from nestcut.papers.sheet.written.stance_marks import draw_stances, draw_waiting
from nestcut.papers.view import Figures, PlacedPiece, stance_of
from nestcut.units import LengthStyle
from tests.builders_demos import demo_view

MM = Figures(LengthStyle.MM)
FRAME = SheetFrame(10.0, (20.0, 60.0), (0.0, 0.0, 2440.0, 1220.0))
LINE_MM = 1000.0
"""Where the line runs across the panel."""


def panel(high_mm: float, side: str) -> PlacedPiece:
    """A panel of the beach boat as a rectangle with one line across, its frame on a side of it."""
    view = demo_view("beach-boat")
    own = next(
        p
        for sheet in view.sheets
        for p in sheet.placed
        if p.part is not None and (forward := stance_of(p).forward) and abs(forward[0]) > 0.9
    )
    assert own.part is not None
    line = Mark(((LINE_MM, 100.0), (LINE_MM, 100.0 + high_mm)), label="mast frame")
    outline = Ring(
        ((100.0, 100.0), (2000.0, 100.0), (2000.0, 100.0 + high_mm), (100.0, 100.0 + high_mm))
    )
    stands = {"forward": (), "aft": ()} | {side: ("mast frame",)}
    part = replace(own.part, stands_forward=stands["forward"], stands_aft=stands["aft"])
    return replace(own, part=part, shape=Shape(outline, (), (line,)), ends=())


def named(placed: PlacedPiece, board: Ground) -> list[Text]:
    """What is written of the line's name once all is drawn."""
    window = FRAME.paper_window
    waiting = draw_stances((placed,), FRAME, window, MM, board)
    draw_waiting(waiting, FRAME, window, board)
    groups = [i for i in board.items if isinstance(i, Group)]
    told = [t for g in groups for t in texts_of(g.items)]
    return [t for t in told if "mast" in t.text or t.text.startswith("(")]


@pytest.mark.parametrize("side", ["forward", "aft"])
def test_a_name_stands_where_its_frame_stands(side: str) -> None:
    placed = panel(600.0, side)
    forward = stance_of(placed).forward
    assert forward is not None
    (name,) = named(placed, Ground())
    assert name.text == f"mast frame ({'fwd' if side == 'forward' else 'aft'})"
    is_forward = (name.at[0] - FRAME.x(LINE_MM)) * forward[0] > 0.0
    assert is_forward is (side == "forward")


def test_a_name_too_long_for_its_line_has_two_rows() -> None:
    """A panel so low that the name in one row is longer than the line across it."""
    board = Ground()
    told = named(panel(220.0, "aft"), board)
    assert [t.text for t in told] == ["mast frame", "(aft)"]
    assert board.unmarked == []


def test_a_name_without_room_is_counted() -> None:
    """A sheet with names left over is drawn larger, if that helps."""
    placed, board = panel(600.0, "aft"), Ground()
    line = FRAME.shape(LineString([(LINE_MM, 100.0), (LINE_MM, 700.0)]))
    board.marked.append(line.buffer(20.0))
    assert named(placed, board) == []
    assert placed.number in board.unmarked
