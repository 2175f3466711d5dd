"""The invented beach boat's lines: sheer, chine and keel over stations, and what follows from them.

x runs forward from the transom, y to the side from the centre line, z up, all in mm.  Lines are
natural cubic splines through the offsets (tables below), the keel in the plane y = 0.
"""

from __future__ import annotations

import itertools
import math

Point = tuple[float, float]
Point3 = tuple[float, float, float]

SHEER: tuple[Point3, ...] = (
    (0, 620, 560),
    (900, 728, 535),
    (1800, 782, 530),
    (2700, 762, 556),
    (3400, 668, 604),
    (4000, 500, 668),
    (4400, 300, 722),
    (4700, 40, 770),
)
CHINE: tuple[Point3, ...] = (
    (0, 500, 150),
    (900, 585, 128),
    (1800, 628, 125),
    (2700, 590, 152),
    (3400, 475, 205),
    (3900, 330, 268),
    (4300, 140, 345),
    (4480, 20, 385),
)
KEEL: tuple[Point3, ...] = (
    (0, 0, 70),
    (900, 0, 20),
    (1800, 0, 0),
    (2700, 0, 12),
    (3400, 0, 65),
    (3900, 0, 150),
    (4300, 0, 285),
    (4480, 0, 380),
)


def natural_spline(ts: list[float], values: list[float], at: float) -> float:
    """Value at ``at`` of the natural cubic spline through the points (ts, values)."""
    n = len(ts)
    h = [ts[i + 1] - ts[i] for i in range(n - 1)]
    lower, diagonal, right = [0.0] * n, [1.0] * n, [0.0] * n
    upper = [0.0] * n
    for i in range(1, n - 1):
        lower[i], upper[i], diagonal[i] = h[i - 1], h[i], 2 * (h[i - 1] + h[i])
        right[i] = 6 * ((values[i + 1] - values[i]) / h[i] - (values[i] - values[i - 1]) / h[i - 1])
    for i in range(1, n):
        factor = lower[i] / diagonal[i - 1]
        diagonal[i] -= factor * upper[i - 1]
        right[i] -= factor * right[i - 1]
    bend = [0.0] * n
    for i in range(n - 2, 0, -1):
        bend[i] = (right[i] - upper[i] * bend[i + 1]) / diagonal[i]
    i = max(0, min(n - 2, sum(t <= at for t in ts) - 1))
    a, b = (ts[i + 1] - at) / h[i], (at - ts[i]) / h[i]
    return (
        a * values[i]
        + b * values[i + 1]
        + ((a**3 - a) * bend[i] + (b**3 - b) * bend[i + 1]) * h[i] ** 2 / 6
    )


class SpaceLine:
    """A line in space through offsets, by chord length."""

    def __init__(self, offsets: tuple[Point3, ...]) -> None:
        self.offsets = offsets
        self.knots = [0.0]
        for a, b in itertools.pairwise(offsets):
            self.knots.append(self.knots[-1] + math.dist(a, b))

    def point(self, share: float) -> Point3:
        """Point at a share (0 aft, 1 forward) of the chord length."""
        t = share * self.knots[-1]
        x, y, z = (natural_spline(self.knots, [p[k] for p in self.offsets], t) for k in range(3))
        return (x, y, z)

    def share_at(self, x: float) -> float:
        """Share at which the line passes the station ``x``."""
        low, high = 0.0, 1.0
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if self.point(middle)[0] < x else (low, middle)
        return (low + high) / 2

    def at(self, x: float) -> Point3:
        """Point at the station ``x``."""
        return self.point(self.share_at(x))

    def length(self, pieces: int = 2000) -> float:
        """Length in space. [mm]"""
        points = [self.point(i / pieces) for i in range(pieces + 1)]
        return sum(math.dist(a, b) for a, b in itertools.pairwise(points))


SHEER_LINE, CHINE_LINE, KEEL_LINE = SpaceLine(SHEER), SpaceLine(CHINE), SpaceLine(KEEL)


def section(x: float) -> tuple[Point, Point, Point]:
    """Keel, chine and sheer of the starboard half section at ``x``, as (y, z)."""
    keel, chine, sheer = KEEL_LINE.at(x), CHINE_LINE.at(x), SHEER_LINE.at(x)
    return (0.0, keel[2]), (chine[1], chine[2]), (sheer[1], sheer[2])


def unroll(
    lower: SpaceLine, upper: SpaceLine, rulings: int = 96
) -> tuple[list[Point], list[Point]]:
    """Lay the ruled strip between two lines flat, ruling by ruling; returns both edges.

    Each quadrangle is taken as two triangles, which keeps all edge lengths.
    """
    shares = [i / rulings for i in range(rulings + 1)]
    a3, b3 = [lower.point(s) for s in shares], [upper.point(s) for s in shares]
    a: list[Point] = [(0.0, 0.0)]
    b: list[Point] = [(0.0, math.dist(a3[0], b3[0]))]
    for i in range(rulings):
        a.append(_apex(a[i], b[i], math.dist(a3[i], a3[i + 1]), math.dist(b3[i], a3[i + 1])))
        b.append(
            _apex(a[i + 1], b[i], math.dist(a3[i + 1], b3[i + 1]), math.dist(b3[i], b3[i + 1]))
        )
    turn = -math.atan2(a[-1][1] - a[0][1], a[-1][0] - a[0][0])
    c, s = math.cos(turn), math.sin(turn)

    def turned(points: list[Point]) -> list[Point]:
        return [(x * c - y * s, x * s + y * c) for x, y in points]

    return turned(a), turned(b)


def _apex(p: Point, q: Point, from_p: float, from_q: float) -> Point:
    """Third corner of a triangle, on the right of p -> q."""
    base = math.dist(p, q)
    along = (from_p**2 - from_q**2 + base**2) / (2 * base)
    off = math.sqrt(max(0.0, from_p**2 - along**2))
    ux, uy = (q[0] - p[0]) / base, (q[1] - p[1]) / base
    return (p[0] + along * ux + off * uy, p[1] + along * uy - off * ux)
