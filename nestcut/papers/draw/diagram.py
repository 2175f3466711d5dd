"""What drawings are made of. Lengths are mm on paper; x to the right, y up, origin bottom left.

A drawing is a flat list of items; later ones lie on top.  Line kinds and fills carry the meaning,
colour never does.  A text knows its own box, so that nobody has to guess whether it overlaps.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from enum import Enum, StrEnum

from nestcut.model.curves import Point
from nestcut.papers.draw.letters import ASCENT, DESCENT, HALF_CAPITAL, Weight, text_width_mm
from nestcut.tolerances.looks import HATCH_MM


@dataclass(frozen=True, slots=True)
class Stroke:
    """How a line looks: width and dashes (on, off, ...) [mm], darkness 0 black to 1 white."""

    width_mm: float
    dashes: tuple[float, ...] = ()
    grey: float = 0.0


class Pen(Enum):
    """Line kinds, told apart by width and dashes (thick, medium, thin as in ISO 128-2)."""

    STOCK = Stroke(0.7)
    CUT = Stroke(0.45)
    HOLE = Stroke(0.35)
    FRAME = Stroke(0.25)
    THIN = Stroke(0.13)
    TRIM = Stroke(0.18, (2.0, 1.0))
    KEEP = Stroke(0.25, (3.0, 1.2))
    MARK = Stroke(0.13, (3.0, 0.8, 0.5, 0.8))
    LATER = Stroke(0.25, (0.4, 0.9))
    HIDDEN = Stroke(0.25, (1.2, 0.8))
    HATCH = Stroke(HATCH_MM, (), 0.45)
    DENSE = Stroke(0.13, (), 0.2)


class Fill(StrEnum):
    """How an area is filled."""

    NONE = "none"
    PAPER = "paper"
    SHADE = "shade"
    INK = "ink"


class Anchor(StrEnum):
    """Which point of a text lies at its place; always half way up."""

    START = "start"
    MIDDLE = "middle"
    END = "end"


@dataclass(frozen=True, slots=True)
class Path:
    """A line through points."""

    points: tuple[Point, ...]
    pen: Pen = Pen.THIN


@dataclass(frozen=True, slots=True)
class Area:
    """A closed outline with holes; ``pen`` None draws no edge."""

    outline: tuple[Point, ...]
    holes: tuple[tuple[Point, ...], ...] = ()
    pen: Pen | None = Pen.CUT
    fill: Fill = Fill.NONE


@dataclass(frozen=True, slots=True)
class Disc:
    """A circle."""

    centre: Point
    radius_mm: float
    pen: Pen | None = Pen.FRAME
    fill: Fill = Fill.PAPER


@dataclass(frozen=True, slots=True)
class Lines:
    """Many separate straight strokes of one kind: a hatching, ticks."""

    segments: tuple[tuple[Point, Point], ...]
    pen: Pen = Pen.HATCH


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text. ``size_mm`` is the font size, ``at`` the anchor, half way up a capital."""

    text: str
    at: Point
    size_mm: float
    weight: Weight = Weight.PLAIN
    anchor: Anchor = Anchor.START
    angle_deg: float = 0.0

    @property
    def width_mm(self) -> float:
        """Width along the line of writing. [mm]"""
        return text_width_mm(self.text, self.size_mm, self.weight)

    @property
    def start(self) -> Point:
        """Left end of the base line."""
        back = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[self.anchor]
        return self._local(-back * self.width_mm, -HALF_CAPITAL * self.size_mm)

    @property
    def box(self) -> tuple[Point, Point, Point, Point]:
        """The four corners of the room it takes."""
        back = {Anchor.START: 0.0, Anchor.MIDDLE: 0.5, Anchor.END: 1.0}[self.anchor]
        left, right = -back * self.width_mm, (1.0 - back) * self.width_mm
        low = -(HALF_CAPITAL + DESCENT) * self.size_mm
        high = (ASCENT - HALF_CAPITAL) * self.size_mm
        return (
            self._local(left, low),
            self._local(right, low),
            self._local(right, high),
            self._local(left, high),
        )

    def _local(self, along: float, across: float) -> Point:
        angle = math.radians(self.angle_deg)
        c, s = math.cos(angle), math.sin(angle)
        return (self.at[0] + along * c - across * s, self.at[1] + along * s + across * c)


