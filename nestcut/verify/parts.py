"""Were the right pieces made: counts, hands, names, and everything that a piece says of itself?

What a piece must say is written down anew from the job and the joints' places, then compared field
by field; shapes are compared in :mod:`nestcut.verify.flat`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from dataclasses import replace
from typing import TypeVar

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.joint import Joint
from nestcut.model.part import CutFrom, Hand, Hands, RailPart, SheetPart
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.plan import Plan
from nestcut.verify.findings import differences, objection
from nestcut.verify.flat import check_flat, check_sound
from nestcut.verify.joints import check_joints, check_lines, wanted_ends
from nestcut.verify.rails import wanted_rail_pieces

Copy = tuple[str, Hand | None, int]
"""One copy of a part: name, hand, number."""
P = TypeVar("P", SheetPiece, RailPiece)

HANDS: dict[Hands, tuple[Hand | None, ...]] = {
    Hands.NONE: (None,),
    Hands.PAIR: (Hand.PORT, Hand.STARBOARD),
    Hands.PORT: (Hand.PORT,),
    Hands.STARBOARD: (Hand.STARBOARD,),
}


def copies_of(part: SheetPart | RailPart) -> tuple[Copy, ...]:
    """Return every copy that a part asks for."""
    return tuple(
        (part.name, hand, number)
        for hand in HANDS[part.hands]
        for number in range(1, part.count + 1)
    )


def name_of(copy: Copy, share: int = 1, n_shares: int = 1) -> str:
    """Return what a copy, or one of its shares, is called on the papers.

    Parameters
    ----------
    copy
        Part, hand and number.
    share, n_shares
        Which of how many shares of it, from its reference end, from 1.
    """
    part, hand, number = copy
    letter = {None: "", Hand.PORT: "P", Hand.STARBOARD: "S"}[hand]
    return f"{part} {letter}{number}" + (f" {share}/{n_shares}" if n_shares > 1 else "")


def check_parts(job: Job, plan: Plan) -> list[Finding]:
    """Check all pieces and joints of a plan against the parts of its job."""
    flat = {p.name: p for p in (*job.sheet_parts, *plan.added_parts)}
    rails = {p.name: p for p in job.rail_parts}
    ids = Counter([p.id for p in plan.pieces] + [p.id for p in plan.rail_pieces])
    found = [objection("VER-001", name) for name, times in ids.items() if times > 1]
    found += [f for p in plan.added_parts for f in check_sound(p.shape, p.name, 0.0)]
    found += [
        objection("VER-038", j.id, what="hand", has=j.hand or "none", needs=", ".join(Hand))
        for j in plan.joints
        if j.hand is not None and j.hand not in set(Hand)
    ]
    if found:
        return found
    flat_pieces = tuple({p.id: p for p in plan.pieces}.values())
    all_rails = tuple({p.id: p for p in plan.rail_pieces}.values())
    found += _check_groups(flat.values(), flat_pieces)
    found += _check_groups(rails.values(), all_rails)
    joints = _by_copy(plan.joints)
    known: set[Copy] = set()
    for copy, pieces in _groups(flat_pieces).items():
        part = flat.get(copy[0])
        if part is not None and copy in set(copies_of(part)) and _are_whole(pieces):
            known.add(copy)
            found += _check_flat(job, part, copy, pieces, joints.get(copy, []))
    for copy, rail_pieces in _groups(all_rails).items():
        rail = rails.get(copy[0])
        if rail is not None and copy in set(copies_of(rail)) and _are_whole(rail_pieces):
            known.add(copy)
            found += _check_rail(rail, copy, rail_pieces, joints.get(copy, []))
    found += [
        objection("VER-010", own[0].id, pieces=0, joints=len(own))
        for copy, own in joints.items()
        if copy not in known and not any(f.code in {"VER-003", "VER-004"} for f in found)
    ]
    return found


def _groups(pieces: Iterable[P]) -> dict[Copy, list[P]]:
    groups: dict[Copy, list[P]] = {}
    for piece in pieces:
        groups.setdefault((piece.part, piece.hand, piece.copy), []).append(piece)
    for group in groups.values():
        group.sort(key=lambda p: p.share)
    return groups


def _by_copy(joints: Iterable[Joint]) -> dict[Copy, list[Joint]]:
    groups: dict[Copy, list[Joint]] = {}
    for joint in joints:
        hand = None if joint.hand is None else Hand(joint.hand)
        groups.setdefault((joint.part, hand, joint.copy), []).append(joint)
    for group in groups.values():
        group.sort(key=lambda j: j.at_mm)
    return groups


def _are_whole(group: list[P]) -> bool:
    n = len(group)
    return [p.share for p in group] == list(range(1, n + 1)) and all(p.n_shares == n for p in group)


def _check_groups(parts: Iterable[SheetPart | RailPart], pieces: Iterable[P]) -> list[Finding]:
    """Every copy asked for is there with all its shares, and no other."""
    groups = _groups(pieces)
    wanted = {copy for part in parts for copy in copies_of(part)}
    found = [
        objection("VER-002", name_of(copy)) for copy in sorted(wanted - set(groups), key=name_of)
    ]
    for copy, group in groups.items():
        if copy not in wanted:
            found.append(objection("VER-003", group[0].id))
        elif not _are_whole(group):
            shares = ", ".join(f"{p.share}/{p.n_shares}" for p in group)
            found.append(objection("VER-004", group[0].id, shares=shares))
    return found


def _check_flat(
    job: Job, part: SheetPart, copy: Copy, pieces: list[SheetPiece], joints: list[Joint]
) -> list[Finding]:
    ids = tuple(name_of(copy, k, len(pieces)) for k in range(1, len(pieces) + 1))
    found = check_joints(part, name_of(copy), ids, joints)
    if found:
        return found
    for piece, name in zip(pieces, ids, strict=True):
        found += _check_like_part(part, piece, name, joints)
    if found:
        return found
    return check_lines(part, pieces, joints) + check_flat(job, part, pieces, joints)


def _check_like_part(
    part: SheetPart, piece: SheetPiece, name: str, joints: list[Joint]
) -> list[Finding]:
    """A piece says of itself what its part says: material, thickness, grain, faces and so on."""
    is_band = (
        part.width_along_mm is not None and piece.n_shares > 1 and part.cut_from is CutFrom.BOARD
    )
    turned = min(piece.small_angle_deg, part.small_angle_deg) if is_band else part.small_angle_deg
    wanted = replace(
        piece,
        id=name,
        material=part.material,
        thickness_mm=part.thickness_mm,
        grain=part.grain,
        turning=part.turning,
        small_angle_deg=max(turned, 0.0),
        faces=part.faces,
        hole_use=part.hole_use,
        cut_from=part.cut_from,
        timing=part.timing,
        note=part.note,
        strap_of=part.strap_of,
        grain_deg=piece.grain_deg if is_band else 0.0,
    )
    found = [
        objection("VER-009", piece.id, what=what, has=has, needs=needs)
        for what, has, needs in differences(piece, wanted, besides=("shape", "net", "ends"))
    ]
    ends = wanted_ends(joints, name)
    if tuple(replace(e, line=((0.0, 0.0), (0.0, 0.0))) for e in piece.ends) != ends:
        found.append(objection("VER-039", piece.id))
    return found


def _check_rail(
    part: RailPart, copy: Copy, pieces: list[RailPiece], joints: list[Joint]
) -> list[Finding]:
    """Rail pieces are those that the joints' places make of the rail, to a micrometre."""
    ids = tuple(name_of(copy, k, len(pieces)) for k in range(1, len(pieces) + 1))
    found = check_joints(part, name_of(copy), ids, joints)
    if found:
        return found
    wanted = wanted_rail_pieces(part, copy[1], copy[2], ids, joints)
    for piece, want in zip(pieces, wanted, strict=True):
        rows = differences(piece, want, besides=("ends", "length_mm", "from_mm", "to_mm"))
        found += [
            objection("VER-009", piece.id, what=what, has=has, needs=needs)
            for what, has, needs in rows
        ]
        lengths = [d for d in differences(piece, want) if d[0] in {"length", "from", "to"}]
        found += [
            objection("VER-014", piece.id, what=what, has=has, needs=needs)
            for what, has, needs in lengths[:1]
        ]
        if any(d[0] == "ends" for d in differences(piece, want)):
            found.append(objection("VER-039", piece.id))
    return found
