"""Splines as rows of Bezier pieces: the machinery behind :mod:`nestcut.geometry.curves`.

A row of pieces is an array of shape (n pieces, degree + 1, 3) of homogeneous control points
``(w x, w y, w)``; polynomial splines have w = 1.  Weights are positive, so each piece lies inside
the convex hull of its control points (L. Piegl, W. Tiller, The NURBS Book, 2nd ed., 1997,
sections 1.4 and 4.2).  Pieces are cut out of the spline by its polar form: control point j of the
piece over [a, b] is the polar form at a (degree - j times) and b (j times) (L. Ramshaw, Blossoming,
DEC SRC report 19, 1987).
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from nestcut.model.curves import Point, Spline
from nestcut.tolerances.noise import DUST

Floats = NDArray[np.float64]

_DEPTH = 40
"""Halvings after which a piece is as small as floats can tell."""

_LEAST_STEP = 0.5**_DEPTH


EPSILON = float(np.finfo(np.float64).eps)


def domain(spline: Spline) -> tuple[float, float]:
    """Return the first and last value of the spline's parameter."""
    return spline.knots[spline.degree], spline.knots[len(spline.control)]


def homogeneous(spline: Spline) -> Floats:
    """Return the control points, shape (n, 3)."""
    flat = np.asarray(spline.control, dtype=np.float64)
    weights = np.asarray(spline.weights or np.ones(len(flat)), dtype=np.float64)
    return np.column_stack([flat * weights[:, None], weights])


@lru_cache(maxsize=4096)
def pieces(spline: Spline) -> tuple[Floats, Floats]:
    """Return the Bezier pieces and the (n pieces + 1) parameters where they meet, to be read only.

    Worked out once for each spline: its length, extent and crossings all begin with them.
    """
    p, n = spline.degree, len(spline.control)
    knots = np.asarray(spline.knots, dtype=np.float64)
    spans = p + np.flatnonzero(knots[p + 1 : n + 1] > knots[p:n])
    start, stop = knots[spans], knots[spans + 1]
    rows = np.empty((len(spans), p + 1, 3))
    for j in range(p + 1):
        rows[:, j] = _polar(spline, knots, spans, [start] * (p - j) + [stop] * j)
    breaks = np.append(start, stop[-1:])
    for shared in (rows, breaks):
        shared.flags.writeable = False
    return rows, breaks


def _polar(spline: Spline, knots: Floats, spans: NDArray[np.int_], at: list[Floats]) -> Floats:
    """De Boor's scheme with its own argument on each level, for many spans at once."""
    p = spline.degree
    control = homogeneous(spline)
    d = control[spans[:, None] - p + np.arange(p + 1)[None, :]]
    for r in range(1, p + 1):
        for j in range(p, r - 1, -1):
            low, high = knots[spans + j - p], knots[spans + j + 1 - r]
            a = ((at[r - 1] - low) / (high - low))[:, None]
            d[:, j] = (1.0 - a) * d[:, j - 1] + a * d[:, j]
    last: Floats = d[:, p]
    return last


def evaluate(spline: Spline, t: Floats) -> Floats:
    """Return the points at parameters ``t``, shape (len(t), 2). [mm]"""
    p, n = spline.degree, len(spline.control)
    knots = np.asarray(spline.knots, dtype=np.float64)
    t = np.clip(t, knots[p], knots[n])
    spans = np.clip(np.searchsorted(knots, t, side="right") - 1, p, n - 1)
    full = np.flatnonzero(knots[p + 1 : n + 1] > knots[p:n]) + p
    spans = full[np.clip(np.searchsorted(full, spans, side="right") - 1, 0, len(full) - 1)]
    d = _polar(spline, knots, spans, [t] * p)
    return d[:, :2] / d[:, 2:]


def project(rows: Floats) -> Floats:
    """Return the control points in the plane, shape (..., 2). [mm]"""
    return rows[..., :2] / rows[..., 2:]


def cut(rows: Floats, u: float) -> tuple[Floats, Floats]:
    """Cut every piece at u of its own [0, 1] (de Casteljau)."""
    left, right = np.empty_like(rows), np.empty_like(rows)
    d = rows.copy()
    last = rows.shape[1] - 1
    for level in range(last + 1):
        left[:, level] = d[:, 0]
        right[:, last - level] = d[:, last - level]
        d[:, : last - level] = (1.0 - u) * d[:, : last - level] + u * d[:, 1 : last - level + 1]
    return left, right


def at(rows: Floats, u: Floats) -> tuple[Floats, Floats]:
    """Return points and derivatives of every piece at every u, shape (n pieces, len(u), 2)."""
    p = rows.shape[1] - 1
    point = np.einsum("uj,njk->nuk", _bernstein(p, u), rows)
    slope = np.einsum("uj,njk->nuk", _bernstein(p - 1, u), p * np.diff(rows, axis=1))
    w = point[..., 2:]
    flat = point[..., :2] / w
    return flat, (slope[..., :2] - flat * slope[..., 2:]) / w


