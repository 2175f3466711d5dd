"""Notches and small corners of a chart once more, larger, where their numbers lie on each other."""

from __future__ import annotations

import math
from collections.abc import Container, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, permutations

import shapely
from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon

from nestcut.model.curves import Point
from nestcut.papers.draw import (
    LEADER_FROM_MM,
    BoxPlaces,
    Disc,
    Fill,
    Ground,
    Item,
    Note,
    Path,
    Pen,
    hatch,
    moved,
    write_beside,
)

CLOSE_MM = 3.0
"""Points nearer to each other on paper crowd each other. [mm]"""
FEW = 3
"""Fewer points than this are told apart without a detail. [-]"""


@dataclass(frozen=True, slots=True)
class Size:
    """Size of a detail, and what is left free in it round its points. [mm]"""

    wide_mm: float
    high_mm: float
    edge_mm: float


SIZES = (Size(21.0, 17.0, 5.0), Size(16.0, 13.5, 4.4), Size(13.0, 11.0, 4.0), Size(11.0, 9.6, 3.6))
"""Sizes of details, the largest first: smaller ones stand where there is no room for it."""
MARGINS_MM = (0.8, 0.3)
"""A circle runs so far from its points; nearer where two circles would meet. [mm]"""
FREE_MM = 0.5
"""Left free round it. [mm]"""
MOST_PLACES = 6
"""So many places are tried for one. [-]"""
SMALLER_WORTH_MM = 6.0
"""A detail in the next smaller size is worth so much leader. [mm]"""
CROSSED_WORTH_MM = 3.0
"""So is a line that a leader crosses. [mm]"""
MOST_LEADER_MM = 30.0
MOST_CROSSED, MOST_ALONG_MM = 1, 2.0
"""A leader that crosses more lines [-] or runs along them farther [mm] is lost among them."""
LEVEL_SLOPE, LEVEL_WORTH = 0.12, 1.5
"""A leader no steeper than this is taken for a line of the shape: it's worth so much longer. [-]"""
LEAST_ZOOM, MOST_ZOOM = 1.8, 8.0
BAND_MM = 1.0
"""How far waste is hatched from a piece's edge. [mm]"""
NUMBER_MM = 3.2


@dataclass(frozen=True, slots=True)
class Crowd:
    """Points that follow each other so closely that a detail shows them: number and place."""

    points: tuple[tuple[int, Point], ...]
    margin_mm: float = MARGINS_MM[0]
    """Between its points and the circle round them. [mm]"""

    @property
    def middle(self) -> Point:
        """Middle of their surrounding rectangle. [mm on paper]"""
        x0, y0, x1, y1 = self._bounds
        return (x0 + x1) / 2.0, (y0 + y1) / 2.0

    def zoom(self, size: Size) -> float:
        """How many times larger a detail shows them. [-]"""
        x0, y0, x1, y1 = self._bounds
        wide = (size.wide_mm - 2.0 * size.edge_mm) / max(x1 - x0, 1.0)
        return min(wide, (size.high_mm - 2.0 * size.edge_mm) / max(y1 - y0, 1.0), MOST_ZOOM)

    @property
    def round_mm(self) -> float:
        """Radius of the circle round them. [mm on paper]"""
        return max(math.dist(p, self.middle) for _, p in self.points) + self.margin_mm

    @property
    def circle(self) -> Polygon:
        """The circle round them. [mm on paper]"""
        return shapely.Point(self.middle).buffer(self.round_mm)

    @property
    def extent_mm(self) -> float:
        """Diagonal of their surrounding rectangle. [mm on paper]"""
        x0, y0, x1, y1 = self._bounds
        return math.dist((x0, y0), (x1, y1))

    @property
    def _bounds(self) -> tuple[float, float, float, float]:
        xs, ys = zip(*(p for _, p in self.points), strict=True)
        return min(xs), min(ys), max(xs), max(ys)


def crowds(points: Sequence[tuple[int, Point]], hollow: Container[int]) -> list[Crowd]:
    """Runs of points of one line that crowd each other.

    Parameters
    ----------
    points
        Of the line, in order: number and place on paper.
    hollow
        Numbers at which a notch's arc begins: two points are a crowd there.
    """
    runs: list[list[tuple[int, Point]]] = [[]]
    for before, after in pairwise([*points[:1], *points]):
        if runs[-1] and math.dist(before[1], after[1]) > CLOSE_MM:
            runs.append([])
        runs[-1].append(after)
    found = [
        Crowd(tuple(run))
        for run in runs
        if len(run) >= FEW or (len(run) > 1 and any(number in hollow for number, _ in run))
    ]
    return [c for c in found if c.zoom(SIZES[0]) >= LEAST_ZOOM]


