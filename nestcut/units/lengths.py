"""Lengths, slopes and angles as people write them, read and written.

Reading is exact (:class:`fractions.Fraction` of a millimetre; an inch is 25.4 mm by definition,
International yard and pound agreement of 1959); only the caller turns the result into a float.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from fractions import Fraction


class Unit(StrEnum):
    """A unit of length."""

    MM = "mm"
    CM = "cm"
    M = "m"
    INCH = "in"
    FOOT = "ft"


M2_PER_MM2 = 1.0 / 1e6
"""Square metres in a square millimetre. [m2]"""
M3_PER_MM3 = 1.0 / 1e9
"""Cubic metres in a cubic millimetre. [m3]"""

MM_PER: dict[Unit, Fraction] = {
    Unit.MM: Fraction(1),
    Unit.CM: Fraction(10),
    Unit.M: Fraction(1000),
    Unit.INCH: Fraction(254, 10),
    Unit.FOOT: Fraction(3048, 10),
}
"""Millimetres in one of each unit, exact."""

_SPELLINGS: dict[str, Unit] = {
    "mm": Unit.MM,
    "cm": Unit.CM,
    "m": Unit.M,
    "in": Unit.INCH,
    "inch": Unit.INCH,
    "inches": Unit.INCH,
    '"': Unit.INCH,
    "metre": Unit.M,
    "metres": Unit.M,
    "meter": Unit.M,
    "meters": Unit.M,
    "ft": Unit.FOOT,
    "feet": Unit.FOOT,
    "foot": Unit.FOOT,
    "'": Unit.FOOT,
}
_VULGAR = {
    "½": "1/2", "¼": "1/4", "¾": "3/4", "⅛": "1/8", "⅜": "3/8", "⅝": "5/8", "⅞": "7/8",
}  # fmt: skip
_LETTERS = str.maketrans(
    {
        "\u2032": "'",
        "\u2033": '"',
        "\u2019": "'",
        "\u201d": '"',
        "\u201c": '"',
        "\u2010": "-",
        "\u2013": "-",
        "\u2044": "/",
        "\u00a0": " ",
    }
)
"""Typographic primes, quotes, dashes, the fraction slash and the hard space."""
_SIGNS = {"-": -1, "\u2212": -1, "+": 1}
_TERM = re.compile(
    r"""\s*(?:(?P<whole>\d+)(?:\s*-\s*|\s+)(?=\d+\s*/))?
        (?:(?P<num>\d+)\s*/\s*(?P<den>\d+)|(?P<dec>\d+(?:\.\d+)?|\.\d+))
        \s*(?P<unit>mm|cm|metres|metre|meters|meter|m|inches|inch|in|feet|foot|ft|"|')?
        (?![a-zA-Z])(?:(?<=[a-z])\.)?\s*""",
    re.VERBOSE,
)
_DASH = re.compile(r"-\s*(?=[\d.])")
"""Between feet and inches: 11'-8"."""
_COMMA = re.compile(r"(\d+),(\d+)")
_THOUSANDS = 3
"""So many digits after a comma may be thousands as well as decimals."""
_WORD = re.compile(r"\s*\d[\d\s./-]*([A-Za-z]+)(?!\w)")
"""A number with a word where its unit belongs."""
_EIGHTHS = re.compile(r"\s*(\d+)\s*-\s*(\d+)\s*-\s*(\d+)\s*([+-]?)\s*")


@dataclass(frozen=True, slots=True)
class LengthError(ValueError):
    """A text that is no length; ``column`` (from 1) is where reading stopped."""

    text: str
    column: int
    reason: str
    own_remedy: str = ""
    """What to do, where that is more than writing it as lengths are written."""

    @property
    def remedy(self) -> str:
        """What to do."""
        return self.own_remedy or "Write for example '2440 mm' or '8ft 2in'."

    def __str__(self) -> str:
        """Say what is wrong and point at it."""
        return f"cannot read '{self.text}' as a length: {self.reason} (at character {self.column})"


def unit_named(word: str) -> Unit | None:
    """Return the unit of a spelling such as ``in``, ``inch`` or ``feet``; None if it's none."""
    return _SPELLINGS.get(word)


def parse_length_mm(value: object, *, bare: Unit | None = None) -> Fraction:
    """Read a length such as ``2440 mm``, ``7-1/4in`` or ``8' 2-1/2"``.

    Parameters
    ----------
    value
        Text; or a number, where ``bare`` gives the job-wide unit.
    bare
        Unit of numbers without one; None refuses them.

    Returns
    -------
    Fraction
        The exact length. [mm]

    Raises
    ------
    LengthError
        If it isn't a length, or a bare number without a job-wide unit.
    """
    if isinstance(value, bool) or not isinstance(value, str | int | float | Decimal):
        raise LengthError(str(value), 1, "a length is a text such as '2440 mm' or '8ft 2in'")
    if not isinstance(value, str):
        return _bare_number(str(value), bare)
    return _parse_text(value, bare)


def parse_signed_mm(value: object, *, bare: Unit | None = None) -> Fraction:
    """Read a length that may carry a sign, as coordinates do.

    Raises
    ------
    LengthError
        As :func:`parse_length_mm`.
    """
    if isinstance(value, str):
        text = value.lstrip()
        if text[:1] in _SIGNS:
            return _SIGNS[text[0]] * parse_length_mm(text[1:], bare=bare)
    elif isinstance(value, int | float | Decimal) and value < 0 and not isinstance(value, bool):
        return -parse_length_mm(-value, bare=bare)
    return parse_length_mm(value, bare=bare)


def _bare_number(text: str, bare: Unit | None) -> Fraction:
    try:
        number = Fraction(text)
    except ValueError:
        raise LengthError(text, 1, "not a finite number") from None
    if number < 0:
        raise LengthError(text, 1, "a length can't be negative")
    if number == 0:
        return number  # nothing is nothing in any unit
    if bare is None:
        raise LengthError(text, 1, "a number without a unit")
    return number * MM_PER[bare]


def _parse_text(text: str, bare: Unit | None) -> Fraction:
    readable = text.translate(_LETTERS).lower()  # drawings label in capitals: 18 MM
    for sign, spelt in _VULGAR.items():
        readable = re.sub(rf"(?<=\d)\s*{sign}", f" {spelt}", readable).replace(sign, spelt)
    readable = readable.strip()
    if not readable:
        raise LengthError(text, 1, "empty")
    if _SIGNS.get(readable[0]) == -1:
        raise LengthError(text, 1, "a length can't be negative")
    readable = _with_points(readable.replace("''", '"'), text)
    if re.fullmatch(r"\d+(\.\d+)?|\.\d+", readable):
        return _bare_number(readable, bare)
    if _EIGHTHS.fullmatch(readable):
        return parse_feet_inches_eighths_mm(readable)
    return _sum_of_terms(text, readable, bare)


def _with_points(readable: str, text: str) -> str:
    """Decimal commas as points, where they can't be thousands."""
    comma = _COMMA.search(readable)
    if comma is None:
        return readable
    if readable.count(",") > 1 or (len(comma[2]) == _THOUSANDS and int(comma[1])):
        raise LengthError(
            text,
            comma.end(1) + 1,
            "this comma may be decimal or stand for thousands",
            f"Write {comma[1]}{comma[2]} or {comma[1]}.{comma[2]}.",
        )
    return readable.replace(",", ".")


def _sum_of_terms(text: str, readable: str, bare: Unit | None) -> Fraction:
    position, total, last = 0, Fraction(0), None
    while position < len(readable):
        dash = _DASH.match(readable, position) if last == MM_PER[Unit.FOOT] else None
        term = _TERM.match(readable, position if dash is None else dash.end())
        if term is None or (term["unit"] is None and not _may_lack_unit(term, last, bare)):
            raise _missing_unit(text, readable, position, term)
        unit = _SPELLINGS[term["unit"]] if term["unit"] else bare if last is None else Unit.INCH
        size = MM_PER[unit or Unit.MM]
        if last is not None and size >= last:
            raise LengthError(text, position + 1, "units must fall, as in '8ft 2in'")
        last, position = size, term.end()
        total += _term_value(text, term) * size
    return total


def _may_lack_unit(term: re.Match[str], last: Fraction | None, bare: Unit | None) -> bool:
    """Whether a last number without a unit is clear: a bare one, or inches after feet (6'2)."""
    if term.end() != len(term.string):
        return False
    return bare is not None if last is None else last == MM_PER[Unit.FOOT]


def _missing_unit(
    text: str, readable: str, position: int, term: re.Match[str] | None
) -> LengthError:
    word = _WORD.match(readable, position)
    if word is not None and word[1] not in _SPELLINGS:
        known = ", ".join(Unit)
        return LengthError(text, word.start(1) + 1, f"unknown unit '{word[1]}', known: {known}")
    column = (position if term is None else term.end()) + 1
    reason = "a number is expected" if term is None else "the unit is missing"
    return LengthError(text, column, reason)


def _term_value(text: str, term: re.Match[str]) -> Fraction:
    if term["dec"] is not None:
        return Fraction(term["dec"])
    if int(term["den"]) == 0:
        raise LengthError(text, term.start("den") + 1, "a fraction can't have 0 below the line")
    return Fraction(int(term["whole"] or 0)) + Fraction(int(term["num"]), int(term["den"]))


def parse_feet_inches_eighths_mm(text: object) -> Fraction:
    """Read an offset written feet-inches-eighths, ``2-3-4`` = 2 ft 3-4/8 in.

    A trailing ``+`` adds a sixteenth of an inch, ``-`` takes one off (lofting usage, from memory).

    Raises
    ------
    LengthError
        If inches exceed 11 or eighths exceed 7, or it's no such offset; ``column`` points at it.
    """
    shown = str(text)
    match = _EIGHTHS.fullmatch(shown.translate(_LETTERS)) if isinstance(text, str) else None
    if match is None:
        raise LengthError(shown, 1, "an offset is feet-inches-eighths, such as 2-3-4")
    feet, inches, eighths = (int(match[i]) for i in (1, 2, 3))
    if inches > 11:
        raise LengthError(shown, match.start(2) + 1, "inches go from 0 to 11")
    if eighths > 7:
        raise LengthError(shown, match.start(3) + 1, "eighths go from 0 to 7")
    sixteenth = {"": 0, "+": 1, "-": -1}[match[4]]
    return Fraction(254, 10) * (12 * feet + inches + Fraction(eighths, 8) + Fraction(sixteenth, 16))


def parse_slope(value: object) -> Fraction:
    """Read a scarf slope: ``"8:1"``, ``"1 in 8"``, ``"1:8"`` or plainly 8. Run per unit of rise.

    Raises
    ------
    ValueError
        If it is no slope, or steeper than 1:1.
    """
    text = str(value).strip()
    match = re.fullmatch(r"(\d+(?:\.\d+)?)(?:\s*(?::|in|to)\s*(\d+(?:\.\d+)?))?", text)
    if match is None:
        raise ValueError(f"cannot read '{text}' as a slope; write '8:1'")
    first, second = Fraction(match[1]), Fraction(match[2] or 1)
    if first == 0 or second == 0:
        raise ValueError(f"a slope of '{text}' has no length; write '8:1'")
    return max(first, second) / min(first, second)


def format_mm(length_mm: float, *, decimals: int = 0) -> str:
    """Print millimetres, ``1220`` or ``12.5``; a trailing zero decimal is dropped."""
    text = f"{length_mm:.{decimals}f}"
    if "." in text:
        text = text.rstrip("0").rstrip(".")
    return "0" if text in {"-0", ""} else text


def format_feet_inches(length_mm: float, fraction: int = 16) -> str:
    """Print feet, inches and a fraction to the nearest ``1/fraction`` inch: ``8'-2 1/2"``.

    As shops write it: a dash between feet and inches, none before a fraction, and inches even where
    there are none of them (``7'-0 1/4"``).  Below one foot only inches are printed.
    """
    sign = "-" if length_mm < 0 else ""
    parts = round(Fraction(abs(length_mm)) / Fraction(254, 10) * fraction)
    feet, rest = divmod(parts, 12 * fraction)
    inches, over = divmod(rest, fraction)
    text = str(inches)
    if over:
        share = Fraction(over, fraction)
        text = f"{inches} {share}" if inches or feet else str(share)
    if not feet:
        return f'{sign}{text}"' if parts else '0"'
    return f"{sign}{feet}'-{text}\""


def format_feet_inches_eighths(length_mm: float) -> str:
    """Print an offset to the nearest sixteenth as feet-inches-eighths, ``2-3-4`` or ``2-3-4+``."""
    sign = "-" if length_mm < 0 else ""
    sixteenths = round(Fraction(abs(length_mm)) / Fraction(254, 10) * 16)
    feet, rest = divmod(sixteenths, 192)
    inches, over = divmod(rest, 16)
    return f"{sign}{feet}-{inches}-{over // 2}{'+' if over % 2 else ''}"


def format_slope(slope: float) -> str:
    """Print a slope, ``8:1``."""
    return f"{format_mm(slope, decimals=2)}:1"


class LengthStyle(StrEnum):
    """How papers print lengths."""

    MM = "mm"
    INCH = "inch"
    """Feet, inches and fractions."""


def format_length(length_mm: float, style: LengthStyle, fraction: int = 16) -> str:
    """Print a length with its unit in the builder's way: ``1220 mm`` or ``4'-0"``.

    Parameters
    ----------
    length_mm
        The length. [mm]
    fraction
        Smallest part of an inch shown, as its denominator.
    """
    if style is LengthStyle.MM:
        return f"{format_mm(length_mm)} mm"
    return format_feet_inches(length_mm, fraction)


def format_size(length_mm: float, style: LengthStyle, fraction: int = 16) -> str:
    """As :func:`format_length` for narrow table columns: millimetres go without their unit.

    Parameters
    ----------
    length_mm
        The length. [mm]
    fraction
        Smallest part of an inch shown, as its denominator.
    """
    if style is LengthStyle.MM:
        return format_mm(length_mm)
    return format_feet_inches(length_mm, fraction)
