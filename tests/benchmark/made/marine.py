"""Rectangles cut up into what boats are made of, without waste."""

from __future__ import annotations

import itertools
import math

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Point, Polygon

from tests.benchmark.made.cutting import Points, curved, cut_up


def blocks(width: float, height: float, many: int, rng: np.random.Generator) -> list[Polygon]:
    """Cut a rectangle into so many upright ones."""
    found = [(0.0, 0.0, width, height)]
    while len(found) < many:
        found.sort(key=lambda b: (b[2] - b[0]) * (b[3] - b[1]))
        x0, y0, x1, y1 = found.pop()
        at = rng.uniform(0.4, 0.6)
        if x1 - x0 > y1 - y0:
            x = x0 + at * (x1 - x0)
            found += [(x0, y0, x, y1), (x, y0, x1, y1)]
        else:
            y = y0 + at * (y1 - y0)
            found += [(x0, y0, x1, y), (x0, y, x1, y1)]
    return [shapely.box(*b) for b in found]


def frames(width: float, height: float, pieces: int, rng: np.random.Generator) -> list[Polygon]:
    """Frames of one hull inside each other, open at the top or closed, round a bulkhead."""
    found = []
    for block in blocks(width, height, max(1, pieces // 5), rng):
        x0, y0, x1, y1 = block.bounds
        chine, keel = rng.uniform(0.15, 0.4), rng.uniform(0.05, 0.15)
        half = np.array([[0.0, 0.0], [1 - rng.uniform(0.3, 0.5), keel], [1.0, chine], [1.0, 1.0]])
        section = Polygon(np.vstack((half, half[::-1] * [-1, 1])))
        is_open = bool(rng.uniform() < 0.5)
        about = (0.0, 1.0) if is_open else (0.0, 0.58)
        sizes = (1.0, 0.8, 0.6, 0.4)[: int(rng.integers(2, 5))]
        nested = [affinity.scale(section, size, size, origin=about) for size in sizes]
        outer = shapely.box(-1.0, 0.0, 1.0, 1.0)
        parts = [*shapely.get_parts(outer.difference(section))]
        parts += [a.difference(b) for a, b in itertools.pairwise(nested)]
        parts.append(nested[-1])
        across = affinity.scale(
            shapely.MultiPolygon(parts), (x1 - x0) / 2.0, y1 - y0, origin=(0, 0)
        )
        found += shapely.get_parts(affinity.translate(across, (x0 + x1) / 2.0, y0)).tolist()
    return found


def rings(width: float, height: float, pieces: int, rng: np.random.Generator) -> list[Polygon]:
    """Rings round a disc, in blocks whose rest is four knees."""
    found = []
    for block in blocks(width, height, max(1, pieces // 6), rng):
        x0, y0, x1, y1 = block.bounds
        x, y = (x0 + x1) / 2.0, (y0 + y1) / 2.0
        discs = [
            affinity.scale(
                Point(0, 0).buffer(0.46 * s, quad_segs=6), x1 - x0, y1 - y0, origin=(0, 0)
            )
            for s in (1.0, *np.cumprod(rng.uniform(0.6, 0.8, int(rng.integers(1, 3)))))
        ]
        discs = [affinity.translate(d, x, y) for d in discs]
        quarters = [
            shapely.box(*q)
            for q in ((x0, y0, x, y), (x, y0, x1, y), (x0, y, x, y1), (x, y, x1, y1))
        ]
        parts = [q.difference(discs[0]) for q in quarters]
        parts += [a.difference(b) for a, b in itertools.pairwise(discs)]
        found += [p for p in (*parts, discs[-1]) if isinstance(p, Polygon)]
    return found


def knees(width: float, height: float, pieces: int, rng: np.random.Generator) -> list[Polygon]:
    """Two knees with hollow inner edges in each block, and the spindle between them."""
    found = []
    for block in blocks(width, height, max(1, pieces // 3), rng):
        x0, y0, x1, y1 = block.bounds
        arm = rng.uniform(0.12, 0.25, 4)
        a = _bow((arm[0], 1.0), (1.0, arm[1]), -rng.uniform(0.1, 0.22))
        b = _bow((1.0 - arm[2], 0.0), (0.0, 1.0 - arm[3]), -rng.uniform(0.1, 0.22))
        one = Polygon([(1.0, 1.0), *a])
        other = Polygon([(0.0, 0.0), *b])
        middle = shapely.box(0, 0, 1, 1).difference(one).difference(other)
        parts = [one, other, *shapely.get_parts(middle)]
        if rng.uniform() < 0.5:
            parts = [affinity.scale(p, -1.0, 1.0, origin=(0.5, 0.5)) for p in parts]
        grown = [affinity.scale(p, x1 - x0, y1 - y0, origin=(0, 0)) for p in parts]
        found += [affinity.translate(p, x0, y0) for p in grown]
    return found


def _bow(start: tuple[float, float], end: tuple[float, float], rise: float) -> Points:
    """Points on a bow from start to end, hollow to the left for a rise below 0."""
    p, q = np.array(start), np.array(end)
    t = np.linspace(0.0, 1.0, 9)
    left = np.array([-(q - p)[1], (q - p)[0]])
    line = p + t[:, None] * (q - p)
    return np.asarray(line + (rise * np.sin(math.pi * t))[:, None] * -left)


def panels(width: float, height: float, pieces: int, rng: np.random.Generator) -> list[Polygon]:
    """Long panels with fair edges, one above the other, some divided aslant."""
    rows = max(3, round(math.sqrt(1.5 * pieces)))
    t = np.linspace(0.0, 1.0, 11)
    levels = np.cumsum(rng.uniform(0.7, 1.3, rows))
    levels = levels / levels[-1]
    edges = [np.zeros_like(t)]
    for k, level in enumerate(levels[:-1]):
        room = 0.35 * min(levels[0], *np.diff(levels))
        phase = rng.uniform(0.0, math.pi)
        edges.append(level + room * np.sin(math.pi * t * rng.uniform(0.7, 1.6) + phase + k))
    edges.append(np.ones_like(t))
    found = []
    for low, high in itertools.pairwise(edges):
        ring = np.vstack((np.column_stack((t, low)), np.column_stack((t, high))[::-1]))
        found.append(Polygon(ring * [width, height]))
    while len(found) < pieces:
        found.sort(key=lambda p: p.area)
        found += cut_up(found.pop(), 2, curved if rng.uniform() < 0.2 else _aslant, rng)
    return found


def _aslant(rng: np.random.Generator) -> Points:
    del rng
    return np.array([[0.0, 0.0], [1.0, 0.0]])
