"""Boards of one length are named in the reader's units, on papers and in notes."""

from __future__ import annotations

from nestcut.model.plan import Bound, Counted, StopReason
from nestcut.model.stock import BoardLength, BoardStock
from nestcut.papers.view import Figures, bound_words
from nestcut.planning.sawn.as_sheets import boards_as_sheets, named_for_readers
from nestcut.planning.totals import compared_told
from nestcut.sheets.outcome import Comparison, SheetsOutcome
from nestcut.units import LengthStyle
from tests.told import all_said

BOARD = BoardStock(
    name="1x8 fir",
    material="fir",
    thickness_mm=19.05,
    width_mm=184.15,
    lengths=(BoardLength(length_mm=2438.4), BoardLength(length_mm=3048.0)),
)


def test_a_bound_and_a_comparison_say_the_length_as_the_reader_measures() -> None:
    name = boards_as_sheets((BOARD,))[0].name
    bound = Bound(name=name, measure=Counted.SHEETS, lower=1.0, used=1.0)
    compared = Comparison(name=name, plain_sheets=2, plain_offcut_mm2=0.0, sheets=1, offcut_mm2=0.0)
    outcome = SheetsOutcome(
        layouts=(),
        unplaced=(),
        bounds=(bound,),
        stopped_by=StopReason.PROVEN,
        compared=(compared,),
    )
    named = named_for_readers(outcome, (BOARD,))
    inches = Figures(LengthStyle.INCH)

    assert (
        bound_words(named.bounds[0], inches) == "1x8 fir, 8'-0\": 1 sheet; no plan can use fewer."
    )
    [told] = all_said(compared_told(named), inches.speech)
    assert told.startswith("1x8 fir, 8'-0\": 1 sheet")
    assert bound_words(named.bounds[0], Figures(LengthStyle.MM)).startswith("1x8 fir, 2438 mm:")
