"""Numbers and names beside points: on no line and on no other writing, with a leader where crowded.

Places round every point are tried at once, near ones first.  Whoever has least room goes first.
Lengths are mm on paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from copy import copy
from dataclasses import dataclass, field

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.papers.draw.diagram import Anchor, Item, Path, Pen, Text
from nestcut.papers.draw.letters import ASCENT, DESCENT, HALF_CAPITAL, Weight, text_width_mm

Array = NDArray[np.float64]
Indices = NDArray[np.intp]
Shapes = NDArray[np.object_]

TURNS = 24
"""So many directions are tried. [-]"""
AWAY_MM = (0.6, 1.1, 1.8, 2.7, 3.8, 5.2, 7.0, 9.0, 12.0, 16.0)
"""How far from its point writing is tried. [mm]"""
LEADER_FROM_MM = 1.5
"""Writing further off has a leader. [mm]"""
CROSSED_WORTH_MM = 1.2
"""A leader along or over drawn lines is worth so much more way for each mm of it. [mm]"""
ROUNDS = 4
"""So often at most all are written again, those that had no room before going first. [-]"""
CLEARLY_MM = 0.5
"""So much nearer to its own point than to any other stands writing without a leader. [mm]"""
DOUBT_WORTH_MM = 8.0
"""Standing about as near to another's point is worth so much more way. [mm]"""
SIDE_MM = 1.0
"""Between two writings on one line, a space: else ``10`` and ``11`` read ``1011``. [mm]"""
AT_ONCE = 64
"""So many of the nearest places are looked at together. [-]"""


@dataclass(frozen=True, slots=True)
class Note:
    """What is written beside a point; ``reach_mm`` is how far off it still belongs to it."""

    text: str
    spot: Point
    size_mm: float
    weight: Weight = Weight.PLAIN
    reach_mm: float = 16.0
    within: Polygon | None = None
    """Where it stands if there is any room: a hole's number beyond its piece's edge is taken for
    one of that edge."""


@dataclass(slots=True)
class Ground:
    """What is drawn and written already.

    ``ink`` are lines that nothing is written on, ``room`` is a level rectangle, ``dots`` are points
    that leaders keep clear of.
    """

    ink: BaseGeometry
    room: Polygon
    dots: tuple[Point, ...] = ()
    texts: list[Polygon] = field(default_factory=list)
    leaders: list[LineString] = field(default_factory=list)
    thick: BaseGeometry = field(init=False)
    """The lines as broad as a leader that runs along them would be taken for one."""

    def __post_init__(self) -> None:
        self.thick = self.ink.buffer(0.3, quad_segs=1)
        shapely.prepare(self.ink)
        shapely.prepare(self.thick)

    def with_no_more(self, texts: int, leaders: int) -> Ground:
        """The same with so many of its first writings and leaders, to be added to apart."""
        other = copy(self)
        other.texts, other.leaders = self.texts[:texts], self.leaders[:leaders]
        return other

    def clear(self, middles: Array, letters: Reach, whole: Reach) -> tuple[Indices, Shapes]:
        """Find where writing lies in the room, and its letters on no line and no dot.

        Parameters
        ----------
        middles
            Of the writing, shape (n, 2).
        letters, whole
            How far letters reach from a middle, and all that is kept free for them.

        Returns
        -------
        tuple
            Which of the places, in order, and boxes round their letters.
        """
        x, y = middles.T
        x0, y0, x1, y1 = self.room.bounds
        inside = (x - whole.aside >= x0) & (x + whole.aside <= x1)
        inside &= (y - whole.below >= y0) & (y + whole.above <= y1)
        keep = np.flatnonzero(inside)
        boxes = letters.boxes(middles[keep])
        free = ~shapely.intersects(self.ink, boxes)
        if self.dots:
            free &= ~shapely.intersects(shapely.multipoints(list(self.dots)), boxes)
        return keep[free], boxes[free]


