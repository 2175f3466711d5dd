"""Does every joint keep the builder's rules, or does the plan own up to what it breaks?

Worked out anew from the plan's positions: given positions as given, stretches kept clear, least
piece, most joints, stagger with the twin and with neighbours.  Where the search chose, a rule is
kept; positions that the builder gave may break one, if the plan's findings say so.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.joint import Joint, JointAxis, JointRule
from nestcut.model.part import Hands, RailPart, SheetPart
from nestcut.model.plan import Plan
from nestcut.tolerances import VERIFY_MM
from nestcut.verify.bands import long_edges
from nestcut.verify.findings import objection, owns_up
from nestcut.verify.outlines import polygon_of

_BAND_SLACK_MM = 1.0
"""Slack of lengths along a curve, measured on a flattened line. [mm]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Row:
    """The joints of one copy of a part, rising."""

    part: SheetPart | RailPart
    rule: JointRule
    joints: tuple[Joint, ...]

    @property
    def where(self) -> str:
        """The piece before the first joint."""
        return self.joints[0].pieces[0]


def check_rules(job: Job, plan: Plan) -> list[Finding]:
    """Check all joints of a plan against the rules of their parts."""
    rows = _rows(job, plan)
    found: list[Finding] = []
    for row in rows:
        found += _given(row)
        found += _number(row, plan)
        found += _clear(row, plan)
        found += _lengths(row, plan)
        for other in rows:
            if other is not row:
                found += _apart(row, other, plan)
    return found


def _rows(job: Job, plan: Plan) -> list[_Row]:
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
            rows.append(_Row(part=part, rule=part.joint, joints=ordered))
    return rows


def _forgiven(row: _Row, code: str, plan: Plan) -> bool:
    """Whether the builder gave the positions and the plan says what they break."""
    return row.rule.at_mm is not None and owns_up(plan, code, row.part.name)


def _given(row: _Row) -> list[Finding]:
    given = row.rule.at_mm
    if given is None:
        return []
    at = [j.at_mm for j in row.joints]
    if len(at) == len(given) and all(
        abs(a - b) <= VERIFY_MM for a, b in zip(at, given, strict=True)
    ):
        return []
    told = ", ".join(f"{g:.1f}" for g in given)
    message = f"its joints aren't at the positions given ({told} mm)."
    return [objection("VER-015", row.where, message)]


def _number(row: _Row, plan: Plan) -> list[Finding]:
    most = row.rule.max_joints
    if most is None or len(row.joints) <= most or _forgiven(row, "JNT-004", plan):
        return []
    return [objection("VER-015", row.where, f"{len(row.joints)} joints, {most} are allowed.")]


def _clear(row: _Row, plan: Plan) -> list[Finding]:
    found = []
    for joint in row.joints:
        low = joint.at_mm - joint.overlap_mm / 2.0 + VERIFY_MM
        high = joint.at_mm + joint.overlap_mm / 2.0 - VERIFY_MM
        for zone in row.rule.keep_clear:
            if high > zone.from_mm and low < zone.to_mm and not _forgiven(row, "JNT-002", plan):
                message = f"a joint at {joint.at_mm:.1f} mm lies in '{zone.reason}'."
                found.append(objection("VER-016", joint.pieces[0], message))
    return found


def _lengths(row: _Row, plan: Plan) -> list[Finding]:
    """No piece is shorter than the least, and no two joints run into each other."""
    half = row.joints[0].overlap_mm / 2.0
    over = row.part.allowance_mm
    length, slack = _length_mm(row.part)
    starts = (-over, *(j.at_mm - half for j in row.joints))
    ends = (*(j.at_mm + half for j in row.joints), length + over)
    names = (*(j.pieces[0] for j in row.joints), row.joints[-1].pieces[1])
    found = [
        objection(
            "VER-018",
            name,
            f"it is {b - a:.1f} mm long, the least piece is {row.rule.min_piece_mm:.1f} mm.",
        )
        for name, a, b in zip(names, starts, ends, strict=True)
        if b - a < row.rule.min_piece_mm - slack and not _forgiven(row, "JNT-003", plan)
    ]
    found += [
        objection("VER-018", second.pieces[0], "the joints at its ends run into each other.")
        for first, second in pairwise(row.joints)
        if second.at_mm - first.at_mm < 2.0 * half - VERIFY_MM
        and not _forgiven(row, "JNT-005", plan)
    ]
    return found


def _length_mm(part: SheetPart | RailPart) -> tuple[float, float]:
    """Length that positions are measured along, and how exactly it is known. [mm]"""
    if isinstance(part, RailPart):
        return part.length_mm, VERIFY_MM
    if part.width_along_mm is not None:
        half = part.width_along_mm / 2.0
        lines = [e.offset_curve(s) for e in long_edges(part) for s in (half, -half)]
        inside = polygon_of(part.shape)
        return max(line.intersection(inside).length for line in lines), _BAND_SLACK_MM
    low_x, low_y, high_x, high_y = polygon_of(part.shape).bounds
    is_across = part.joint is not None and part.joint.axis is JointAxis.WIDTH
    return (high_y - low_y if is_across else high_x - low_x), VERIFY_MM


def _apart(row: _Row, other: _Row, plan: Plan) -> list[Finding]:
    """Joints keep their distance from those of the twin and of the neighbours named."""
    least = row.rule.stagger_mm
    if least <= 0.0 or not _are_neighbours(row, other):
        return []
    if any(owns_up(plan, c, r.part.name) for c in ("JNT-006", "BRD-005") for r in (row, other)):
        return []
    return [
        objection(
            "VER-019",
            ours.pieces[0],
            f"its joint at {ours.at_mm:.1f} mm is {abs(ours.at_mm - theirs.at_mm):.1f} mm from one "
            f"of {theirs.pieces[0]}, {least:.1f} mm are asked for.",
        )
        for ours in row.joints
        for theirs in other.joints
        if abs(ours.at_mm - theirs.at_mm) < least - VERIFY_MM
    ]


def _are_neighbours(row: _Row, other: _Row) -> bool:
    """A twin is the other hand of the same copy; neighbours named are met on the same side."""
    mine, theirs = row.joints[0], other.joints[0]
    if row.part.name == other.part.name:
        is_pair = row.part.hands is Hands.PAIR
        return is_pair and mine.copy == theirs.copy and mine.hand != theirs.hand
    if other.part.name not in row.rule.stagger_with:
        return False
    if mine.hand and theirs.hand and mine.hand != theirs.hand:
        return False
    return mine.copy == theirs.copy or min(row.part.count, other.part.count) == 1
