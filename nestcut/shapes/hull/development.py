"""Hull panels laid flat: the developable ruled surface between two lines in space.

The surface is followed ruling by ruling; each strip between two rulings is laid down as two
triangles with their true sides, which keeps every length.  The diagonal changes from strip to
strip, so that its small twist cancels.  The error against the smooth surface falls with the square
of the distance between rulings.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from shapely.geometry import LineString

from nestcut.model.curves import Curve, Line, Point
from nestcut.model.shape import Mark
from nestcut.shapes.hull.rulings import Rulings, find_rulings
from nestcut.shapes.hull.spaceline import SpaceLine, plane_splines, through
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.lengths import DEVELOPED_EDGE_MM, DEVELOPED_MARK_MM
from nestcut.tolerances.noise import NOISE

Floats = NDArray[np.float64]

RULINGS_PER_SPAN = 16
"""Rulings between two stations."""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Development:
    """A panel laid flat, x along the chord of its lower edge, upper edge above.

    Seen like this, a panel whose lines are given with heights up and half-breadths positive is
    the starboard one seen from outside, bow to the right (equally the port one from inside).

    Parameters
    ----------
    lower, upper
        Developed points of both edges at each ruling, shape (n, 2). [mm]
    rulings
        The pairs of parameters they belong to.
    worst_twist_deg
        Greatest twist of a ruling: 0 for a surface that lies flat without stretching.  Rulings
        shorter than a tenth of the longest, in the tip of a panel, are left out. [deg]
    stretch_mm
        By how much lines along the panel, between its edges, are longer flat than in space, the
        worst of three: what the sheet would have to give. 0 for a developable surface. [mm]
    least_bend_radius_mm
        Smallest radius the panel is bent to, from the turn between neighbouring strips. [mm]
    """

    lower: Floats
    upper: Floats
    rulings: Rulings
    worst_twist_deg: float
    stretch_mm: float
    least_bend_radius_mm: float
    least_bend_at_mm: float = 0.0
    """How far forward of the after end that is, in the middle of the panel. [mm]"""


def develop(
    lower: SpaceLine, upper: SpaceLine, rulings_per_span: int = RULINGS_PER_SPAN
) -> Development:
    """Lay the panel between two lines flat.

    Parameters
    ----------
    rulings_per_span
        How many rulings, at least, between two readings.
    """
    spans = max(len(lower.points), len(upper.points)) - 1
    rulings = find_rulings(lower, upper, spans * rulings_per_span)
    a, b = lower.at(rulings.lower_t), upper.at(rulings.upper_t)
    span = np.linalg.norm(b - a, axis=1)
    counts = span > span.max() / 10.0
    flat = _levelled(*_laid(a, b))
    radius, at = _least_bend_mm(a, b)
    return Development(
        lower=flat[0],
        upper=flat[1],
        rulings=rulings,
        worst_twist_deg=float(rulings.twist_deg[counts].max()),
        stretch_mm=_stretch_mm((a, b), flat),
        least_bend_radius_mm=radius,
        least_bend_at_mm=at,
    )


def outline_of(panel: Development) -> tuple[Curve, ...]:
    """Closed outline: fair lower edge, end, upper edge back, start."""
    below, above = _edge(panel.lower), _edge(panel.upper[::-1])
    corners = [_point(panel.lower[-1]), _point(panel.upper[-1])]
    run: list[Curve] = [*below]
    if math.dist(*corners) > SAME_POINT_MM * 1000.0:
        run.append(Line(corners[0], corners[1]))
    run += above
    corners = [_point(panel.upper[0]), _point(panel.lower[0])]
    if math.dist(*corners) > SAME_POINT_MM * 1000.0:
        run.append(Line(corners[0], corners[1]))
    return tuple(run)


def station_mark(
    panel: Development, lower: SpaceLine, upper: SpaceLine, axis: int, value: float, label: str
) -> Mark | None:
    """Line where the plane ``axis`` = ``value`` cuts the panel, carried over ruling by ruling.

    None where the plane misses the panel.

    Parameters
    ----------
    panel
        The panel laid flat, of just these two lines.
    axis
        0 length, 1 breadth, 2 height.
    value
        Where the plane is. [mm]
    label
        Of the mark.
    """
    a, b = lower.at(panel.rulings.lower_t)[:, axis], upper.at(panel.rulings.upper_t)[:, axis]
    points: list[tuple[float, Point]] = []
    rise = b - a
    for k in np.flatnonzero((a - value) * (b - value) <= 0.0).tolist():
        if abs(rise[k]) > SAME_POINT_MM:
            share = float((value - a[k]) / rise[k])
            ruling = panel.upper[k] - panel.lower[k]
            points.append((share, _point(panel.lower[k] + share * ruling)))
    for share, edge, along in ((0.0, panel.lower, a), (1.0, panel.upper, b)):
        for k in np.flatnonzero((along[:-1] - value) * (along[1:] - value) < 0.0).tolist():
            part = float((value - along[k]) / (along[k + 1] - along[k]))
            points.append((share, _point(edge[k] + part * (edge[k + 1] - edge[k]))))
    points.sort()
    if len(points) < 2 or math.dist(points[0][1], points[-1][1]) <= DEVELOPED_EDGE_MM:
        return None
    line = LineString([p for _, p in points]).simplify(DEVELOPED_MARK_MM)
    return Mark(tuple((float(x), float(y)) for x, y in line.coords), (), label)


def bulge_mm(
    panel: Development, lower: SpaceLine, upper: SpaceLine, axis: int, value: float
) -> float:
    """How far the bent panel stands off a straight line between its edges in a plane. [mm]

    A frame drawn from the same two lines is straight there. 0 where the plane misses the panel or
    leaves it by an end.

    Parameters
    ----------
    panel
        The panel laid flat, of just these two lines.
    axis
        0 length, 1 breadth, 2 height.
    value
        Where the plane is. [mm]
    """
    a, b = lower.at(panel.rulings.lower_t), upper.at(panel.rulings.upper_t)
    ends = []
    for edge in (a, b):
        met = np.flatnonzero((edge[:-1, axis] - value) * (edge[1:, axis] - value) <= 0.0)
        if not len(met):
            return 0.0
        k = int(met[0])
        rise = float(edge[k + 1, axis] - edge[k, axis])
        share = 0.0 if abs(rise) <= SAME_POINT_MM else (value - float(edge[k, axis])) / rise
        ends.append(edge[k] + share * (edge[k + 1] - edge[k]))
    rise_all = b[:, axis] - a[:, axis]
    crossing = (a[:, axis] - value) * (b[:, axis] - value) < 0.0
    shares = (value - a[crossing, axis]) / rise_all[crossing]
    points = a[crossing] + shares[:, None] * (b - a)[crossing]
    chord = ends[1] - ends[0]
    if not len(points) or float(np.linalg.norm(chord)) <= SAME_POINT_MM:
        return 0.0
    off = np.cross(points - ends[0], chord) / np.linalg.norm(chord)
    return float(np.linalg.norm(off, axis=1).max())


def _laid(a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """Lay both edges in the plane, strip by strip."""
    flat_a, flat_b = [(0.0, 0.0)], [(0.0, float(np.linalg.norm(b[0] - a[0])))]
    if flat_b[0][1] <= SAME_POINT_MM:
        flat_b = [flat_a[0]]
    for k in range(len(a) - 1):
        p, q = flat_a[-1], flat_b[-1]
        lower, upper = _gap(a[k], a[k + 1]), _gap(b[k], b[k + 1])
        end = _gap(a[k + 1], b[k + 1])
        if k % 2 == 0:
            next_b = _apex(p, q, _gap(a[k], b[k + 1]), upper)
            next_a = _apex(p, next_b, lower, end)
        else:
            next_a = _apex(p, q, lower, _gap(b[k], a[k + 1]))
            next_b = _apex(next_a, q, end, upper)
        flat_a.append(next_a)
        flat_b.append(next_b)
    return np.array(flat_a), np.array(flat_b)


def _stretch_mm(space: tuple[Floats, Floats], flat: tuple[Floats, Floats]) -> float:
    """Difference in length of lines along the panel, the one of greatest size. [mm]"""
    gains = []
    for share in (0.25, 0.5, 0.75):
        lengths = [
            float(np.sum(np.linalg.norm(np.diff(a + share * (b - a), axis=0), axis=1)))
            for a, b in (space, flat)
        ]
        gains.append(lengths[1] - lengths[0])
    return max(gains, key=abs)


def _gap(p: Floats, q: Floats) -> float:
    return math.dist(p.tolist(), q.tolist())


def _apex(p: Point, q: Point, from_p: float, from_q: float) -> Point:
    """Third corner of a triangle over p -> q, on its right."""
    base = math.dist(p, q)
    if base <= SAME_POINT_MM:
        return (p[0] + from_p, p[1])
    along = (from_p**2 - from_q**2 + base**2) / (2.0 * base)
    off = math.sqrt(max(0.0, from_p**2 - along**2))
    ux, uy = (q[0] - p[0]) / base, (q[1] - p[1]) / base
    return (p[0] + along * ux + off * uy, p[1] + along * uy - off * ux)


def _levelled(a: Floats, b: Floats) -> tuple[Floats, Floats]:
    """Turn so that the lower edge's ends lie on the x axis, the first at the origin."""
    chord = a[-1] - a[0]
    c, s = chord / np.linalg.norm(chord)
    turn = np.array([[c, -s], [s, c]])
    return (a - a[0]) @ turn, (b - a[0]) @ turn


