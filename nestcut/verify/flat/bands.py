"""Bands along a curve: joints square to the curve where they are said to be, grain run out enough.

The long edges are found on the true outline, the middle line is drawn half the width inside the
one that is followed away from the reference end, and everything is measured along it.
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.joint import Joint, JointEnd, JointRule
from nestcut.model.part import CutFrom, SheetPart
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Plan
from nestcut.model.pose import Placement
from nestcut.tolerances import VERIFY_MM
from nestcut.tolerances.lengths import CURVED_GRAIN_DEG, SQUARE_DEG
from nestcut.tolerances.likeness import STRAIGHT_DEG
from nestcut.verify.findings import exact, objection, owns_up
from nestcut.verify.flat.shapes import Image, image_of
from nestcut.verify.kinds import FAR_MM, KINDS
from nestcut.verify.truth import mirrored, region, ring_line, rough

Floats = NDArray[np.float64]

_CORNER_DEG = 25.0
"""A band's outline has a corner where it turns sharper than this. [deg]"""
_FINE_MM = 0.8
"""Points of the true outline nearer to each other than this are passed over. [mm]"""
_SHORTEST_MM = 1.0
"""Bits of edge shorter than this have no direction to speak of. [mm]"""
_CROSSING = 2.6
"""What crosses a band from edge to edge is no longer, in its widths. [-]"""
_OVERRUN = 1.3
"""Nothing at an end is further from the line between its edges' ends, in widths. [-]"""
_ALONG_MM = 0.1
"""Slack of a joint's place along a curve: both lines are drawn by points a mm apart. [mm]"""


def check_bands(job: Job, plan: Plan) -> list[Finding]:
    """Check the grain of every piece of a band that lies on a board."""
    parts = {p.name: p for p in job.sheet_parts if p.width_along_mm is not None}
    pieces = {p.id: p for p in plan.pieces}
    found: list[Finding] = []
    for layout in plan.sheets:
        for placement in layout.placements:
            piece = pieces.get(placement.piece)
            part = None if piece is None else parts.get(piece.part)
            if piece is not None and part is not None and part.cut_from is CutFrom.BOARD:
                found += _check_grain(part, piece, placement, plan)
    return found


def _check_grain(
    part: SheetPart, piece: SheetPiece, placement: Placement, plan: Plan
) -> list[Finding]:
    if part.joint is None:
        return []
    lean = _run_out_deg(part, piece, placement)
    if lean <= math.degrees(math.atan(1.0 / part.joint.run_out)) + CURVED_GRAIN_DEG:
        return []
    if part.joint.at_mm is not None and owns_up(plan, "JNT-111", part.name):
        return []
    runs = 1.0 / math.tan(math.radians(lean))
    return [objection("VER-017", piece.id, has=f"{runs:.1f}", limit=f"{part.joint.run_out:g}")]


def _run_out_deg(part: SheetPart, piece: SheetPiece, placement: Placement) -> float:
    """Return how far a piece's long edges lean from the length of its board, at most. [deg]"""
    is_mirrored = (image_of(part, piece.hand) is Image.MIRRORED) == placement.is_face_up
    return _lean_deg(part, piece, -1.0 if is_mirrored else 1.0, placement.turn_deg)


def own_run_out(part: SheetPart, piece: SheetPiece) -> float:
    """Return the run-out of a piece that lies as its grain says, as the run in "1 in run". [-]"""
    sign = -1.0 if image_of(part, piece.hand) is Image.MIRRORED else 1.0
    lean = _lean_deg(part, piece, sign, -piece.grain_deg)
    return math.inf if lean <= STRAIGHT_DEG else 1.0 / math.tan(math.radians(lean))


def _lean_deg(part: SheetPart, piece: SheetPiece, sign: float, turn_deg: float) -> float:
    if has_legs(part):
        return 90.0  # wood beyond a corner has edges that nobody follows
    net = region(piece.net)
    cut = (mirrored(net) if image_of(part, piece.hand) is Image.MIRRORED else net).buffer(VERIFY_MM)
    taken = np.concatenate([_directions_deg(edge, cut) for edge in long_edges(part)])
    if not taken.size:
        return 90.0  # nothing shows that it runs along its board
    folded = np.abs((sign * taken + turn_deg + 90.0) % 180.0 - 90.0)
    return float(folded.max())


