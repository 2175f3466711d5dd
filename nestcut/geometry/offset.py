"""Grow and shrink outlines by a distance that is never short.

A grown outline keeps *at least* the distance from the original everywhere, a shrunk one gives up
at least that much; both are polygons, so round corners are replaced by chords that lie outside
the true arc.  Pieces grown by half the clearance may then be nested without any clearance.
"""

from __future__ import annotations

import math

import shapely
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.errors import SearchError
from nestcut.tolerances import SAME_POINT_MM
from nestcut.tolerances.lengths import STANDING_MM
from nestcut.tolerances.noise import DUST

_QUARTER_SEGMENTS = 16
"""Chords in a quarter circle."""

_MITRE_LIMIT = 1e3
"""So sharp a corner is cut by the chords of its arc long before its mitre would be. [-]"""


def chord_factor() -> float:
    """By how much a distance is stretched so that chords of the wider circle stay outside.

    The corners of the polygon that stands for an arc lie on it and its chords inside; a chord of
    a circle of radius r over the angle a comes as near as ``r cos(a/2)`` to the centre.  With q
    chords in a quarter a chord spans ``pi/(2q)``, but an arc is cut into a *rounded* number of
    chords, so one chord may span half as much again: ``a/2 <= 1.5 pi/(4q)``. (Plane
    trigonometry; the half as much again was measured.) [-]
    """
    return 1.0 / math.cos(1.5 * math.pi / (4 * _QUARTER_SEGMENTS))


def grown(polygon: Polygon, distance_mm: float) -> Polygon:
    """Return the polygon grown outward, its holes shrunk, by at least ``distance_mm``.

    Nothing nearer than ``distance_mm`` to the polygon lies outside the result; the result reaches
    at most ``distance_mm * chord_factor()`` from the polygon (and a hundredth of the distance more
    where the geometry library bridges shallow hollows), and its bounding box is exactly the
    polygon's, widened by the distance.

    Parameters
    ----------
    polygon
        A valid polygon. [mm]
    distance_mm
        How far, not negative. [mm]

    Raises
    ------
    SearchError
        If the geometry library falls short: a fault of ours, never a silent one.
    """
    if distance_mm <= 0.0:
        return polygon
    wide = polygon.buffer(distance_mm * chord_factor(), quad_segs=_QUARTER_SEGMENTS)
    # the true result lies in the box around the polygon widened by the distance, and so may ours;
    # it lies within the edges' own lines shifted by the distance too, so that straight edges that
    # keep exactly the clearance aren't refused for what the chords of the corners need
    box = grown_box(polygon, distance_mm)
    mitred = polygon.buffer(distance_mm, join_style="mitre", mitre_limit=_MITRE_LIMIT)
    parts = polygons_of(wide.intersection(mitred).intersection(box))
    if not parts or _falls_short(polygon, parts[0], distance_mm):
        parts = polygons_of(wide.intersection(box))
    if not parts:
        raise SearchError(f"growing an outline by {distance_mm} mm gave no outline")
    result = parts[0]
    if _falls_short(polygon, result, distance_mm):
        raise SearchError(f"an outline grown by {distance_mm} mm fell short")
    return result


def _falls_short(polygon: Polygon, result: Polygon, distance_mm: float) -> bool:
    return bool(polygon.boundary.distance(result.boundary) < distance_mm - SAME_POINT_MM)


def grown_box(polygon: Polygon, distance_mm: float) -> Polygon:
    """Return an upright rectangle grown by the distance on all four sides, corners kept square."""
    x0, y0, x1, y1 = polygon.bounds
    d = distance_mm
    return shapely.box(x0 - d, y0 - d, x1 + d, y1 + d)


def shrunk(polygon: Polygon, distance_mm: float) -> tuple[Polygon, ...]:
    """Return what of a polygon keeps ``distance_mm`` from its edge, corners kept square.

    Mitred corners are exact here: the region of points at least ``distance_mm`` inside every
    edge's line near a convex corner is bounded by the shifted lines themselves; near hollow
    corners the true region ends in an arc, which is replaced by chords on its far side.

    Returns
    -------
    tuple of Polygon
        The parts, the largest first; empty when nothing is left. [mm]
    """
    if distance_mm <= 0.0:
        return (polygon,)
    return polygons_of(
        polygon.buffer(-distance_mm * chord_factor(), quad_segs=_QUARTER_SEGMENTS)
        if not _is_convex(polygon)
        else polygon.buffer(-distance_mm, join_style="mitre", mitre_limit=5.0)
    )


def widened(polygon: Polygon, distance_mm: float) -> Polygon:
    """Return the region where outlines grown by ``distance_mm`` may lie if nets lie in ``polygon``.

    A shape grown by :func:`grown` that lies in the result has its net in ``polygon``: the result is
    bounded by the edges' lines shifted outward by the distance, so a net point outside an edge
    would bring its disc across the shifted line (near hollow corners the result ends in chords
    inside the true arc).  Conversely a net inside ``polygon`` has its grown shape inside the
    result except for what its chords stand out: nothing along upright edges, because
    :func:`grown` is cut to its box there, else at most ``distance_mm * (chord_factor() - 1)``.
    """
    if distance_mm <= 0.0:
        return polygon
    result = polygon.buffer(distance_mm, join_style="mitre", mitre_limit=5.0)
    return max(polygons_of(result), key=lambda p: p.area)


def polygons_of(geometry: BaseGeometry) -> tuple[Polygon, ...]:
    """Return the polygons in any geometry, the largest first, lines and points dropped."""
    found = [
        g for g in shapely.get_parts(geometry).tolist() if isinstance(g, Polygon) and not g.is_empty
    ]
    return tuple(sorted(found, key=lambda g: (-g.area, g.bounds)))


def _is_convex(polygon: Polygon) -> bool:
    return not polygon.interiors and math.isclose(
        polygon.convex_hull.area, polygon.area, rel_tol=DUST
    )


def grown_mitred(polygon: Polygon, distance_mm: float) -> Polygon:
    """Return the outline of what is left oversize: grown outward, corners kept sharp.

    What a straightedge and a marking gauge draw: every edge shifted out by the distance, and
    neighbours run on until they meet.  A tip sharper than 60 degrees is cut across at twice the
    distance (the mitre limit), and where that would fall short corners are rounded instead.

    Parameters
    ----------
    polygon
        A valid polygon; its holes are left out. [mm]
    distance_mm
        How far. [mm]
    """
    solid = Polygon(polygon.exterior)
    # the library drops vertices that bend an offset edge by some nanometres: ten of them more
    wide = polygons_of(solid.buffer(distance_mm + STANDING_MM, join_style="mitre", mitre_limit=2.0))
    if not wide or solid.boundary.distance(wide[0].exterior) < distance_mm - SAME_POINT_MM:
        return Polygon(grown(solid, distance_mm).exterior)
    return Polygon(wide[0].exterior)
