"""A line of text as runs of one font each, from left to right as they are printed.

Letters of other scripts are shaped by HarfBuzz: Arabic letters join, marks of Thai and Devanagari
find their places.  Scripts written from right to left are turned stretch by stretch: a stretch goes
from its first such letter to its last, over spaces and figures between them, and nothing outside it
moves.  Our lines are English with names in them; by the whole bidirectional algorithm (Unicode
Standard Annex #9) a figure after a Hebrew name would change places with it, and a length that reads
otherwise than it's meant must not be cut by.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator
from dataclasses import dataclass
from functools import lru_cache
from itertools import groupby

from nestcut.papers.draw.letters.fonts import (
    Script,
    Weight,
    font_face,
    has_letter,
    is_joiner,
    script_of,
)


@dataclass(frozen=True, slots=True)
class Glyph:
    """A shape of a font where HarfBuzz puts it, per font size; ``text`` is what it shows."""

    index: int
    text: str
    advance: float
    right: float
    up: float


@dataclass(frozen=True, slots=True)
class Run:
    """Text in one font; ``script`` None is the house's own. ``width`` is per font size."""

    text: str
    script: Script | None
    width: float
    glyphs: tuple[Glyph, ...] = ()
    is_leftward: bool = False


def is_leftward(letter: str) -> bool:
    """Whether a letter is written from right to left."""
    return unicodedata.bidirectional(letter) in {"R", "AL"}


def stretches(text: str) -> Iterator[tuple[str, bool]]:
    """Parts of a text in reading order, each with whether it's written from right to left."""
    leftward = [k for k, c in enumerate(text) if is_leftward(c)]
    done = 0
    while leftward:
        first = last = leftward[0]
        for k in leftward[1:]:
            if not all(_is_between(c) for c in text[last + 1 : k]):
                break
            last = k
        while last + 1 < len(text) and is_mark(text[last + 1]):
            last += 1
        if first > done:
            yield text[done:first], False
        yield text[first : last + 1], True
        done = last + 1
        leftward = [k for k in leftward if k > last]
    if done < len(text):
        yield text[done:], False


def in_print_order(text: str) -> Iterator[tuple[str, bool]]:
    """Parts of a text from left to right on paper; within a leftward one letters run leftwards."""
    for part, is_left in stretches(text):
        if is_left:
            # figures within are still read from left to right
            pieces = re.split(r"(\d+(?:[.,/]\d+)*)", part)
            for piece in reversed(pieces):
                if piece:
                    yield piece, not piece[0].isdigit()
        else:
            yield part, False


def fenced(text: str) -> str:
    """Return a text for a viewer that turns lines by itself: what it turns is fenced off.

    A left-to-right mark behind each stretch that is written from right to left keeps the figures
    after it in their places.
    """
    if text.isascii():
        return text
    return "".join(f"{part}\u200e" if is_left else part for part, is_left in stretches(text))


@lru_cache(maxsize=8192)
def runs(text: str, weight: Weight) -> tuple[Run, ...]:
    """Return a line's runs from left to right; ``text`` has only letters that some font has."""
    made: list[Run] = []
    for part, is_left in in_print_order(text):
        pieces = list(_by_font(part, text))
        for letters, script in reversed(pieces) if is_left else pieces:
            if script is None:
                width = float(font_face(weight).stringWidth(letters, 1.0))
                made.append(Run(letters, None, width))
            else:
                glyphs = tuple(_shaped(letters, script, weight, is_left=is_left))
                width = sum(g.advance for g in glyphs)
                made.append(Run(letters, script, width, glyphs, is_left))
    return tuple(made)


def _is_between(letter: str) -> bool:
    return letter.isspace() or letter.isdecimal() or letter in "-'\"./" or is_mark(letter)


def is_mark(letter: str) -> bool:
    """Whether a sign stands on the letter before it."""
    return unicodedata.category(letter).startswith("M") or is_joiner(letter)


def _by_font(part: str, text: str) -> Iterator[tuple[str, Script | None]]:
    """Parts of one font and one script, in reading order: HarfBuzz shapes one script at a time."""
    clusters: list[str] = []
    for letter in part:
        if clusters and is_mark(letter):
            clusters[-1] += letter
        else:
            clusters.append(letter)
    fonts: list[tuple[Script | None, str]] = []
    for cluster in clusters:
        is_own = all(has_letter(c) or is_joiner(c) for c in cluster)
        script = None if is_own else script_of(cluster, text)
        kind = "" if script is None else unicodedata.name(cluster[0], "").split(" ")[0]
        fonts.append((script, kind))
    for (script, _), group in groupby(range(len(clusters)), key=lambda k: fonts[k]):
        letters = "".join(clusters[k] for k in group)
        if script is None:
            letters = "".join(c for c in letters if not is_joiner(c))
        if letters:
            yield letters, script


@lru_cache(maxsize=16)
def _shaper(script: Script, weight: Weight) -> object:
    import uharfbuzz

    return uharfbuzz.Font(uharfbuzz.Face(uharfbuzz.Blob.from_file_path(str(script.path(weight)))))


def _shaped(letters: str, script: Script, weight: Weight, *, is_left: bool) -> Iterator[Glyph]:
    """Shapes of letters, from left to right."""
    import uharfbuzz

    font = _shaper(script, weight)
    buffer = uharfbuzz.Buffer()
    buffer.add_str(letters)
    buffer.guess_segment_properties()
    buffer.direction = "rtl" if is_left else "ltr"
    uharfbuzz.shape(font, buffer, {})
    em = float(font.face.upem)  # type: ignore[attr-defined]
    starts = sorted({info.cluster for info in buffer.glyph_infos})
    ends = dict(zip(starts, [*starts[1:], len(letters)], strict=True))
    for info, place in zip(buffer.glyph_infos, buffer.glyph_positions, strict=True):
        yield Glyph(
            info.codepoint,
            letters[info.cluster : ends[info.cluster]],
            place.x_advance / em,
            place.x_offset / em,
            place.y_offset / em,
        )
