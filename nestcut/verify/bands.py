"""Bands along curves cut from boards: does the grain run out no further than allowed?

Measured on the piece as it lies on its board: the part's two long edges, found on its drawn
outline, are turned as the piece is, and their directions held against the board's length, along
which its grain runs.
"""

from __future__ import annotations

import math

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry import LineString, Point, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.joint import Joint
from nestcut.model.part import CutFrom, SheetPart
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Lie, Placement, Plan
from nestcut.tolerances import VERIFY_MM
from nestcut.verify.findings import objection, owns_up
from nestcut.verify.outlines import mirrored, polygon_of

Floats = NDArray[np.float64]

_CORNER_DEG = 25.0
"""A band's outline has a corner where it turns sharper than this. [deg]"""
_SHORTEST_MM = 1.0
"""Bits of edge shorter than this have no direction to speak of. [mm]"""
_SLACK_DEG = 0.02
"""Slack of the grain's direction, which is read off straight bits that stand for a curve. [deg]"""
_ALONG_MM = 1.0
"""Slack of a joint's place along a curve, measured on a flattened line. [mm]"""


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
    lean = run_out_deg(part, piece, placement)
    if lean <= math.degrees(math.atan(1.0 / part.joint.run_out)) + _SLACK_DEG:
        return []
    if part.joint.at_mm is not None and owns_up(plan, "JNT-111", part.name):
        return []
    message = (
        f"its grain runs out 1 in {1.0 / math.tan(math.radians(lean)):.1f} at an edge, 1 in "
        f"{part.joint.run_out:g} is the limit."
    )
    return [objection("VER-017", piece.id, message)]


def run_out_deg(part: SheetPart, piece: SheetPiece, placement: Placement) -> float:
    """Return how far a piece's long edges lean from the length of its board, at most. [deg]"""
    is_image = _is_image(part, piece)
    net = polygon_of(piece.net)
    cut = (mirrored(net) if is_image else net).buffer(VERIFY_MM)
    sign = -1.0 if is_image != (placement.lie is Lie.FACE_DOWN) else 1.0
    worst = 0.0
    for edge in long_edges(part):
        on_board = sign * _directions_deg(edge, cut) + placement.turn_deg
        folded = np.abs((on_board + 90.0) % 180.0 - 90.0)
        worst = max(worst, float(folded.max(initial=0.0)))
    return worst


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
    found = []
    for bit in shapely.get_parts(edge.intersection(cut)):
        ends = shapely.get_coordinates(bit)[[0, -1]]
        low, high = sorted(edge.project(Point(p)) for p in ends)
        if high - low >= _SHORTEST_MM:
            inside = (middles > low) & (middles < high)
            found.append(np.interp([low, high], middles, angles))
            found.append(angles[inside])
    return np.concatenate(found) if found else np.zeros(0)


def long_edges(part: SheetPart) -> tuple[LineString, LineString]:
    """Return the two longest stretches without a corner of a drawn outline, from the least x on."""
    points = np.asarray(part.shape.outline.points, dtype=np.float64)
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
    first, second = (_rising(run) for run in (*runs, *runs)[:2])
    return first, second


def _rising(line: LineString) -> LineString:
    """Return a line so that it leads away from the end of least x."""
    start, end = line.coords[0], line.coords[-1]
    return line if start[0] <= end[0] else LineString(line.coords[::-1])


def _is_image(part: SheetPart, piece: SheetPiece) -> bool:
    return piece.hand is not None and piece.hand is not part.drawn


def check_band_joint(
    part: SheetPart, joint: Joint, piece: SheetPiece, common: BaseGeometry
) -> list[Finding]:
    """The overlap of a band is where its joint says, measured along the curve, and as long.

    The middle line is drawn anew, half the width inside either edge; a pointed end makes the two
    begin at different places, so one of them has to agree.
    """
    width = part.width_along_mm or 0.0
    inside = Point(common.centroid)
    if _is_image(part, piece):
        inside = Point(-inside.x, inside.y)
    places = []
    for edge in long_edges(part):
        for side in (width / 2.0, -width / 2.0):
            line = edge.offset_curve(side)
            if line.distance(inside) < width / 4.0:
                line = _rising(line) if isinstance(line, LineString) else line
                places.append(float(line.project(inside)))
    found = []
    if not places or min(abs(p - joint.at_mm) for p in places) > _ALONG_MM:
        told = ", ".join(f"{p:.1f}" for p in places) or "nowhere on the part"
        message = f"the joint said to be at {joint.at_mm:.1f} mm along the curve lies at {told}."
        found.append(objection("VER-012", piece.id, message))
    run = _shorter_mm(common, joint, piece)
    if abs(run - joint.overlap_mm) > 10 * VERIFY_MM:
        message = f"the overlap cut is {run:.2f} mm, not {joint.overlap_mm:.2f} mm."
        found.append(objection("VER-013", piece.id, message))
    return found


def _shorter_mm(common: BaseGeometry, joint: Joint, piece: SheetPiece) -> float:
    """Return how far an overlap reaches square to the line that the piece carries for it. [mm]"""
    line = next((e.line for e in piece.ends if e.joint == joint.id), None)
    if line is None or not isinstance(common, Polygon):
        return 0.0
    (ax, ay), (bx, by) = line
    run = math.hypot(bx - ax, by - ay) or 1.0
    rows = shapely.get_coordinates(common)
    across = (rows[:, 0] * (by - ay) - rows[:, 1] * (bx - ax)) / run
    return float(np.ptp(across))
