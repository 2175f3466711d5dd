"""Things that don't lie in the plan: flat parts are laid down truly, lines in space are told."""

from __future__ import annotations

from enum import StrEnum
from typing import Any

import numpy as np
from numpy.typing import NDArray

from nestcut.drawings.entities.frames import Frame, object_axes
from nestcut.drawings.entities.primitives import MAX_COORDINATE
from nestcut.tolerances import TILT_MM
from nestcut.tolerances.noise import DUST, NOISE

Floats = NDArray[np.float64]

_OWN_PLANE = frozenset({"ARC", "CIRCLE", "LWPOLYLINE"})
"""Kinds whose coordinates lie in a plane of their own."""


class Lie(StrEnum):
    """How a thing lies in space."""

    FLAT = "flat"
    TILTED = "tilted"
    """In one plane, which isn't the plan's."""
    BENT = "bent"
    """In no plane at all, or along a line that climbs."""


def lie_of(entity: Any, frame: Frame) -> tuple[Lie, Frame]:  # noqa: PLR0911 - a question a line
    """Return how an entity lies, and the frame that lays it flat, its first point kept in place."""
    kind = entity.dxftype()
    if kind in _OWN_PLANE or (kind == "POLYLINE" and not entity.is_3d_polyline):
        x, y, _ = object_axes(_normal(entity))
        a, b = frame.linear @ x, frame.linear @ y
        normal = np.cross(a, b)
        size = float(np.linalg.norm(normal))
        reach = max(float(np.linalg.norm(a)), float(np.linalg.norm(b)))
        if size <= DUST * reach * reach or max(abs(a[2]), abs(b[2])) <= NOISE * reach:
            return Lie.FLAT, frame
        origin = frame.shift
        return Lie.TILTED, _laid(frame, normal / size, origin)
    points = _points(entity, kind)
    if points is None or float(np.abs(points).max()) > MAX_COORDINATE:
        return Lie.FLAT, frame
    space = points @ frame.linear.T + frame.shift
    if float(np.ptp(space[:, 2])) <= TILT_MM:
        return Lie.FLAT, frame
    middle = space.mean(axis=0)
    _, spread, axes = np.linalg.svd(space - middle, full_matrices=False)
    if len(spread) < 3 or spread[1] <= TILT_MM or len(space) < 3:
        return Lie.BENT, frame  # along one line
    off = np.abs((space - middle) @ axes[2])
    if float(off.max()) > TILT_MM:
        return Lie.BENT, frame
    return Lie.TILTED, _laid(frame, axes[2], space[0])


def _normal(entity: Any) -> tuple[float, float, float]:
    extrusion = entity.dxf.get("extrusion", None)
    return (0.0, 0.0, 1.0) if extrusion is None else tuple(extrusion)


def _points(entity: Any, kind: str) -> Floats | None:
    if kind == "LINE":
        rows = [tuple(entity.dxf.start), tuple(entity.dxf.end)]
    elif kind == "POLYLINE":
        rows = [tuple(v.dxf.location) for v in entity.vertices]
    elif kind in {"SPLINE", "HELIX"}:
        control = list(entity.control_points) or list(entity.fit_points)
        rows = [(*(float(c) for c in p), 0.0)[:3] for p in control]
    elif kind == "ELLIPSE":
        rows = _ellipse_points(entity)
    else:
        return None
    points = np.asarray(rows, dtype=np.float64)
    if points.ndim != 2 or len(points) < 2 or not np.isfinite(points).all():
        return None
    return points


def _ellipse_points(entity: Any) -> list[tuple[float, ...]]:
    centre = np.asarray(tuple(entity.dxf.center))
    major = np.asarray(tuple(entity.dxf.major_axis))
    minor = np.cross(np.asarray(_normal(entity)), major) * float(entity.dxf.ratio)
    return [tuple(centre + d) for d in (major, minor, -major, -minor)]


def _laid(frame: Frame, normal: Floats, fixed: Floats) -> Frame:
    """Turn a frame so that ``normal`` points up, by the shortest way, about a point that stays."""
    if normal[2] < 0 or (normal[2] == 0 and (normal[1], normal[0]) > (0, 0)):
        normal = -normal
    turn = _to_vertical(normal)
    return Frame(turn @ frame.linear, turn @ (frame.shift - fixed) + fixed)


def _to_vertical(n: Floats) -> Floats:
    """The rotation that takes unit vector ``n`` (n_z >= 0) to the z axis (Rodrigues' formula)."""
    x, y, z = (float(c) for c in n)
    k = 1.0 / (1.0 + z)
    return np.array(((1 - k * x * x, -k * x * y, -x), (-k * x * y, 1 - k * y * y, -y), (x, y, z)))
