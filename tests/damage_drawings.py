"""Drawings damaged in one place each, seeded: what a reader must survive and must not hide.

A *neutral* change (line ends, a comment, another order) leaves every outline as it was.  A change
of a *structure* (an entity, a tag, an element lost or doubled) may change outlines, but then the
reading says something that it didn't say before.  A changed *number* may move a line; nothing is
known of it but that reading ends with a drawing or a refusal.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path
from typing import TypeVar

import numpy as np

from nestcut.drawings.read import OWN_FAULT, read_drawing
from nestcut.drawings.records import Drawing
from nestcut.errors import DrawingError
from nestcut.search.streams import stream


class Damage(StrEnum):
    """What was done to a drawing."""

    NEUTRAL = "neutral"
    STRUCTURE = "structure"
    NUMBER = "number"


@dataclass(frozen=True, slots=True)
class Damaged:
    """A damaged drawing's bytes, and in words what was done."""

    content: bytes
    kind: Damage
    words: str


_NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
_ODD = ("0", "-1", "1e308", "nan", "inf", "1e-300", "999999999", "", "0.0000001", "-0.0", "x")
_COORDINATES = {*range(10, 19), *range(20, 29), *range(40, 49), 50, 51}


def damaged(content: bytes, suffix: str, seed: int) -> Damaged:
    """Return one damaged copy of a drawing; the same seed damages it in the same way."""
    chance = _Chance(stream(seed, "damaged drawings"))
    text = content.decode("utf-8", errors="surrogateescape")
    ways = _SVG_WAYS if suffix == ".svg" else _DXF_WAYS
    made, kind, words = chance.of(ways)(text, chance)
    return Damaged(made.encode("utf-8", errors="surrogateescape"), kind, words)


Made = tuple[str, Damage, str]
Item = TypeVar("Item")


class _Chance:
    """Draws from a stream."""

    def __init__(self, numbers: np.random.Generator) -> None:
        self._numbers = numbers

    def below(self, n: int) -> int:
        """A whole number from 0 to n - 1."""
        return int(self._numbers.integers(max(n, 1)))

    def of(self, items: Sequence[Item]) -> Item:
        """One of these."""
        return items[self.below(len(items))]


# ---- any text ---------------------------------------------------------------------------------


def _line_ends(text: str, _: _Chance) -> Made:
    return text.replace("\r\n", "\n").replace("\n", "\r\n"), Damage.NEUTRAL, "line ends"


def _cut_off(text: str, chance: _Chance) -> Made:
    return text[: chance.below(len(text))], Damage.NUMBER, "cut off"


def _byte(text: str, chance: _Chance) -> Made:
    at = chance.below(len(text))
    return _spliced(text, at, at + 1, chr(chance.below(255) + 1)), Damage.NUMBER, "a byte"


def _spliced(text: str, start: int, end: int, put: str) -> str:
    return text[:start] + put + text[end:]


# ---- DXF --------------------------------------------------------------------------------------


class _Tags:
    """Group codes with values, and where entities begin."""

    def __init__(self, text: str) -> None:
        lines = text.splitlines()
        self.all = [(lines[i], lines[i + 1]) for i in range(0, len(lines) - 1, 2)]
        self.first = next(i for i, t in enumerate(self.all) if t[1] == "ENTITIES") + 1
        self.last = next(i for i, t in enumerate(self.all) if i > self.first and t[1] == "ENDSEC")
        places = range(self.first, self.last)
        self.starts = [i for i in places if self.all[i][0].strip() == "0"]

    def entity(self, chance: _Chance) -> tuple[int, int]:
        """Where one entity begins and ends."""
        k = chance.below(len(self.starts))
        return self.starts[k], [*self.starts, self.last][k + 1]

    def tag(self, chance: _Chance) -> tuple[int, Damage]:
        """One tag of an entity, and what a change of it is."""
        at = self.first + chance.below(self.last - self.first)
        code = self.all[at][0].strip()
        is_number = code.isdigit() and int(code) in _COORDINATES
        return at, Damage.NUMBER if is_number else Damage.STRUCTURE

    def text(self, start: int, end: int, put: list[tuple[str, str]]) -> str:
        """The file with other tags in a place."""
        tags = self.all[:start] + put + self.all[end:]
        return "".join(f"{code}\n{value}\n" for code, value in tags)


def _remark(text: str, chance: _Chance) -> Made:
    tags = _Tags(text)
    at = chance.of(tags.starts)
    return tags.text(at, at, [("999", "a remark")]), Damage.NEUTRAL, "a remark"


def _entity_lost(text: str, chance: _Chance) -> Made:
    tags = _Tags(text)
    return tags.text(*tags.entity(chance), []), Damage.STRUCTURE, "an entity lost"


