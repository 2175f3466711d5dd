"""Whole sheets joined end to end, against worked lengths.

n b - (n - 1) s t; figures of ../shared/trade/FACTS.md, section 1.3 (graded there as arithmetic).
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from nestcut.joints.blanks import join_sheets
from nestcut.model.stock import KeepOut, SheetStock

SHEET = SheetStock(
    name="ply", material="ply", thickness_mm=6, length_mm=2440, width_mm=1220, price_minor=5800
)


@pytest.mark.parametrize(
    ("length", "thickness", "number", "joined"),
    [
        (2440.0, 6.0, 2, 4832.0),
        (2440.0, 6.0, 3, 7224.0),
        (2440.0, 6.0, 4, 9616.0),
        (2440.0, 12.0, 2, 4784.0),
        (2440.0, 12.0, 3, 7128.0),
        (2500.0, 6.0, 2, 4952.0),
        (96 * 25.4, 25.4 / 4, 2, 190 * 25.4),
        (96 * 25.4, 25.4 / 4, 3, 284 * 25.4),
        (96 * 25.4, 25.4 * 3 / 8, 2, 189 * 25.4),
    ],
)
def test_joined_length(length: float, thickness: float, number: int, joined: float) -> None:
    blank = join_sheets(replace(SHEET, length_mm=length, thickness_mm=thickness), number, 8.0)
    assert blank.length_mm == pytest.approx(joined, abs=1e-9)
    assert len(blank.seams_mm) == number - 1
    assert blank.price_minor == number * 5800


def test_seam_is_the_middle_of_the_overlap_from_both_sides() -> None:
    blank = join_sheets(SHEET, 2, 8.0)
    assert blank.seams_mm == (2416.0,)
    assert blank.length_mm - blank.seams_mm[0] == 2416.0


def test_sheets_to_hand_make_as_many_as_they_can() -> None:
    assert join_sheets(replace(SHEET, count=5), 2, 8.0).count == 2
    assert join_sheets(SHEET, 1, 8.0) is SHEET


def test_spoilt_sheets_are_not_joined() -> None:
    knot = KeepOut(points=((0.0, 0.0), (1.0, 0.0), (1.0, 1.0)), reason="knot")
    with pytest.raises(ValueError, match="no plain sheet"):
        join_sheets(replace(SHEET, keep_outs=(knot,)), 2, 8.0)
