"""All joints of a plan held against all rules, parts that must be staggered among them.

Positions are chosen group by group; neighbours may lie in different groups or have been given, so
only here is everything known.  What the rooms below have reported is not reported again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from nestcut.errors import Finding
from nestcut.joints.curved.division import run_outs
from nestcut.joints.kinds import KINDS
from nestcut.joints.rules import JoinedPart, Neighbour, check_positions, spacing
from nestcut.joints.standing import standings
from nestcut.model.job import Job
from nestcut.model.joint import Joint, JointRule
from nestcut.model.part import CutFrom, Hand, Hands, RailPart, SheetPart
from nestcut.model.piece import piece_id

_TOLD = {"JNT-006", "BRD-005"}
"""Findings that say that two parts' joints aren't staggered."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """The joints of one copy of a part, rising."""

    part: SheetPart | RailPart
    rule: JointRule
    joints: tuple[Joint, ...]

    @property
    def name(self) -> str:
        """As papers and findings call it: part, hand and number."""
        first = self.joints[0]
        hand = None if first.hand is None else Hand(first.hand)
        return piece_id(first.part, hand, first.copy, 1, 1)

    @property
    def at_mm(self) -> tuple[float, ...]:
        return tuple(j.at_mm for j in self.joints)

    def joined(self) -> JoinedPart:
        """Return what the rules need to know."""
        first = self.joints[0]
        return JoinedPart(
            name=self.part.name,
            length_mm=first.part_length_mm,
            overlap_mm=first.overlap_mm,
            rule=self.rule,
            allowance_mm=self.part.allowance_mm,
            reach_mm=KINDS[self.rule.kind].reach_mm(self.rule, self.part.thickness_mm),
        )


def judge_joints(
    job: Job, joints: tuple[Joint, ...], told: Sequence[Finding]
) -> tuple[tuple[Joint, ...], tuple[Finding, ...]]:
    """Return the joints with their standing to every rule, and findings that nobody has told yet.

    Parameters
    ----------
    told
        Findings of the plan so far.
    """
    rows = _rows(job, joints)
    judged: dict[str, Joint] = {}
    findings: list[Finding] = []
    for row in rows:
        near = [
            (Neighbour(name=other.name, at_mm=other.at_mm), least)
            for other in rows
            if (least := stagger_mm(row, other)) > 0.0
        ]
        part = row.joined()
        grain: tuple[float, ...] = ()
        if isinstance(row.part, SheetPart) and row.part.width_along_mm is not None:
            grain = run_outs(row.part, row.at_mm) if row.part.cut_from is CutFrom.BOARD else ()
        for index, joint in enumerate(row.joints):
            own = standings(part, row.at_mm, index, near, grain)
            judged[joint.id] = replace(joint, distances=_ends(joint), standings=own)
        if not any((f.code, f.about) == ("JNT-007", row.part.name) for f in (*told, *findings)):
            findings += spacing(part, row.at_mm)
        if not any(f.code in _TOLD and f.where in {row.part.name, row.name} for f in told):
            for neighbour, least in near:
                asked = replace(part, rule=replace(row.rule, stagger_mm=least))
                abreast = check_positions(asked, row.at_mm, (neighbour,))
                findings += [replace(f, where=row.name) for f in abreast if f.code == "JNT-006"]
    return tuple(judged.get(j.id, j) for j in joints), tuple(findings)


def _ends(joint: Joint) -> tuple[tuple[str, float], ...]:
    """Distances from the part's other end and from the ends of the pieces. [mm]"""
    return (
        ("the part's other end", joint.part_length_mm - joint.at_mm),
        ("the end of either piece", joint.overlap_mm / 2.0),
    )


def _rows(job: Job, joints: tuple[Joint, ...]) -> list[_Row]:
    parts: dict[str, SheetPart | RailPart] = {p.name: p for p in job.sheet_parts}
    parts |= {p.name: p for p in job.rail_parts}
    copies: dict[tuple[str, str, int], list[Joint]] = {}
    for joint in joints:
        copies.setdefault((joint.part, joint.hand or "", joint.copy), []).append(joint)
    return [
        _Row(part=part, rule=part.joint, joints=tuple(sorted(own, key=lambda j: j.at_mm)))
        for (name, _, _), own in copies.items()
        if (part := parts.get(name)) is not None and part.joint is not None
    ]


def stagger_mm(row: _Row, other: _Row) -> float:
    """Least distance between the joints of two copies; 0: they have nothing to do. [mm]

    A twin is the other hand of the same copy. Parts named are met on the same side and in the same
    copy; one without a hand meets both sides, and it is enough that one of the two names the other.
    """
    mine, theirs = row.joints[0], other.joints[0]
    if row.part.name == other.part.name:
        is_twin = row.part.hands is Hands.PAIR and mine.copy == theirs.copy
        return row.rule.stagger_mm if is_twin and mine.hand != theirs.hand else 0.0
    if mine.hand and theirs.hand and mine.hand != theirs.hand:
        return 0.0
    if mine.copy != theirs.copy and min(row.part.count, other.part.count) > 1:
        return 0.0
    return max(
        row.rule.stagger_mm if other.part.name in row.rule.stagger_with else 0.0,
        other.rule.stagger_mm if row.part.name in other.rule.stagger_with else 0.0,
    )