def _bernstein(p: int, u: Floats) -> Floats:
    binomials = np.array([math.comb(p, j) for j in range(p + 1)], dtype=np.float64)
    j = np.arange(p + 1)
    return binomials * u[:, None] ** j * (1.0 - u[:, None]) ** (p - j)


def from_chord(points: Floats) -> Floats:
    """Greatest distance of control points from the chord, as a segment, of each piece. [mm]"""
    first, chord = points[:, :1], points[:, -1:] - points[:, :1]
    length2 = np.sum(chord * chord, axis=2)
    along = np.sum((points - first) * chord, axis=2)
    share = np.clip(along / np.where(length2 > 0.0, length2, 1.0), 0.0, 1.0)
    off = points - first - share[..., None] * chord
    longest: Floats = np.sqrt(np.max(np.sum(off * off, axis=2), axis=1))
    return longest


def refine(rows: Floats, is_fine: Callable[[Floats], NDArray[np.bool_]]) -> Floats:
    """Halve pieces until ``is_fine`` says yes to each; they stay in their order."""
    done: list[tuple[float, Floats]] = []
    order = np.arange(len(rows), dtype=np.float64)
    step = 0.5
    while len(rows):
        fine = is_fine(rows) if step > _LEAST_STEP else np.ones(len(rows), dtype=bool)
        done += zip(order[fine].tolist(), rows[fine], strict=True)
        left, right = cut(rows[~fine], 0.5)
        rows = np.concatenate([left, right])
        order = np.concatenate([order[~fine], order[~fine] + step])
        step /= 2.0
    done.sort(key=lambda item: item[0])
    return np.array([row for _, row in done])


def flatten(rows: Floats, sagitta_mm: float) -> list[Point]:
    """Return a polyline whose vertices lie on the curve, both ends included."""
    fine = project(refine(rows, lambda r: from_chord(project(r)) <= sagitta_mm))
    ends = np.concatenate([fine[:1, 0], fine[:, -1]])
    return [(x, y) for x, y in ends.tolist()]


def cover_left(rows: Floats, flatness_mm: float) -> list[Point]:
    """Return a polyline that never runs to the left of the curve, both ends included.

    Where the curve turns left, the meeting point of the end tangents stands for a piece; elsewhere
    the chain of its control points' hull on the right side of the chord does.
    """
    fine = project(refine(rows, lambda r: _is_covered(r, flatness_mm)))
    result: list[Point] = [(float(fine[0, 0, 0]), float(fine[0, 0, 1]))]
    tangent_points, turns_left = _tangent_points(fine)
    for piece, meeting, left in zip(fine, tangent_points, turns_left, strict=True):
        if left:
            result.append((float(meeting[0]), float(meeting[1])))
        else:
            result += right_chain([(x, y) for x, y in piece.tolist()])[1:-1]
        result.append((float(piece[-1, 0]), float(piece[-1, 1])))
    return result


def _is_covered(rows: Floats, flatness_mm: float) -> NDArray[np.bool_]:
    points = project(rows)
    meeting, left = _tangent_points(points)
    middle, _ = at(rows, np.array([0.5]))
    fan = np.stack([points[:, 0], middle[:, 0], points[:, -1]], axis=1)
    # The curve lies between the tangents and the fan, so the fan's distance bounds the error.
    error = np.minimum(
        from_chord(np.stack([fan[:, 0], meeting, fan[:, 1]], axis=1)),
        from_chord(np.stack([fan[:, 1], meeting, fan[:, 2]], axis=1)),
    )
    hull = from_chord(points)
    same_side = left | (_turns(points) <= 0.0).all(axis=1)
    chain = np.where(same_side, hull, 2.0 * hull)
    covered: NDArray[np.bool_] = np.where(left, error, chain) <= flatness_mm
    return covered


def _turns(points: Floats) -> Floats:
    """Cross products of following legs of each control polygon; positive turns left."""
    legs = np.diff(points, axis=1)
    turns: Floats = legs[:, :-1, 0] * legs[:, 1:, 1] - legs[:, :-1, 1] * legs[:, 1:, 0]
    return turns


def _tangent_points(points: Floats) -> tuple[Floats, NDArray[np.bool_]]:
    """Where the end tangents meet, and whether the piece turns left by less than a quarter."""
    first, last = points[:, 1] - points[:, 0], points[:, -1] - points[:, -2]
    chord = points[:, -1] - points[:, 0]
    turn = first[:, 0] * last[:, 1] - first[:, 1] * last[:, 0]
    legs = np.diff(points, axis=1)
    onward = (np.sum(legs * chord[:, None, :], axis=2) > 0.0).all(axis=1)
    left = onward & (_turns(points) >= 0.0).all(axis=1) & (turn > 0.0)
    left &= np.sum(first * last, axis=1) > 0.0
    share = (chord[:, 0] * last[:, 1] - chord[:, 1] * last[:, 0]) / np.where(left, turn, 1.0)
    return points[:, 0] + share[:, None] * first, left


