"""What a joint says of the rules: every distance measured once more from all joints' places."""

from __future__ import annotations

import math

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.joint import Joint, Measured, Standing
from nestcut.model.part import CutFrom, SheetPart
from nestcut.model.plan import Plan
from nestcut.tolerances.lengths import STANDING_MM
from nestcut.tolerances.likeness import RUN_OUT_SHARE
from nestcut.verify.findings import objection
from nestcut.verify.flat.bands import own_run_out
from nestcut.verify.rows import CLEAR_OVERLAPS, Row, rows_of, stagger_mm


def check_standings(job: Job, plan: Plan) -> list[Finding]:
    """Compare what joints say of rules with what they come to; everything else is sound."""
    rows = rows_of(job, plan)
    found: list[Finding] = []
    for row in rows:
        near = [(o, least) for o in rows if o is not row and (least := stagger_mm(row, o))]
        for index, joint in enumerate(row.joints):
            wanted = _standings(row, index, near, plan)
            if not _agree(joint.standings, wanted):
                found.append(objection("VER-052", joint.id, what=_first(joint.standings, wanted)))
            ends = (
                ("the part's other end", joint.part_length_mm - joint.at_mm),
                ("the end of either piece", joint.overlap_mm / 2.0),
            )
            if len(joint.distances) != len(ends) or any(
                a[0] != b[0] or abs(a[1] - b[1]) > STANDING_MM
                for a, b in zip(joint.distances, ends, strict=False)
            ):
                found.append(objection("VER-052", joint.id, what="its distances to the ends"))
    return found


def _standings(
    row: Row, index: int, near: list[tuple[Row, float]], plan: Plan
) -> tuple[Standing, ...]:
    rule, joint = row.rule, row.joints[index]
    half = row.taken_mm / 2.0
    found = [
        Standing(
            measured=Measured.KEEP_CLEAR,
            what=zone.reason,
            has=abs(joint.at_mm - (zone.from_mm + zone.to_mm) / 2.0) - half,
            limit=(zone.to_mm - zone.from_mm) / 2.0,
        )
        for zone in rule.keep_clear
    ]
    found += [
        Standing(
            measured=Measured.STAGGER,
            what=other.name,
            has=min(abs(joint.at_mm - j.at_mm) for j in other.joints),
            limit=least,
        )
        for other, least in near
    ]
    lengths = row.piece_lengths_mm()
    n = len(lengths)
    if rule.min_piece_mm > 0.0:
        shorter = _lesser(joint, index, lengths, STANDING_MM)
        found.append(_of_piece(Measured.LEAST_PIECE, shorter, n, lengths, rule.min_piece_mm))
    if index + 1 < len(row.joints):
        found.append(
            Standing(
                measured=Measured.CLEAR_WOOD,
                what=f"joint {index + 2}",
                has=row.joints[index + 1].at_mm - joint.at_mm - row.taken_mm,
                limit=CLEAR_OVERLAPS * row.taken_mm,
            )
        )
    if rule.max_joints is not None:
        most = Measured.MOST_JOINTS
        found.append(
            Standing(
                measured=most, what="", has=float(len(row.joints)), limit=float(rule.max_joints)
            )
        )
    runs = _run_outs(row, plan)
    if runs and math.isfinite(min(runs[index], runs[index + 1])):
        worse = _lesser(joint, index, runs, RUN_OUT_SHARE * min(runs[index], runs[index + 1]))
        found.append(_of_piece(Measured.RUN_OUT, worse, n, runs, rule.run_out))
    return tuple(found)


def _lesser(joint: Joint, index: int, values: list[float], slack: float) -> int:
    """Which of a joint's two pieces has the lesser value; of two alike the one that is told."""
    least = min(values[index], values[index + 1])
    told = {s.what for s in joint.standings}
    alike = [k for k in (index, index + 1) if values[k] - least <= slack]
    return next((k for k in alike if _name_of(k, len(values)) in told), alike[0])


def _name_of(index: int, n: int) -> str:
    return f"piece {index + 1} of {n}"


def _of_piece(
    measured: Measured, index: int, n: int, values: list[float], limit: float
) -> Standing:
    return Standing(measured=measured, what=_name_of(index, n), has=values[index], limit=limit)


def _run_outs(row: Row, plan: Plan) -> list[float]:
    part = row.part
    if not isinstance(part, SheetPart) or part.width_along_mm is None:
        return []
    if part.cut_from is not CutFrom.BOARD:
        return []
    names = [row.joints[0].pieces[0], *(j.pieces[1] for j in row.joints)]
    pieces = {p.id: p for p in plan.pieces}
    return [own_run_out(part, pieces[n]) for n in names if n in pieces]


def _agree(have: tuple[Standing, ...], want: tuple[Standing, ...]) -> bool:
    return len(have) == len(want) and all(map(_same, have, want))


def _same(a: Standing, b: Standing) -> bool:
    slack = RUN_OUT_SHARE * b.has if b.measured is Measured.RUN_OUT else STANDING_MM
    return (
        (a.measured, a.what) == (b.measured, b.what)
        and abs(a.limit - b.limit) <= STANDING_MM
        and abs(a.has - b.has) <= slack
    )


def _first(have: tuple[Standing, ...], want: tuple[Standing, ...]) -> str:
    for a, b in zip(have, want, strict=False):
        if not _same(a, b):
            return f"{b.measured.value} {b.what}".strip()
    return "how many rules it was held against"
