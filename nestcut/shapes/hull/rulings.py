"""Which points of two lines in space belong on one straight ruling of a developable panel.

A ruled surface lies flat without stretching where its plane is the same all along each ruling:
both lines' tangents and the ruling are coplanar (D. J. Struik, Lectures on Classical Differential
Geometry, 2nd ed., 1961, section 2-4).  The angle between the planes at both ends of a ruling is
its twist.  Among all monotone pairings the one with the least integral of squared twist is found
on a grid by dynamic programming (in the manner of C. C. L. Wang and K. Tang, Optimal boundary
triangulations of an interpolating ruled surface, J. Comput. Inf. Sci. Eng. 5 (2005) 291-301), then
each ruling is set to twist zero where that is possible.  At the ends one line may stand still while
the other runs on: a cone about its end point.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from nestcut.model.curves import Point
from nestcut.shapes.hull.spaceline import SpaceLine
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.noise import DUST, NOISE

Floats = NDArray[np.float64]

_GRID = 120
_STEPS = ((1, 1), (1, 2), (2, 1), (1, 3), (3, 1), (2, 3), (3, 2), (1, 0), (0, 1))
_CREASE = 1.0
"""Weight of the twist where an end cone begins, against twist all along the panel. [-]"""
_NEAR = 2.5
"""How far a ruling may be moved to find twist zero, in grid steps. [-]"""


@dataclass(frozen=True, slots=True, eq=False, kw_only=True)
class Rulings:
    """Pairs of parameters on the lower and the upper line, both rising, and their twist. [deg]

    In end cones, where one parameter stands still, the twist is 0.
    """

    lower_t: Floats
    upper_t: Floats
    twist_deg: Floats


def find_rulings(lower: SpaceLine, upper: SpaceLine, count: int) -> Rulings:
    """Find ``count`` + 1 or a few more rulings from end to end of two lines.

    Parameters
    ----------
    count
        How many stretches there are between rulings, at least.
    """
    first, body, last = _refined(lower, upper, _best_path(lower, upper), count)
    s, t = body[:, 0] * lower.end, body[:, 1] * upper.end
    twist = np.degrees(np.arcsin(np.clip(np.abs(_twist_sine(lower, upper, s, t)), 0.0, 1.0)))
    # The rulings that close the panel have a plane of their own, unless a cone begins there.
    for end, cone in ((0, first), (-1, last)):
        if not len(cone):
            twist[end] = 0.0
    path = np.vstack([first, body, last])
    return Rulings(
        lower_t=path[:, 0] * lower.end,
        upper_t=path[:, 1] * upper.end,
        twist_deg=np.concatenate([np.zeros(len(first)), twist, np.zeros(len(last))]),
    )


def _twist_sine(lower: SpaceLine, upper: SpaceLine, s: Floats, t: Floats) -> Floats:
    """Signed sine of the angle between the planes at both ends of each ruling. [-]

    0 where the lines meet; 1 where a ruling runs along a line, which gives no plane.
    """
    ruling = upper.at(t) - lower.at(s)
    length = np.linalg.norm(ruling, axis=1)
    along = ruling / np.maximum(length, SAME_POINT_MM)[:, None]
    a, b = (np.cross(line.direction(p), along) for line, p in ((lower, s), (upper, t)))
    size = np.linalg.norm(a, axis=1) * np.linalg.norm(b, axis=1)
    sine = np.einsum("ij,ij->i", np.cross(a, b), along) / np.maximum(size, DUST)
    sine = np.where(size < NOISE, 1.0, sine)
    # Beyond a right angle the surface would fold back on itself.
    folds = np.einsum("ij,ij->i", a, b) < 0.0
    sine = np.where(folds, np.copysign(2.0 - np.abs(sine), sine), sine)
    return np.asarray(np.where(length <= SAME_POINT_MM, 0.0, sine))


def _best_path(lower: SpaceLine, upper: SpaceLine) -> Floats:
    """Pairing of least squared twist on the grid, as shares of both lines, shape (n, 2)."""
    n = _GRID
    share = np.linspace(0.0, 1.0, n + 1)
    s, t = (g.ravel() for g in np.meshgrid(share, share, indexing="ij"))
    twist = _twist_sine(lower, upper, s * lower.end, t * upper.end) ** 2
    cell = twist.reshape(n + 1, n + 1).tolist()
    inf = float("inf")
    cost = [[inf] * (n + 1) for _ in range(n + 1)]
    back: list[list[tuple[int, int] | None]] = [[None] * (n + 1) for _ in range(n + 1)]
    for i in range(n + 1):
        cost[i][0] = _CREASE * cell[i][0] if i else 0.0
        cost[0][i] = _CREASE * cell[0][i] if i else 0.0
    for i in range(1, n + 1):
        row, here = cost[i], cell[i]
        for j in range(1, n + 1):
            best, source = row[j], None
            for di, dj in _STEPS:
                if i < di or j < dj:
                    continue
                before = cost[i - di][j - dj]
                if before >= best:
                    continue
                total = before + (cell[i - di][j - dj] + here[j]) / 2.0 * (di + dj) / n
                if total < best:
                    best, source = total, (i - di, j - dj)
            row[j], back[i][j] = best, source
    ends = [(n, j) for j in range(n + 1)] + [(i, n) for i in range(n)]

    def whole(node: tuple[int, int]) -> float:
        i, j = node
        return cost[i][j] + (0.0 if node == (n, n) else _CREASE * cell[i][j])

    node: tuple[int, int] | None = min(ends, key=whole)
    path: list[tuple[int, int]] = []
    while node is not None:
        path.append(node)
        node = back[node[0]][node[1]]
    return np.array(path[::-1], dtype=np.float64) / n


def _refined(
    lower: SpaceLine, upper: SpaceLine, path: Floats, count: int
) -> tuple[Floats, Floats, Floats]:
    """Set each ruling to twist zero near the grid's pairing; add the end cones before and after."""
    first, last = (_on_border(lower, upper, end) for end in (path[0], path[-1]))
    inside = path[(path > first).any(axis=1) & (path < last).any(axis=1)]
    path = np.vstack([first, inside, last])
    middle, skew = path.sum(axis=1) / 2.0, (path[:, 1] - path[:, 0]) / 2.0
    u = np.linspace(middle[0], middle[-1], count + 1)
    v = _twist_free(lower, upper, u, np.interp(u, middle, skew))
    v[0], v[-1] = skew[0], skew[-1]
    body = np.column_stack([np.clip(u - v, 0.0, 1.0), np.clip(u + v, 0.0, 1.0)])
    body = np.minimum(np.maximum.accumulate(body, axis=0), last)
    return _cone((0.0, 0.0), first, count)[:-1], body, _cone(last, (1.0, 1.0), count)[1:]


