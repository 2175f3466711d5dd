"""How wide a text is, and where it is broken into lines."""

from __future__ import annotations

import re
from functools import lru_cache

from nestcut.papers.draw.letters.fonts import Weight, font_face, has_letter, script_of
from nestcut.papers.draw.letters.runs import is_mark, runs
from nestcut.papers.draw.letters.spelling import spell

MM_PER_POINT = 25.4 / 72.0

CAP_HEIGHT = 0.729
"""Height of a capital letter per font size (font's own figure)."""
ASCENT = 0.76
"""Top of the tallest plain letters above the base line, per font size."""
DESCENT = 0.24
"""Foot of the lowest plain letters below the base line, per font size."""
HALF_CAPITAL = 0.365
"""Half the height of a capital, per font size."""


@lru_cache(maxsize=8192)
def spelled(text: str) -> str:
    """Return a text in letters that the fonts have; what they lack is spelled out in braces.

    >>> spelled("seat")
    'seat'
    >>> spelled("seat \N{SPEEDBOAT}")
    'seat {speedboat}'
    """
    if text.isascii() and text.isprintable():
        return text
    return spell(text, has_letter, lambda letter: script_of(letter, letter) is not None)


@lru_cache(maxsize=8192)
def text_width_mm(text: str, size_mm: float, weight: Weight = Weight.PLAIN) -> float:
    """Width of a line of text as it's printed: letters that no font has are spelled out. [mm]

    ``size_mm`` is the font size (the em), not the height of a letter.

    Parameters
    ----------
    text
        One line.
    size_mm
        Size of the font, its em. [mm]
    """
    shown = spelled(text)
    if all(map(has_letter, shown)):
        return float(font_face(weight).stringWidth(shown, size_mm))
    return size_mm * sum(run.width for run in runs(shown, weight))


def shorten(text: str, size_mm: float, room_mm: float, weight: Weight = Weight.PLAIN) -> str:
    """Cut a text that is wider than ``room_mm`` and end it with dots.

    Parameters
    ----------
    text
        One line.
    size_mm
        Size of the font, its em. [mm]
    room_mm
        How wide it may be. [mm]
    """
    if text_width_mm(text, size_mm, weight) <= room_mm:
        return text
    text = spelled(text)
    for keep in range(len(text) - 1, 0, -1):
        short = text[:keep].rstrip() + "…"
        if text_width_mm(short, size_mm, weight) <= room_mm:
            return short
    return "…"


@lru_cache(maxsize=4096)
def wrap(
    text: str, size_mm: float, room_mm: float, weight: Weight = Weight.PLAIN
) -> tuple[str, ...]:
    """Break a text into lines no wider than ``room_mm``; nothing is lost.

    A word too long for a line is broken in it.  What is read in one breath stays on one line: a
    fraction with its whole inches, a figure with its unit, and words that a no-break space joins.

    Parameters
    ----------
    text
        One paragraph.
    size_mm
        Size of the font, its em. [mm]
    room_mm
        How wide a line may be. [mm]
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
            k = _fitting(rest, size_mm, room_mm, weight)
            lines.append(rest[:k].rstrip())
            rest = rest[k:].lstrip()
        line = rest
    if line:
        lines.append(line)
    return tuple(line.replace("\u00a0", " ") for line in lines) or ("",)


_FRACTION = re.compile(r"^\d+/\d+")
_UNIT = re.compile(r"^(%|mm|m|m²|in²|ft²|kg|lb|kN|litres?|EUR|USD|GBP)(?=$|[^\w])")
"""Units as papers write them after a figure."""


def _words(text: str) -> list[str]:
    """The words of a text; a fraction goes with the number before it, a unit with its figure."""
    words: list[str] = []
    for word in re.split(r"[ \t\n]+", text.strip(" \t\n")):
        is_tied = _FRACTION.match(word) or _UNIT.match(word)
        if words and is_tied and words[-1][-1:].isdigit():
            words[-1] += f" {word}"
        else:
            words.append(word)
    return words


def _fitting(word: str, size_mm: float, room_mm: float, weight: Weight) -> int:
    """So many letters of a long word go into a line, at least one; at a space if it has one."""

    def fits(n: int) -> bool:
        return text_width_mm(word[:n], size_mm, weight) <= room_mm

    beyond = 16  # letters; of an endless word most are never looked at
    while beyond < len(word) and fits(beyond):
        beyond *= 2
    k = next(filter(fits, range(min(beyond, len(word)) - 1, 1, -1)), 1)
    space = max(word.rfind(" ", 0, k + 1), word.rfind("\u00a0", 0, k + 1))
    if space > 0:
        return space
    # marks stay with the letter that they stand on
    while k > 1 and is_mark(word[k]):
        k -= 1
    return k