def _edge(points: Floats) -> tuple[Curve, ...]:
    """Fair curve through few of the points, within ``DEVELOPED_EDGE_MM`` of all of them."""
    steps = np.linalg.norm(np.diff(points, axis=0), axis=1)
    points = points[np.append(True, steps > SAME_POINT_MM * 1000.0)]
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
    for count in (6, 9, 13, 19, 28, 41, 60, 90, len(points)):
        picks = np.unique(np.searchsorted(along, np.linspace(0.0, along[-1], count)))
        line = through(points[np.minimum(picks, len(points) - 1)])
        if _worst(line, points) <= DEVELOPED_EDGE_MM or len(picks) >= len(points):
            return plane_splines(line)
    return plane_splines(through(points))


def _worst(line: SpaceLine, points: Floats) -> float:
    """Greatest distance of points from a line, measured across it. [mm]"""
    along = np.append(0.0, np.cumsum(np.linalg.norm(np.diff(points, axis=0), axis=1)))
    t = along / along[-1] * line.end
    for _ in range(3):
        off, direction = points - line.at(t), line.direction(t)
        speed = np.einsum("ij,ij->i", direction, direction)
        t = np.clip(t + np.einsum("ij,ij->i", off, direction) / speed, 0.0, line.end)
    return float(np.linalg.norm(points - line.at(t), axis=1).max())


