"""What a drawing holds once it has been read."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from nestcut.errors import Finding, Severity
from nestcut.facts import Fact
from nestcut.model.curves import Curve, Point
from nestcut.model.shape import Shape
from nestcut.tolerances import FLATNESS_MM, JOIN_GAP_MM
from nestcut.units import Unit


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadOptions:
    """How a drawing is read.

    Parameters
    ----------
    join_gap_mm
        Loose ends nearer than this are joined. [mm]
    layer_gaps
        Gaps of single layers, where they differ: (layer, gap). [mm]
    flatness_mm
        Greatest distance between a true outline and its polygon. [mm]
    unit
        Unit of the drawing's numbers; overrules the file's own header. None: the header decides.
    silent_unit
        Unit where the file itself names none.
    """

    join_gap_mm: float = JOIN_GAP_MM
    layer_gaps: tuple[tuple[str, float], ...] = ()
    flatness_mm: float = FLATNESS_MM
    unit: Unit | None = None
    silent_unit: Unit | None = None

    def gap_of(self, layer: str) -> float:
        """Return the gap that is joined on a layer. [mm]"""
        wanted = layer.casefold()
        return next(
            (gap for name, gap in self.layer_gaps if name.casefold() == wanted), self.join_gap_mm
        )


class Seen(StrEnum):
    """Whether a layer shows on the designer's screen and on his prints."""

    SHOWN = "shown"
    OFF = "switched off"
    FROZEN = "frozen"
    LOCKED = "locked"
    UNPRINTED = "never printed"


ON_SCREEN = (Seen.SHOWN, Seen.LOCKED, Seen.UNPRINTED)
"""What shows on the designer's screen, the most meant first."""


class Pen(StrEnum):
    """How a line is drawn."""

    FULL = "full"
    BROKEN = "broken"
    """Dashed, dotted or chain-dotted: centre lines, hidden edges, station lines."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Stroke:
    """One drawn thing made of curves head to tail, in mm, with where it comes from.

    ``block`` is the path of block names it was inserted through, outermost first.
    """

    curves: tuple[Curve, ...]
    is_closed: bool
    kind: str
    layer: str
    handle: str
    block: str = ""
    colour: int = 256
    pen: Pen = Pen.FULL
    seen: Seen = Seen.SHOWN
    instance: int = 0
    """Number of the block copy it belongs to, 0 outside blocks."""
    is_laid_flat: bool = False
    """Whether it is drawn tilted in space and was laid down."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Label:
    """A text of the drawing; ``at_mm`` is where it begins."""

    text: str
    at_mm: Point
    height_mm: float
    layer: str
    handle: str
    block: str = ""
    seen: Seen = Seen.SHOWN
    middle_mm: Point | None = None
    """Middle of the text as written, if that is known."""
    leader_mm: Point | None = None
    """Tip of the leader that belongs to it, if it has one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeftOut:
    """Something of the drawing that is part of no outline, and why."""

    kind: str
    layer: str
    handle: str
    reason: str
    at_mm: Point | None = None
    curves: tuple[Curve, ...] = ()
    """Its lines, for the picture; empty where it has none."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Suggestion:
    """What a label seems to say about count and thickness; shown to the builder, never taken."""

    text: str
    count: int | None = None
    thickness: str = ""
    hand: str = ""
    is_half: bool = False
    section_mm: tuple[int, int] | None = None
    """Width and thickness of a batten: solid wood."""
    layers: int = 0
    """How many are glued up to one part; 0: it doesn't say. [-]"""


@dataclass(frozen=True, slots=True)
class Mirroring:
    """A straight line about which an outline may be half a part."""

    start: Point
    end: Point
    reason: str
    must_be_mirrored: bool = False
    """Whether the outline is open without its other half."""


class Verdict(StrEnum):
    """What an outline is taken for."""

    PART = "part"
    ASKED = "asked"
    """It may be one or not: the builder is asked."""
    NOT_A_PART = "not a part"


class LooksLike(StrEnum):
    """What an outline that may be no part looks like; the word is printed in the picture."""

    PAGE_BORDER = "page border"
    TITLE_BLOCK = "title block"
    DIMENSION = "dimension"
    MARKER = "marker"
    STATION = "station mark"
    EDGE_VIEW = "edge view"
    ALLOWANCE = "allowance line or tool path"
    CONSTRUCTION = "construction line"
    TEXT = "text"
    LOGO = "logo"
    UNNAMED = "unnamed"
    OVER_AN_EDGE = "drawn over an edge"
    TILTED = "drawn tilted in space"
    CROSSING = "crosses itself"
    HUGE = "larger than a boat"
    SMALL = "very small"


