"""Names in letters that no font of the papers has, spelled out so that no box stands for them.

The house's font has Latin, Greek and Cyrillic letters, and nearly every other script has a font
where the optional packages are installed (:mod:`nestcut.papers.draw.letters.fonts`).  Of another
letter its Unicode name is told in braces, which makes syllables of kana and Hangul, letter names
of Hebrew and Arabic, and words of pictures; Chinese characters have no such name and are told by
their code point.  Different names stay different, since nothing but invisible marks is left out.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable


def spell(text: str, is_own: Callable[[str], bool], is_others: Callable[[str], bool]) -> str:
    """Return a text in letters that a font has; nothing is done to them.

    Parameters
    ----------
    text
        One line, in any script.
    is_own
        Whether the house's font has a letter.
    is_others
        Whether a font of another script has it.

    Examples
    --------
    >>> spell("knee 2", str.isascii, lambda c: False)
    'knee 2'
    >>> spell("カモメ 1", str.isascii, lambda c: False)
    '{ka-mo-me} 1'
    >>> spell("カモメ 1", str.isascii, lambda c: c in "カモメ")
    'カモメ 1'
    >>> spell("海", str.isascii, lambda c: False)
    '{u6d77}'
    """
    made: list[str] = []
    run: list[str] = []
    is_foreign = False
    for letter in text:
        shown = _shown(letter, is_own, is_others)
        if letter in "\u200c\u200d" and is_foreign and not run:
            shown = letter  # joins letters of scripts that are shaped by their neighbours
        elif shown != "":
            is_foreign = shown == letter and not is_own(letter)
        if shown is None:
            run.append(_name_of(letter))
            continue
        if not shown:
            continue
        if run:
            made.append(f"{{{'-'.join(run)}}}")
            run = []
        made.append(shown)
    if run:
        made.append(f"{{{'-'.join(run)}}}")
    return "".join(made)


def _shown(
    letter: str, is_own: Callable[[str], bool], is_others: Callable[[str], bool]
) -> str | None:
    """How a letter is printed: itself, alike ones, nothing if it's invisible; None: not at all."""
    if letter == "\n" or is_own(letter):
        return letter
    kind = unicodedata.category(letter)
    if kind in {"Cf", "Cc"} or unicodedata.name(letter, "").startswith("VARIATION SELECTOR"):
        return " " if letter == "\t" else ""
    for form in ("NFKC", "NFKD"):
        alike = unicodedata.normalize(form, letter)
        if alike != letter and all(is_own(c) for c in alike):
            return alike
    return letter if kind not in {"Co", "Cn"} and is_others(letter) else None


def _name_of(letter: str) -> str:
    """Short name of a letter: what its Unicode name ends in, or its code point."""
    name = unicodedata.name(letter, "").lower()
    for lead in (" letter ", " syllable ", " vowel sign ", " digit "):
        if lead in name:
            return name.split(lead)[-1].replace(" ", "-")
    if not name or "ideograph" in name:
        return f"u{ord(letter):04x}"
    return name.replace(" ", "-")
