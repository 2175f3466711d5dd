"""Parts: what the plans ask for, before anything is split or placed."""

from __future__ import annotations

from dataclasses import dataclass, fields
from enum import StrEnum

from nestcut.model.curves import Point
from nestcut.model.joint import Face, JointAxis, JointRule
from nestcut.model.shape import Shape


class Hand(StrEnum):
    """Which side of the boat a piece belongs to."""

    PORT = "port"
    STARBOARD = "starboard"


class Hands(StrEnum):
    """Which hands a part is made in."""

    NONE = "none"
    """Neither: one shape."""
    PAIR = "pair"
    """One port and one starboard piece for each count, mirror images of each other."""
    PORT = "port"
    STARBOARD = "starboard"


class Grain(StrEnum):
    """How the sheet's face grain must run on the part."""

    ALONG = "along"
    """Along x of the drawing."""
    ACROSS = "across"
    """Along y of the drawing."""
    ANY = "any"


class Turning(StrEnum):
    """How far a piece may be turned from where its grain rule puts it."""

    NONE = "none"
    HALF = "half"
    QUARTER = "quarter"
    SMALL = "small"
    """As HALF, and a few degrees either way."""
    FREE = "free"


class Faces(StrEnum):
    """Which face of the sheet a piece may show."""

    GOOD_UP = "good up"
    EITHER = "either"


class HoleUse(StrEnum):
    """What may be done with the material inside a part's holes."""

    KEEP = "keep"
    """Leave it: lids and hatches are wanted whole."""
    USE = "use"
    """Small pieces may be cut from it."""


class Timing(StrEnum):
    """When a part is cut."""

    WITH_THE_REST = "with the rest"
    AFTER_DRY_FIT = "after the dry fit"


class CutFrom(StrEnum):
    """What a flat part is cut from."""

    SHEET = "sheet"
    BOARD = "board"


class Towards(StrEnum):
    """Where the bow, or up, lies as one looks on a part's good face, as it is drawn."""

    UNSAID = "not said"
    RIGHT = "right"
    LEFT = "left"
    TOP = "top"
    BOTTOM = "bottom"
    GOOD = "good face"
    """The good face looks that way, as a frame's may look forward."""
    BACK = "back"

    @property
    def turned(self) -> Towards:
        """The same where the part is drawn as its other hand."""
        swapped = {Towards.RIGHT: Towards.LEFT, Towards.LEFT: Towards.RIGHT}
        return swapped.get(self, self)


class End(StrEnum):
    """An end of a part along which joints follow each other, from the end that it starts at."""

    UNSAID = "not said"
    START = "start"
    FAR = "far end"


def bow_end(bearings: Bearings, axis: JointAxis) -> End:
    """Which end of a part lies towards the bow, along the size that its pieces follow."""
    along = axis is JointAxis.LENGTH
    far, start = (Towards.RIGHT, Towards.LEFT) if along else (Towards.TOP, Towards.BOTTOM)
    return {far: End.FAR, start: End.START}.get(bearings.forward, End.UNSAID)


class Outside(StrEnum):
    """Which face is seen from outside the boat."""

    UNSAID = "not said"
    GOOD = "good face"
    BACK = "back"


@dataclass(frozen=True, slots=True, kw_only=True)
class Bearings:
    """How a part stands in the boat, as far as anybody has said."""

    forward: Towards = Towards.UNSAID
    up: Towards = Towards.UNSAID
    outside: Outside = Outside.UNSAID

    def filled(self, other: Bearings) -> Bearings:
        """What isn't said here, taken from another."""
        return Bearings(
            forward=other.forward if self.forward is Towards.UNSAID else self.forward,
            up=other.up if self.up is Towards.UNSAID else self.up,
            outside=other.outside if self.outside is Outside.UNSAID else self.outside,
        )

    @property
    def turned(self) -> Bearings:
        """The same for the other hand's drawing."""
        return Bearings(forward=self.forward.turned, up=self.up.turned, outside=self.outside)


NO_BEARINGS = Bearings()


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeBevel:
    """A bevel whose edge is known, so that papers can mark it there.

    Parameters
    ----------
    name
        What the edge is called, such as ``"bottom edge"``.
    lines
        The edge in the part's frame: one line or several. [mm]
    larger
        The face that keeps its full size; the other one is planed away.
    tilt_deg
        Least and greatest angle of the cut off square, alike where it doesn't change along the
        edge; None: to fit what it meets. [deg]
    words
        What else is to be known.
    at_ends_deg
        Of each line, the angle at its first and at its last point; empty where it isn't known,
        or the same all along. [deg]
    """

    name: str
    lines: tuple[tuple[Point, ...], ...]
    larger: Face
    tilt_deg: tuple[float, float] | None = None
    words: str = ""
    at_ends_deg: tuple[tuple[float, float], ...] = ()