def _least_bend_mm(a: Floats, b: Floats) -> tuple[float, float]:
    """Width of a strip at its middle over the turn to the next, least over the panel, and where.

    The place is the distance forward of the ruling between both strips, at its middle. [mm]

    Rulings shorter than a tenth of the longest are left out: a tip isn't bent, it's cut.
    """
    normal = np.cross(b[1:] - a[:-1], a[1:] - b[:-1])
    size = np.linalg.norm(normal, axis=1)
    middle = (a + b) / 2.0
    width = np.linalg.norm(np.diff(middle, axis=0), axis=1)
    ruling = np.linalg.norm(b - a, axis=1)
    keep = (np.minimum(ruling[1:], ruling[:-1]) > ruling.max() / 10.0) & (
        width > SAME_POINT_MM * 1000.0
    )
    unit, wide = normal[keep] / size[keep][:, None], width[keep]
    turn = np.arcsin(np.clip(np.linalg.norm(np.cross(unit[1:], unit[:-1]), axis=1), 0.0, 1.0))
    radius = (wide[1:] + wide[:-1]) / 2.0 / np.maximum(turn, NOISE)
    if not len(radius):
        return math.inf, float(middle[0, 0])
    k = int(np.argmin(radius))
    return float(radius[k]), float(middle[1:][keep][k, 0])


def _point(row: Floats) -> Point:
    x, y = row.tolist()
    return (x, y)
