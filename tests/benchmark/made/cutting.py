"""Cutting polygons up without waste: straight, curved and toothed cuts, and puzzles of cells."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import ops
from shapely.geometry import LineString, Polygon

Points = NDArray[np.float64]
Profile = Callable[[np.random.Generator], Points]
"""Draws a cut from (0, 0) to (1, 0): points, shape (n, 2)."""

LEAST_SHARE = 0.28
"""Share of the area that the smaller half of a cut has at least. [-]"""

LEAST_WIDTH = 0.04
"""Half the width that a piece has somewhere, as a share of the root of its area. [-]"""

TRIES = 60
"""Cuts that are drawn for one polygon before a straight one is taken."""


def straight(rng: np.random.Generator) -> Points:
    """Draw a straight cut."""
    del rng
    return np.array([[0.0, 0.0], [1.0, 0.0]])


def curved(rng: np.random.Generator) -> Points:
    """Draw half a wave to two waves, as chords."""
    t = np.linspace(0.0, 1.0, 13)
    height = rng.uniform(0.03, 0.1) * rng.choice((-1.0, 1.0))
    return np.column_stack((t, height * np.sin(rng.integers(1, 5) * math.pi * t)))


def toothed(rng: np.random.Generator) -> Points:
    """Draw one to three teeth that grip: wider at the head than at the foot, or upright, or V."""
    teeth = int(rng.integers(1, 4))
    points = [(0.0, 0.0)]
    height = rng.uniform(0.06, 0.14)
    for k in range(teeth):
        middle, half = (k + 0.5) / teeth, 0.22 / teeth
        lean = rng.choice((-0.3, 0.0, 0.3, 0.9)) * half
        side = rng.choice((-1.0, 1.0)) * height
        points += [
            (middle - half, 0.0),
            (middle - half + lean, side),
            (middle + half - lean, side),
            (middle + half, 0.0),
        ]
    return np.array([*points, (1.0, 0.0)])


def cut_up(
    polygon: Polygon, pieces: int, profile: Profile, rng: np.random.Generator
) -> list[Polygon]:
    """Cut the largest piece in two until there are so many; begin anew where one can't be cut."""
    parts = [polygon]
    while len(parts) < pieces:
        parts.sort(key=lambda p: p.area)
        halves = _in_two(parts.pop(), profile, rng)
        parts = [*parts, *halves] if halves else [polygon]
    return parts


def _in_two(polygon: Polygon, profile: Profile, rng: np.random.Generator) -> list[Polygon]:
    """Cut a polygon in two across its longer way; nothing comes back where no cut was found."""
    for k in range(4 * TRIES):
        cut = _across(polygon, profile if k < TRIES else straight, rng)
        halves = [p for p in ops.split(polygon, cut).geoms if isinstance(p, Polygon)]
        smaller = min(p.area for p in halves)
        even = len(halves) == 2 and smaller >= LEAST_SHARE * polygon.area
        if even and all(map(_is_sound, halves)):
            return halves
    return []


def _is_sound(p: Polygon) -> bool:
    narrow = LEAST_WIDTH * math.sqrt(p.area)
    return bool(
        p.is_valid and isinstance(p.buffer(-narrow), Polygon) and p.buffer(-narrow).area > 0
    )


def _across(polygon: Polygon, profile: Profile, rng: np.random.Generator) -> LineString:
    """Lay a cut through near the middle; its ends lie outside."""
    corners = shapely.get_coordinates(polygon.minimum_rotated_rectangle)[:4]
    sides = np.diff(corners[:3], axis=0)
    along = sides[int(np.hypot(*sides[0]) < np.hypot(*sides[1]))]
    angle = math.atan2(along[1], along[0]) + math.pi / 2.0 + rng.normal(0.0, 0.3)
    middle = np.array(polygon.centroid.coords[0]) + rng.normal(0.0, 0.06) * along
    c, s = math.cos(angle), math.sin(angle)
    reach = 4.0 * math.hypot(*np.ptp(corners, axis=0))
    ray = LineString([middle - reach * np.array([c, s]), middle + reach * np.array([c, s])])
    inside = polygon.intersection(ray)
    if inside.is_empty:
        return ray
    ends = np.array([p for g in shapely.get_parts(inside) for p in g.coords])
    far = (ends - middle) @ np.array([c, s])
    first, last = far.min(), far.max()
    shape = profile(rng) * (last - first)
    shape[:, 0] += first
    shape = np.vstack(([-reach, 0.0], shape, [reach, 0.0]))
    return LineString(middle + shape @ np.array([[c, s], [-s, c]]))