@dataclass(frozen=True, slots=True)
class Reach:
    """How far a box reaches from the middle of the writing in it."""

    aside: float
    below: float
    above: float

    def boxes(self, middles: Array) -> Shapes:
        """Boxes round middles, shape (n, 2)."""
        x, y = middles.T
        return np.asarray(
            shapely.box(x - self.aside, y - self.below, x + self.aside, y + self.above)
        )


def write_beside(notes: Sequence[Note], ground: Ground) -> tuple[list[Item], list[Note]]:
    """Write notes beside their points.

    Returns
    -------
    tuple
        What is drawn, and the notes that have no room. ``ground`` has what is written added.
    """
    tries = [_Tries(note, ground) for note in notes]
    order = sorted(tries, key=lambda t: (t.room_near, t.note.spot))
    begun = (len(ground.texts), len(ground.leaders))
    best: tuple[list[Item], list[Note], Ground] | None = None
    for _ in range(ROUNDS):
        tried = ground.with_no_more(*begun)
        items: list[Item] = []
        missed: list[_Tries] = []
        for one in order:
            found = one.best(tried)
            if found is None:
                missed.append(one)
            else:
                items += found
        if best is None or len(missed) < len(best[1]):
            best = items, [one.note for one in missed], tried
        if not missed or all(not len(one.middles) for one in missed):
            break
        order = [*missed, *(one for one in order if one not in missed)]
    if best is None:
        return [], []
    items, left, tried = best
    ground.texts[:], ground.leaders[:] = tried.texts, tried.leaders
    return items, left


class _Tries:
    """All places of one note that are clear of lines and in the room."""

    def __init__(self, note: Note, ground: Ground) -> None:
        self.note = note
        half = text_width_mm(note.text, note.size_mm, note.weight) / 2.0
        low, high = (HALF_CAPITAL + DESCENT) * note.size_mm, (ASCENT - HALF_CAPITAL) * note.size_mm
        tight = (half + 0.25, HALF_CAPITAL * note.size_mm + 0.3)
        turns = np.linspace(0.0, 2.0 * np.pi, TURNS, endpoint=False)
        away = np.array([a for a in AWAY_MM if a <= note.reach_mm])
        a, turn = (g.ravel() for g in np.meshgrid(away, turns, indexing="ij"))
        x = note.spot[0] + (tight[0] + a) * np.cos(turn)
        y = note.spot[1] + (tight[1] + a) * np.sin(turn)
        middles = np.column_stack([x, y])
        whole = Reach(half, low, high)
        keep, self.boxes = ground.clear(middles, Reach(tight[0], tight[1], tight[1]), whole)
        self.middles = middles[keep]
        self.whole = whole.boxes(self.middles)
        side = half + (SIDE_MM if note.text.isdigit() else 2.0 * SIDE_MM)  # names have spaces
        self.apart = Reach(side, low, high).boxes(self.middles)
        spot = shapely.points(note.spot)
        # the corner of a box reaches further than its sides: how far off it really is
        self.away = shapely.distance(self.boxes, spot)
        self.needs = self.away > LEADER_FROM_MM
        self.leaders = np.asarray(shapely.shortest_line(spot, self.boxes))
        self.over = np.where(self.needs, np.nan, 0.0)
        self.is_within = np.ones(len(keep), dtype=np.bool_)
        if note.within is not None:
            self.is_within = np.asarray(shapely.covers(note.within, self.boxes), dtype=np.bool_)
        self.room_near = int((~self.needs).sum())
        self.astray = np.full(len(keep), np.inf)
        self.is_its_own = np.ones(len(keep), dtype=np.bool_)
        others = [d for d in ground.dots if d != note.spot]
        if others:
            dots = shapely.multipoints(others)
            self.astray = shapely.distance(self.boxes, dots) - self.away
            near = shapely.distance(self.leaders, dots) < 0.5
            self.is_its_own = ~(self.needs & near) & (self.needs | (self.astray > 0.0))

    def over_lines(self, places: Indices, ground: Ground) -> Array:
        """How much of their leaders lies on lines; asked for again whenever all are written again.

        Parameters
        ----------
        places
            Which of the places.
        """
        new = places[np.isnan(self.over[places])]
        self.over[new] = shapely.length(shapely.intersection(self.leaders[new], ground.thick))
        return self.over[places]

    def best(self, ground: Ground) -> list[Item] | None:
        if not len(self.middles):
            return None
        free, needs, astray, leaders = self.is_its_own.copy(), self.needs, self.astray, self.leaders
        if ground.texts:
            written = shapely.STRtree(ground.texts)
            free[written.query(self.apart, predicate="intersects")[0]] = False
            free[written.query(leaders, predicate="intersects")[0]] = False
        if ground.leaders:
            drawn = shapely.STRtree(ground.leaders)
            free[drawn.query(self.boxes, predicate="intersects")[0]] = False
            free[drawn.query(leaders, predicate="intersects")[0]] = False
        left = np.flatnonzero(free)
        if not len(left):
            return None
        inner = left[self.is_within[left]]
        left = inner if len(inner) else left
        plain = left[~needs[left] & (astray[left] > CLEARLY_MM)]
        if len(plain):  # a place without a leader is better, where it is plain whose it is
            left = plain
        cost = self.away[left] + DOUBT_WORTH_MM * (
            np.where(needs[left], astray[left] + self.away[left] < LEADER_FROM_MM, len(plain) == 0)
        )
        cost += CROSSED_WORTH_MM * self.over_lines(left, ground)
        k = int(left[int(np.argmin(np.round(cost, 3)))])
        ground.texts.append(self.whole[k])
        at = (float(self.middles[k, 0]), float(self.middles[k, 1]))
        note = self.note
        items: list[Item] = [Text(note.text, at, note.size_mm, note.weight, Anchor.MIDDLE)]
        if needs[k]:
            ground.leaders.append(leaders[k])
            way = shapely.get_coordinates(leaders[k])
            items.append(Path(tuple((float(p), float(q)) for p, q in way), Pen.THIN))
        return items


