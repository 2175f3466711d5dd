"""Rails by the job's words: which pieces some joints' places make of one."""

from __future__ import annotations

from nestcut.model.joint import Joint, JointEnd
from nestcut.model.part import Hand, RailPart
from nestcut.model.piece import RailPiece
from nestcut.verify.kinds import KINDS


def wanted_rail_pieces(
    part: RailPart, hand: Hand | None, copy: int, ids: tuple[str, ...], joints: list[Joint]
) -> tuple[RailPiece, ...]:
    """Return the pieces of a rail with joints at these places.

    Every piece reaches half an overlap beyond the middle of its joint, and at the rail's own ends
    the allowance beyond the finished length, which ``from_mm`` and ``to_mm`` leave out.

    Parameters
    ----------
    hand
        None for a rail without hands.
    copy
        Which copy of the rail in this hand, from 1.
    ids
        Its pieces, from the reference end.
    joints
        Its joints, rising, one fewer.
    """
    rule, n = part.joint, len(ids)
    kind = None if rule is None else KINDS[rule.kind]
    half = 0.0 if rule is None or kind is None else kind.overlap_mm(rule, part.thickness_mm) / 2.0
    found = []
    for k, name in enumerate(ids):
        starts = 0.0 if k == 0 else joints[k - 1].at_mm - half
        stops = part.length_mm if k == n - 1 else joints[k].at_mm + half
        first = part.allowance_mm if k == 0 else 0.0
        last = part.allowance_mm if k == n - 1 else 0.0
        ends = []
        for number in (k - 1, k):
            if not 0 <= number < len(joints) or rule is None or kind is None:
                continue
            x = joints[number].at_mm - (starts - first)
            ends.append(
                JointEnd(
                    joint=joints[number].id,
                    kind=rule.kind,
                    line=((x, 0.0), (x, part.width_mm)),
                    planed=kind.planed(rule)[1 if number < k else 0],
                    overlap_mm=2.0 * half,
                )
            )
        found.append(
            RailPiece(
                id=name,
                part=part.name,
                hand=hand,
                copy=copy,
                share=k + 1,
                n_shares=n,
                material=part.material,
                thickness_mm=part.thickness_mm,
                width_mm=part.width_mm,
                length_mm=stops - starts + first + last,
                from_mm=starts,
                to_mm=stops,
                ends=tuple(ends),
                note=part.note,
                planed_from_mm=part.planed_from_mm,
            )
        )
    return tuple(found)
