"""Edges of hatches: the only trace of some outlines in vectorised drawings."""

from __future__ import annotations

import math
from typing import Any

from nestcut.drawings.entities.frames import Frame, around
from nestcut.drawings.entities.primitives import UnusableError, bulge_curve, checked_spline, numbers
from nestcut.geometry.pose import reverse_curve
from nestcut.model.curves import Arc, Curve, Line

MAX_EDGES = 20_000


def hatch_strokes(entity: Any, frame: Frame) -> list[tuple[Curve, ...]]:
    """Return the closed edges of a hatch as true curves.

    Raises
    ------
    UnusableError
        If an edge can't be read.
    """
    extrusion = entity.dxf.get("extrusion", None)
    normal = (0.0, 0.0, 1.0) if extrusion is None else tuple(extrusion)
    elevation = entity.dxf.get("elevation", None)
    z = 0.0 if elevation is None else float(elevation.z)
    numbers(*normal, z)
    plane = frame.plane((normal[0], normal[1], normal[2]), z)
    found = []
    for path in entity.paths:
        curves = _polyline(path) if hasattr(path, "vertices") else _edges(path)
        if curves:
            try:
                found.append(tuple(plane.curve(c) for c in curves))
            except ValueError as error:
                raise UnusableError(str(error)) from None
    return found


def _polyline(path: Any) -> list[Curve]:
    rows = [(float(v[0]), float(v[1]), float(v[2]) if len(v) > 2 else 0.0) for v in path.vertices]
    if len(rows) > MAX_EDGES:
        raise UnusableError(f"its edge has {len(rows)} points")
    for row in rows:
        numbers(*row)
    return [
        bulge_curve(a[:2], b[:2], a[2])
        for a, b in zip(rows, [*rows[1:], *rows[:1]], strict=True)
        if a[:2] != b[:2]
    ]


def _edges(path: Any) -> list[Curve]:
    if len(path.edges) > MAX_EDGES:
        raise UnusableError(f"its edge has {len(path.edges)} pieces")
    return [curve for edge in path.edges for curve in _edge(edge)]


def _edge(edge: Any) -> tuple[Curve, ...]:
    kind = type(edge).__name__
    if kind == "LineEdge":
        numbers(*edge.start, *edge.end)
        return (Line((edge.start[0], edge.start[1]), (edge.end[0], edge.end[1])),)
    if kind == "SplineEdge":
        control = [(float(p[0]), float(p[1])) for p in edge.control_points]
        if not control:
            raise UnusableError("a spline edge without control points")
        return checked_spline(
            int(edge.degree),
            control,
            [float(k) for k in edge.knot_values],
            [float(w) for w in edge.weights],
        )
    centre = (float(edge.center[0]), float(edge.center[1]))
    # The library gives angles so that they always run counter-clockwise from start to end.
    first, last = float(edge.start_angle), float(edge.end_angle)
    numbers(*centre, first, last)
    sweep = (last - first) % 360.0 or 360.0
    if kind == "ArcEdge":
        numbers(float(edge.radius))
        if not edge.radius > 0.0:
            raise UnusableError("its radius is 0")
        curve: Curve = Arc(centre, float(edge.radius), first, sweep)
    else:
        major = (float(edge.major_axis[0]), float(edge.major_axis[1]))
        ratio = float(edge.ratio)
        numbers(*major, ratio)
        start, end = float(edge.start_param), float(edge.end_param)
        turn = (end - start) % (2.0 * math.pi) or 2.0 * math.pi
        curve = around(centre, major, (-major[1] * ratio, major[0] * ratio), start, turn)
    return (curve if edge.ccw else reverse_curve(curve),)