@dataclass(frozen=True, slots=True)
class _Seen:
    """A crowd as it is seen in a detail of one size, round its own middle. [mm on paper]"""

    crowd: Crowd
    size: Size
    items: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class _Placed:
    """Where a detail stands, and its leader to the crowd's circle. [mm on paper]"""

    seen: _Seen
    at: Point
    leader: LineString


def details(crowded: Sequence[Crowd], body: Polygon, ground: Ground) -> list[Item]:
    """Draw crowds larger where all have room, with short leaders; nothing where one has none.

    Parameters
    ----------
    crowded
        Which crowds.
    body
        The shape as drawn. [mm on paper]
    ground
        What is drawn already; has the details added.
    """
    crowded = told_apart(crowded)
    seen = {crowd: _all_seen(crowd, body) for crowd in crowded}
    sizes = {one.size for every in seen.values() for one in every}
    frames = {size: _places(size, ground) for size in sizes}
    circles = len(ground.texts)
    ground.texts += [crowd.circle for crowd in crowded]
    begun = (len(ground.texts), len(ground.leaders))
    best: list[_Placed] = []
    for order in permutations(crowded):
        for skipped in range(len(SIZES)):
            found = _in_turn([seen[crowd][skipped:] for crowd in order], ground, frames)
            if found and (not best or _worth_mm(found, ground) < _worth_mm(best, ground)):
                best = found
            del ground.texts[begun[0] :], ground.leaders[begun[1] :]
    del ground.texts[circles:]
    for placed in best:
        _bar(placed, ground)
    return [item for placed in best for item in _drawn(placed)]


def told_apart(crowded: Sequence[Crowd]) -> list[Crowd]:
    """Crowds with closer circles where the usual ones would meet."""

    def meets(crowd: Crowd) -> bool:
        others = (c for c in crowded if c is not crowd)
        return any(crowd.circle.intersects(other.circle) for other in others)

    return [replace(c, margin_mm=MARGINS_MM[1]) if meets(c) else c for c in crowded]


def _worth_mm(found: Sequence[_Placed], ground: Ground) -> float:
    """How long all leaders are; crossing a line and being small are worth so much more. [mm]"""
    return math.fsum(
        placed.leader.length
        + SMALLER_WORTH_MM * SIZES.index(placed.seen.size)
        + CROSSED_WORTH_MM * _crossed(placed.leader, ground)
        for placed in found
    )


def _in_turn(
    crowded: Sequence[Sequence[_Seen]], ground: Ground, frames: Mapping[Size, BoxPlaces]
) -> list[_Placed]:
    """Details placed one after the other, each in the first size that has room; none if not all."""
    found = []
    for sizes in crowded:
        placed = next((p for one in sizes if (p := _place(one, ground, frames)) is not None), None)
        if placed is None:
            return []
        _bar(placed, ground)
        found.append(placed)
    return found


def _bar(placed: _Placed, ground: Ground) -> None:
    ground.texts.append(_frame(placed.seen.size, placed.at, FREE_MM))
    ground.leaders.append(placed.leader)


def _frame(size: Size, at: Point, free_mm: float = 0.0) -> Polygon:
    wide, high = size.wide_mm / 2.0 + free_mm, size.high_mm / 2.0 + free_mm
    return shapely.box(at[0] - wide, at[1] - high, at[0] + wide, at[1] + high)


def _all_seen(crowd: Crowd, body: Polygon) -> list[_Seen]:
    """A crowd in every size in which its numbers stand beside their points."""
    found = (_seen(crowd, body, size) for size in SIZES if crowd.zoom(size) >= LEAST_ZOOM)
    return [seen for seen in found if seen is not None]


