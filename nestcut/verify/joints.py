"""Is every joint what the job's rule makes of its place: kind, slope, overlap, faces, names?"""

from __future__ import annotations

from dataclasses import replace

from nestcut.errors import Finding
from nestcut.facts import Lengths
from nestcut.model.joint import Joint, JointAxis, JointEnd, Word
from nestcut.model.part import RailPart, SheetPart
from nestcut.model.piece import SheetPiece
from nestcut.tolerances.lengths import SAME_LINE_MM
from nestcut.verify.findings import differences, exact, objection
from nestcut.verify.flat.bands import middle_line
from nestcut.verify.flat.pieces import expected_line
from nestcut.verify.flat.shapes import Image, image_of
from nestcut.verify.kinds import KINDS
from nestcut.verify.truth import rough

_BAND_MM = 0.2
"""Slack of a band's length along its middle line, which both draw by points a mm apart. [mm]"""
_JUDGED = ("standings", "distances", "rule_findings", "part_length_mm", "at_mm")
"""What a joint says of the rules is checked with the rules; its place by the pieces."""


def part_length_mm(part: SheetPart | RailPart) -> float:
    """Return the length that joints' places are measured along. [mm]"""
    if isinstance(part, RailPart):
        return part.length_mm
    if part.width_along_mm is not None:
        return float(middle_line(part).length)
    low_x, low_y, high_x, high_y = rough(part.shape).bounds
    is_across = part.joint is not None and part.joint.axis is JointAxis.WIDTH
    return high_y - low_y if is_across else high_x - low_x


def check_joints(
    part: SheetPart | RailPart, name: str, ids: tuple[str, ...], joints: list[Joint]
) -> list[Finding]:
    """Check one copy's joints, rising; ``ids`` are its pieces from the reference end.

    Parameters
    ----------
    name
        Of the copy.
    ids
        Its pieces, from the reference end.
    joints
        Its joints, rising.
    """
    rule = part.joint
    if len(joints) != len(ids) - 1:
        return [objection("VER-010", ids[0], pieces=len(ids), joints=len(joints))]
    if not joints:
        given = () if rule is None else rule.at_mm or ()
        return [objection("VER-015", ids[0], given=Lengths(given))] if given else []
    if rule is None:
        return [objection("VER-011", ids[0])]
    kind = KINDS[rule.kind]
    is_band = isinstance(part, SheetPart) and part.width_along_mm is not None
    found: list[Finding] = []
    length = part_length_mm(part)
    for number, joint in enumerate(joints):
        wanted = replace(
            joint,
            id=f"{name} joint {number + 1}",
            number=number + 1,
            kind=rule.kind,
            slope=rule.slope,
            thickness_mm=part.thickness_mm,
            overlap_mm=kind.overlap_mm(rule, part.thickness_mm),
            pieces=(ids[number], ids[number + 1]),
            planed=kind.planed(rule),
            axis=rule.axis if isinstance(part, SheetPart) else JointAxis.LENGTH,
            word=Word.CHOSEN if rule.at_mm is None else Word.GIVEN,
            is_weak=kind.is_weak(rule),
        )
        for what, has, needs in differences(joint, wanted, besides=_JUDGED):
            code = {"overlap": "VER-013", "pieces": "VER-062"}.get(what, "VER-038")
            found.append(objection(code, joint.id, what=what, has=has, needs=needs))
        if abs(joint.part_length_mm - length) > (_BAND_MM if is_band else SAME_LINE_MM):
            told = exact(joint.part_length_mm)
            found.append(
                objection("VER-038", joint.id, what="part length", has=told, needs=exact(length))
            )
    return found


def wanted_ends(joints: list[Joint], piece: str) -> tuple[JointEnd, ...]:
    """Return what a piece carries of joints that are sound; lines are left at nothing."""
    return tuple(
        JointEnd(
            joint=j.id,
            kind=j.kind,
            line=((0.0, 0.0), (0.0, 0.0)),
            planed=j.planed[j.pieces.index(piece)],
            overlap_mm=j.overlap_mm,
        )
        for j in joints
        if piece in j.pieces
    )


def check_lines(part: SheetPart, pieces: list[SheetPiece], joints: list[Joint]) -> list[Finding]:
    """The line that a piece carries for a joint is where the joint lies; bands have their own."""
    rule = part.joint
    if rule is None or part.width_along_mm is not None:
        return []
    at = {j.id: j.at_mm for j in joints}
    found = []
    for piece in pieces:
        sign = -1.0 if image_of(part, piece.hand) is Image.MIRRORED else 1.0
        for end in piece.ends:
            want = expected_line(part, rule, at[end.joint])
            off = max(
                max(abs(sign * a[0] - b[0]), abs(a[1] - b[1]))
                for a, b in zip(end.line, want, strict=True)
            )
            if off > SAME_LINE_MM:
                found.append(
                    objection("VER-012", piece.id, at=exact(at[end.joint]), lies=exact(off))
                )
    return found
