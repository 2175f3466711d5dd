"""Which turns and faces are allowed."""

from __future__ import annotations

import pytest

from nestcut.model.part import Faces, Grain, Turning
from nestcut.model.pose import Lie
from nestcut.model.stock import GoodFaces, SheetGrain
from nestcut.nesting.problem import FREE
from nestcut.sheets.poses import allowed_lies, allowed_turns, base_turn_deg, common_faces
from tests.unit.sheets.cases import box, piece, sheet


@pytest.mark.parametrize(
    ("grain", "sheet_grain", "turn"),
    [
        (Grain.ALONG, SheetGrain.ALONG_LENGTH, 0.0),
        (Grain.ACROSS, SheetGrain.ALONG_LENGTH, 90.0),
        (Grain.ALONG, SheetGrain.ALONG_WIDTH, 90.0),
        (Grain.ACROSS, SheetGrain.ALONG_WIDTH, 0.0),
        (Grain.ANY, SheetGrain.ALONG_WIDTH, 0.0),
    ],
)
def test_the_base_turn_lays_grain_along_grain(
    grain: Grain, sheet_grain: SheetGrain, turn: float
) -> None:
    assert base_turn_deg(grain, sheet_grain) == turn


@pytest.mark.parametrize(
    ("turning", "centres", "span"),
    [
        (Turning.NONE, (90.0,), 0.0),
        (Turning.HALF, (90.0, 270.0), 0.0),
        (Turning.QUARTER, (0.0, 90.0, 180.0, 270.0), 0.0),
        (Turning.SMALL, (90.0, 270.0), 5.0),
    ],
)
def test_turning_starts_from_the_base(
    turning: Turning, centres: tuple[float, ...], span: float
) -> None:
    turns = allowed_turns(
        piece("p", box(9, 5), turning=turning, grain=Grain.ACROSS), SheetGrain.ALONG_LENGTH
    )
    assert (turns.centres_deg, turns.span_deg) == (centres, span)


def test_free_turning_is_free() -> None:
    freed = piece("p", box(9, 5), turning=Turning.FREE, grain=Grain.ANY)
    assert allowed_turns(freed, SheetGrain.ALONG_LENGTH) is FREE


def test_a_good_face_up_piece_turns_over_only_on_sheets_with_two_good_faces() -> None:
    fussy = piece("p", box(9, 5))
    either = piece("p", box(9, 5), faces=Faces.EITHER)
    both = (Lie.FACE_UP, Lie.FACE_DOWN)
    assert allowed_lies(fussy, GoodFaces.ONE) == (Lie.FACE_UP,)
    assert allowed_lies(fussy, GoodFaces.BOTH) == both
    assert allowed_lies(either, GoodFaces.ONE) == both


def test_one_sheet_with_one_good_face_settles_it_for_the_group() -> None:
    two = sheet("two", good_faces=GoodFaces.BOTH)
    assert common_faces((two, two)) is GoodFaces.BOTH
    assert common_faces((two, sheet("one"))) is GoodFaces.ONE
