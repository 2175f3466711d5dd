"""Drawn things to rows of points that lie on them, chords within ``CHORD_MM``."""

from __future__ import annotations

import math
from collections.abc import Iterable

import numpy as np
import shapely
from ezdxf.entities.arc import Arc
from ezdxf.entities.circle import Circle
from ezdxf.entities.dxfentity import DXFEntity
from ezdxf.entities.ellipse import Ellipse
from ezdxf.entities.line import Line
from ezdxf.entities.lwpolyline import LWPolyline
from ezdxf.entities.spline import Spline
from numpy.typing import NDArray
from shapely.geometry import Polygon

Points = NDArray[np.float64]
"""Rows (x, y). [mm]"""

CHORD_MM = 0.0005
"""Greatest sagitta of a chord. [mm]"""


def arc_points(centre: tuple[float, float], radius: float, start: float, sweep: float) -> Points:
    """Return points along an arc, both ends included; angles in radians."""
    step = 2.0 * math.acos(max(0.0, 1.0 - CHORD_MM / radius))
    n = max(1, math.ceil(abs(sweep) / step))
    t = start + sweep * np.arange(n + 1) / n
    points = np.column_stack([centre[0] + radius * np.cos(t), centre[1] + radius * np.sin(t)])
    if abs(sweep) >= 2.0 * math.pi:
        points[-1] = points[0]
    return points


def bulged(rows: list[tuple[float, float, float]], *, closed: bool) -> Points:
    """Return points along a polyline whose rows are (x, y, bulge); bulge = tan(sweep / 4).

    Source of the formula: DXF reference, group code 42 of LWPOLYLINE.
    """
    ends = [*rows[1:], rows[0]] if closed else rows[1:]
    out = []
    for (ax, ay, bulge), (bx, by, _) in zip(rows, ends, strict=False):
        if bulge == 0.0 or (ax, ay) == (bx, by):
            out.append(np.array([[ax, ay]]))
            continue
        # the middle of the arc lies bulge * half the chord to the right of its direction
        chord = math.hypot(bx - ax, by - ay)
        sweep = 4.0 * math.atan(bulge)
        radius = chord * (1.0 + bulge * bulge) / (4.0 * abs(bulge))
        away = chord * (1.0 - bulge * bulge) / (4.0 * bulge)
        cx = (ax + bx) / 2.0 - (by - ay) / chord * away
        cy = (ay + by) / 2.0 + (bx - ax) / chord * away
        points = arc_points((cx, cy), radius, math.atan2(ay - cy, ax - cx), sweep)
        points[0] = (ax, ay)
        out.append(points[:-1])
    out.append(np.array([ends[-1][:2]]))
    return np.concatenate(out)


def points_of(entity: DXFEntity, scale: float = 1.0) -> tuple[Points | None, bool]:
    """Return an entity's points, and whether it is a spline or the like, known by chords only."""
    match entity:
        case LWPolyline():
            rows = [(float(x) * scale, float(y) * scale, float(b))
                    for x, y, b in entity.get_points("xyb")]  # fmt: skip
            return (
                (bulged(rows, closed=bool(entity.closed)), False)
                if len(rows) > 1
                else (None, False)
            )
        case Arc():
            centre, r = entity.dxf.center, float(entity.dxf.radius) * scale
            start = math.radians(entity.dxf.start_angle)
            sweep = (math.radians(entity.dxf.end_angle) - start) % (2.0 * math.pi)
            if sweep == 0.0:
                sweep = 2.0 * math.pi
            return arc_points((centre.x * scale, centre.y * scale), r, start, sweep), False
        case Circle():
            centre, r = entity.dxf.center, float(entity.dxf.radius) * scale
            return arc_points((centre.x * scale, centre.y * scale), r, 0.0, 2.0 * math.pi), False
        case Line():
            a, b = entity.dxf.start, entity.dxf.end
            return np.array([[a.x, a.y], [b.x, b.y]]) * scale, False
        case Spline() | Ellipse():
            # with few first pieces an S whose chord meets it in its middle is taken for flat
            points = [(p.x * scale, p.y * scale) for p in entity.flattening(CHORD_MM / scale, 32)]
            return np.array(points), True
        case _:
            return None, False


def rings_of(rows: Iterable[Points], join_mm: float) -> list[Points]:
    """Chain rows of points end to end, ends no further apart than ``join_mm``; closed ones only."""
    closed: list[Points] = []
    loose: list[Points] = []
    for points in rows:
        is_closed = np.hypot(*(points[0] - points[-1])) <= join_mm and len(points) > 2
        (closed if is_closed else loose).append(points)
    while loose:
        chain = loose.pop()
        grew = True
        while grew and np.hypot(*(chain[0] - chain[-1])) > join_mm:
            grew = False
            for k, other in enumerate(loose):
                if np.hypot(*(other[0] - chain[-1])) <= join_mm:
                    chain, grew = np.concatenate([chain, other[1:]]), True
                elif np.hypot(*(other[-1] - chain[-1])) <= join_mm:
                    chain, grew = np.concatenate([chain, other[::-1][1:]]), True
                if grew:
                    loose.pop(k)
                    break
        if np.hypot(*(chain[0] - chain[-1])) <= join_mm and len(chain) > 3:
            closed.append(chain)
    return closed


def polygons_of(rings: list[Points]) -> list[Polygon]:
    """Sort closed rows into outlines with their holes: what lies within an odd number of others.

    What is drawn over its outline's edge is no hole: the program says so (DXF-043) and cuts none.
    """
    rough = [Polygon(r) for r in rings]
    inner = [shapely.Point(r[0]) for r in rings]
    depth = [
        sum(k != j and rough[j].area > rough[k].area and rough[j].covers(inner[k])
            for j in range(len(rings)))
        for k in range(len(rings))
    ]  # fmt: skip
    found = []
    for k, ring in enumerate(rings):
        if depth[k] % 2:
            continue
        holes = [
            rings[j]
            for j in range(len(rings))
            if depth[j] == depth[k] + 1 and rough[k].contains_properly(rough[j])
        ]
        found.append(Polygon(ring, holes))
    return found