def cells(
    width: float, height: float, pieces: int, rng: np.random.Generator, bevel: float
) -> list[Polygon]:
    """Grow pieces over an uneven grid of cells: right angles, parallel edges, interlocks.

    ``bevel`` is the share of pairs of neighbours between which a triangle changes hands.
    """
    while True:
        found = _cells(width, height, pieces, rng, bevel)
        if all(p.is_valid and not p.interiors for p in found):
            return found


def _cells(
    width: float, height: float, pieces: int, rng: np.random.Generator, bevel: float
) -> list[Polygon]:
    many = 4.5 * pieces
    nx = max(3, round(math.sqrt(many * width / height)))
    ny = max(3, round(many / nx))
    xs, ys = _lines(width, nx, rng), _lines(height, ny, rng)
    owner = np.full((nx, ny), -1)
    for k, cell in enumerate(rng.choice(nx * ny, size=pieces, replace=False)):
        owner[divmod(int(cell), ny)] = k
    while (owner < 0).any():
        free = [(i, j) for i, j in np.argwhere(owner < 0) if _around(owner, i, j)]
        near = [_around(owner, i, j) for i, j in free]
        size = np.bincount(owner[owner >= 0], minlength=pieces)
        smallest = np.array([min(size[n]) for n in near], dtype=float)
        pick = int(np.argmin(smallest + rng.uniform(0.0, 3.0, len(free))))
        owner[tuple(free[pick])] = min(near[pick], key=lambda k: size[k] + rng.uniform(0.0, 3.0))
    grown = []
    for k in range(pieces):
        boxes = [
            shapely.box(xs[i], ys[j], xs[i + 1], ys[j + 1]) for i, j in np.argwhere(owner == k)
        ]
        whole = shapely.union_all(boxes)
        grown += list(shapely.get_parts(whole))
    return _bevelled(grown, rng, bevel)


def _around(owner: NDArray[np.int64], i: int, j: int) -> list[int]:
    """Pieces beside a cell."""
    beside = ((i - 1, j), (i + 1, j), (i, j - 1), (i, j + 1))
    nx, ny = owner.shape
    return [int(owner[a, b]) for a, b in beside if 0 <= a < nx and 0 <= b < ny and owner[a, b] >= 0]


def _lines(length: float, n: int, rng: np.random.Generator) -> Points:
    """Uneven grid lines on whole units."""
    steps = rng.integers(2, 5, n).astype(float)
    return np.asarray(np.concatenate(([0.0], np.cumsum(steps))) * length / steps.sum())


def _bevelled(parts: list[Polygon], rng: np.random.Generator, share: float) -> list[Polygon]:
    """Give a triangle of one piece's corner to the piece that fills the corner's other side."""
    parts = list(parts)
    for i in range(len(parts)):
        if rng.uniform() >= share:
            continue
        ring = shapely.get_coordinates(parts[i].simplify(0.0))[:-1]
        k = int(rng.integers(len(ring)))
        at, before, after = ring[k], ring[k - 1], ring[(k + 1) % len(ring)]
        triangle = Polygon([at, (at + before) / 2.0, (at + after) / 2.0])
        if triangle.area == 0.0 or not parts[i].contains(triangle.centroid):
            continue
        for j, other in enumerate(parts):
            if j != i and other.intersection(triangle).length > 0.9 * triangle.length * 0.29:
                kept, more = parts[i].difference(triangle), other.union(triangle).simplify(0.0)
                if isinstance(kept, Polygon) and isinstance(more, Polygon):
                    parts[i], parts[j] = kept, more
                    break
    return parts
