"""Where a shape lies: reflect, turn, shift, in that order. Exact for points and true curves."""

from __future__ import annotations

import math

from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Point, Spline
from nestcut.model.pose import Lie, Pose
from nestcut.model.shape import Mark, Ring, Shape

_QUARTERS = {0: (1.0, 0.0), 90: (0.0, 1.0), 180: (-1.0, 0.0), 270: (0.0, -1.0)}


def cos_sin(turn_deg: float) -> tuple[float, float]:
    """Cosine and sine of a turn, exact for quarter turns."""
    quarter = _QUARTERS.get(turn_deg % 360.0)  # type: ignore[call-overload]
    if quarter is not None:
        return quarter  # type: ignore[no-any-return]
    angle = math.radians(turn_deg)
    return math.cos(angle), math.sin(angle)


def move_vector(v: Point, pose: Pose) -> Point:
    """Reflect and turn a vector."""
    c, s = cos_sin(pose.turn_deg)
    x = v[0] if pose.is_face_up else -v[0]
    return (x * c - v[1] * s, x * s + v[1] * c)


def move_point(p: Point, pose: Pose) -> Point:
    """Move a point."""
    x, y = move_vector(p, pose)
    return (x + pose.shift_mm[0], y + pose.shift_mm[1])


def move_points(points: tuple[Point, ...], pose: Pose) -> tuple[Point, ...]:
    """Move points; their order stays."""
    c, s = cos_sin(pose.turn_deg)
    sign = 1.0 if pose.is_face_up else -1.0
    dx, dy = pose.shift_mm
    return tuple(
        (x * c - y * s + dx, x * s + y * c + dy) for x, y in ((sign * x, y) for x, y in points)
    )


def move_curve(curve: Curve, pose: Pose) -> Curve:
    """Move a true curve exactly; its direction stays, so a mirrored ring runs the other way."""
    match curve:
        case Line(start, end):
            return Line(move_point(start, pose), move_point(end, pose))
        case Arc(centre, radius, start, sweep):
            if not pose.is_face_up:
                start, sweep = 180.0 - start, -sweep
            return Arc(move_point(centre, pose), radius, (start + pose.turn_deg) % 360.0, sweep)
        case EllipticArc(centre, major, minor, start, sweep):
            return EllipticArc(
                move_point(centre, pose),
                move_vector(major, pose),
                move_vector(minor, pose),
                start,
                sweep,
            )
        case Spline(degree, control, knots, weights):
            return Spline(degree, move_points(control, pose), knots, weights)


def reverse_curve(curve: Curve) -> Curve:
    """Run a curve the other way."""
    match curve:
        case Line(start, end):
            return Line(end, start)
        case Arc(centre, radius, start, sweep):
            return Arc(centre, radius, (start + sweep) % 360.0, -sweep)
        case EllipticArc(centre, major, minor, start, sweep):
            return EllipticArc(centre, major, minor, start + sweep, -sweep)
        case Spline(degree, control, knots, weights):
            first, last = knots[0], knots[-1]
            turned = tuple(first + last - k for k in reversed(knots))
            return Spline(degree, control[::-1], turned, weights[::-1])


def move_ring(ring: Ring, pose: Pose) -> Ring:
    """Move a ring and keep its direction of running, also when it is mirrored."""
    points = move_points(ring.points, pose)
    curves = tuple(move_curve(c, pose) for c in ring.curves)
    if not pose.is_face_up:
        points = (points[0], *points[:0:-1])
        curves = tuple(reverse_curve(c) for c in reversed(curves))
    return Ring(points, curves)


def move_shape(shape: Shape, pose: Pose) -> Shape:
    """Move a shape with its holes and marks."""
    return Shape(
        move_ring(shape.outline, pose),
        tuple(move_ring(h, pose) for h in shape.holes),
        tuple(
            Mark(
                move_points(m.points, pose),
                tuple(move_curve(c, pose) for c in m.curves),
                m.label,
                m.use,
            )
            for m in shape.marks
        ),
    )


MIRROR = Pose(Lie.FACE_DOWN)
"""The other hand of a shape: reflected about x = 0."""