@dataclass(frozen=True, slots=True)
class StrapOf:
    """What a strap is glued over: a joint, counted from 1 along its part."""

    part: str
    joint: int
    face: Face


@dataclass(frozen=True, slots=True, kw_only=True)
class PartTerms:
    """What is asked of a flat part, whatever its outline.

    Parameters
    ----------
    count
        How many, or how many pairs.
    allowance_mm
        Material left all round outside the outline, to be trimmed after the dry fit. [mm]
    small_angle_deg
        Most that Turning.SMALL may turn. [deg]
    joint
        How it may be joined; None: it must come out of the stock whole.
    width_along_mm
        For a band along a curve (a cap): its width; None for other parts. [mm]
    """

    name: str
    material: str
    thickness_mm: float
    count: int = 1
    hands: Hands = Hands.NONE
    drawn: Hand = Hand.PORT
    grain: Grain = Grain.ALONG
    turning: Turning = Turning.HALF
    small_angle_deg: float = 5.0
    faces: Faces = Faces.GOOD_UP
    hole_use: HoleUse = HoleUse.KEEP
    allowance_mm: float = 0.0
    timing: Timing = Timing.WITH_THE_REST
    cut_from: CutFrom = CutFrom.SHEET
    joint: JointRule | None = None
    width_along_mm: float | None = None
    bevels: tuple[str, ...] = ()
    """Bevels in words that name no edge, printed with the piece."""
    note: str = ""
    forward_note: str = ""
    """Goes with the piece that has the part's forward end, as ``after_note`` with its other one."""
    after_note: str = ""
    bearings: Bearings = NO_BEARINGS
    stands_forward: tuple[str, ...] = ()
    """Names of lines marked across it: what stands at them is forward of the line."""
    stands_aft: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPart(PartTerms):
    """A flat part with an outline.

    Parameters
    ----------
    shape
        Net shape, seen from the part's good face, in the drawing's frame (for a pair: of the
        hand ``drawn``; the other is its mirror image).
    """

    shape: Shape
    edge_bevels: tuple[EdgeBevel, ...] = ()
    """Bevels that are marked at their edges, in the order of their letters a, b, c."""
    strap_of: StrapOf | None = None

    @classmethod
    def of(cls, terms: PartTerms, shape: Shape) -> SheetPart:
        """Return the part of these terms that has this outline."""
        return cls(shape=shape, **{f.name: getattr(terms, f.name) for f in fields(PartTerms)})


def sawn_section(
    thickness_mm: float, width_mm: float, planed_from_mm: float | None
) -> tuple[float, float]:
    """Return the section that a rail is sawn to, before one of its sides is planed down.

    Parameters
    ----------
    thickness_mm, width_mm
        Finished section. [mm]
    planed_from_mm
        Thickness of the board that the nearest smaller side is planed down from; None: a board is
        as thick as one of the sides. [mm]
    """
    if planed_from_mm is None:
        return thickness_mm, width_mm
    below = [s for s in (thickness_mm, width_mm) if s <= planed_from_mm]
    if not below or max(below) == thickness_mm:
        return planed_from_mm, width_mm
    return thickness_mm, planed_from_mm


@dataclass(frozen=True, slots=True, kw_only=True)
class RailPart:
    """A straight rail, ripped from a board and cut to length.

    ``thickness_mm`` x ``width_mm`` is the finished section; the board is as thick as one of them,
    or as ``planed_from_mm`` says.
    ``length_mm`` is the finished length along the bent rail.
    """

    name: str
    material: str
    thickness_mm: float
    width_mm: float
    length_mm: float
    count: int = 1
    hands: Hands = Hands.NONE
    joint: JointRule | None = None
    allowance_mm: float = 0.0
    """Left long at each end, to be cut after the dry fit. [mm]"""
    end_angles_deg: tuple[float, float] = (90.0, 90.0)
    note: str = ""
    bow: End = End.UNSAID
    """Which of its ends lies towards the bow; places along it are counted from its start."""
    planed_from_mm: float | None = None
    """Thickness of the board that one side is planed down from; None: none is. [mm]"""

    @property
    def sawn_mm(self) -> tuple[float, float]:
        """Thickness and width as sawn, before planing. [mm]"""
        return sawn_section(self.thickness_mm, self.width_mm, self.planed_from_mm)
