"""The invented beach boat's lines: sheer, chine and keel over stations, and what follows from them.

x runs forward from the transom, y to the side from the centre line, z up, all in mm.  Lines are
the project's own splines through the offsets below.
"""

from __future__ import annotations

import numpy as np

from nestcut.shapes.hull.development import Development, develop
from nestcut.shapes.hull.spaceline import SpaceLine, through

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


def _line(offsets: tuple[Point3, ...]) -> SpaceLine:
    return through(np.array(offsets, dtype=np.float64))


SHEER_LINE, CHINE_LINE, KEEL_LINE = _line(SHEER), _line(CHINE), _line(KEEL)


def at_share(line: SpaceLine, share: float) -> Point3:
    """Point at a share (0 aft, 1 forward) of a line."""
    x, y, z = line.at(np.array([share * line.end]))[0].tolist()
    return (x, y, z)


def at_station(line: SpaceLine, x: float) -> Point3:
    """Point of a line at the station ``x``."""
    return at_share(line, line.where(0, x) / line.end)


def section(x: float) -> tuple[Point, Point, Point]:
    """Keel, chine and sheer of the starboard half section at ``x``, as (y, z)."""
    keel, chine, sheer = (at_station(line, x) for line in (KEEL_LINE, CHINE_LINE, SHEER_LINE))
    return (0.0, keel[2]), (chine[1], chine[2]), (sheer[1], sheer[2])


def side_panel() -> Development:
    """Side, starboard seen from outside."""
    return develop(CHINE_LINE, SHEER_LINE)


def bottom_panel() -> Development:
    """Half bottom, starboard seen from below."""
    return develop(KEEL_LINE, CHINE_LINE)
