"""Which motion takes one outline onto another, found from the two outlines alone.

Middles of area are laid on each other; quarter turns are tried first, then the turns that lay the
point farthest from the middle onto one as far away.  What nearly fits is moved by least squares
until it fits: every point of one is drawn to the nearest edge of the other, square to that edge
(Y. Chen, G. Medioni, "Object modelling by registration of multiple range images", 1992).
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from tests.second.curves import Points

G = TypeVar("G", bound=BaseGeometry)
_FEW = 48
"""So many points of an outline are enough to judge roughly and to move it by. [-]"""
_WORTH_MM = 1.5
"""What is off by more after a quarter turn is no quarter turn. [mm]"""
_NEAR = 8
"""At most so many turns are tried for one distance. [-]"""


@dataclass(frozen=True)
class Pose:
    """Turned about the origin, then shifted."""

    turn_deg: float
    shift_mm: tuple[float, float]

    def place(self, thing: G) -> G:
        """Return a thing where the pose takes it."""
        c, s = _cos_sin(self.turn_deg)
        return affinity.affine_transform(thing, (c, -s, s, c, *self.shift_mm))


def _cos_sin(turn_deg: float) -> tuple[float, float]:
    quarter = turn_deg / 90.0
    if quarter == round(quarter):
        return ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[round(quarter) % 4]
    return math.cos(math.radians(turn_deg)), math.sin(math.radians(turn_deg))


def poses(wanted: Polygon, drawn: Polygon, within_mm: float) -> list[Pose]:
    """Return the motions that lay ``wanted`` onto ``drawn``, every line to ``within_mm``.

    Several where the outline is alike after a turn.
    """
    if len(wanted.interiors) != len(drawn.interiors):
        return []
    if abs(wanted.area - drawn.area) > within_mm * 2.0 * (wanted.length + drawn.length):
        return []
    a, b = wanted.centroid, drawn.centroid
    found: list[Pose] = []
    for turn in (0.0, 90.0, 180.0, 270.0):
        pose = _fitted(wanted, drawn, _about(turn, a, b), within_mm, refine=False)
        if pose is not None:
            found.append(pose)
    for turn in () if found else _turns(wanted, drawn, within_mm):
        pose = _fitted(wanted, drawn, _about(turn, a, b), within_mm, refine=True)
        if pose is not None and all(_apart(pose.turn_deg, f.turn_deg) > 0.5 for f in found):
            found.append(pose)
    return found


def _apart(a: float, b: float) -> float:
    return abs((a - b + 180.0) % 360.0 - 180.0)


def _about(turn: float, a: shapely.Point, b: shapely.Point) -> Pose:
    c, s = _cos_sin(turn)
    return Pose(turn, (b.x - c * a.x + s * a.y, b.y - s * a.x - c * a.y))


def _turns(wanted: Polygon, drawn: Polygon, within_mm: float) -> list[float]:
    """Turns that lay a point or hole of one that is far from the middle onto one of the other."""
    found: list[float] = []
    middles = [wanted.centroid, drawn.centroid]
    sides = []
    for shape, middle in zip((wanted, drawn), middles, strict=True):
        ring = shapely.get_coordinates(shape.exterior)[:-1] - (middle.x, middle.y)
        inner = [np.array([[h.centroid.x, h.centroid.y]]) - (middle.x, middle.y)
                 for h in map(Polygon, shape.interiors)]  # fmt: skip
        none = [np.empty((0, 2))]
        # a round outline doesn't tell how it is turned, nor does a hole amid it: its corners do
        corners = [shapely.get_coordinates(h)[:-1] - (middle.x, middle.y) for h in shape.interiors]
        sides.append((ring, np.concatenate(inner or none), np.concatenate(corners or none)))
    for k in (1, 2, 0):
        ours, theirs = sides[0][k], sides[1][k]
        if not len(ours):
            continue
        reach = np.hypot(*ours.T)
        far = ours[int(np.argmax(reach))]
        if reach.max() <= 20.0 * within_mm:
            continue
        distance = np.abs(np.hypot(*theirs.T) - reach.max())
        likely = [int(j) for j in np.argsort(distance) if distance[j] <= 6.0 * within_mm + 0.05]
        start = math.degrees(math.atan2(far[1], far[0]))
        own: list[float] = []
        for j in likely:
            turn = math.degrees(math.atan2(theirs[j][1], theirs[j][0])) - start
            if all(_apart(turn, t) > 0.05 for t in own):
                own.append(turn)
            if len(own) >= _NEAR:
                break
        found += own
    return found


def _fitted(
    wanted: Polygon, drawn: Polygon, pose: Pose, within_mm: float, *, refine: bool
) -> Pose | None:
    rest = math.inf
    for _ in range(12):
        off = _off(wanted, drawn, pose, within_mm)
        if off <= within_mm:
            return pose
        if off >= rest * 0.9 or (not refine and off > _WORTH_MM):
            break
        rest = off
        pose = _drawn_nearer(wanted, drawn, pose)
    return None


def _off(wanted: Polygon, drawn: Polygon, pose: Pose, within_mm: float) -> float:
    """Return how far the lines of the two are apart at most, at the points of either. [mm]

    A few points tell what is far off; what is no further than ``within_mm`` isn't measured.
    """
    here = pose.place(wanted)
    for a, b in zip(here.bounds, drawn.bounds, strict=True):
        if abs(a - b) > 5.0:
            return 1e9
    first = _from(_few(here), drawn, within_mm)
    if first > 1.0:
        return first
    if _corner_by_corner(here, drawn) <= within_mm:
        return within_mm
    there, back = shapely.get_coordinates(here), shapely.get_coordinates(drawn)
    return max(_from(there, drawn, within_mm), _from(back, here, within_mm))


def _corner_by_corner(here: Polygon, drawn: Polygon) -> float:
    """How far the corners of two plain outlines are apart, begun where they meet; none: far.

    No line between them is further apart than its ends are.
    """
    if here.interiors or drawn.interiors:
        return math.inf
    a, b = (shapely.get_coordinates(p.exterior)[:-1] for p in (here, drawn))
    if len(a) != len(b):
        return math.inf
    best = math.inf
    for rows in (b, b[::-1]):
        start = int(np.argmin(((rows - a[0]) ** 2).sum(axis=1)))
        best = min(best, float(np.hypot(*(np.roll(rows, -start, axis=0) - a).T).max()))
    return best


def _few(shape: Polygon) -> Points:
    """Some points of a polygon's lines, evenly taken."""
    points = shapely.get_coordinates(shape)
    return points[:: max(1, len(points) // _FEW)]


def _from(spots: Points, b: Polygon, within_mm: float) -> float:
    """How far points are from a polygon's lines at most; ``within_mm`` where none is further."""
    line = b.boundary
    shapely.prepare(line)
    points = shapely.points(spots)
    if shapely.dwithin(line, points, within_mm).all():
        return within_mm
    return float(shapely.distance(line, points).max())


def _drawn_nearer(wanted: Polygon, drawn: Polygon, pose: Pose) -> Pose:
    """One step of least squares for a small turn about the middle and a shift."""
    here = pose.place(wanted)
    points = _few(here)
    near, normals = _nearest(points, drawn)
    middle = points.mean(axis=0)
    arm = points - middle
    rows = np.column_stack([normals, arm[:, 0] * normals[:, 1] - arm[:, 1] * normals[:, 0]])
    (dx, dy, da), *_ = np.linalg.lstsq(rows, ((near - points) * normals).sum(axis=1), rcond=None)
    c, s = math.cos(da), math.sin(da)
    x, y = pose.shift_mm[0] - middle[0], pose.shift_mm[1] - middle[1]
    shift = (middle[0] + dx + c * x - s * y, middle[1] + dy + s * x + c * y)
    return Pose(pose.turn_deg + math.degrees(da), shift)


def _nearest(points: Points, drawn: Polygon) -> tuple[Points, Points]:
    """The nearest points on a polygon's edges, and the edges' normals there."""
    starts, ends = [], []
    for ring in (drawn.exterior, *drawn.interiors):
        rows = shapely.get_coordinates(ring)
        starts.append(rows[:-1])
        ends.append(rows[1:])
    a, b = np.concatenate(starts), np.concatenate(ends)
    along = b - a
    size = np.maximum((along**2).sum(axis=1), 1e-18)
    near, normals = [], []
    for p in points:
        t = np.clip(((p - a) * along).sum(axis=1) / size, 0.0, 1.0)
        spots = a + t[:, None] * along
        k = int(np.argmin(((spots - p) ** 2).sum(axis=1)))
        near.append(spots[k])
        normals.append(np.array([-along[k][1], along[k][0]]) / math.sqrt(size[k]))
    return np.array(near), np.array(normals)
