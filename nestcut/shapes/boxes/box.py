"""Tapered boxes: seat boxes, lockers, wells, from length, width, height and four slopes.

The frame has x forward, y to port, z up.  A wall is the room between two parallel planes, cut level
at top and bottom and at the corners by its neighbours' planes; its eight corners are where three
planes meet.  The blank holds the larger of both faces at every edge.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum

import numpy as np
from numpy.typing import NDArray

from nestcut.facts import Length
from nestcut.model.curves import Point
from nestcut.shapes.boxes.bevels import Bevel, CornerJoint, PanelFace, outward_normal
from nestcut.shapes.faults import ShapeFaultError
from nestcut.tolerances import SAME_LENGTH_MM

Floats = NDArray[np.float64]
_UP = np.array([0.0, 0.0, 1.0])


class Wall(StrEnum):
    """A wall of a box, in order round it."""

    FORE = "fore"
    PORT = "port"
    AFT = "aft"
    STARBOARD = "starboard"


_FACING: dict[Wall, tuple[float, float]] = {
    Wall.FORE: (1.0, 0.0),
    Wall.PORT: (0.0, 1.0),
    Wall.AFT: (-1.0, 0.0),
    Wall.STARBOARD: (0.0, -1.0),
}
WALLS = tuple(_FACING)
_ENDS = frozenset({Wall.FORE, Wall.AFT})


class Laps(StrEnum):
    """Which walls run through at butted corners."""

    ENDS = "ends"
    """Fore and aft walls cover the ends of the others."""
    SIDES = "sides"


class Measured(StrEnum):
    """Between which faces length and width are measured."""

    INSIDE = "inside"
    OUTSIDE = "outside"


class Level(StrEnum):
    """Where length and width are measured."""

    TOP = "top"
    BOTTOM = "bottom"


@dataclass(frozen=True, slots=True, kw_only=True)
class BoxSpec:
    """A tapered box.

    Parameters
    ----------
    length_mm, width_mm
        Along x and y, between the faces and at the level named. [mm]
    height_mm
        Height of the walls, measured upright. [mm]
    lean_deg
        How far each wall leans outward from upright, going up; negative leans inward. [deg]
    thickness_mm
        Thickness of the walls. [mm]
    """

    length_mm: float
    width_mm: float
    height_mm: float
    lean_deg: Mapping[Wall, float]
    thickness_mm: float
    measured: Measured = Measured.OUTSIDE
    level: Level = Level.TOP
    joint: CornerJoint = CornerJoint.BUTT
    laps: Laps = Laps.SIDES


@dataclass(frozen=True, slots=True, kw_only=True)
class WallPanel:
    """A wall laid flat, seen from outside, level edges along x.

    ``outside`` and ``inside`` are the corners of both faces, ``blank`` those of the larger of both
    at every edge: lower left, lower right, upper right, upper left. [mm]
    """

    wall: Wall
    outside: tuple[Point, ...]
    inside: tuple[Point, ...]
    blank: tuple[Point, ...]
    bevels: tuple[Bevel, ...]


def box_walls(spec: BoxSpec) -> tuple[WallPanel, ...]:
    """Four walls of a box.

    Raises
    ------
    ShapeFaultError
        If a wall leans too far, or opposite walls meet inside the box.
    """
    _check(spec)
    return tuple(_panel(spec, wall) for wall in WALLS)


def inside_rectangle(spec: BoxSpec, height_mm: float) -> tuple[float, float, float, float]:
    """Clear inside at a height above the bottom: (aft x, fore x, starboard y, port y). [mm]"""
    at = {w: _reach(spec, w, height_mm) for w in WALLS}
    return -at[Wall.AFT], at[Wall.FORE], -at[Wall.STARBOARD], at[Wall.PORT]


def outside_rectangle(spec: BoxSpec, height_mm: float) -> tuple[float, float, float, float]:
    """Outside at a height above the bottom, in the same order. [mm]"""
    wide = {w: spec.thickness_mm / math.cos(math.radians(spec.lean_deg[w])) for w in WALLS}
    aft, fore, starboard, port = inside_rectangle(spec, height_mm)
    return (
        aft - wide[Wall.AFT],
        fore + wide[Wall.FORE],
        starboard - wide[Wall.STARBOARD],
        port + wide[Wall.PORT],
    )


def _reach(spec: BoxSpec, wall: Wall, height_mm: float) -> float:
    """Distance of a wall's inside face from the middle of the measured rectangle. [mm]"""
    lean = math.radians(spec.lean_deg[wall])
    half = (spec.length_mm if wall in _ENDS else spec.width_mm) / 2.0
    if spec.measured is Measured.OUTSIDE:
        half -= spec.thickness_mm / math.cos(lean)
    base = spec.height_mm if spec.level is Level.TOP else 0.0
    return half + (height_mm - base) * math.tan(lean)


