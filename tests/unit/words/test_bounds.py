"""Bounds in words: in what is counted, in the reader's units."""

from __future__ import annotations

import pytest

from nestcut.facts import fact
from nestcut.model.plan import Bound, Counted
from nestcut.units import LengthStyle
from nestcut.words import Speech, bound_line

MM, INCH = Speech(currency="EUR"), Speech(style=LengthStyle.INCH)


@pytest.mark.parametrize(
    ("measure", "speech", "words"),
    [
        (Counted.SHEETS_TO_BUY, MM, "x: 3 sheets to buy; fewer than 1 sheet to buy is impossible"),
        (Counted.BOARDS, MM, "x: 3 boards; fewer than 1 board is impossible"),
        (Counted.JOINTS, MM, "x: 3 joints; fewer than 1 joint is impossible"),
        (Counted.MONEY_IN_ALL, MM, "x: 0.03 EUR; less than 0.01 EUR is impossible"),
    ],
)
def test_what_lies_between_is_open(measure: Counted, speech: Speech, words: str) -> None:
    bound = Bound(name="x", measure=measure, lower=1.0, used=3.0)
    assert bound_line(bound, speech) == f"{words}, what lies between is open."


def test_a_gap_is_told_with_what_proves_the_least() -> None:
    bound = Bound(
        name="ply", measure=Counted.SHEETS_TO_BUY, lower=4.0, used=5.0,
        reason=fact("SHT-117", filled="3.90"),
    )  # fmt: skip
    assert bound_line(bound, MM) == (
        "ply: 5 sheets to buy; fewer than 4 sheets to buy is impossible (pieces and kerf alone "
        "fill 3.90 of these sheets); the 1 sheet to buy between is open."
    )


def test_wood_without_prices_is_told_in_the_readers_units() -> None:
    wood = Bound(name="x", measure=Counted.WOOD, lower=28317.0, used=28317.0)
    assert bound_line(wood, MM) == "x: 0.028 m\u00b3 of wood; no plan can use less."
    assert bound_line(wood, INCH) == "x: 1.00 ft\u00b3 of wood; no plan can use less."


def test_nothing_proven_is_said_to_be_open_and_a_proof_says_why() -> None:
    bound = Bound(name="x", measure=Counted.JOINTS, lower=0.0, used=1.0)
    assert bound_line(bound, MM) == "x: 1 joint; whether fewer is possible is open."
    proven = Bound(name="x", measure=Counted.SHEETS, lower=1.0, used=1.0, reason=fact("SHT-111"))
    assert bound_line(proven, MM).endswith("(the area of pieces and kerf).")