@dataclass(frozen=True, slots=True)
class Judgement:
    """A verdict on one outline, what it looks like, and the features that say so."""

    verdict: Verdict = Verdict.PART
    kind: LooksLike | None = None
    reasons: tuple[Fact, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class HoleDoubt:
    """A closed line inside an outline that may be no cut-out.

    ``at`` is its place among the shape's holes; ``name`` is the outline's number with a letter, as
    the picture and the job file call it.
    """

    at: int
    reasons: tuple[Fact, ...]
    name: str = ""


CUT, LEAVE = "cut", "leave"
"""Answers that hold for all doubtful holes of an outline."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DrawnOutline:
    """A closed outline with its holes and marks.

    Parameters
    ----------
    name
        First label inside or nearest; else the block's or the layer's name; unique in the drawing.
    labels
        Texts inside it; where there are none, the nearest ones.
    area_mm2
        True area, holes taken off. [mm2]
    box_mm
        True (min x, min y, max x, max y). [mm]
    faults
        What keeps it from being cut; empty for a sound outline.
    also_on
        Other layers that hold the same outline.
    offered_because
        Why it's found only when asked for by name: it is another outline's cut-out, only a hatch
        shows it, its layer is switched off, it may be no part.  None for plain outlines.
    number
        Its number in the picture and in the job file; 0 for what isn't seen.
    judgement
        What it is taken for, and why.
    doubts
        Closed lines among its holes that may be no cut-outs.
    half_of
        Line about which it could be mirrored, if it looks like half a part.
    """

    name: str
    shape: Shape
    layer: str
    labels: tuple[str, ...]
    block: str
    colour: int
    handles: tuple[str, ...]
    area_mm2: float
    box_mm: tuple[float, float, float, float]
    seen: Seen = Seen.SHOWN
    faults: tuple[Finding, ...] = ()
    suggestions: tuple[Suggestion, ...] = ()
    also_on: tuple[str, ...] = ()
    offered_because: Fact | None = None
    number: int = 0
    judgement: Judgement = Judgement()
    doubts: tuple[HoleDoubt, ...] = ()
    half_of: Mirroring | None = None
    mark_handles: tuple[str, ...] = ()
    """Entities that are kept as marks on it."""
    texts: tuple[Label, ...] = ()

    @property
    def looks_half(self) -> bool:
        """Whether its edge or its label says that it is half a part."""
        return self.half_of is not None or any(s.is_half for s in self.suggestions)

    @property
    def is_sound(self) -> bool:
        """Whether it can be cut as it is."""
        return all(f.severity is Severity.NOTE for f in self.faults)


@dataclass(frozen=True, slots=True, kw_only=True)
class Drawing:
    """A drawing as read.

    ``unit`` is None while only the builder knows it; lengths are then those for the likeliest one,
    of which one measures ``mm_per_unit``. [mm]
    ``offered`` are outlines that may be meant, each with its ``offered_because``; they are found
    when asked for by name.  ``open_lines`` are chains that look as if they wanted to be outlines.
    """

    file: str
    unit: Unit | None
    mm_per_unit: float = 1.0
    outlines: tuple[DrawnOutline, ...] = ()
    offered: tuple[DrawnOutline, ...] = ()
    numbered: int = 0
    """The greatest number that an outline has."""
    unclosed: int = 0
    """The same where no gap is closed that the job names; these numbers hold in any reading."""
    open_lines: tuple[Stroke, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    labels: tuple[Label, ...] = ()
    layers: tuple[str, ...] = ()
    """Layers with lines on them."""
    findings: tuple[Finding, ...] = ()
    options: ReadOptions = ReadOptions()
    entity_count: int = 0

    @property
    def asked(self) -> tuple[DrawnOutline, ...]:
        """Outlines of which the builder must say whether they are parts."""
        return tuple(o for o in self.offered if o.judgement.verdict is Verdict.ASKED and o.number)


class Whole(StrEnum):
    """Whether an outline is taken as drawn or doubled about its centre line."""

    AS_DRAWN = "as drawn"
    MIRRORED_HALF = "mirrored half"
    MIRRORED_IF_HALF = "mirrored if it looks like half"
    CLOSED = "no half: a straight edge where it is open"


@dataclass(frozen=True, slots=True, kw_only=True)
class OutlineRef:
    """Which outline of a drawing is meant; every name given must fit."""

    layer: str | None = None
    label: str | None = None
    block: str | None = None
    handle: str | None = None
    colour: int | None = None
    number: int | None = None
    of: int | None = None
    """How many numbered outlines the drawing had when the number was written down."""
    whole: Whole = Whole.AS_DRAWN
    doubtful_holes: tuple[str, ...] = ()
    """What becomes of them: ("cut",), ("leave",), or names of those to cut; empty: not said."""

    def __str__(self) -> str:
        """Say it in words."""
        named = (("layer", self.layer), ("label", self.label), ("block", self.block),
                 ("handle", self.handle), ("colour", self.colour),
                 ("outline", self.number))  # fmt: skip
        return ", ".join(f"{what} '{value}'" for what, value in named if value is not None)


def drawing_name(path: Path) -> str:
    """Return the file's name for messages, without characters that would spoil a terminal."""
    return "".join(c if c.isprintable() else "?" for c in path.name)