def _check(spec: BoxSpec) -> None:
    for wall in WALLS:
        if not -80.0 <= spec.lean_deg[wall] <= 80.0:
            raise ShapeFaultError("slopes", "SHP-108", wall=wall.value, lean=spec.lean_deg[wall])
    for height in (0.0, spec.height_mm):
        aft, fore, starboard, port = inside_rectangle(spec, height)
        if fore - aft <= SAME_LENGTH_MM or port - starboard <= SAME_LENGTH_MM:
            raise ShapeFaultError("slopes", "SHP-109", height=Length(height))


Plane = tuple[Floats, float]
"""Normal n and constant c of the plane n.p = c."""


def _faces(spec: BoxSpec, wall: Wall) -> tuple[Plane, Plane]:
    """Inside and outside plane of a wall."""
    normal = outward_normal(_FACING[wall], spec.lean_deg[wall])
    foot = np.array([*_FACING[wall], 0.0]) * _reach(spec, wall, 0.0)
    inside = float(normal @ foot)
    return (normal, inside), (normal, inside + spec.thickness_mm)


def _end_plane(spec: BoxSpec, wall: Wall, other: Wall) -> Plane:
    """Plane that ends a wall at its corner with another, normal away from the wall."""
    (n, c), _ = _faces(spec, wall)
    (m, d), (_, beyond) = _faces(spec, other)
    if spec.joint is CornerJoint.MITRE:
        return m - n, d - c
    runs_through = (wall in _ENDS) == (spec.laps is Laps.ENDS)
    return (m, beyond) if runs_through else (m, d)


def _panel(spec: BoxSpec, wall: Wall) -> WallPanel:
    i = WALLS.index(wall)
    left, right = WALLS[i - 1], WALLS[(i + 1) % 4]
    inner, outer = _faces(spec, wall)
    ends = (_end_plane(spec, wall, left), _end_plane(spec, wall, right))
    levels = ((-_UP, 0.0), (_UP, spec.height_mm))
    along = np.cross(_UP, np.array([*_FACING[wall], 0.0]))
    up = np.cross(inner[0], along)
    rings = []
    for face in (outer, inner):
        corners = [_meeting(face, ends[k], levels[z]) for k, z in ((0, 0), (1, 0), (1, 1), (0, 1))]
        rings.append(tuple((float(along @ p), float(up @ p)) for p in corners))
    outside, inside = rings
    blank = _larger(outside, inside)
    x0, y0 = min(p[0] for p in blank), min(p[1] for p in blank)
    outside, inside, blank = (
        tuple((x - x0, y - y0) for x, y in ring) for ring in (outside, inside, blank)
    )
    names = ("bottom edge", f"{right} end", "top edge", f"{left} end")
    planes = (levels[0], ends[1], levels[1], ends[0])
    bevels = tuple(
        _bevel(names[k], planes[k], inner[0], (outside, inside), k, spec.thickness_mm)
        for k in range(4)
    )
    return WallPanel(wall=wall, outside=outside, inside=inside, blank=blank, bevels=bevels)


def _meeting(*planes: Plane) -> Floats:
    normals, constants = np.array([p[0] for p in planes]), np.array([p[1] for p in planes])
    return np.asarray(np.linalg.solve(normals, constants), dtype=np.float64)


def _lines(ring: tuple[Point, ...]) -> list[tuple[Point, float]]:
    """Outward unit normal and constant of each edge of a counter-clockwise ring."""
    lines = []
    for a, b in zip(ring, (*ring[1:], ring[0]), strict=True):
        size = math.dist(a, b)
        n = ((b[1] - a[1]) / size, -(b[0] - a[0]) / size)
        lines.append((n, n[0] * a[0] + n[1] * a[1]))
    return lines


def _larger(one: tuple[Point, ...], other: tuple[Point, ...]) -> tuple[Point, ...]:
    """Ring whose every edge is the further of the two parallel edges."""
    edges = [(n, max(c, d)) for (n, c), (_, d) in zip(_lines(one), _lines(other), strict=True)]
    corners = []
    for k in range(4):
        (n, c), (m, d) = edges[k - 1], edges[k]
        wide = n[0] * m[1] - n[1] * m[0]
        corners.append(((c * m[1] - d * n[1]) / wide, (n[0] * d - m[0] * c) / wide))
    return tuple(corners)


def _bevel(
    name: str,
    plane: Plane,
    normal: Floats,
    faces: tuple[tuple[Point, ...], tuple[Point, ...]],
    edge: int,
    thickness_mm: float,
) -> Bevel:
    """Bevel of edge number ``edge``, which begins at that corner of the faces."""
    unit = plane[0] / np.linalg.norm(plane[0])
    tilt = math.asin(min(1.0, abs(float(unit @ normal))))
    outside, inside = (_lines(face)[edge] for face in faces)
    more = outside[1] - inside[1]
    if abs(more) <= SAME_LENGTH_MM:
        longer = PanelFace.BOTH
    else:
        longer = PanelFace.OUTSIDE if more > 0.0 else PanelFace.INSIDE
    n = outside[0]
    gauge = math.degrees(math.atan2(abs(n[1]), abs(n[0]))) if edge in {1, 3} else 0.0
    return Bevel(
        edge=name,
        tilt_deg=math.degrees(tilt),
        gauge_deg=gauge,
        longer=longer,
        allowance_mm=thickness_mm * math.tan(tilt),
    )