def right_chain(points: list[Point]) -> list[Point]:
    """Return the convex chain from the first to the last point that keeps all others on its left.

    Points that lie before the first or behind the last (along the chord) are not looked at.
    """
    (ax, ay), (bx, by) = points[0], points[-1]
    cx, cy = bx - ax, by - ay
    inner = [
        p for p in points[1:-1] if 0.0 < (p[0] - ax) * cx + (p[1] - ay) * cy < cx * cx + cy * cy
    ]
    inner.sort(key=lambda p: (p[0] - ax) * cx + (p[1] - ay) * cy)
    chain = [points[0]]
    for p in (*inner, points[-1]):
        while len(chain) > 1 and _cross(chain[-2], chain[-1], p) <= 0.0:
            chain.pop()
        chain.append(p)
    return chain


def _cross(a: Point, b: Point, c: Point) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def furthest(rows: Floats, direction: Point) -> float:
    """Greatest value of ``x dx + y dy`` on the curve, to within float noise. [mm]"""
    d = np.asarray(direction)
    best = -math.inf
    size = float(np.max(np.abs(project(rows)))) + 1.0
    for _ in range(_DEPTH):
        heights = project(rows) @ d
        best = max(best, float(np.max(heights[:, 0])), float(np.max(heights[:, -1])))
        open_ = np.max(heights, axis=1) > best + size * DUST
        if not open_.any():
            break
        rows = np.concatenate(cut(rows[open_], 0.5))
    return best


def crossings(row: Floats, point: Point, direction: Point) -> list[float]:
    """Values of u in [0, 1] where one piece meets the line through ``point`` along ``direction``.

    Bernstein coefficients of the signed distance: no sign change, no root; one, bisection.

    Parameters
    ----------
    row
        Bernstein coefficients (x, y, weight) of the piece, homogeneous, shape (degree + 1, 3).
    point
        On the line. [mm]
    direction
        Along it, of any length.
    """
    nx, ny = -direction[1], direction[0]
    heights = (row @ np.array([nx, ny, -(nx * point[0] + ny * point[1])])).tolist()
    if not any(heights):
        return []
    found: list[float] = []
    waiting = [(heights, 0.0, 1.0)]
    while waiting:
        h, low, high = waiting.pop()
        above = [v > 0.0 for v in h if v != 0.0]
        changes = sum(a != b for a, b in pairwise(above))
        if h[0] == 0.0:
            found.append(low)
        if h[-1] == 0.0:
            found.append(high)
        if changes == 0:
            continue
        if high - low < _LEAST_STEP:
            found.append((low + high) / 2.0)
            continue
        left, right = _halved(h)
        middle = (low + high) / 2.0
        waiting += [(left, low, middle), (right, middle, high)]
    return _thinned(sorted(found))


def _halved(coefficients: list[float]) -> tuple[list[float], list[float]]:
    """Cut one row of plain numbers in the middle, as :func:`cut` does; for few, far quicker."""
    left, right = [], []
    while coefficients:
        left.append(coefficients[0])
        right.append(coefficients[-1])
        coefficients = [0.5 * a + 0.5 * b for a, b in pairwise(coefficients)]
    return left, right[::-1]


def _thinned(values: list[float]) -> list[float]:
    result: list[float] = []
    for v in values:
        if not result or v - result[-1] > 4.0 * _LEAST_STEP:
            result.append(v)
    return result


def integral(
    rows: Floats, of: Callable[[Floats, Floats], Floats], least_scale: float = 0.0
) -> float:
    """Sum of a quantity of (points, derivatives) along the curve, Gauss-Legendre, refined.

    A piece is halved until 12 nodes on it and 12 on each half agree to float noise, which is
    taken from the sum itself or from ``least_scale`` where large terms cancel.

    Parameters
    ----------
    rows
        Pieces of the curve, shape (pieces, degree + 1, 3), as in :func:`pieces`.
    of
        Gives the quantity for points and derivatives.
    least_scale
        What float noise is measured by where the sum is smaller. [as the sum]
    """
    total, scale = 0.0, least_scale
    whole = _gauss(rows, of)
    for _ in range(_DEPTH):
        left, right = cut(rows, 0.5)
        halves = np.stack([_gauss(left, of), _gauss(right, of)])
        both = halves.sum(axis=0)
        scale = max(scale, abs(total) + float(np.sum(np.abs(both))))
        fine = np.abs(both - whole) <= 64.0 * EPSILON * scale
        total += float(np.sum(both[fine]))
        if fine.all():
            return total
        rows = np.concatenate([left[~fine], right[~fine]])
        whole = np.concatenate([halves[0][~fine], halves[1][~fine]])
    return total + float(np.sum(whole))


_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(12)


def _gauss(rows: Floats, of: Callable[[Floats, Floats], Floats]) -> Floats:
    point, slope = at(rows, (_NODES + 1.0) / 2.0)
    result: Floats = of(point, slope) @ (_WEIGHTS / 2.0)
    return result
