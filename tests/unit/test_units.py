"""Lengths as people write them."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nestcut.units import (
    LengthError,
    LengthStyle,
    Unit,
    format_feet_inches,
    format_feet_inches_eighths,
    format_length,
    format_mm,
    format_size,
    format_slope,
    parse_feet_inches_eighths_mm,
    parse_length_mm,
    parse_signed_mm,
    parse_slope,
)

INCH = Fraction(254, 10)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("2440 mm", Fraction(2440)),
        ("18mm", Fraction(18)),
        ("18 MM", Fraction(18)),
        ("3 FT 2 IN", INCH * 38),
        ("1.22 m", Fraction(1220)),
        ("12.5 cm", Fraction(125)),
        ("7.25 in", INCH * Fraction(29, 4)),
        ("7-1/4in", INCH * Fraction(29, 4)),
        ("7 1/4 in", INCH * Fraction(29, 4)),
        ('7-1/4"', INCH * Fraction(29, 4)),
        ("7\u00bcin", INCH * Fraction(29, 4)),
        ("\u00bd in", INCH / 2),
        ("8'", INCH * 96),
        ("8ft 2in", INCH * 98),
        ("8'-2 1/2\"", INCH * Fraction(197, 2)),
        ("8\u2032 2\u00bd\u2033", INCH * Fraction(197, 2)),
        ("8 feet 2 inches", INCH * 98),
    ],
)
def test_lengths_are_read_exactly(text: str, mm: Fraction) -> None:
    """What people write is read as the exact fraction of a millimetre."""
    assert parse_length_mm(text) == mm


@pytest.mark.parametrize(
    ("text", "column", "reason"),
    [
        ("", 1, "empty"),
        ("2440", 1, "unit"),
        ("-3mm", 1, "negative"),
        ("1/0in", 3, "0 below the line"),
        ("3 in 2ft", 6, "units must fall"),
        ("7-1/4", 6, "unit is missing"),
        ("1e3 mm", 1, "number is expected"),
        ("12 parsecs", 4, "unknown unit 'parsecs', known: mm, cm, m, in, ft"),
        ("400 cms", 5, "unknown unit 'cms'"),
        ("400cms", 4, "unknown unit 'cms'"),
        ("1,200 mm", 2, "may be decimal or stand for thousands"),
        ("4' x 8'", 4, "number is expected"),
    ],
)
def test_other_texts_are_refused_and_pointed_at(text: str, column: int, reason: str) -> None:
    """A text that is no length says where reading stopped and why."""
    with pytest.raises(LengthError) as caught:
        parse_length_mm(text)

    assert caught.value.column == column
    assert reason in caught.value.reason


@pytest.mark.parametrize("nothing", ["0", "0.0", 0, " 0 "])
def test_nothing_is_nothing_in_any_unit(nothing: str | int) -> None:
    """A corner at 0 needs no unit."""
    assert parse_length_mm(nothing) == 0


def test_bare_numbers_need_a_job_wide_unit() -> None:
    """A number alone is a length only where the job names a unit."""
    assert parse_length_mm(12, bare=Unit.MM) == 12
    assert parse_length_mm("1-1/2", bare=Unit.INCH) == INCH * Fraction(3, 2)
    for value in (12, 1.5, True, None, [1]):
        with pytest.raises(LengthError):
            parse_length_mm(value)


def test_coordinates_may_be_negative() -> None:
    """Coordinates carry a sign, typographic minus included."""
    assert parse_signed_mm("-12 mm") == -12
    assert parse_signed_mm("\u221212 mm") == -12
    assert parse_signed_mm(-3, bare=Unit.INCH) == -3 * INCH


@pytest.mark.parametrize(
    ("text", "inches"),
    [("2-3-4", Fraction(55, 2)), ("10-2-2", Fraction(489, 4)), ("3-8-4", Fraction(89, 2))],
)
def test_offsets_agree_with_published_examples(text: str, inches: Fraction) -> None:
    """Feet-inches-eighths as in two published explanations of offset tables.

    Sources: amateurboatbuilding.com forum, topic p=6897 (2-3-4 and 3-8-4); ship model FAQ, q078
    (10-2-2 = 122.25 in).
    """
    assert parse_feet_inches_eighths_mm(text) == inches * INCH


def test_offsets_with_a_sign_shift_by_a_sixteenth() -> None:
    """A trailing plus or minus is a sixteenth of an inch (lofting usage, from memory)."""
    assert parse_feet_inches_eighths_mm("0-0-4+") == INCH * Fraction(9, 16)
    assert parse_feet_inches_eighths_mm("0-0-4-") == INCH * Fraction(7, 16)


@pytest.mark.parametrize(("text", "column"), [("2-12-4", 3), ("2-3-8", 5), ("2-3", 1), ("", 1)])
def test_impossible_offsets_are_pointed_at(text: str, column: int) -> None:
    """Inches go to 11 and eighths to 7; the faulty digit is named."""
    with pytest.raises(LengthError) as caught:
        parse_feet_inches_eighths_mm(text)

    assert caught.value.column == column


def test_slopes_are_read_in_every_usual_way() -> None:
    """8:1, 1:8, 1 in 8 and 8 all mean a run of 8."""
    assert {parse_slope(t) for t in ("8:1", "1:8", "1 in 8", "8 to 1", 8)} == {Fraction(8)}
    for faulty in ("steep", "0:1", "8:0", True):
        with pytest.raises(ValueError, match="slope"):
            parse_slope(faulty)
    assert format_slope(8.0) == "8:1"


def test_lengths_print_as_fractions_people_use() -> None:
    """Feet, inches and the nearest fraction; mm without needless decimals."""
    assert format_feet_inches(2501.9) == "8'-2 1/2\""
    assert format_feet_inches(1219.2) == "4'-0\""
    assert format_feet_inches(3.175) == '1/8"'
    assert format_feet_inches(0.0) == '0"'
    assert format_feet_inches(-25.4) == '-1"'
    assert format_mm(12.50, decimals=2) == "12.5"
    assert format_mm(-0.001) == "0"
    assert format_length(1219.2, LengthStyle.MM) == "1219 mm"
    assert format_length(1219.2, LengthStyle.INCH) == "4'-0\""


def test_a_sheet_of_4x8_ft_is_not_1220x2440_mm() -> None:
    """4x8 ft is 1219.2 x 2438.4 mm exactly (inch of 1959: 25.4 mm), smaller than 1220 x 2440."""
    assert (parse_length_mm("4ft"), parse_length_mm("8ft")) == (
        Fraction("1219.2"),
        Fraction("2438.4"),
    )
    assert parse_length_mm("4ft") < parse_length_mm("1220 mm")


@given(st.integers(min_value=0, max_value=40_000))
@settings(max_examples=200, derandomize=True)
def test_what_is_printed_reads_back(sixteenths: int) -> None:
    """Printing to sixteenths and reading again gives the same length, in two notations."""
    length = INCH * Fraction(sixteenths, 16)

    assert parse_length_mm(format_feet_inches(float(length))) == length
    assert parse_feet_inches_eighths_mm(format_feet_inches_eighths(float(length))) == length


@pytest.mark.parametrize(
    ("text", "inches"),
    [
        ("11'-8\"", 140),
        ("7'-0 1/4\"", Fraction(337, 4)),
        ("8' 2-1/2\"", Fraction(197, 2)),
        ("6'2", 74),
        ("6' 2-1/2", Fraction(149, 2)),
        ('1 1/8"', Fraction(9, 8)),
        ("8 ft. 2 in.", 98),
        ("5''", 5),
        ("2-3-4", Fraction(55, 2)),
        ("2-3-4+", Fraction(441, 16)),
        ("0,125 in", Fraction(1, 8)),
    ],
)
def test_usual_ways_of_writing_feet_and_inches(text: str, inches: Fraction) -> None:
    """As plans and yards write them; exact."""
    assert parse_length_mm(text) == inches * INCH


def test_decimal_commas_where_they_are_clear() -> None:
    assert parse_length_mm("62,5 mm") == Fraction(125, 2)
    assert parse_length_mm("1,22 m") == 1220
    with pytest.raises(LengthError, match="thousands"):
        parse_length_mm("1,200 mm")


@pytest.mark.parametrize("value", [True, None, ["2 m"], 2 + 1j])
def test_what_is_no_text_and_no_number_is_no_length(value: object) -> None:
    with pytest.raises(LengthError, match="a length is a text") as error:
        parse_length_mm(value, bare=Unit.MM)
    assert error.value.column == 1


@pytest.mark.parametrize("value", [5, None, 2.5])
def test_an_offset_is_a_text(value: object) -> None:
    with pytest.raises(LengthError, match="feet-inches-eighths"):
        parse_feet_inches_eighths_mm(value)


def test_fractions_are_sixteenths_unless_said() -> None:
    """A tenth of an inch is nearest to 2/16 and to 3/32."""
    odd = 2.54
    for told in (
        format_size(odd, LengthStyle.INCH),
        format_length(odd, LengthStyle.INCH),
        format_feet_inches(odd),
    ):
        assert told == '1/8"'
    assert format_size(odd, LengthStyle.INCH, 32) == '3/32"'
    assert format_size(1220.4, LengthStyle.MM) == "1220"


def test_only_what_is_less_than_nothing_has_a_minus() -> None:
    assert format_feet_inches(0.0) == '0"'
    assert format_feet_inches(0.5 * 25.4) == '1/2"'
    assert format_feet_inches(0.5) == '0"'
    assert format_feet_inches(-12.7) == '-1/2"'
