"""To which step papers print a size: figures worked out by hand, two papers one figure."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nestcut.facts import Length
from nestcut.papers.marking.rules import marking_rule
from nestcut.papers.view import Figures
from nestcut.units import LengthStyle, SetBy, format_feet_inches, inch_step, nearest_mm
from nestcut.words import Speech

INCH = LengthStyle.INCH


def shown(length_mm: float, by: SetBy, fraction: int = 16) -> str:
    return format_feet_inches(length_mm, inch_step(length_mm, by, fraction))


@pytest.mark.parametrize(
    ("length_mm", "by", "text"),
    [
        (10.0, SetBy.GAUGE, '25/64"'),  # trims of the demo: 25.2 sixty-fourths
        (5.0, SetBy.GAUGE, '13/64"'),
        (4.0, SetBy.GAUGE, '5/32"'),
        (8.8, SetBy.GAUGE, '11/32"'),  # measured ply of 9 mm is no 3/8
        (18.0, SetBy.GAUGE, '45/64"'),
        (1.1, SetBy.GAUGE, '3/64"'),  # bevels in thin ply
        (1.9, SetBy.GAUGE, '5/64"'),
        (2.5, SetBy.GAUGE, '3/32"'),
        (25.4, SetBy.GAUGE, '1"'),
        (48.0, SetBy.GAUGE, '1 7/8"'),  # a tape's work
        (48.0, SetBy.TAPE, '1 7/8"'),
        (10.0, SetBy.TAPE, '3/8"'),
        (5.0, SetBy.DRILL, '13/64"'),
        (14.0, SetBy.DRILL, '9/16"'),
        (20.0, SetBy.DRILL, '25/32"'),
        (30.0, SetBy.DRILL, '1 3/16"'),
    ],
)
def test_a_size_goes_to_the_step_of_what_sets_it(length_mm: float, by: SetBy, text: str) -> None:
    """Each by hand; tapes have no sixty-fourths, gauges and small drills have."""
    assert shown(length_mm, by) == text


@given(
    length_mm=st.floats(0.5, 200.0),
    by=st.sampled_from(SetBy),
    fraction=st.sampled_from([2, 4, 8, 16, 32, 64]),
)
@settings(max_examples=200, deadline=None, derandomize=True)
def test_rounding_is_to_the_nearest(length_mm: float, by: SetBy, fraction: int) -> None:
    """Never farther than half a step, a whole number of steps, never coarser than asked."""
    step = inch_step(length_mm, by, fraction)
    near = nearest_mm(length_mm, by, INCH, fraction)
    assert step >= fraction
    assert abs(near - length_mm) <= 25.4 / step / 2.0 + 1e-9
    assert abs(near / 25.4 * step - round(near / 25.4 * step)) < 1e-6


def test_metric_drills_come_in_halves() -> None:
    """A hole of 15 mm stays one: it was written by whole millimetres of its radius once."""
    rule = marking_rule(LengthStyle.MM)
    assert rule.sized(15.0, SetBy.DRILL) == 15.0
    assert rule.sized(6.7, SetBy.DRILL) == 6.5
    assert (rule.halved(15.0), rule.halved(6.5)) == ("7.5", "3.25")
    assert marking_rule(INCH).halved(35.0 / 64.0 * 25.4) == '35/128"'


@pytest.mark.parametrize("trim_mm", [3.0, 4.0, 5.0, 8.0, 10.0, 12.0, 15.0, 20.0])
def test_a_trim_is_one_figure_on_all_papers(trim_mm: float) -> None:
    """The shop's words, the gauge of the marking-out and the sentences of findings."""
    figures, rule = Figures(INCH), marking_rule(INCH)
    gauge = rule.written(rule.sized(trim_mm, SetBy.GAUGE))
    assert figures.fine(trim_mm) in {gauge, f"{trim_mm:g} mm ({gauge})"}
    assert Speech(style=INCH).say(Length(trim_mm)) == figures.fine(trim_mm)
    assert figures.near(trim_mm) == gauge


def test_metric_stock_says_both() -> None:
    """Larch of 18 mm is no 11/16; ply of a quarter inch needs no millimetres, nor 1/8 in blades."""
    figures = Figures(INCH)
    assert figures.thickness(18.0) == '18 mm (45/64")'
    assert figures.called(18.0) == "18 mm"
    assert figures.thickness(6.35) == figures.called(6.35) == '1/4"'
    assert figures.fine(3.2) == '1/8"'
    assert figures.fine(3.5276) == Speech(style=INCH).say(Length(3.5276)) == '9/64"'
    assert figures.fine(float(Fraction(11, 32)) * 25.4) == '11/32"'
    assert Speech(style=INCH).say(Length(18.0)) == '18 mm (45/64")'


def test_charts_keep_to_a_tape_unless_asked() -> None:
    """Sixty-fourths only where the builder asks for lengths in them."""
    assert [round(25.4 / s) for s in marking_rule(INCH).steps_mm] == [16, 32]
    assert [round(25.4 / s) for s in marking_rule(INCH, 64).steps_mm] == [64]
