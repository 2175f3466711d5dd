"""Numbered circles beside small pieces of a sketch, all chosen together.

A circle alone always finds a fair place; the last of many is left with a leader across half a
sheet.  So every circle has a choice of places, each of them with its cost.  Lengths are mm on
paper.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.papers.draw import Balloon
from nestcut.papers.marking.drawn.choice import Flags, chosen_places

Array = NDArray[np.float64]

RADIUS_MM = 2.6
"""Of a circle. [mm]"""
FREE_MM = 0.4
"""Between a circle and anything else. [mm]"""
GRID_MM = 1.5
"""Between places that are tried. [mm]"""
NEAREST = 120
"""So many of the places nearest a piece are tried. [-]"""
KEPT = (64, 12)
"""So many of the cheapest are chosen among, fewer where circles are many, but so many at least."""
KEPT_OF_ALL = 2400
"""Of all circles together. [-]"""
FEET = 6
"""So many points of a piece are tried as ends of its leader. [-]"""
FOOT_CLEAR_MM = (1.2, 0.8, 0.5, 0.3, 0.15)
"""How far from its piece's edge a leader ends: the most that the piece has room for. [mm]"""
FOOT_GRID = 14
"""How many points along and across are looked at for it. [-]"""
DOT_MM = 1.5
"""A leader this near to a dot where another piece's line begins is taken for its own. [mm]"""
NEAR_MM = 0.6
"""Two leaders this near are taken for one, and for the line that they run along. [mm]"""
FEET_APART_MM = 1.5
"""So far apart leaders end. [mm]"""
WRONG = 60.0
"""A leader past another piece's dot is worth so much more length. [mm]"""
PIECE_WORTH, OVER_WORTH = 5.0, 1.0
"""So is each piece that one runs over, and every mm of it. [mm]"""
ALONG_WORTH = 1.5
"""So is every mm over or along a line. [-]"""
HOLE_WORTH = 8.0
"""So is a circle in another piece's hole: it is taken for its number. [mm]"""
EDGE_WORTH = 4.0
"""So is a circle on its sheet's edge. [mm]"""
SIMPLE_MM = 0.1
"""Outlines as true as this will do. [mm]"""


@dataclass(frozen=True, slots=True, eq=False)
class Scene:
    """What circles stand among."""

    bodies: tuple[Polygon, ...]
    dots: tuple[Point, ...]
    """Where each body's base line begins."""
    lines: BaseGeometry
    """Base lines."""
    edge: BaseGeometry
    """What circles had better not stand on, though they may."""
    written: tuple[Polygon, ...]
    room: Polygon


@dataclass(frozen=True, slots=True, eq=False)
class _Places:
    """Places of one circle, the cheapest first: its middle, its leader's end, its cost."""

    centres: Array
    feet: Array
    cost: Array
    n_over: NDArray[np.intp]
    """How many other bodies the leader runs over."""


@dataclass(frozen=True, slots=True)
class Circles:
    """Circles by body; how many leaders run past another body's dot, and over how many bodies."""

    placed: dict[int, Balloon]
    n_wrong: int
    n_over: int


