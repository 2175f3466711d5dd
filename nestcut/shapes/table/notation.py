"""Lengths in a table's own notation, and what one figure misread would make of them."""

from __future__ import annotations

import re
from fractions import Fraction

from nestcut.facts import Length
from nestcut.shapes.known import OffsetForm
from nestcut.units import format_feet_inches_eighths


def said(length_mm: float, form: OffsetForm) -> str | Length:
    """Length in a table's own notation; in the job's where it has none."""
    if form is OffsetForm.EIGHTHS:
        return format_feet_inches_eighths(length_mm)
    per = {OffsetForm.MM: 1.0, OffsetForm.CM: 10.0, OffsetForm.M: 1000.0}.get(form)
    if per is not None:
        return f"{round(length_mm) / per:g}"
    return Length(length_mm)


def likely_mm(reading_mm: float, fair_mm: float, form: OffsetForm) -> float:
    """Reading near a fair value that differs from what was read in one figure only. [mm]

    The fair value itself, where there is none.

    Parameters
    ----------
    reading_mm
        As it was read. [mm]
    fair_mm
        What a fair line would have there. [mm]
    """
    if form is OffsetForm.EIGHTHS:
        text = format_feet_inches_eighths(reading_mm)
        found = re.fullmatch(r"(\d+)-(\d+)-(\d)([+]?)", text)
        if found is None:
            return fair_mm
        feet, inches, eighths = (int(found[k]) for k in (1, 2, 3))
        rest = 0.5 if found[4] else 0.0
        tries = [12.0 * f + inches + (eighths + rest) / 8.0 for f in range(30)]
        tries += [12.0 * feet + i + (eighths + rest) / 8.0 for i in range(12)]
        tries += [12.0 * feet + inches + (e + rest) / 8.0 for e in range(8)]
        near = min((25.4 * t for t in tries), key=lambda mm: abs(mm - fair_mm))
    else:
        digits = str(round(reading_mm))
        tries_mm = [
            float(digits[:i] + d + digits[i + 1 :])
            for i in range(len(digits))
            for d in "0123456789"
        ]
        near = min(tries_mm, key=lambda mm: abs(mm - fair_mm), default=fair_mm)
    slack = max(6.35, 0.15 * abs(reading_mm - fair_mm))
    is_near = abs(near - fair_mm) <= slack and abs(near - reading_mm) > slack
    return near if is_near else float(Fraction(round(fair_mm)))
