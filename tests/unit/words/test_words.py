"""Facts become sentences in the reader's units, and only here."""

import string

import pytest

from nestcut.errors import Severity, finding
from nestcut.facts import (
    Angle,
    Area,
    Length,
    Lengths,
    Money,
    Names,
    Share,
    Size,
    Slope,
    Value,
    fact,
)
from nestcut.units import LengthStyle
from nestcut.words import SENTENCES, Speech, finding_line, tell, tell_fact
from nestcut.words.sentence import Sentence

INCHES = Speech(style=LengthStyle.INCH, fraction=16, currency="USD")
MM = Speech(currency="EUR")


def test_lengths_are_said_in_the_readers_units() -> None:
    met = finding(
        "SHT-002",
        Severity.ERROR,
        "seat 1",
        size=Size((2500.0, 304.8)),
        material="fir ply",
        thickness=Length(6.35),
        largest="4x8",
        offers=Size((2438.4, 1219.2)),
    )
    assert tell(met, MM).message == (
        "its 2500 x 305 mm fit no sheet of fir ply 6.35 mm in any allowed turn; the largest, 4x8, "
        "offers 2438 x 1219 mm."
    )
    inches = tell(met, INCHES)
    assert inches.message == (
        'its 8\'-2 7/16" x 1\'-0" fit no sheet of fir ply 1/4" in any allowed turn; the largest, '
        "4x8, offers 8'-0\" x 4'-0\"."
    )
    assert inches.remedy == "Allow a joint or more turning, or add a larger sheet."


@pytest.mark.parametrize(
    ("value", "in_mm", "in_inches"),
    [
        (Length(1220.0), "1220 mm", "4'-0 1/16\""),
        (Length(12.7), "12.7 mm", '1/2"'),
        (Lengths((25.4, 50.8)), "25.4, 50.8 mm", '1", 2"'),
        (Area(92_903.04), "0.09 m²", "1.0 ft²"),
        (Angle(12.0), "12°", "12°"),
        (Slope(8.0), "8:1", "8:1"),
        (Money(1250), "12.50 EUR", "12.50 USD"),
        (Share(0.125), "12 %", "12 %"),
        (Names(("port", "starboard")), "port, starboard", "port, starboard"),
        (3, "3", "3"),
        ("knee", "knee", "knee"),
    ],
)
def test_each_kind_of_value_has_its_words(value: Value, in_mm: str, in_inches: str) -> None:
    assert (MM.say(value), INCHES.say(value)) == (in_mm, in_inches)


def test_counts_bring_their_noun(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(SENTENCES, "TRY-001", Sentence("{n:sheet|sheets} bought"))
    assert tell_fact(fact("TRY-001", n=1), MM) == "1 sheet bought"
    assert tell_fact(fact("TRY-001", n=3), MM) == "3 sheets bought"


def test_a_value_that_the_sentence_asks_for_must_come_with_the_fact() -> None:
    with pytest.raises(KeyError, match="material"):
        tell(finding("SHT-001", Severity.ERROR, "seat"), MM)


def test_a_finding_reads_as_one_line() -> None:
    line = finding_line(finding("SHT-003", Severity.WARNING, "6 mm ply"), MM)
    assert line.startswith("warning SHT-003 6 mm ply: the rectangle to keep in reserve")
    assert line.endswith("Buy a spare sheet, or ask for a smaller reserve.")


def test_templates_are_well_formed_and_name_a_remedy_where_something_is_to_be_done() -> None:
    for code, sentence in SENTENCES.items():
        fields = [f for _, f, _, _ in string.Formatter().parse(sentence.what + sentence.remedy)]
        assert all(f is None or f.isidentifier() for f in fields), code
        assert sentence.what.strip(), code