def _entity_doubled(text: str, chance: _Chance) -> Made:
    tags = _Tags(text)
    start, end = tags.entity(chance)
    return tags.text(end, end, tags.all[start:end]), Damage.STRUCTURE, "an entity doubled"


def _tag_lost(text: str, chance: _Chance) -> Made:
    tags = _Tags(text)
    at, kind = tags.tag(chance)
    return tags.text(at, at + 1, []), kind, f"tag {tags.all[at][0].strip()} lost"


def _tag_doubled(text: str, chance: _Chance) -> Made:
    tags = _Tags(text)
    at, kind = tags.tag(chance)
    return tags.text(at, at, [tags.all[at]]), kind, f"tag {tags.all[at][0].strip()} doubled"


def _tag_changed(text: str, chance: _Chance) -> Made:
    tags = _Tags(text)
    at, _ = tags.tag(chance)
    code, odd = tags.all[at][0], chance.of(_ODD)
    return tags.text(at, at + 1, [(code, odd)]), Damage.NUMBER, f"{code.strip()}: {odd}"


_DXF_WAYS = (_line_ends, _cut_off, _byte, _remark, _entity_lost, _entity_doubled, _tag_lost,
             _tag_doubled, _tag_changed, _tag_changed)  # fmt: skip

# ---- SVG --------------------------------------------------------------------------------------

_ELEMENT = re.compile(r"<\w+\b[^>]*?/>")
_ATTRIBUTE = re.compile(r' [\w:-]+="[^"]*"')


def _svg_remark(text: str, chance: _Chance) -> Made:
    at = chance.of(list(_ELEMENT.finditer(text))).start()
    return _spliced(text, at, at, "<!-- a remark -->"), Damage.NEUTRAL, "a remark"


def _element_lost(text: str, chance: _Chance) -> Made:
    met = chance.of(list(_ELEMENT.finditer(text)))
    return _spliced(text, *met.span(), ""), Damage.STRUCTURE, "an element lost"


def _element_doubled(text: str, chance: _Chance) -> Made:
    met = chance.of(list(_ELEMENT.finditer(text)))
    return _spliced(text, met.end(), met.end(), met[0]), Damage.STRUCTURE, "an element doubled"


def _attribute_lost(text: str, chance: _Chance) -> Made:
    met = chance.of(list(_ATTRIBUTE.finditer(text)))
    return _spliced(text, *met.span(), ""), Damage.NUMBER, f"lost{met[0]}"


def _number_changed(text: str, chance: _Chance) -> Made:
    met, odd = chance.of(list(_NUMBER.finditer(text))), chance.of(_ODD)
    return _spliced(text, *met.span(), odd), Damage.NUMBER, f"{met[0]}: {odd}"


_SVG_WAYS = (_line_ends, _cut_off, _byte, _svg_remark, _element_lost, _element_doubled,
             _attribute_lost, _number_changed, _number_changed)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Reading:
    """What a reading comes to: sizes of outlines, and all that it says beside them."""

    outlines: tuple[tuple[float, ...], ...]
    told: tuple[str, ...]
    is_refused: bool = False


def reading_of(path: Path) -> Reading:
    """Read a drawing.

    A stumble of the reader is among the codes of a refusal.
    """
    try:
        drawing = read_drawing(path)
    except DrawingError as error:
        codes = tuple(sorted(f.code for f in error.findings))
        return Reading((), codes, is_refused=True)
    return Reading(_sizes(drawing), _told(drawing))


def _sizes(drawing: Drawing) -> tuple[tuple[float, ...], ...]:
    return tuple(
        sorted(
            (round(o.area_mm2, 2), *(round(c, 3) for c in o.box_mm), len(o.shape.holes))
            for o in drawing.outlines
        )
    )


def _told(drawing: Drawing) -> tuple[str, ...]:
    """All that the reading says beside outlines: findings, and what is offered or left out."""
    findings = sorted(f"{f.code} {f.values}" for f in drawing.findings)
    offered = sorted(f"{o.judgement.kind} {o.name}" for o in drawing.offered)
    return (*findings, *offered, f"{len(drawing.left_out)} left out, unit {drawing.unit}")


def objection(base: Reading, made: Damaged, met: Reading) -> str:
    """Say what is wrong with a reading of a damaged drawing; empty for nothing."""
    if OWN_FAULT in met.told:
        return f"{made.words}: the reader stumbled"
    if made.kind is Damage.NEUTRAL and met != base:
        return f"{made.words} changed the reading"
    is_lost = made.words.endswith(" lost")  # what isn't in the file can't be told of
    if (
        made.kind is Damage.STRUCTURE
        and not is_lost
        and met.outlines != base.outlines
        and met.told == base.told
    ):
        return f"{made.words} changed outlines in silence"
    return ""
