"""Outlines of one part put together: the same shapes and mirror images, in and across drawings."""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from nestcut.drawings.first.pointers import Pointers
from nestcut.drawings.pick import checked_outline
from nestcut.drawings.records import (
    CUT,
    Drawing,
    DrawnOutline,
    OutlineRef,
    Suggestion,
    Verdict,
    Whole,
)
from nestcut.drawings.sorting.likeness import Likeness, Sized, likeness
from nestcut.drawings.sorting.shopwords import PAIRED
from nestcut.errors import Finding
from nestcut.units import LengthError, parse_length_mm

Drawings = tuple[tuple[str, Drawing], ...]
"""Each drawing with its file name as the job is to give it."""


@dataclass(slots=True)
class Entry:
    """Outlines that look like one part: the first is named, the others counted."""

    file: str
    drawing: Drawing
    outline: DrawnOutline
    pointer: tuple[str, str]
    """Key and value that find the outline."""
    name: str = ""
    """What the job calls it."""
    repeats: list[tuple[Drawing, DrawnOutline]] = field(default_factory=list)
    mirrored: list[tuple[Drawing, DrawnOutline]] = field(default_factory=list)

    @property
    def drawn(self) -> list[tuple[Drawing, DrawnOutline]]:
        """All of its outlines, each with its drawing."""
        return [(self.drawing, self.outline), *self.repeats, *self.mirrored]

    @property
    def said(self) -> tuple[Suggestion, ...]:
        """What its labels say."""
        return self.outline.suggestions

    @property
    def said_count(self) -> int | None:
        """Number of pieces that a label names."""
        return next((s.count for s in self.said if s.count is not None), None)

    @property
    def said_thickness(self) -> str:
        """Thickness that a label names, if it can be read; else empty."""
        return next((s.thickness for s in self.said if _is_length(s.thickness)), "")

    @property
    def is_said_pair(self) -> bool:
        """Whether a label asks for one on each side of the boat."""
        return any(PAIRED.search(s.hand) for s in self.said if s.hand)

    @property
    def is_open_half(self) -> bool:
        """Whether it is open without its other half."""
        half = self.outline.half_of
        return half is not None and half.must_be_mirrored


@dataclass(slots=True)
class Sorted:
    """Entries of all drawings, and the outlines that can't be cut as they are drawn."""

    entries: list[Entry] = field(default_factory=list)
    faulty: list[tuple[Drawing, DrawnOutline, Finding]] = field(default_factory=list)


def entries_of(drawings: Drawings) -> Sorted:
    """Put the same shapes and mirror images together, drawing by drawing and across them."""
    found = Sorted()
    sizes: list[Sized] = []
    for file, drawing in drawings:
        pointers = Pointers(drawing)
        for outline in sorted((*drawing.outlines, *_halves(drawing)), key=lambda o: o.number):
            half = outline.half_of
            is_open = half is not None and half.must_be_mirrored
            whole = Whole.MIRRORED_HALF if is_open else Whole.AS_DRAWN
            ref = OutlineRef(doubtful_holes=(CUT,), whole=whole)
            sound = checked_outline(drawing, ref, outline, ())
            if not isinstance(sound, DrawnOutline):
                found.faulty.append((drawing, outline, sound[0]))
                continue
            size = Sized(outline.shape)
            if not _is_counted(found.entries, sizes, drawing, outline, size):
                found.entries.append(Entry(file, drawing, outline, pointers.key_of(outline)))
                sizes.append(size)
    taken: dict[str, int] = {}
    for entry in found.entries:
        name = _COUNTED.sub("", entry.outline.name)
        taken[name] = taken.get(name, 0) + 1
        entry.name = name if taken[name] == 1 else f"{name} - {taken[name]}"
    return found


def _halves(drawing: Drawing) -> tuple[DrawnOutline, ...]:
    """Halves that are open at their centre line."""
    return tuple(
        o for o in drawing.offered
        if o.half_of is not None and o.number and o.judgement.verdict is Verdict.PART
    )  # fmt: skip


def _is_counted(
    entries: list[Entry], sizes: list[Sized], drawing: Drawing, outline: DrawnOutline, size: Sized
) -> bool:
    """Count an outline at the entry that it is like, if there is one."""
    for entry, other in zip(entries, sizes, strict=True):
        if not other.is_near(size) or _names_differ(entry.outline, outline):
            continue
        if (entry.drawing.unit is None) != (drawing.unit is None):
            continue  # sizes can't be compared until the unit is answered
        if (entry.outline.half_of is None) != (outline.half_of is None):
            continue
        kind = likeness(entry.outline.shape, outline.shape)
        if kind is Likeness.SAME:
            entry.repeats.append((drawing, outline))
            return True
        if kind is Likeness.MIRRORED:
            entry.mirrored.append((drawing, outline))
            return True
    return False


def _is_length(text: str) -> bool:
    try:
        return bool(text) and parse_length_mm(text) > 0
    except LengthError:
        return False


_HAND_WORDS = {"port", "starboard", "stbd", "stb", "p", "s", "left", "right", "l", "r"}
_COUNTED = re.compile(r" \(\d+\)$")
"""The number that is put behind a name to tell outlines apart."""


def _names_differ(a: DrawnOutline, b: DrawnOutline) -> bool:
    """Whether both are labelled, and differently by more than number and hand: then two parts."""
    return bool(a.labels and b.labels) and _stem(a.name) != _stem(b.name)


def _stem(name: str) -> str:
    words = _COUNTED.sub("", name.casefold()).replace("(", " ").replace(")", " ").split()
    return " ".join(w for w in words if w not in _HAND_WORDS)
