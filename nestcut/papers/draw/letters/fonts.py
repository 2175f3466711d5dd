"""The fonts of all papers: the house's own, and those of other scripts.

DejaVu Sans Condensed (its licence lies beside it in ``faces/``), cut down to Latin, Greek and
Cyrillic, is what everything is set in.  A name in another script takes its letters from Kurinto
Sans (SIL Open Font License), which the optional package ``weblate-fonts`` brings; it's no part of
the house since it is 70 MB.
"""

from __future__ import annotations

import importlib.resources
import importlib.util
import unicodedata
from dataclasses import dataclass
from enum import StrEnum
from functools import lru_cache
from pathlib import Path
from typing import Any


class Weight(StrEnum):
    """How heavy letters are."""

    PLAIN = "DejaVuSansCondensed"
    BOLD = "DejaVuSansCondensed-Bold"


FOLDER = Path(__file__).parent / "faces"

_EXTRA_FONTS = "weblate_fonts"
_EXTRA_SHAPER = "uharfbuzz"
REGIONS = ("", "JP", "KR", "SC", "TC")
"""Kurinto Sans, and its editions with the characters of East Asia, as each country draws them."""
_ENDS = {Weight.PLAIN: "Rg", Weight.BOLD: "Bd"}
_EAST_ASIAN = ("CJK ", "HIRAGANA", "KATAKANA", "HANGUL", "BOPOMOFO")


@dataclass(frozen=True)
class Script:
    """A font of other scripts, in both weights; ``codes`` are the letters that it has in both."""

    region: str
    codes: frozenset[int]

    def name(self, weight: Weight) -> str:
        """Name of the font in a PDF."""
        return f"KurintoSans{self.region}-{_ENDS[weight]}"

    def path(self, weight: Weight) -> Path:
        """Where it lies."""
        folder = Path(str(importlib.resources.files(_EXTRA_FONTS)))
        return folder / "static" / _EXTRA_FONTS / "kurinto" / "ttf" / f"{self.name(weight)}.ttf"


@lru_cache(maxsize=4)
def font_face(weight: Weight) -> Any:
    """Return the font, made known to the PDF writer on the way. The value never changes."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    if weight.value not in pdfmetrics.getRegisteredFontNames():
        pdfmetrics.registerFont(TTFont(weight.value, str(FOLDER / f"{weight.value}.ttf")))
    return pdfmetrics.getFont(weight.value)


def has_letter(letter: str) -> bool:
    """Whether the house's own font has a letter."""
    return ord(letter) in font_face(Weight.PLAIN).face.charToGlyph


@lru_cache(maxsize=1)
def scripts() -> tuple[Script, ...]:
    """Fonts of other scripts; none where the packages that bring and shape them are missing."""
    if not all(importlib.util.find_spec(p) for p in (_EXTRA_FONTS, _EXTRA_SHAPER)):
        return ()
    import uharfbuzz

    made = []
    for region in REGIONS:
        font = Script(region, frozenset())
        if not all(font.path(weight).exists() for weight in Weight):
            continue
        codes = [
            frozenset(uharfbuzz.Face(uharfbuzz.Blob.from_file_path(str(font.path(w)))).unicodes)
            for w in Weight
        ]
        made.append(Script(region, frozenset.intersection(*codes)))
    return tuple(made)


def is_east_asian(letter: str) -> bool:
    """Whether a letter is one of those that Japan, Korea and China draw each in their way."""
    return unicodedata.name(letter, "").startswith(_EAST_ASIAN)


def script_of(cluster: str, text: str) -> Script | None:
    """Return the font for a letter (with its marks) of a text; None if no font has it.

    East Asian letters of one text come from one font, if one has them all, so that a Chinese name
    isn't set half in Japanese forms.
    """
    wanted = {ord(c) for c in cluster if not is_joiner(c)}
    fitting = [s for s in scripts() if wanted <= s.codes]
    if fitting and is_east_asian(cluster[0]):
        all_of_them = {ord(c) for c in text if is_east_asian(c)}
        return next((s for s in fitting if all_of_them <= s.codes), fitting[0])
    return fitting[0] if fitting else None


def is_joiner(letter: str) -> bool:
    """Whether a sign only says that its neighbours join, or don't: it has no shape of its own."""
    return letter in "\u200c\u200d"
