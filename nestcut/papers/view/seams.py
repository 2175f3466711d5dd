"""Seams inside parts: where a piece lies across the scarf of sheets that were joined beforehand.

A seam is told like a joint: its place along the part from the reference end, which face is planed
on either side of it.  The sheet nearer the marking-out corner is planed on its back, the next one
on its good face.
"""

from __future__ import annotations

import math

import shapely
from shapely import affinity
from shapely.geometry import LineString, box

from nestcut.facts import fact
from nestcut.geometry.polygons import bounds_mm
from nestcut.joints.rules import JoinedPart
from nestcut.joints.standing import standings
from nestcut.model.curves import Point
from nestcut.model.joint import Face, Joint, JointAxis, JointKind, JointRule, Standing
from nestcut.model.part import SheetPart
from nestcut.model.stock import SheetStock
from nestcut.papers.view.placed import PlacedPiece
from nestcut.papers.view.rows import (
    PlanView,
)

_LEAST_MM2 = 1.0
"""A piece that reaches less far into an overlap than this isn't crossed by it. [mm2]"""
_OTHER = {Face.GOOD: Face.BACK, Face.BACK: Face.GOOD}


def seam_joints(view: PlanView) -> tuple[tuple[Joint, tuple[Point, Point]], ...]:
    """Every seam inside a piece, as a joint of its part, with its middle line on the piece."""
    found = []
    for sheet in view.sheets:
        if not isinstance(sheet.stock, SheetStock):
            continue
        for placed in sheet.placed:
            for number, seam in enumerate(sheet.stock.seams_mm, start=1):
                told = _seam(placed, sheet.stock, seam, number)
                if told is not None:
                    found.append(told)
    return tuple(found)


def _seam(
    placed: PlacedPiece, stock: SheetStock, seam_mm: float, number: int
) -> tuple[Joint, tuple[Point, Point]] | None:
    overlap = stock.seam_overlap_mm
    _, low, _, high = placed.box_mm
    band = box(seam_mm - overlap / 2.0, low - 1.0, seam_mm + overlap / 2.0, high + 1.0)
    common = placed.polygon.intersection(band)
    if placed.part is None or common.area < _LEAST_MM2:
        return None
    x = min(max(seam_mm, common.bounds[0]), common.bounds[2])
    across = common.intersection(LineString([(x, low - 1.0), (x, high + 1.0)]))
    line = _on_the_piece(placed, (x, across.bounds[1]), (x, across.bounds[3]))
    piece, part = placed.piece, placed.part
    is_image = piece.hand is not None and piece.hand is not part.drawn
    angle = math.radians(placed.placement.turn_deg)
    axis = JointAxis.LENGTH if abs(math.cos(angle)) >= math.sqrt(0.5) else JointAxis.WIDTH
    low_x, low_y, high_x, high_y = bounds_mm(part.shape.outline.points)
    middle = ((line[0][0] + line[1][0]) / 2.0, (line[0][1] + line[1][1]) / 2.0)
    if axis is JointAxis.LENGTH:
        at, length = (-middle[0] if is_image else middle[0]) - low_x, high_x - low_x
        away = math.cos(angle) * (1.0 if placed.is_face_up else -1.0) * (-1.0 if is_image else 1.0)
    else:
        at, length = middle[1] - low_y, high_y - low_y
        away = -math.sin(angle)
    near = Face.BACK if away > 0.0 else Face.GOOD
    near = near if placed.is_face_up else _OTHER[near]
    thickness = stock.actual_thickness_mm or stock.thickness_mm
    own = _standings(part, at, length, overlap) if axis is JointAxis.LENGTH else ()
    joint = Joint(
        id=f"{piece.id} seam {number}",
        part=part.name,
        hand=None if piece.hand is None else piece.hand.value,
        copy=piece.copy,
        kind=JointKind.SCARF,
        slope=overlap / thickness,
        thickness_mm=thickness,
        at_mm=at,
        overlap_mm=overlap,
        part_length_mm=length,
        pieces=(piece.id, piece.id),
        planed=(near, _OTHER[near]),
        axis=axis,
        rule_findings=tuple(fact("JNT-223", zone=s.what) for s in own if not s.is_kept),
        distances=(("the part's other end", length - at),),
        standings=own,
    )
    return joint, line


def _standings(
    part: SheetPart, at_mm: float, length_mm: float, overlap_mm: float
) -> tuple[Standing, ...]:
    """A seam falls where the sheet lies, so only stretches to be kept clear can be told of it."""
    zones = () if part.joint is None else part.joint.keep_clear
    joined = JoinedPart(
        name=part.name,
        length_mm=length_mm,
        overlap_mm=overlap_mm,
        rule=JointRule(keep_clear=zones),
    )
    return standings(joined, (at_mm,), 0, ())


def _on_the_piece(placed: PlacedPiece, a: Point, b: Point) -> tuple[Point, Point]:
    """Points of the sheet in the piece's own frame."""
    shift = placed.placement.shift_mm
    line = affinity.translate(LineString([a, b]), -shift[0], -shift[1])
    line = affinity.rotate(line, -placed.placement.turn_deg, origin=(0.0, 0.0))
    if not placed.is_face_up:
        line = affinity.scale(line, xfact=-1.0, yfact=1.0, origin=(0.0, 0.0))
    first, last = shapely.get_coordinates(line).tolist()
    return (first[0], first[1]), (last[0], last[1])
