"""The one font of all papers, and how wide a text is in it.

DejaVu Sans Condensed (its licence lies beside it in ``fonts/``), cut down to Latin, Greek and
Cyrillic, so that names in those scripts print as they're written; others are spelled out.
"""

from __future__ import annotations

import re
from enum import StrEnum
from functools import lru_cache
from pathlib import Path
from typing import Any

from nestcut.papers.draw.spelling import spell

MM_PER_POINT = 25.4 / 72.0

CAP_HEIGHT = 0.729
"""Height of a capital letter per font size (font's own figure)."""
ASCENT = 0.76
"""Top of the tallest plain letters above the base line, per font size."""
DESCENT = 0.24
"""Foot of the lowest plain letters below the base line, per font size."""


class Weight(StrEnum):
    """How heavy letters are."""

    PLAIN = "DejaVuSansCondensed"
    BOLD = "DejaVuSansCondensed-Bold"


FOLDER = Path(__file__).parent / "faces"


@lru_cache(maxsize=4)
def font_face(weight: Weight) -> Any:
    """Return the font, made known to the PDF writer on the way. The value never changes."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    if weight.value not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(weight.value, str(FOLDER / f"{weight.value}.ttf")))
    return pdfmetrics.getFont(weight.value)


@lru_cache(maxsize=8192)
def spelled(text: str) -> str:
    """Return a text in letters that the font has; what it lacks is spelled out in braces.

    >>> spelled("seat")
    'seat'
    >>> spelled("カモメ")
    '{ka-mo-me}'
    """
    if text.isascii() and text.isprintable():
        return text
    return spell(text, font_face(Weight.PLAIN).face.charToGlyph)


@lru_cache(maxsize=8192)
def text_width_mm(text: str, size_mm: float, weight: Weight = Weight.PLAIN) -> float:
    """Width of a line of text as it's printed: letters that the font lacks are spelled out. [mm]

    ``size_mm`` is the font size (the em), not the height of a letter.
    """
    return float(font_face(weight).stringWidth(spelled(text), size_mm))


def shorten(text: str, size_mm: float, room_mm: float, weight: Weight = Weight.PLAIN) -> str:
    """Cut a text that is wider than ``room_mm`` and end it with dots."""
    if text_width_mm(text, size_mm, weight) <= room_mm:
        return text
    text = spelled(text)
    for keep in range(len(text) - 1, 0, -1):
        short = text[:keep].rstrip() + "…"
        if text_width_mm(short, size_mm, weight) <= room_mm:
            return short
    return "…"


def wrap(
    text: str, size_mm: float, room_mm: float, weight: Weight = Weight.PLAIN
) -> tuple[str, ...]:
    """Break a text into lines no wider than ``room_mm``; nothing is lost.

    A word too long for a line is broken in it.  A fraction stays with its whole inches.
    """
    lines: list[str] = []
    line = ""
    for whole in _words(text):
        longer = f"{line} {whole}" if line else whole
        if text_width_mm(longer, size_mm, weight) <= room_mm:
            line = longer
            continue
        if line:
            lines.append(line)
        rest = whole
        while text_width_mm(rest, size_mm, weight) > room_mm and len(rest) > 1:
            k = len(rest) - 1
            while k > 1 and text_width_mm(rest[:k], size_mm, weight) > room_mm:
                k -= 1
            lines.append(rest[:k])
            rest = rest[k:]
        line = rest
    if line:
        lines.append(line)
    return tuple(lines) or ("",)


_FRACTION = re.compile(r"^\d+/\d+")


def _words(text: str) -> list[str]:
    """The words of a text; a fraction of an inch goes with the number before it."""
    words: list[str] = []
    for word in text.split():
        if words and _FRACTION.match(word) and words[-1][-1].isdigit():
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words
