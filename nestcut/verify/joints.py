"""Are joints where the plan says, as long as their slope asks, and do pieces meet there?"""

from __future__ import annotations

from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.joint import Joint, JointAxis, JointKind
from nestcut.model.part import RailPart, SheetPart
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.tolerances import AREA_MM2, SAME_LENGTH_MM, VERIFY_MM
from nestcut.verify.bands import check_band_joint
from nestcut.verify.findings import objection
from nestcut.verify.outlines import polygon_of


def check_flat_joints(
    part: SheetPart, pieces: list[SheetPiece], joints: list[Joint]
) -> list[Finding]:
    """One joint between neighbours, overlapping by exactly its band, and none elsewhere.

    ``pieces`` are the shares of one copy in order, ``joints`` that copy's joints in order.
    """
    if len(joints) != len(pieces) - 1:
        message = f"{len(pieces)} pieces, but {len(joints)} joints."
        return [objection("VER-010", pieces[0].id, message)]
    if len(pieces) > 1 and part.joint is None:
        return [objection("VER-011", pieces[0].id, "the part may not be joined.")]
    found: list[Finding] = []
    for number, joint in enumerate(joints):
        first, second = pieces[number], pieces[number + 1]
        if joint.pieces != (first.id, second.id):
            message = f"the joint at {joint.at_mm:.1f} mm names {joint.pieces}, not its neighbours."
            found.append(objection("VER-012", first.id, message))
        else:
            found += _check_meeting(part, joint, first, second)
    return found


def _check_meeting(
    part: SheetPart, joint: Joint, first: SheetPiece, second: SheetPiece
) -> list[Finding]:
    """Two neighbours meet as their joint says: kind, overlap, place."""
    found: list[Finding] = []
    common = polygon_of(first.net).intersection(polygon_of(second.net))
    if joint.kind is JointKind.SCARF:
        needed = joint.slope * part.thickness_mm
        if abs(joint.overlap_mm - needed) > SAME_LENGTH_MM:
            message = f"overlap {joint.overlap_mm:.2f} mm, but {needed:.2f} mm is needed."
            found.append(objection("VER-013", first.id, message))
        if common.area < AREA_MM2:
            found.append(objection("VER-013", first.id, "it doesn't overlap its neighbour."))
            return found
        check = _check_band if part.width_along_mm is None else check_band_joint
        return found + check(part, joint, first, common)
    if common.area > 100 * AREA_MM2:
        message = f"it overlaps {second.id}, though the joint is a {joint.kind}."
        found.append(objection("VER-013", first.id, message))
    if joint.kind is JointKind.BUTT_STRAP:
        low, high = _stretch(part, first, polygon_of(first.net))
        if abs(high - joint.at_mm) > 10 * VERIFY_MM and abs(low - joint.at_mm) > 10 * VERIFY_MM:
            message = f"it doesn't end at its joint, {joint.at_mm:.2f} mm."
            found.append(objection("VER-012", first.id, message))
    return found


def _check_band(
    part: SheetPart, joint: Joint, piece: SheetPiece, common: BaseGeometry
) -> list[Finding]:
    """The common band is as long as the overlap and centred on the joint."""
    low, high = _stretch(part, piece, common)
    found = []
    if abs(high - low - joint.overlap_mm) > 10 * VERIFY_MM:
        message = f"the overlap cut is {high - low:.2f} mm, not {joint.overlap_mm:.2f} mm."
        found.append(objection("VER-013", piece.id, message))
    if abs((high + low) / 2.0 - joint.at_mm) > 10 * VERIFY_MM:
        message = f"the joint said to be at {joint.at_mm:.2f} mm lies at {(high + low) / 2:.2f} mm."
        found.append(objection("VER-012", piece.id, message))
    return found


def _stretch(part: SheetPart, piece: SheetPiece, area: BaseGeometry) -> tuple[float, float]:
    """Least and greatest distance of an area from the part's reference end, along its axis. [mm]

    The reference end is the least x (or y) of the drawn outline; a mirrored piece is reflected
    x -> -x, so its reference end is its greatest x.
    """
    axis = JointAxis.LENGTH if part.joint is None else part.joint.axis
    drawn = polygon_of(part.shape).bounds
    if axis is JointAxis.WIDTH:
        return area.bounds[1] - drawn[1], area.bounds[3] - drawn[1]
    is_image = piece.hand is not None and piece.hand is not part.drawn
    if is_image:
        return -area.bounds[2] - drawn[0], -area.bounds[0] - drawn[0]
    return area.bounds[0] - drawn[0], area.bounds[2] - drawn[0]


def check_rail(part: RailPart, pieces: list[RailPiece], joints: list[Joint]) -> list[Finding]:
    """Rail pieces cover the rail end to end, overlap by the scarf, and are counted once."""
    found: list[Finding] = []
    first = pieces[0]
    if len(joints) != len(pieces) - 1:
        message = f"{len(pieces)} pieces, but {len(joints)} joints."
        return [objection("VER-010", first.id, message)]
    if len(pieces) > 1 and part.joint is None:
        return [objection("VER-011", first.id, "the rail may not be joined.")]
    for piece in pieces:
        section = sorted((piece.thickness_mm, piece.width_mm))
        if section != sorted((part.thickness_mm, part.width_mm)) or piece.material != part.material:
            found.append(objection("VER-009", piece.id, "section or material isn't the rail's."))
    ends = part.allowance_mm
    starts, stops = pieces[0].from_mm, pieces[-1].to_mm
    if abs(starts) > VERIFY_MM or abs(stops - part.length_mm) > VERIFY_MM:
        message = f"the rail runs {starts:.2f} to {stops:.2f} mm of {part.length_mm:.2f} mm."
        found.append(objection("VER-014", first.id, message))
    for number, piece in enumerate(pieces):
        extra = ends * ((number == 0) + (number == len(pieces) - 1))
        if abs(piece.length_mm - (piece.to_mm - piece.from_mm + extra)) > VERIFY_MM:
            message = f"its length {piece.length_mm:.2f} mm isn't the stretch that it covers."
            found.append(objection("VER-014", piece.id, message))
    for number, joint in enumerate(joints):
        before, after = pieces[number], pieces[number + 1]
        overlap = before.to_mm - after.from_mm
        middle = (before.to_mm + after.from_mm) / 2.0
        if joint.pieces != (before.id, after.id) or abs(joint.at_mm - middle) > VERIFY_MM:
            message = f"the joint said to be at {joint.at_mm:.2f} mm lies at {middle:.2f} mm."
            found.append(objection("VER-012", before.id, message))
        needed = joint.slope * joint.thickness_mm if joint.kind is JointKind.SCARF else 0.0
        if abs(overlap - joint.overlap_mm) > VERIFY_MM or abs(overlap - needed) > VERIFY_MM:
            message = f"overlap {overlap:.2f} mm, but {needed:.2f} mm is needed."
            found.append(objection("VER-013", before.id, message))
    return found
