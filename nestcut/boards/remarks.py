"""What is to be said about rails: rules kept and broken, and why something found no board."""

from __future__ import annotations

from dataclasses import replace

from nestcut.boards.join.joining import joined_part, stagger_between
from nestcut.boards.wood.groups import Group
from nestcut.boards.wood.rails import Rail
from nestcut.errors import Finding
from nestcut.facts import Fact, Length, fact
from nestcut.joints.rules import Neighbour, check_positions, distances
from nestcut.model.joint import Joint
from nestcut.model.piece import RailPiece
from nestcut.model.plan import Unplaced


def with_remarks(
    rail: Rail, joints: tuple[Joint, ...], positions: dict[Rail, tuple[float, ...]]
) -> tuple[tuple[Joint, ...], tuple[Finding, ...]]:
    """Return the joints with their distances and the rules that each breaks, and the findings.

    Parameters
    ----------
    joints
        The rail's joints, as divided.
    positions
        By rail of the group, where its joints lie along it [mm]; this one's too.
    """
    if rail.part.joint is None or not joints:
        return joints, ()
    part = joined_part(rail.part, rail.overlap_mm)
    near = {
        other: stagger_between(rail, other)
        for other in positions
        if other != rail and stagger_between(rail, other) > 0.0
    }
    told: list[Joint] = []
    findings = list(check_positions(part, positions[rail]))
    for joint in joints:
        own: list[Finding] = list(check_positions(part, (joint.at_mm,)))
        gaps = list(distances(part, joint.at_mm))
        for other, least in near.items():
            asked = replace(part, rule=replace(part.rule, stagger_mm=least))
            neighbour = Neighbour(name=other.id, at_mm=positions[other])
            abreast = check_positions(
                replace(asked, rule=replace(asked.rule, keep_clear=(), min_piece_mm=0.0)),
                (joint.at_mm,),
                (neighbour,),
            )
            abreast = tuple(f for f in abreast if f.code == "JNT-006")
            findings += abreast
            own += abreast
            if positions[other]:
                gaps.append((other.id, min(abs(joint.at_mm - x) for x in positions[other])))
        broken = tuple(
            Fact(f.code, f.values) for f in own if f.code in {"JNT-001", "JNT-002", "JNT-006"}
        )
        told.append(replace(joint, rule_findings=broken, distances=tuple(gaps)))
    return tuple(told), tuple(replace(f, where=rail.id) for f in findings)


def unplaced_because(piece: RailPiece, group: Group) -> Unplaced:
    """Say why a piece found no board."""
    if not group.supplies:
        sides = {"one": Length(piece.sawn_mm[0]), "other": Length(piece.sawn_mm[1])}
        reason = fact("BRD-101", material=piece.material, **sides)
        return Unplaced(piece=piece.id, reason=reason)
    longest = max((n for s in group.supplies for _, n in s.stretches), default=0.0)
    if longest <= 0.0:
        reason = fact("BRD-104")
    elif piece.length_mm > longest:
        reason = fact("BRD-102", length=Length(piece.length_mm), longest=Length(longest))
    elif any(s.limit is None for s in group.supplies):
        reason = fact("BRD-120", length=Length(piece.length_mm), longest=Length(longest))
    else:
        reason = fact("BRD-103")
    return Unplaced(piece=piece.id, reason=reason)
