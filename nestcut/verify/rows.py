"""The joints of one copy of a part in a row, and which rows are each other's neighbours."""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.model.job import Job
from nestcut.model.joint import Joint, JointRule
from nestcut.model.part import Hands, RailPart, SheetPart
from nestcut.model.plan import Plan
from nestcut.verify.kinds import KINDS

CLEAR_OVERLAPS = 3.0
"""Least clear wood between two joints, in overlaps: FAA AC 43.13-1B, para 1-40, of spars. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """The joints of one copy of a part, rising."""

    part: SheetPart | RailPart
    rule: JointRule
    joints: tuple[Joint, ...]

    @property
    def where(self) -> str:
        """The piece before the first joint."""
        return self.joints[0].pieces[0]

    @property
    def name(self) -> str:
        """What the copy is called."""
        first = self.joints[0]
        letter = first.hand[0].upper() if first.hand else ""
        return f"{self.part.name} {letter}{first.copy}"

    @property
    def taken_mm(self) -> float:
        """What a joint takes of the part: both slopes, its strap, or its keys. [mm]"""
        return 2.0 * KINDS[self.rule.kind].reach_mm(self.rule, self.part.thickness_mm)

    def piece_lengths_mm(self) -> list[float]:
        """Lengths of the pieces, overlaps and allowance included, from the reference end. [mm]"""
        half = self.joints[0].overlap_mm / 2.0
        over, length = self.part.allowance_mm, self.joints[0].part_length_mm
        starts = (-over, *(j.at_mm - half for j in self.joints))
        stops = (*(j.at_mm + half for j in self.joints), length + over)
        return [b - a for a, b in zip(starts, stops, strict=True)]


def rows_of(job: Job, plan: Plan) -> list[Row]:
    """Return a plan's joints, copy by copy, of parts that the job lets be joined."""
    parts: dict[str, SheetPart | RailPart] = {p.name: p for p in job.sheet_parts}
    parts |= {p.name: p for p in job.rail_parts}
    copies: dict[tuple[str, str, int], list[Joint]] = {}
    for joint in plan.joints:
        copies.setdefault((joint.part, joint.hand or "", joint.copy), []).append(joint)
    rows = []
    for (name, _, _), joints in copies.items():
        part = parts.get(name)
        if part is not None and part.joint is not None:
            ordered = tuple(sorted(joints, key=lambda j: j.at_mm))
            rows.append(Row(part=part, rule=part.joint, joints=ordered))
    return rows


def stagger_mm(row: Row, other: Row) -> float:
    """Return how far the joints of two copies must lie apart; 0: they have nothing to do. [mm]

    A twin is the other hand of the same copy.  Parts named are met on the same side and in the
    same copy; one without a hand meets both, and it is enough that one names the other.
    """
    mine, theirs = row.joints[0], other.joints[0]
    if row.part.name == other.part.name:
        is_pair = row.part.hands is Hands.PAIR
        is_twin = is_pair and mine.copy == theirs.copy and mine.hand != theirs.hand
        return row.rule.stagger_mm if is_twin else 0.0
    if mine.hand and theirs.hand and mine.hand != theirs.hand:
        return 0.0
    if mine.copy != theirs.copy and min(row.part.count, other.part.count) > 1:
        return 0.0
    return max(
        row.rule.stagger_mm if other.part.name in row.rule.stagger_with else 0.0,
        other.rule.stagger_mm if row.part.name in other.rule.stagger_with else 0.0,
    )