@dataclass(frozen=True, slots=True)
class Group:
    """Items that belong to one piece; ``key`` is the piece's id, ``kind`` what it is."""

    key: str
    kind: str
    items: tuple[Item, ...]


Item = Path | Area | Disc | Lines | Text | Group


@dataclass(frozen=True, slots=True)
class Drawing:
    """A page or a part of one. [mm on paper]

    ``caption`` says in words what is shown, for people who can't see it; ``foot_mm`` is the height
    from the page's edge within which all belongs to its foot.
    """

    width_mm: float
    height_mm: float
    items: tuple[Item, ...]
    caption: str = ""
    foot_mm: float = 0.0


def texts_of(items: tuple[Item, ...]) -> tuple[Text, ...]:
    """Return every text, those in groups included, in drawing order."""
    found: list[Text] = []
    for item in items:
        if isinstance(item, Text):
            found.append(item)
        elif isinstance(item, Group):
            found.extend(texts_of(item.items))
    return tuple(found)


def lowest(items: tuple[Item, ...]) -> float:
    """Return the lowest point of all items; 0 where there is none. [mm on paper]"""
    return min((low for item in items for low in _lows(item)), default=0.0)


def _lows(item: Item) -> Iterator[float]:
    match item:
        case Group(_, _, inner):
            for one in inner:
                yield from _lows(one)
        case Text():
            yield min(y for _, y in item.box)
        case Disc(centre, radius):
            yield centre[1] - radius
        case Path(points):
            yield from (y for _, y in points)
        case Area(outline):
            yield from (y for _, y in outline)
        case Lines(segments):
            yield from (y for segment in segments for _, y in segment)


def rectangle(x: float, y: float, width: float, height: float) -> tuple[Point, Point, Point, Point]:
    """Corners of an upright rectangle, counter-clockwise from the lower left.

    Parameters
    ----------
    x, y
        Lower left corner. [mm]
    width, height
        Sides. [mm]
    """
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


def arrow_head(tip: Point, towards_deg: float, size_mm: float = 2.2) -> Area:
    """A filled arrow head with its tip at ``tip``, pointing in ``towards_deg``.

    Parameters
    ----------
    tip
        Its point. [mm]
    towards_deg
        Where it points, counter-clockwise from x. [deg]
    size_mm
        Length of its sides. [mm]
    """
    corners = []
    for turn in (180.0 - 14.0, 180.0 + 14.0):
        angle = math.radians(towards_deg + turn)
        corners.append((tip[0] + size_mm * math.cos(angle), tip[1] + size_mm * math.sin(angle)))
    return Area((tip, corners[0], corners[1]), pen=None, fill=Fill.INK)


def moved(items: tuple[Item, ...], dx: float, dy: float) -> tuple[Item, ...]:
    """Shift items. [mm]

    Parameters
    ----------
    dx, dy
        How far. [mm]
    """

    def p(point: Point) -> Point:
        return (point[0] + dx, point[1] + dy)

    def ring(points: tuple[Point, ...]) -> tuple[Point, ...]:
        return tuple(p(q) for q in points)

    def one(item: Item) -> Item:
        match item:
            case Path(points, pen):
                return Path(ring(points), pen)
            case Area(outline, holes, pen, fill):
                return Area(ring(outline), tuple(ring(h) for h in holes), pen, fill)
            case Disc(centre, radius, pen, fill):
                return Disc(p(centre), radius, pen, fill)
            case Lines(segments, pen):
                return Lines(tuple((p(a), p(b)) for a, b in segments), pen)
            case Text(text, at, size, weight, anchor, angle):
                return Text(text, p(at), size, weight, anchor, angle)
            case Group(key, kind, inner):
                return Group(key, kind, moved(inner, dx, dy))

    return tuple(one(item) for item in items)