def place_box(
    wide: float, high: float, aim: Point, ground: Ground, step_mm: float = 1.2
) -> Point | None:
    """The middle of a clear box nearest a point; None where there is no room.

    Parameters
    ----------
    wide, high
        Of the box. [mm]
    aim
        The point.
    ground
        What is drawn already; has the box added.
    step_mm
        Between the places that are tried. [mm]
    """
    found = BoxPlaces(wide, high, ground, step_mm).nearest(aim, ground)
    if found is None:
        return None
    at, box = found
    ground.texts.append(box)
    return at


class BoxPlaces:
    """Places of a box in the room of a ground, clear of its lines whatever is written later."""

    def __init__(self, wide: float, high: float, ground: Ground, step_mm: float = 1.2) -> None:
        x0, y0, x1, y1 = ground.room.bounds
        along, up = (x1 - x0 - wide) / step_mm, (y1 - y0 - high) / step_mm
        xs = x0 + wide / 2.0 + step_mm * np.arange(1 + math.floor(along))
        ys = y0 + high / 2.0 + step_mm * np.arange(1 + math.floor(up))
        x, y = (g.ravel() for g in np.meshgrid(xs, ys))
        boxes = shapely.box(x - wide / 2.0, y - high / 2.0, x + wide / 2.0, y + high / 2.0)
        free = ~shapely.intersects(ground.ink, boxes)
        self._x, self._y, self._boxes = x[free], y[free], boxes[free]

    def nearest(self, aim: Point, ground: Ground) -> tuple[Point, Polygon] | None:
        """Middle and box of the place nearest a point that is clear of all writing and leaders."""
        away = np.hypot(self._x - aim[0], self._y - aim[1])
        order = np.argsort(np.round(away, 3), kind="stable")
        barred = shapely.STRtree([*ground.texts, *ground.leaders])
        for begin in range(0, len(order), AT_ONCE):
            near = order[begin : begin + AT_ONCE]
            met = barred.query(self._boxes[near], predicate="intersects")[0]
            left = np.setdiff1d(np.arange(len(near)), met)
            if len(left):
                k = int(near[left[0]])
                return (float(self._x[k]), float(self._y[k])), self._boxes[k]
        return None
