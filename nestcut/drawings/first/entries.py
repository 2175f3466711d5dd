"""Outlines of one part put together: the same shapes and mirror images, in and across drawings."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from functools import lru_cache

from nestcut.drawings.first.pointers import Pointers
from nestcut.drawings.pick import checked_outline
from nestcut.drawings.records import (
    CUT,
    Drawing,
    DrawnOutline,
    LooksLike,
    OutlineRef,
    Suggestion,
    Verdict,
    Whole,
)
from nestcut.drawings.remarks import (
    is_said_pair,
    label_thickness,
    said_count,
    said_thickness,
    thickness_mm,
)
from nestcut.drawings.sorting.likeness import Likeness, Sized, likeness
from nestcut.errors import Finding

MOST_MISSED = 25
"""After so many outlines of one size that differ all the same, the rest is listed one by one:
comparing them would take longer than reading them. [-]"""

MOST_FAULTY = 8
"""Outlines of a drawing that can't be cut as drawn and are asked about one by one. [-]"""

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
    fault: Finding | None = None
    """What must be mended in the drawing before it can be cut."""

    @property
    def drawn(self) -> list[tuple[Drawing, DrawnOutline]]:
        """All of its outlines, each with its drawing."""
        return [(self.drawing, self.outline), *self.repeats, *self.mirrored]

    @property
    def pointer_note(self) -> str:
        """What its number counts, where closing gaps makes outlines of more lines."""
        key, value = self.pointer
        if key != "outline" or self.drawing.unclosed == self.drawing.numbered:
            return ""
        is_closed = value.endswith(f" of {self.drawing.numbered}")
        return "counted with gaps closed" if is_closed else "counted without closing gaps"

    @property
    def said(self) -> tuple[Suggestion, ...]:
        """What its labels say."""
        return self.outline.suggestions

    @property
    def said_count(self) -> int | None:
        """Number of pieces that a label names."""
        return said_count(self.outline)

    @property
    def said_thickness(self) -> str:
        """Thickness that a label or the layer's name says, if it can be read; else empty."""
        return said_thickness(self.outline)

    @property
    def thickness_note(self) -> str:
        """Where its thickness was read."""
        is_labelled = bool(label_thickness(self.outline))
        return "as its label says" if is_labelled else "as the name of its layer says"

    @property
    def is_said_pair(self) -> bool:
        """Whether a label asks for one on each side of the boat."""
        return is_said_pair(self.outline)

    @property
    def is_asked(self) -> bool:
        """Whether it may be no part at all, or none as it is drawn."""
        return self.fault is not None or self.outline.judgement.verdict is Verdict.ASKED


@dataclass(slots=True)
class Sorted:
    """Entries of all drawings, and the outlines that can't be cut as they are drawn."""

    entries: list[Entry] = field(default_factory=list)
    faulty: list[tuple[Drawing, DrawnOutline, Finding]] = field(default_factory=list)
    missed: int = 0
    """Comparisons of like sizes that found different shapes."""


def entries_of(drawings: Drawings) -> Sorted:
    """Put the same shapes and mirror images together, drawing by drawing and across them."""
    found = Sorted()
    known: dict[int, list[tuple[Entry, Sized]]] = defaultdict(list)
    for file, drawing in drawings:
        pointers = Pointers(drawing)
        for outline in _taken(drawing):
            half = outline.half_of
            is_open = half is not None and half.must_be_mirrored
            whole = Whole.MIRRORED_HALF if is_open else Whole.AS_DRAWN
            ref = OutlineRef(doubtful_holes=(CUT,), whole=whole)
            sound = checked_outline(drawing, ref, outline, ())
            if not isinstance(sound, DrawnOutline):
                faults = sum(1 for e in found.entries if e.drawing is drawing and e.fault)
                if faults < MOST_FAULTY:
                    entry = Entry(file, drawing, outline, pointers.key_of(outline), fault=sound[0])
                    found.entries.append(entry)
                else:
                    found.faulty.append((drawing, outline, sound[0]))
                continue
            size = Sized(outline.shape)
            steps = (-1, 0, 1) if found.missed < MOST_MISSED else ()
            near = [e for k in steps for e in known.get(size.step + k, ())]
            if not _is_counted(found, near, drawing, outline, size):
                found.entries.append(Entry(file, drawing, outline, pointers.key_of(outline)))
                known[size.step].append((found.entries[-1], size))
    taken: set[str] = set()
    for entry in found.entries:
        entry.name = _own_name(entry, taken)
        taken.add(entry.name)
    return found


def thicknesses(entries: list[Entry]) -> list[str]:
    """Return the thicknesses that the drawings say, each once, as it is spelt most often."""
    spelt: dict[float, Counter[str]] = defaultdict(Counter)
    for said in (e.said_thickness for e in entries if e.said_thickness):
        spelt[round(thickness_mm(said) or 0.0, 3)][said] += 1
    return sorted(min(words, key=lambda w: (-words[w], w)) for words in spelt.values())


def _own_name(entry: Entry, taken: set[str]) -> str:
    """Name a part; several of one name are told apart by their numbers in the picture."""
    plain = name = _COUNTED.sub("", entry.outline.name)
    if name in taken:
        plain = name = f"{name} {entry.outline.number}"
    k = 1
    while name in taken:
        k += 1
        name = f"{plain} - {k}"
    return name


def _taken(drawing: Drawing) -> list[DrawnOutline]:
    """Outlines that the job lists: parts, halves, and what is in doubt where nothing is sure."""
    sure = (*drawing.outlines, *_halves(drawing))
    listed = (*sure, *_crossing(drawing)) if sure else drawing.asked
    return sorted(listed, key=lambda o: o.number)


def _crossing(drawing: Drawing) -> list[DrawnOutline]:
    """Outlines whose line crosses itself where parts are: named, or on a layer that holds parts.

    Many of them are no slips of the pen but a drawing of another kind.
    """
    layers = {o.layer for o in drawing.outlines}
    found = [
        o for o in drawing.asked
        if o.judgement.kind is LooksLike.CROSSING and (o.labels or o.layer in layers)
    ]  # fmt: skip
    return found if len(found) <= MOST_FAULTY else [o for o in found if o.labels]


def _halves(drawing: Drawing) -> tuple[DrawnOutline, ...]:
    """Halves that are open at their centre line."""
    return tuple(
        o for o in drawing.offered
        if o.half_of is not None and o.number and o.judgement.verdict is Verdict.PART
    )  # fmt: skip


def _is_counted(
    found: Sorted,
    near: list[tuple[Entry, Sized]],
    drawing: Drawing,
    outline: DrawnOutline,
    size: Sized,
) -> bool:
    """Count an outline at the entry that it is like, if there is one."""
    for entry, other in near:
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
        found.missed += 1
    return False


_HAND_WORDS = {"port", "starboard", "stbd", "stb", "p", "s", "left", "right", "l", "r"}
_COUNTED = re.compile(r" \(\d+\)$")
"""The number that is put behind a name to tell outlines apart."""


def _names_differ(a: DrawnOutline, b: DrawnOutline) -> bool:
    """Whether both are labelled, and differently by more than number and hand: then two parts."""
    return bool(a.labels and b.labels) and _stem(a.name) != _stem(b.name)


@lru_cache(maxsize=8192)
def _stem(name: str) -> str:
    words = _COUNTED.sub("", name.casefold()).replace("(", " ").replace(")", " ").split()
    return " ".join(w for w in words if w not in _HAND_WORDS)
