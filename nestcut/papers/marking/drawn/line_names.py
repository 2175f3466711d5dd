"""Names of lines that run across a shape, each at an end of its own line, all chosen together.

One after the other, the names of lines that lie close together took each other's room, and a line
was left without a name.  Lengths are mm on paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from nestcut.model.curves import Point
from nestcut.papers.draw import (
    HALF_CAPITAL,
    LEADER_FROM_MM,
    Anchor,
    Ground,
    Item,
    Path,
    Pen,
    Reach,
    Text,
    Weight,
)
from nestcut.papers.marking.drawn.choice import Flags, chosen_places

Array = NDArray[np.float64]
Shapes = NDArray[np.object_]

SIZE_MM = 3.2
"""Font size. [mm]"""
AWAY_MM = (0.7, 1.3, 2.2, 3.6, 5.2, 7.0)
"""How far above or below a line's end its name is tried. [mm]"""
STEP_MM, BESIDE_MM = 0.4, 5.0
"""Between places along, and how far beyond a name's own half they go. [mm]"""
SIDE_MM = 1.6
"""Between two names on one line. [mm]"""
KEPT = 80
"""So many of a name's cheapest places are chosen among. [-]"""
LEADER_WORTH = 3.0
"""A leader is worth so much more way. [mm]"""
ASTRAY_WORTH = 9.0
"""So is standing nearer to another line's end than to the own one: there it is that line's. [mm]"""
CLEARLY_MM = 0.2
"""So much nearer to its own line's end than to any other it stands. [mm]"""
INSIDE_WORTH = 6.0
"""So is standing on the shape between two lines, where it might be either's. [mm]"""
CROSSED_WORTH = 1.2
"""So is each mm of a leader over or along drawn lines. [mm]"""
OTHER_WORTH = 0.4
"""So is the end that comes second. [mm]"""


@dataclass(frozen=True, slots=True)
class LineName:
    """A name, and the ends of its line that it may stand at, the better one first."""

    text: str
    spots: tuple[Point, ...]
    weight: Weight = Weight.PLAIN
    clear_of: tuple[Point, ...] = ()
    """Numbered points that it must not be taken for."""


@dataclass(frozen=True, slots=True, eq=False)
class _Places:
    """Places of one name, the cheapest first: middles, ends of lines, boxes, leaders, costs."""

    middles: Array
    boxes: Shapes
    apart: Shapes
    leaders: Shapes
    has_leader: Flags
    cost: Array


def name_lines(
    names: Sequence[LineName], body: Polygon, ground: Ground
) -> tuple[list[Item], list[LineName]]:
    """Write names at their lines' ends.

    Parameters
    ----------
    body
        The shape.
    ground
        What is drawn already; has the names added.

    Returns
    -------
    tuple
        What is drawn, and the names that have no room.
    """
    ends = [spot for name in names for spot in name.spots]
    places = [_places(name, ends, body, ground) for name in names]
    chosen = chosen_places([p.cost for p in places], lambda k, j: _clash(places[k], places[j]))
    items: list[Item] = []
    missed = []
    for name, of, at in zip(names, places, chosen, strict=True):
        if at is None:
            missed.append(name)
            continue
        x, y = (float(v) for v in of.middles[at])
        items.append(Text(name.text, (x, y), SIZE_MM, name.weight, Anchor.MIDDLE))
        ground.texts.append(of.boxes[at])
        if of.has_leader[at]:
            way = shapely.get_coordinates(of.leaders[at])
            items.append(Path(tuple((float(p), float(q)) for p, q in way), Pen.THIN))
            ground.leaders.append(of.leaders[at])
    return items, missed


def _places(name: LineName, ends: Sequence[Point], body: Polygon, ground: Ground) -> _Places:
    """Places that are clear of lines, dots and writing, with what each costs."""
    (_, foot), (half, _), (_, high), _ = Text(
        name.text, (0.0, 0.0), SIZE_MM, name.weight, Anchor.MIDDLE
    ).box
    low = -foot
    wide, tall = half + 0.25, HALF_CAPITAL * SIZE_MM + 0.3
    count = round((half + BESIDE_MM) / STEP_MM)
    along = STEP_MM * np.arange(-count, count + 1)
    off = np.array([0.0, *(s * (tall + a) for a in AWAY_MM for s in (1.0, -1.0))])
    step = np.column_stack([g.ravel() for g in np.meshgrid(along, off)])
    spots = np.repeat(np.array(name.spots), len(step), axis=0)
    middles = spots + np.tile(step, (len(name.spots), 1))
    second = np.repeat(np.arange(len(name.spots)), len(step))
    round_it = Reach(half, low, high)
    clear, tight = ground.clear(middles, Reach(wide, tall, tall), round_it)
    spots, middles, second = spots[clear], middles[clear], second[clear]
    whole = round_it.boxes(middles)
    apart = Reach(half + SIDE_MM, low, high).boxes(middles)
    points = np.asarray(shapely.points(spots))
    leaders = np.asarray(shapely.shortest_line(points, tight))
    away = shapely.distance(points, tight)
    free = np.ones(len(clear), dtype=np.bool_)
    if ground.texts:
        written = shapely.union_all(ground.texts)
        shapely.prepare(written)
        free &= ~shapely.intersects(written, apart) & ~shapely.intersects(written, leaders)
    if ground.leaders:
        drawn = shapely.union_all(ground.leaders)
        shapely.prepare(drawn)
        free &= ~shapely.intersects(drawn, tight) & ~shapely.intersects(drawn, leaders)
    keep = np.flatnonzero(free)
    needs = away[keep] > LEADER_FROM_MM
    cost = away[keep] + LEADER_WORTH * needs + OTHER_WORTH * second[keep]
    cost += np.abs(middles[keep, 0] - spots[keep, 0]) / half  # in the middle over its line's end
    over = shapely.length(shapely.intersection(leaders[keep[needs]], ground.thick))
    cost[needs] += CROSSED_WORTH * over
    cost += INSIDE_WORTH * shapely.intersects(body, tight[keep])
    others = [e for e in (*ends, *name.clear_of) if e not in name.spots]
    if others:
        near = shapely.distance(shapely.multipoints(others), tight[keep])
        most = np.where(needs, LEADER_FROM_MM, away[keep] + CLEARLY_MM)
        cost += ASTRAY_WORTH * (near < most)
    order = np.argsort(np.round(cost, 3), kind="stable")[:KEPT]
    at = keep[order]
    return _Places(
        middles[at], whole[at], apart[at], leaders[at], needs[order], np.round(cost[order], 3)
    )


def _clash(a: _Places, b: _Places) -> Flags:
    """Where two names, or a name and a leader, or two leaders, meet."""
    clash = shapely.intersects(a.apart[:, None], b.boxes[None])
    led_a, led_b = a.has_leader[:, None], b.has_leader[None]
    clash |= led_a & shapely.intersects(a.leaders[:, None], b.boxes[None])
    clash |= led_b & shapely.intersects(a.boxes[:, None], b.leaders[None])
    clash |= led_a & led_b & shapely.intersects(a.leaders[:, None], b.leaders[None])
    return np.asarray(clash, dtype=np.bool_)