def _on_border(lower: SpaceLine, upper: SpaceLine, end: Floats) -> Floats:
    """Shift the ruling where an end cone begins along the border to twist zero."""
    running = [k for k in (0, 1) if 0.0 < end[k] < 1.0]
    if not running:
        return end
    k = running[0]
    reach = _NEAR / _GRID
    tries = np.clip(np.linspace(end[k] - reach, end[k] + reach, 2001), 0.0, 1.0)
    places = np.repeat(end[None, :], len(tries), axis=0)
    places[:, k] = tries
    sine = _twist_sine(lower, upper, places[:, 0] * lower.end, places[:, 1] * upper.end)
    return np.asarray(places[int(np.argmin(np.abs(sine)))])


def _cone(start: Point | Floats, stop: Point | Floats, count: int) -> Floats:
    """Rulings of an end cone from one pair to another; a single row if they are the same."""
    a, b = np.asarray(start, dtype=np.float64), np.asarray(stop, dtype=np.float64)
    steps = int(np.ceil(float(np.max(b - a)) * count)) if np.max(b - a) > DUST else 0
    share = np.linspace(0.0, 1.0, max(2, steps) + 1) if steps else np.zeros(1)
    return np.asarray(a + share[:, None] * (b - a))


def _twist_free(lower: SpaceLine, upper: SpaceLine, u: Floats, guess: Floats) -> Floats:
    """Skew of each ruling at which its twist vanishes, or is least, within reach of the guess."""
    reach = _NEAR / _GRID
    tries = np.linspace(-reach, reach, 41)
    v = guess[:, None] + tries[None, :]
    most = np.minimum(u, 1.0 - u)[:, None]
    v = np.clip(v, -most, most)
    f = _at_skew(lower, upper, np.repeat(u, v.shape[1]), v.ravel()).reshape(v.shape)
    changes = (f[:, :-1] * f[:, 1:] <= 0.0) & (np.abs(f[:, :-1]) < 1.0) & (np.abs(f[:, 1:]) < 1.0)
    gap = np.where(changes, np.abs(v[:, :-1] + v[:, 1:] - 2.0 * guess[:, None]), np.inf)
    k = np.argmin(gap, axis=1)
    rows = np.arange(len(u))
    low, high = v[rows, k], v[rows, k + 1]
    f_low = f[rows, k]
    for _ in range(50):
        centre = (low + high) / 2.0
        f_mid = _at_skew(lower, upper, u, centre)
        same = f_mid * f_low > 0.0
        low, f_low = np.where(same, centre, low), np.where(same, f_mid, f_low)
        high = np.where(same, high, centre)
    least = v[rows, np.argmin(np.abs(f) + NOISE * np.abs(tries)[None, :], axis=1)]
    return np.asarray(np.where(np.isfinite(gap[rows, k]), (low + high) / 2.0, least))


def _at_skew(lower: SpaceLine, upper: SpaceLine, u: Floats, v: Floats) -> Floats:
    s, t = np.clip(u - v, 0.0, 1.0), np.clip(u + v, 0.0, 1.0)
    return _twist_sine(lower, upper, s * lower.end, t * upper.end)