def _seen(crowd: Crowd, body: Polygon, size: Size) -> _Seen | None:
    (mx, my), zoom = crowd.middle, crowd.zoom(size)
    frame = _frame(size, (0.0, 0.0))
    lens = (zoom, 0.0, 0.0, zoom, -zoom * mx, -zoom * my)
    large = affine_transform(body, lens).intersection(frame)
    edge = affine_transform(body.exterior, lens).intersection(frame)
    lines = [g for g in shapely.get_parts(shapely.line_merge(edge)) if g.length > 0.0]
    waste = frame.difference(large)  # hatched here as everywhere
    band = waste.intersection(edge.buffer(BAND_MM))
    spots = [(number, (zoom * (x - mx), zoom * (y - my))) for number, (x, y) in crowd.points]
    inside = Ground(shapely.union_all([band, *lines]), frame, tuple(spot for _, spot in spots))
    notes = [Note(str(n), spot, NUMBER_MM, reach_mm=LEADER_FROM_MM) for n, spot in spots]
    numbers, missed = write_beside(notes, inside)
    if missed:
        return None
    return _Seen(
        crowd,
        size,
        (
            hatch(band, spacing_mm=0.8),
            *(_way(line, Pen.FRAME) for line in lines),
            *(Disc(spot, 0.5, None, Fill.INK) for _, spot in spots),
            *numbers,
        ),
    )


def _way(line: LineString, pen: Pen) -> Path:
    return Path(tuple((float(x), float(y)) for x, y in line.coords), pen)


def _drawn(placed: _Placed) -> list[Item]:
    """A detail's frame, leader, circle and what is seen in it."""
    crowd = placed.seen.crowd
    return [
        _way(_frame(placed.seen.size, placed.at).exterior, Pen.THIN),
        _way(placed.leader, Pen.THIN),
        _way(crowd.circle.exterior, Pen.THIN),
        *moved(placed.seen.items, *placed.at),
    ]


def _places(size: Size, ground: Ground) -> BoxPlaces:
    return BoxPlaces(size.wide_mm + 2.0 * FREE_MM, size.high_mm + 2.0 * FREE_MM, ground)


def _place(seen: _Seen, ground: Ground, frames: Mapping[Size, BoxPlaces]) -> _Placed | None:
    """The nearest clear place from which a leader runs to a crowd's circle over no writing."""
    crowd, size = seen.crowd, seen.size
    begun = len(ground.texts)
    placed = None
    for _ in range(MOST_PLACES):
        found = frames[size].nearest(crowd.middle, ground)
        if found is None:
            break
        at, _box = found
        own = crowd.circle
        barred = [*(t for t in ground.texts[:begun] if not t.equals(own)), *ground.leaders]
        ways = [w for w in _leaders(_frame(size, at), crowd) if _is_told(w, ground)]
        leader = next((w for w in ways if not any(w.intersects(o) for o in barred)), None)
        if leader is not None:
            placed = _Placed(seen, at, leader)
            break
        ground.texts.append(shapely.Point(at).buffer(FREE_MM))  # looks elsewhere
    del ground.texts[begun:]
    return placed


def _leaders(frame: Polygon, crowd: Crowd) -> list[LineString]:
    """Lines from a frame's sides and corners to a crowd's circle, the shortest askew first."""
    middle = shapely.Point(crowd.middle)
    near = shapely.get_coordinates(shapely.shortest_line(frame, middle))[0]
    found = []
    for x, y in (near, *shapely.get_coordinates(frame.exterior)[:-1]):
        run = math.dist((x, y), crowd.middle)
        if run <= crowd.round_mm:
            continue
        share = crowd.round_mm / run
        foot = (middle.x + (x - middle.x) * share, middle.y + (y - middle.y) * share)
        line = LineString([foot, (x, y)])
        if not frame.crosses(line):
            found.append(line)
    return sorted(
        (line for line in found if line.length <= MOST_LEADER_MM),
        key=lambda line: round(line.length * (LEVEL_WORTH if _is_level(line) else 1.0), 3),
    )


def _is_told(leader: LineString, ground: Ground) -> bool:
    """Whether a leader is told from lines of the shape: it crosses few and runs along none."""
    along = shapely.length(leader.intersection(ground.thick))
    return _crossed(leader, ground) <= MOST_CROSSED and bool(along <= MOST_ALONG_MM)


def _crossed(leader: LineString, ground: Ground) -> int:
    over = leader.intersection(ground.thick)
    return 0 if over.is_empty else len(shapely.get_parts(over))


def _is_level(line: LineString) -> bool:
    """Whether a leader runs level or upright, as lines of the shape do."""
    x0, y0, x1, y1 = line.bounds
    return min(x1 - x0, y1 - y0) < LEVEL_SLOPE * max(x1 - x0, y1 - y0)
