"""Corners of outlines and of the room that is left: angles, directions, lengths, and no slivers."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import Polygon

from nestcut.geometry.pose import cos_sin
from nestcut.model.pose import Lie, Pose
from nestcut.nesting.problem import FloatArray, Item
from nestcut.tolerances.noise import SAME_ANGLE_RAD


@dataclass(frozen=True, slots=True)
class Shape:
    """An outline on one face: corners counter-clockwise, holes, angles, directions, lengths."""

    kind: int
    lie: Lie
    ring: FloatArray
    polygon: Polygon
    angle: FloatArray
    along: FloatArray
    length: FloatArray


@dataclass(frozen=True, slots=True)
class Corner:
    """A corner of the room: where, its angle, and its sides' direction and length."""

    at: FloatArray
    angle: float
    along: float
    ahead: float
    next_angle: float


def shape_of(kind: int, item: Item, lie: Lie) -> Shape:
    """Work out an item's corners as it lies; ``ring`` lies so too.

    Parameters
    ----------
    kind
        Number of the item's kind; items alike have one.
    """
    flip = np.array([-1.0, 1.0]) if lie is Lie.FACE_DOWN else np.ones(2)
    ring = without_flat(item.outline * flip)
    holes = [h * flip for h in item.holes]
    if lie is Lie.FACE_DOWN:
        ring = ring[::-1]
    edges = np.roll(ring, -1, axis=0) - ring
    return Shape(
        kind,
        lie,
        ring,
        Polygon(ring, holes),
        angles_of(ring),
        np.arctan2(edges[:, 1], edges[:, 0]),
        np.hypot(edges[:, 0], edges[:, 1]),
    )


def own_corner(shape: Shape, k: int) -> tuple[float, float]:
    """Return corner k in the item's own frame."""
    x, y = shape.ring[k]
    return (-float(x), float(y)) if shape.lie is Lie.FACE_DOWN else (float(x), float(y))


def angles_of(ring: FloatArray) -> FloatArray:
    """Angles between each corner's sides, on the ring's left. [rad]"""
    out = np.roll(ring, -1, axis=0) - ring
    back = np.roll(ring, 1, axis=0) - ring
    turn = np.arctan2(back[:, 1], back[:, 0]) - np.arctan2(out[:, 1], out[:, 0])
    return np.asarray(turn % (2.0 * np.pi))


def without_flat(ring: FloatArray) -> FloatArray:
    """Leave out corners on straight sides."""
    angles = angles_of(ring)
    return ring[np.abs(angles - np.pi) > SAME_ANGLE_RAD]


def corners_of(room: Polygon) -> Iterator[Corner]:
    """Corners of the room, its inner rings' too; the room lies on the left of each side."""
    oriented = shapely.geometry.polygon.orient(room)
    for each in (oriented.exterior, *oriented.interiors):
        ring = shapely.get_coordinates(each)[:-1]
        edges = np.roll(ring, -1, axis=0) - ring
        along = np.arctan2(edges[:, 1], edges[:, 0])
        length = np.hypot(edges[:, 0], edges[:, 1])
        angles = angles_of(ring)
        for k in range(len(ring)):
            yield Corner(
                ring[k],
                float(angles[k]),
                float(along[k]),
                float(length[k]),
                float(angles[(k + 1) % len(ring)]),
            )


def moved(shape: Shape, pose: Pose) -> Polygon:
    """Lay a shape, which lies on its face already, into a pose."""
    c, s = cos_sin(pose.turn_deg)
    matrix = np.array([[c, s], [-s, c]])
    at = np.array(pose.shift_mm)
    holes = [shapely.get_coordinates(r)[:-1] @ matrix + at for r in shape.polygon.interiors]
    return Polygon(shape.ring @ matrix + at, holes)


def cleaned(room: shapely.Geometry, slack: float) -> list[Polygon] | None:
    """Take slivers, double corners and corners on straight sides out; None if it won't come out."""
    found = []
    for part in shapely.get_parts(room):
        if not isinstance(part, Polygon) or part.area <= slack * part.length:
            continue
        rings = [
            _thinned(shapely.get_coordinates(r)[:-1], slack)
            for r in (part.exterior, *part.interiors)
        ]
        if len(rings[0]) < 3:
            continue
        clean = Polygon(rings[0], [r for r in rings[1:] if len(r) >= 3])
        if not clean.is_valid:
            return None
        found.append(clean)
    return found


def _thinned(ring: FloatArray, slack: float) -> FloatArray:
    """Leave out corners that are on the line between their neighbours, or one with the next."""
    while len(ring) >= 3:
        before, after = np.roll(ring, 1, axis=0), np.roll(ring, -1, axis=0)
        chord = after - before
        length = np.hypot(chord[:, 0], chord[:, 1])
        to = ring - before
        off = np.abs(chord[:, 0] * to[:, 1] - chord[:, 1] * to[:, 0])
        flat = (off <= slack * np.maximum(length, slack)) | (np.hypot(*to.T) <= slack)
        if not flat.any():
            return ring
        # one at a time: a neighbour's chord is another one then
        ring = np.delete(ring, int(np.argmax(flat)), axis=0)
    return ring
