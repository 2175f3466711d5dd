"""Notches and small corners of a chart once more, larger, where their numbers lie on each other."""

from __future__ import annotations

import math
from collections.abc import Container, Sequence
from dataclasses import dataclass
from itertools import pairwise

import shapely
from shapely.affinity import affine_transform
from shapely.geometry import LineString, Polygon

from nestcut.model.curves import Point
from nestcut.papers.draw import (
    Disc,
    Fill,
    Ground,
    Item,
    Note,
    Path,
    Pen,
    hatch,
    place_box,
    write_beside,
)

CLOSE_MM = 3.0
"""Points nearer to each other on paper crowd each other. [mm]"""
FEW = 3
"""Fewer points than this are told apart without a detail. [-]"""
WIDE_MM, HIGH_MM = 21.0, 17.0
"""Size of a detail. [mm]"""
EDGE_MM = 5.0
"""Left free in it round its points. [mm]"""
LEAST_ZOOM, MOST_ZOOM = 1.8, 8.0
BAND_MM = 1.0
"""How far waste is hatched from a piece's edge. [mm]"""
NUMBER_MM = 3.2


@dataclass(frozen=True, slots=True)
class Crowd:
    """Points that follow each other so closely that a detail shows them: number and place."""

    points: tuple[tuple[int, Point], ...]

    @property
    def middle(self) -> Point:
        """Middle of their surrounding rectangle. [mm on paper]"""
        x0, y0, x1, y1 = self._bounds
        return (x0 + x1) / 2.0, (y0 + y1) / 2.0

    @property
    def zoom(self) -> float:
        """How many times larger a detail shows them. [-]"""
        x0, y0, x1, y1 = self._bounds
        wide = (WIDE_MM - 2.0 * EDGE_MM) / max(x1 - x0, 1.0)
        return min(wide, (HIGH_MM - 2.0 * EDGE_MM) / max(y1 - y0, 1.0), MOST_ZOOM)

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
    return [c for c in found if c.zoom >= LEAST_ZOOM]


def detail(crowd: Crowd, body: Polygon, ground: Ground) -> list[Item]:
    """Draw a crowd larger where there is room; nothing where there is none.

    Parameters
    ----------
    crowd
        Which points.
    body
        The shape as drawn. [mm on paper]
    ground
        What is drawn already; has the detail added.
    """
    (mx, my), zoom = crowd.middle, crowd.zoom
    at = place_box(WIDE_MM + 1.0, HIGH_MM + 1.0, (mx, my), ground)
    if at is None:
        return []
    frame = shapely.box(
        at[0] - WIDE_MM / 2.0, at[1] - HIGH_MM / 2.0, at[0] + WIDE_MM / 2.0, at[1] + HIGH_MM / 2.0
    )
    round_mm = max(math.dist(p, (mx, my)) for _, p in crowd.points) + 0.8
    away = math.dist(at, (mx, my))
    foot = (mx + (at[0] - mx) * round_mm / away, my + (at[1] - my) * round_mm / away)
    leader = LineString([foot, at]).difference(frame)
    if (
        not isinstance(leader, LineString)
        or leader.is_empty
        or any(leader.intersects(text) for text in ground.texts[:-1])  # the last is the detail's
    ):
        return []
    large = affine_transform(
        body, (zoom, 0.0, 0.0, zoom, at[0] - zoom * mx, at[1] - zoom * my)
    ).intersection(frame)
    edge = affine_transform(
        body.exterior, (zoom, 0.0, 0.0, zoom, at[0] - zoom * mx, at[1] - zoom * my)
    ).intersection(frame)
    lines = [g for g in shapely.get_parts(shapely.line_merge(edge)) if g.length > 0.0]
    waste = frame.difference(large)  # hatched here as everywhere
    band = waste.intersection(edge.buffer(BAND_MM))
    spots = [
        (number, (at[0] + zoom * (x - mx), at[1] + zoom * (y - my)))
        for number, (x, y) in crowd.points
    ]
    inside = Ground(shapely.union_all([band, *lines]), frame, tuple(spot for _, spot in spots))
    numbers, missed = write_beside([Note(str(n), s, NUMBER_MM) for n, s in spots], inside)
    if missed:
        return []
    x0, y0, x1, y1 = frame.bounds
    circle = shapely.Point(mx, my).buffer(round_mm)
    ground.leaders.append(leader)
    return [
        Path(((x0, y0), (x1, y0), (x1, y1), (x0, y1), (x0, y0)), Pen.THIN),
        Path(tuple((float(x), float(y)) for x, y in leader.coords), Pen.THIN),
        Path(tuple((float(x), float(y)) for x, y in circle.exterior.coords), Pen.THIN),
        hatch(band, spacing_mm=0.8),
        *(Path(tuple((float(x), float(y)) for x, y in line.coords), Pen.FRAME) for line in lines),
        *(Disc(spot, 0.5, None, Fill.INK) for _, spot in spots),
        *numbers,
    ]