def _directions_deg(edge: LineString, cut: BaseGeometry) -> Floats:
    """Directions that an edge takes within an area, in the drawing's frame. [deg]

    An edge of straight bits stands for a curve: it has its bits' directions at their middles, and
    between these it turns evenly.
    """
    points = shapely.get_coordinates(edge)
    step = np.diff(points, axis=0)
    run = np.hypot(step[:, 0], step[:, 1])
    along = np.concatenate([[0.0], np.cumsum(run)])
    middles = (along[:-1] + along[1:]) / 2.0
    angles = np.degrees(np.unwrap(np.arctan2(step[:, 1], step[:, 0])))
    found = [angles[:0]]
    for bit in shapely.get_parts(edge.intersection(cut)):
        if bit.length >= _SHORTEST_MM:  # what isn't there at all is an empty bit
            ends = shapely.get_coordinates(bit)[[0, -1]]
            low, high = sorted(edge.project(Point(p)) for p in ends)
            inside = (middles > low) & (middles < high)
            found.append(np.interp([low, high], middles, angles))
            found.append(angles[inside])
    return np.concatenate(found)


@lru_cache(maxsize=64)
def long_edges(part: SheetPart) -> tuple[LineString, LineString]:
    """Return the two longest stretches without a corner, the one that leads to greater x first.

    Both as the outline runs, the material on their left.
    """
    points = _spaced(ring_line(part.shape.outline))
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turn = np.arctan2(
        before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
    )
    corners = np.flatnonzero(np.abs(turn) > math.radians(_CORNER_DEG)).tolist()
    n = len(points)
    ends = [*corners[1:], *(c + n for c in corners[:1])]
    runs = [
        LineString(points[np.arange(a, b + 1) % n])
        for a, b in zip(corners, ends, strict=True)
        if b > a
    ]
    runs.sort(key=lambda run: -run.length)
    first, second = sorted((*runs, *runs)[:2], key=lambda r: r.coords[0][0] - r.coords[-1][0])
    return first, second


@lru_cache(maxsize=64)
def has_legs(part: SheetPart) -> bool:
    """Whether more of a band's outline than its two ends lies off its long edges."""
    first, second = long_edges(part)
    wide = part.width_along_mm or 0.0
    points = np.asarray(shapely.points(ring_line(part.shape.outline)))
    off = points[shapely.distance(first.union(second), points) > _FINE_MM]
    ends = [LineString([a.coords[-1], b.coords[0]]) for a, b in ((first, second), (second, first))]
    away = np.min([shapely.distance(e, off) for e in ends], axis=0)
    return max(e.length for e in ends) > _CROSSING * wide or bool((away > _OVERRUN * wide).any())


def _spaced(points: Floats) -> Floats:
    """Pass over points that lie close to the one before, but for corners."""
    before, after = points - np.roll(points, 1, axis=0), np.roll(points, -1, axis=0) - points
    turn = np.arctan2(
        before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0], (before * after).sum(axis=1)
    )
    is_corner = np.abs(turn) > math.radians(_CORNER_DEG)
    along = np.cumsum(np.hypot(before[:, 0], before[:, 1]))
    kept, last = [0], float(along[0])
    for k in range(1, len(points)):
        if is_corner[k] or along[k] - last >= _FINE_MM:
            kept.append(k)
            last = float(along[k])
    return points[kept]


@lru_cache(maxsize=64)
def middle_line(part: SheetPart) -> LineString:
    """Return the line midway between a band's edges, from its reference end on. [mm]"""
    lead, _ = long_edges(part)
    points = shapely.get_coordinates(shapely.segmentize(lead, lead.length / 4.0))
    tangent = np.gradient(points, axis=0, edge_order=2)
    tangent /= np.hypot(tangent[:, 0], tangent[:, 1])[:, None]
    half = (part.width_along_mm or 0.0) / 2.0
    return LineString(points + np.column_stack([-tangent[:, 1], tangent[:, 0]]) * half)


