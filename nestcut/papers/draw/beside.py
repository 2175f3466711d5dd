"""Numbers and names beside points: on no line and on no other writing, with a leader where crowded.

Places round every point are tried at once, near ones first.  Whoever has least room goes first.
Lengths are mm on paper.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.papers.draw.diagram import Anchor, Item, Path, Pen, Text
from nestcut.papers.draw.letters import ASCENT, DESCENT, HALF_CAPITAL, Weight, text_width_mm

Array = NDArray[np.float64]

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

    ``ink`` are lines that nothing is written on, ``dots`` points that leaders keep clear of.
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
        tried = replace(ground, texts=ground.texts[: begun[0]], leaders=ground.leaders[: begun[1]])
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
        if not missed or all(not len(one.x) for one in missed):
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
        # the corner of a box reaches further than its sides: how far off it really is
        boxes = shapely.box(x - tight[0], y - tight[1], x + tight[0], y + tight[1])
        whole = shapely.box(x - half, y - low, x + half, y + high)
        free = ~shapely.intersects(ground.ink, boxes) & shapely.covers(ground.room, whole)
        if ground.dots:
            free &= ~shapely.intersects(shapely.multipoints(list(ground.dots)), boxes)
        keep = np.flatnonzero(free)
        self.x, self.y = x[keep], y[keep]
        self.boxes, self.whole = boxes[keep], whole[keep]
        side = half + (SIDE_MM if note.text.isdigit() else 2.0 * SIDE_MM)  # names have spaces
        self.apart = shapely.box(self.x - side, self.y - low, self.x + side, self.y + high)
        self.away = shapely.distance(self.boxes, shapely.points(note.spot))
        self.is_within = np.ones(len(keep), dtype=np.bool_)
        if note.within is not None:
            self.is_within = np.asarray(shapely.covers(note.within, self.boxes), dtype=np.bool_)
        self.room_near = int((self.away < LEADER_FROM_MM).sum())

    def best(self, ground: Ground) -> list[Item] | None:
        if not len(self.x):
            return None
        spot = shapely.points(self.note.spot)
        leaders = shapely.shortest_line(spot, self.boxes)
        free = np.ones(len(self.x), dtype=np.bool_)
        needs = self.away > LEADER_FROM_MM
        if ground.texts:
            written = shapely.STRtree(ground.texts)
            free[np.unique(written.query(self.apart, predicate="intersects")[0])] = False
            free[np.unique(written.query(leaders, predicate="intersects")[0])] = False
        if ground.leaders:
            drawn = shapely.STRtree(ground.leaders)
            free[np.unique(drawn.query(self.boxes, predicate="intersects")[0])] = False
            free[np.unique(drawn.query(leaders, predicate="intersects")[0])] = False
        others = [d for d in ground.dots if d != self.note.spot]
        astray = np.full(len(self.x), np.inf)
        if others:
            astray = shapely.distance(self.boxes, shapely.multipoints(others)) - self.away
            near = shapely.distance(leaders, shapely.multipoints(others)) < 0.5
            free &= ~(needs & near) & ~(~needs & (astray <= 0.0))
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
        led = np.flatnonzero(needs[left])
        over = shapely.length(shapely.intersection(leaders[left[led]], ground.thick))
        cost[led] += CROSSED_WORTH_MM * over
        k = int(left[int(np.argmin(np.round(cost, 3)))])
        ground.texts.append(self.whole[k])
        at = (float(self.x[k]), float(self.y[k]))
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
