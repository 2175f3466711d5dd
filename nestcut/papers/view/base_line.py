"""The line along which a shape is marked out and measured."""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import Polygon

from nestcut.geometry.polygons import bounds_mm
from nestcut.geometry.pose import move_points
from nestcut.model.curves import Point
from nestcut.model.pose import Pose
from nestcut.model.shape import Shape
from nestcut.tolerances import ANGLE_DEG, SAME_LENGTH_MM

Array = NDArray[np.float64]

BASE_SHARE = 0.3
"""A straight edge at least this share of a piece's greatest extent serves as its base line."""
FOOT_SHARE = 0.5
"""An edge that a shape nowhere overhangs serves before the longest from this share of it on. [-]"""


def base_line_pose(shape: Shape) -> Pose:
    """Return how a shape lies on its base line: turned and moved so that x and y start at 0.

    The base line runs along the longest straight edge beyond whose ends the shape doesn't reach,
    as far as there is one: from such an edge all figures are set off square on the sheet itself.
    Then along the longest edge; where that is short against the piece, along the long side of the
    smallest rectangle round it.
    """
    points = np.array(shape.outline.points, dtype=np.float64)
    steps = np.diff(np.vstack([points, points[:1]]), axis=0)
    lengths = np.round(np.hypot(steps[:, 0], steps[:, 1]), 6)
    x0, y0, x1, y1 = bounds_mm(shape.outline.points)
    longest = int(np.argmax(lengths))
    if lengths[longest] < BASE_SHARE * math.hypot(x1 - x0, y1 - y0):
        dx, dy = _long_side(shape.outline.points)
    else:
        far = lengths >= FOOT_SHARE * lengths[longest]
        feet = [k for k in np.flatnonzero(far) if _is_foot(points, steps[k], lengths[k])]
        dx, dy = (float(v) for v in steps[max(feet, key=lambda k: lengths[k], default=longest)])
    turn = -math.degrees(math.atan2(dy, dx))
    quarter = round(turn / 90.0) * 90.0
    turn = quarter if abs(turn - quarter) < ANGLE_DEG else turn
    left, low, _, _ = bounds_mm(move_points(shape.outline.points, Pose(turn_deg=turn)))
    return Pose(turn_deg=turn, shift_mm=(-left, -low))


def _is_foot(points: Array, step: Array, length: float) -> bool:
    """Whether a shape reaches no further along an edge than the edge itself."""
    along = points @ (step / length)
    return float(np.ptp(along)) < length + SAME_LENGTH_MM


def _long_side(points: tuple[Point, ...]) -> tuple[float, float]:
    rectangle = shapely.minimum_rotated_rectangle(Polygon(points))
    corners = [(float(x), float(y)) for x, y in shapely.get_coordinates(rectangle)]
    sides = [
        (corners[k + 1][0] - corners[k][0], corners[k + 1][1] - corners[k][1]) for k in range(2)
    ]
    dx, dy = max(sides, key=lambda s: round(math.hypot(*s), 6))
    return (dx, dy) if (dx, dy) > (0.0, 0.0) else (-dx, -dy)