def check_band_line(part: SheetPart, piece: SheetPiece, joints: list[Joint]) -> list[Finding]:
    """A piece's joint lines lie where their joints say, along the curve, and square to it."""
    line = middle_line(part)
    at = {j.id: j.at_mm for j in joints}
    found: list[Finding] = []
    for end in piece.ends:
        if end.joint not in at:
            continue
        (ax, ay), (bx, by) = _drawn_line(part, piece, end)
        middle = Point((ax + bx) / 2.0, (ay + by) / 2.0)
        place = float(line.project(middle))
        a, b = (line.interpolate(place + d) for d in (-1.0, 1.0))
        across = (bx - ax) * (b.x - a.x) + (by - ay) * (b.y - a.y)
        skew = abs(across) / ((math.hypot(bx - ax, by - ay) or 1.0) * (a.distance(b) or 1.0))
        wide = abs(math.hypot(bx - ax, by - ay) - (part.width_along_mm or 0.0))
        if (
            line.distance(middle) > _ALONG_MM
            or abs(place - at[end.joint]) > _ALONG_MM
            or skew > math.sin(math.radians(SQUARE_DEG))
            or wide > _ALONG_MM
        ):
            told = exact(at[end.joint])
            found.append(objection("VER-012", piece.id, at=told, lies=exact(place)))
    return found


def _drawn_line(
    part: SheetPart, piece: SheetPiece, end: JointEnd
) -> tuple[tuple[float, float], tuple[float, float]]:
    (ax, ay), (bx, by) = end.line
    sign = -1.0 if image_of(part, piece.hand) is Image.MIRRORED else 1.0
    return (sign * ax, ay), (sign * bx, by)


def band_share(
    part: SheetPart, rule: JointRule, piece: SheetPiece, joints: list[Joint], image: Image
) -> tuple[BaseGeometry, BaseGeometry, tuple[LineString, ...]]:
    """Return the strip, the net and the slopes' lines of one piece of a band.

    Between the lines that the piece carries, moved out by half the overlap; those lines are held
    against the job by :func:`check_band_line`.

    Parameters
    ----------
    joints
        Of the piece's copy, rising.
    image
        Whether the piece is the mirror image of the drawing.
    """
    half = KINDS[rule.kind].overlap_mm(rule, part.thickness_mm) / 2.0
    order = {j.id: k for k, j in enumerate(joints)}
    strip: BaseGeometry = shapely.box(-FAR_MM, -FAR_MM, FAR_MM, FAR_MM)
    begins: list[tuple[Floats, Floats]] = []
    for end in piece.ends:
        first, last = (np.asarray(p) for p in _drawn_line(part, piece, end))
        across = (last - first) / (float(np.hypot(*(last - first))) or 1.0)
        along = np.array([across[1], -across[0]])
        out = 1.0 if order.get(end.joint, 0) == piece.share - 1 else -1.0
        middle = (first + last) / 2.0
        strip = strip.intersection(_half_plane(middle + along * out * half, along * out))
        begins.append((middle - along * out * half, across))
    wide = part.width_along_mm or 0.0
    have = mirrored(region(piece.net)) if image is Image.MIRRORED else region(piece.net)
    net = _nearest(region(part.shape).intersection(strip), have)
    flat = _nearest(rough(part.shape).intersection(strip), have)
    slopes = []
    for middle, across in begins:
        line = LineString([middle - across * wide, middle + across * wide]).intersection(flat)
        if line.length > 0.0:
            rows = shapely.get_coordinates(line)
            slopes.append(LineString(rows[[0, -1]]))
    return strip.intersection(have.buffer(wide)), net, tuple(slopes)


def _half_plane(point: Floats, outward: Floats) -> Polygon:
    side = np.array([-outward[1], outward[0]]) * FAR_MM
    back = point - outward * FAR_MM
    return Polygon([point + side, back + side, back - side, point - side])


def _nearest(area: BaseGeometry, have: BaseGeometry) -> BaseGeometry:
    """Return the lump that a piece is meant to be: endless lines may cut off others."""
    lumps = shapely.get_parts(area).tolist()
    return max(lumps, key=lambda lump: float(lump.intersection(have).area), default=area)
