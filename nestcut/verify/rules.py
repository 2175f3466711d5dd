"""Does every joint keep the builder's rules, or does the plan own up to what it breaks?

Worked out anew from the plan's positions: given positions as given, stretches kept clear, least
piece, most joints, stagger with the twin and with neighbours.  Where the search chose, a rule is
kept; positions that the builder gave may break one, if the plan's findings say so.
"""

from __future__ import annotations

from itertools import pairwise

from nestcut.errors import Finding
from nestcut.facts import Length, Lengths
from nestcut.model.job import Job
from nestcut.model.part import SheetPart
from nestcut.model.plan import Plan
from nestcut.tolerances import VERIFY_MM
from nestcut.tolerances.lengths import GIVEN_MM
from nestcut.verify.findings import objection, owns_up
from nestcut.verify.rows import CLEAR_OVERLAPS, Row, rows_of, stagger_mm

_BAND_SLACK_MM = 0.5
"""Slack of lengths along a curve, measured on a flattened line. [mm]"""


def check_rules(job: Job, plan: Plan) -> list[Finding]:
    """Check all joints of a plan against the rules of their parts."""
    rows = rows_of(job, plan)
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


def _forgiven(row: Row, code: str, plan: Plan) -> bool:
    """Whether the builder gave the positions and the plan says what they break."""
    return row.rule.at_mm is not None and owns_up(plan, code, row.part.name)


def _given(row: Row) -> list[Finding]:
    given = row.rule.at_mm
    if given is None:
        return []
    at = [j.at_mm for j in row.joints]
    if len(at) == len(given) and all(
        abs(a - b) <= GIVEN_MM for a, b in zip(at, given, strict=True)
    ):
        return []
    return [objection("VER-015", row.where, given=Lengths(given))]


def _number(row: Row, plan: Plan) -> list[Finding]:
    most = row.rule.max_joints
    if most is None or len(row.joints) <= most or _forgiven(row, "JNT-004", plan):
        return []
    return [objection("VER-063", row.where, has=len(row.joints), most=most)]


def _clear(row: Row, plan: Plan) -> list[Finding]:
    found: list[Finding] = []
    for joint in row.joints:
        low = joint.at_mm - row.taken_mm / 2.0 + VERIFY_MM
        high = joint.at_mm + row.taken_mm / 2.0 - VERIFY_MM
        found += [
            objection("VER-016", joint.pieces[0], at=Length(joint.at_mm), reason=zone.reason)
            for zone in row.rule.keep_clear
            if high > zone.from_mm and low < zone.to_mm and not _forgiven(row, "JNT-002", plan)
        ]
    return found


def _lengths(row: Row, plan: Plan) -> list[Finding]:
    """No piece is shorter than the least, and no two joints run into each other."""
    slack = _BAND_SLACK_MM if _is_band(row) else VERIFY_MM
    names = (*(j.pieces[0] for j in row.joints), row.joints[-1].pieces[1])
    found = [
        objection("VER-018", name, has=Length(length), least=Length(row.rule.min_piece_mm))
        for name, length in zip(names, row.piece_lengths_mm(), strict=True)
        if length < row.rule.min_piece_mm - slack and not _forgiven(row, "JNT-003", plan)
    ]
    return [*found, *_apart_in_a_row(row, plan)]


def _is_band(row: Row) -> bool:
    return isinstance(row.part, SheetPart) and row.part.width_along_mm is not None


def _apart_in_a_row(row: Row, plan: Plan) -> list[Finding]:
    """No two joints of a copy run into each other; three of their lengths of wood lie between.

    Where the builder gave the places, or a band's grain and boards ask for more pieces, less wood
    is told by the plan itself.
    """
    is_kept = row.rule.at_mm is None and not _is_band(row)
    taken, least = row.taken_mm, CLEAR_OVERLAPS * row.taken_mm
    found: list[Finding] = []
    for first, second in pairwise(row.joints):
        wood = second.at_mm - first.at_mm - taken
        if wood < -VERIFY_MM:
            if not _forgiven(row, "JNT-005", plan):
                found.append(objection("VER-064", second.pieces[0]))
        elif wood < least - VERIFY_MM and (is_kept or not owns_up(plan, "JNT-007", row.part.name)):
            code = "VER-066" if is_kept else "VER-069"
            found.append(objection(code, second.pieces[0], has=Length(wood), least=Length(least)))
    return found


def _apart(row: Row, other: Row, plan: Plan) -> list[Finding]:
    """Joints keep their distance from those of the twin and of the neighbours named."""
    least = stagger_mm(row, other)
    if least <= 0.0 or row.where > other.where:
        return []
    if any(owns_up(plan, c, r.part.name) for c in ("JNT-006", "BRD-005") for r in (row, other)):
        return []
    return [
        objection(
            "VER-019",
            ours.pieces[0],
            at=Length(ours.at_mm),
            apart=Length(abs(ours.at_mm - theirs.at_mm)),
            other=theirs.pieces[0],
            least=Length(least),
        )
        for ours in row.joints
        for theirs in other.joints
        if abs(ours.at_mm - theirs.at_mm) < least - VERIFY_MM
    ]