def place_circles(small: Sequence[int], scene: Scene) -> Circles:
    """Choose places for the circles of some bodies, as many as have room.

    Parameters
    ----------
    small
        Which bodies.
    """
    bodies = tuple(shapely.simplify(body, SIMPLE_MM) for body in scene.bodies)
    scene = replace(scene, bodies=bodies)
    spots = _free_spots(scene)
    most = max(KEPT[1], min(KEPT[0], KEPT_OF_ALL // max(len(small), 1)))
    found = [_places(k, spots, scene, most) for k in small]
    chosen = chosen_places([p.cost for p in found], lambda k, j: _clash(found[k], found[j]))
    placed: dict[int, Balloon] = {}
    n_wrong = n_over = 0
    for k, places, at in zip(small, found, chosen, strict=True):
        if at is None:
            continue
        (x, y), (fx, fy) = places.centres[at], places.feet[at]
        placed[k] = Balloon((float(x), float(y)), RADIUS_MM, (float(fx), float(fy)))
        n_wrong += bool(places.cost[at] >= WRONG)
        n_over += int(places.n_over[at])
    return Circles(placed, n_wrong, n_over)


def _free_spots(scene: Scene) -> Array:
    """Places where a circle covers nothing."""
    reach = RADIUS_MM + FREE_MM
    x0, y0, x1, y1 = scene.room.bounds
    xs = np.arange(x0 + reach, x1 - reach, GRID_MM)
    ys = np.arange(y0 + reach, y1 - reach, GRID_MM)
    spots = np.column_stack([g.ravel() for g in np.meshgrid(xs, ys)])
    points = shapely.points(spots)
    free = np.ones(len(spots), dtype=np.bool_)
    dots = [shapely.Point(d) for d in scene.dots]
    for barred in (*scene.bodies, *scene.written, scene.lines, *dots):
        free &= shapely.distance(barred, points) > reach
    return spots[free]


def _feet(body: Polygon, others: Sequence[Point], taken: BaseGeometry) -> Array:
    """Points well inside a body, far from each other, on no writing and by no other's dot."""
    deep: BaseGeometry = next((d for c in FOOT_CLEAR_MM if (d := body.buffer(-c)).area > 0.0), body)
    x0, y0, x1, y1 = deep.bounds
    xs, ys = np.linspace(x0, x1, FOOT_GRID), np.linspace(y0, y1, FOOT_GRID)
    grid = np.column_stack([g.ravel() for g in np.meshgrid(xs, ys)])
    middle = shapely.get_coordinates(deep.representative_point())
    spots = np.vstack([middle, shapely.get_coordinates(deep), grid])
    points = shapely.points(spots)
    free = np.asarray(shapely.covers(body, points)) & (
        shapely.distance(deep, points) <= FOOT_CLEAR_MM[-1]
    )
    free &= ~shapely.intersects(taken, points)
    free[0] = True  # where all else is taken
    if len(others):
        free &= (_apart(spots, np.array(others)) > DOT_MM).all(axis=1) | (np.arange(len(spots)) < 1)
    spots = spots[free]
    found = [0]
    away = _apart(spots, spots[:1])[:, 0]
    while len(found) < min(FEET, len(spots)):
        k = int(np.argmax(np.round(away, 6)))
        found.append(k)
        away = np.minimum(away, _apart(spots, spots[k : k + 1])[:, 0])
    return np.asarray(spots[found], dtype=np.float64)


def _places(k: int, spots: Array, scene: Scene, most: int) -> _Places:
    """The cheapest places of a body's circle."""
    body = scene.bodies[k]
    others = [j for j in range(len(scene.bodies)) if j != k]
    dots = [d for j in others if (d := scene.dots[j]) != scene.dots[k]]
    written = shapely.union_all(scene.written).buffer(FREE_MM)
    feet = _feet(body, dots, written)
    away = shapely.distance(body, shapely.points(spots))
    near = spots[np.argsort(np.round(away, 6), kind="stable")[:NEAREST]]
    centres, ends = np.repeat(near, len(feet), axis=0), np.tile(feet, (len(near), 1))
    leaders = np.asarray(shapely.linestrings(np.stack([centres, ends], axis=1)))
    free = ~shapely.intersects(written, leaders)
    centres, ends, leaders = centres[free], ends[free], leaders[free]
    cost = np.hypot(*(centres - ends).T) - RADIUS_MM
    bodies = np.array([scene.bodies[j] for j in others], dtype=object)
    n_over = np.zeros(len(cost), dtype=np.intp)
    crossing, crossed = shapely.STRtree(bodies).query(leaders, predicate="intersects")
    np.add.at(n_over, crossing, 1)
    for hole in (h for j in others for h in _holes(scene.bodies[j], body)):
        is_in = shapely.covers(hole, shapely.points(centres))
        n_over += is_in
        cost += (HOLE_WORTH - PIECE_WORTH) * is_in
    cost += PIECE_WORTH * n_over
    if dots:
        cost += WRONG * (_off(centres, ends, np.array(dots)) < DOT_MM).any(axis=1)
    cost += EDGE_WORTH * (shapely.distance(scene.edge, shapely.points(centres)) < RADIUS_MM)
    order = np.argsort(np.round(cost, 3), kind="stable")[: 2 * most]
    centres, ends, n_over = centres[order], ends[order], n_over[order]
    way = leaders[order]
    crossing, crossed = shapely.STRtree(bodies).query(way, predicate="intersects")
    over = shapely.length(shapely.intersection(way[crossing], bodies[crossed]))
    thick = scene.lines.buffer(NEAR_MM, quad_segs=1)
    cost = cost[order] + ALONG_WORTH * shapely.length(shapely.intersection(way, thick))
    np.add.at(cost, crossing, OVER_WORTH * over)
    order = np.argsort(np.round(cost, 3), kind="stable")[:most]
    return _Places(centres[order], ends[order], np.round(cost[order], 3), n_over[order])


def _holes(other: Polygon, body: Polygon) -> list[Polygon]:
    """Holes of another body that a body doesn't lie in itself."""
    holes = [Polygon(ring) for ring in other.interiors]
    return [hole for hole in holes if not hole.covers(body)]


def _clash(a: _Places, b: _Places) -> Flags:
    """Where circles or leaders are too near to each other."""
    reach = RADIUS_MM + FREE_MM
    clash = _apart(a.centres, b.centres) < 2.0 * RADIUS_MM + FREE_MM
    clash |= _apart(a.feet, b.feet) < FEET_APART_MM
    clash |= (_off(a.centres, a.feet, b.centres) < reach) | (
        _off(b.centres, b.feet, a.centres) < reach
    ).T
    clash |= (_off(a.centres, a.feet, b.feet) < NEAR_MM) | (
        _off(b.centres, b.feet, a.feet) < NEAR_MM
    ).T
    return np.asarray(clash | _cross(a, b), dtype=np.bool_)


def _cross(a: _Places, b: _Places) -> Flags:
    """Which leaders cross."""

    def sides(of: _Places, spots: Array) -> Array:
        run, to = of.feet - of.centres, spots[None] - of.centres[:, None]
        return np.asarray(run[:, None, 0] * to[..., 1] - run[:, None, 1] * to[..., 0])

    is_over_a = sides(a, b.centres) * sides(a, b.feet) < 0.0
    is_over_b = (sides(b, a.centres) * sides(b, a.feet) < 0.0).T
    return np.asarray(is_over_a & is_over_b, dtype=np.bool_)


def _apart(a: Array, b: Array) -> Array:
    """Distances between points, shape (len(a), len(b))."""
    return np.asarray(np.hypot(*np.moveaxis(a[:, None] - b[None], -1, 0)), dtype=np.float64)


def _off(starts: Array, ends: Array, spots: Array) -> Array:
    """How far points are from straight lines, shape (lines, points)."""
    run, to = (ends - starts)[:, None], spots[None] - starts[:, None]
    share = np.clip((run * to).sum(axis=-1) / (run * run).sum(axis=-1), 0.0, 1.0)
    return np.asarray(np.hypot(*np.moveaxis(to - share[..., None] * run, -1, 0)), dtype=np.float64)
