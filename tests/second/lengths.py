"""Lengths, slopes and money as job files write them, read exactly and made millimetres once."""

from __future__ import annotations

import re
from fractions import Fraction

MM = {"mm": Fraction(1), "cm": Fraction(10), "m": Fraction(1000), "in": Fraction("25.4"),
      "ft": Fraction("304.8"), '"': Fraction("25.4"), "'": Fraction("304.8")}  # fmt: skip

_NUMBER = r"\d+/\d+|\d+(?:[.,]\d+)?(?:[- ]\d+/\d+)?"
_PIECE = re.compile(rf"\s*({_NUMBER})\s*(mm|cm|m|in|ft|\"|')?\s*")
_EIGHTHS = re.compile(r"(\d+)-(\d+)-(\d+)([+-]?)")


def _number(text: str) -> Fraction:
    whole, _, part = re.sub(r"[- ](?=\d+/)", " ", text.replace(",", ".")).rpartition(" ")
    return Fraction(whole or 0) + Fraction(part)


def length_mm(value: object, unit: str | None) -> float:
    """Return a length of a job file. [mm]

    Parameters
    ----------
    value
        A number, or a text such as ``"8ft 2-1/2in"``, ``"62,5 mm"``, ``"2-3-4+"``.
    unit
        The job's own unit; None: numbers have none.
    """
    if isinstance(value, int | float):
        if unit is None and value != 0:
            raise ValueError(f"{value!r} has no unit")
        return float(Fraction(str(value)) * MM[unit or "mm"])
    text = str(value).strip()
    sign = -1 if text.startswith("-") else 1
    text = text.lstrip("-")
    if match := _EIGHTHS.fullmatch(text):
        feet, inches, eighths = (int(match[k]) for k in (1, 2, 3))
        sixteenth = {"": 0, "+": 1, "-": -1}[match[4]]
        return sign * float(
            feet * MM["ft"]
            + inches * MM["in"]
            + (Fraction(eighths, 8) + Fraction(sixteenth, 16)) * MM["in"]
        )
    total, at = Fraction(0), 0
    while at < len(text):
        match = _PIECE.match(text, at)
        if match is None or (match[2] is None and unit is None):
            raise ValueError(f"{value!r} is no length")
        total += _number(match[1]) * MM[match[2] or unit or "mm"]
        at = match.end()
    return sign * float(total)


def slope(value: object) -> float:
    """Return a slope: ``"8:1"`` or 8. [-]"""
    text = str(value)
    if ":" in text:
        rise, run = text.split(":")
        return float(Fraction(rise) / Fraction(run))
    return float(text)


def minor(value: object) -> int:
    """Return a price in hundredths, exactly. [minor units]"""
    return round(Fraction(str(value)) * 100)
