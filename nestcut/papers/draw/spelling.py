"""Names in letters that the papers' font lacks, spelled out so that no box stands in their place.

The font has Latin, Greek and Cyrillic letters.  Of another letter its Unicode name is told in
braces, which makes syllables of kana and Hangul, letter names of Hebrew and Arabic, and words of
pictures; Chinese characters have no such name and are told by their code point.  Different names
stay different, since nothing but invisible marks is left out.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping


def spell(text: str, known: Mapping[int, object]) -> str:
    """Return a text in letters whose code points are ``known``; nothing is done to them.

    >>> latin = {k: None for k in range(32, 127)}
    >>> spell("knee 2", latin)
    'knee 2'
    >>> spell("カモメ 1", latin)
    '{ka-mo-me} 1'
    >>> spell("海", latin)
    '{u6d77}'
    """
    made: list[str] = []
    run: list[str] = []
    for letter in text:
        shown = _shown(letter, known)
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


def _shown(letter: str, known: Mapping[int, object]) -> str | None:
    """How a letter is printed: itself, alike ones, nothing if it's invisible; None: not at all."""
    if letter == "\n" or ord(letter) in known:
        return letter
    kind = unicodedata.category(letter)
    if kind in {"Cf", "Cc"} or unicodedata.name(letter, "").startswith("VARIATION SELECTOR"):
        return " " if letter == "\t" else ""
    for form in ("NFKC", "NFKD"):
        alike = unicodedata.normalize(form, letter)
        if alike != letter and all(ord(c) in known for c in alike):
            return alike
    return None


def _name_of(letter: str) -> str:
    """Short name of a letter: what its Unicode name ends in, or its code point."""
    name = unicodedata.name(letter, "").lower()
    for lead in (" letter ", " syllable ", " vowel sign ", " digit "):
        if lead in name:
            return name.split(lead)[-1].replace(" ", "-")
    if not name or "ideograph" in name:
        return f"u{ord(letter):04x}"
    return name.replace(" ", "-")
