"""Were the right pieces made: counts, hands, outlines, and shares that add up to their part?"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from shapely import unary_union
from shapely.geometry import Polygon

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.joint import Joint, JointKind
from nestcut.model.part import Hand, Hands, RailPart, SheetPart
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.plan import Plan
from nestcut.tolerances import AREA_MM2, VERIFY_MM
from nestcut.verify.findings import objection
from nestcut.verify.joints import check_flat_joints, check_rail
from nestcut.verify.outlines import polygon_of, wanted_polygon

Copy = tuple[str, Hand | None, int]
"""One copy of a part: name, hand, number."""
P = TypeVar("P", SheetPiece, RailPiece)

_HANDS: dict[Hands, tuple[Hand | None, ...]] = {
    Hands.NONE: (None,),
    Hands.PAIR: (Hand.PORT, Hand.STARBOARD),
    Hands.PORT: (Hand.PORT,),
    Hands.STARBOARD: (Hand.STARBOARD,),
}


def copies_of(part: SheetPart | RailPart) -> tuple[Copy, ...]:
    """Return every copy that a part asks for."""
    return tuple(
        (part.name, hand, number)
        for hand in _HANDS[part.hands]
        for number in range(1, part.count + 1)
    )


def check_parts(job: Job, plan: Plan) -> list[Finding]:
    """Check all pieces of a plan against the parts of its job."""
    flat = {p.name: p for p in (*job.sheet_parts, *plan.added_parts)}
    rails = {p.name: p for p in job.rail_parts}
    found = _check_ids([p.id for p in plan.pieces] + [p.id for p in plan.rail_pieces])
    found += _check_groups(flat.values(), plan.pieces)
    found += _check_groups(rails.values(), plan.rail_pieces)
    joints = _by_copy(plan.joints)
    for copy, pieces in _groups(plan.pieces).items():
        if copy[0] in flat:
            found += _check_flat(flat[copy[0]], copy, pieces, joints.get(copy, []))
    for copy, rail_pieces in _groups(plan.rail_pieces).items():
        if copy[0] in rails:
            found += check_rail(rails[copy[0]], rail_pieces, joints.get(copy, []))
    return found


def _check_ids(ids: list[str]) -> list[Finding]:
    seen: set[str] = set()
    found = []
    for name in ids:
        if name in seen:
            found.append(objection("VER-001", name, "this piece is listed twice."))
        seen.add(name)
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


def _check_groups(parts: Iterable[SheetPart | RailPart], pieces: Iterable[P]) -> list[Finding]:
    """Every copy asked for is there with all its shares, and no other."""
    groups = _groups(pieces)
    wanted = [copy for part in parts for copy in copies_of(part)]
    found = [
        objection("VER-002", _name(copy), "this part is missing from the plan.")
        for copy in wanted
        if copy not in groups
    ]
    known = set(wanted)
    for copy, group in groups.items():
        if copy not in known:
            found.append(objection("VER-003", group[0].id, "nobody asked for this piece."))
        shares = [p.share for p in group]
        if shares != list(range(1, len(group) + 1)) or any(p.n_shares != len(group) for p in group):
            found.append(
                objection("VER-004", group[0].id, f"its part's shares are {shares}, not whole.")
            )
    return found


def _name(copy: Copy) -> str:
    part, hand, number = copy
    return f"{part} {'' if hand is None else hand.value + ' '}{number}"


def _check_flat(
    part: SheetPart, copy: Copy, pieces: list[SheetPiece], joints: list[Joint]
) -> list[Finding]:
    """Nets together are the part; each piece covers its net and its allowance; rules kept."""
    wanted = wanted_polygon(part, copy[1])
    nets = [polygon_of(p.net) for p in pieces]
    shapes = [polygon_of(p.shape) for p in pieces]
    found = [
        objection("VER-005", piece.id, "its outline crosses itself.")
        for piece, net, shape in zip(pieces, nets, shapes, strict=True)
        if not (net.is_valid and shape.is_valid)
    ]
    if found:
        return found
    for piece, net, shape in zip(pieces, nets, shapes, strict=True):
        found += _check_like_part(part, piece)
        if not shape.buffer(VERIFY_MM).covers(net):
            found.append(objection("VER-006", piece.id, "it is cut smaller than its net outline."))
    slack = _slack_mm2(joints, wanted)
    missing = unary_union(nets).symmetric_difference(wanted).area
    if missing > slack:
        message = f"its pieces differ from the part's outline by {missing:.1f} mm2."
        found.append(objection("VER-007", pieces[0].id, message))
    if part.allowance_mm > 0:
        short = _missing_allowance_mm2(part, wanted, shapes)
        if short > slack + VERIFY_MM * wanted.length:
            message = f"the allowance is short by {short:.1f} mm2."
            found.append(objection("VER-008", pieces[0].id, message))
    return found + check_flat_joints(part, pieces, joints)


def _missing_allowance_mm2(part: SheetPart, wanted: Polygon, shapes: list[Polygon]) -> float:
    """Area of the rim outside the outline that should be there and isn't; holes carry none."""
    solid = Polygon(wanted.exterior)
    rim = solid.buffer(part.allowance_mm - VERIFY_MM).difference(solid)
    return float(rim.difference(unary_union(shapes)).area)


def _slack_mm2(joints: list[Joint], wanted: Polygon) -> float:
    """Area that may differ: float noise along the outline, and the clearance of keyed joints."""
    slack = AREA_MM2 + VERIFY_MM * wanted.length * 1e-2
    keyed = [j for j in joints if j.kind is JointKind.KEYED]
    # A keyed joint's clearance is a slit along a line at most some four times the part's breadth.
    return slack + len(keyed) * 0.5 * 4.0 * wanted.length / 2.0


def _check_like_part(part: SheetPart, piece: SheetPiece) -> list[Finding]:
    """A piece carries its part's material, thickness, grain, turning and faces."""
    # A piece of a band along a curve lies its own way, and may be turned less than its part.
    is_band = part.width_along_mm is not None
    turned = piece.small_angle_deg if is_band else part.small_angle_deg
    if turned > part.small_angle_deg or (piece.grain_deg != 0.0 and not is_band):
        return [objection("VER-009", piece.id, "its grain is turned against its part's rule.")]
    for what, has, needs in (
        ("material", piece.material, part.material),
        ("thickness", piece.thickness_mm, part.thickness_mm),
        ("grain", piece.grain, part.grain),
        ("turning", piece.turning, part.turning),
        ("small angle", piece.small_angle_deg, turned),
        ("faces", piece.faces, part.faces),
        ("hole use", piece.hole_use, part.hole_use),
        ("stock kind", piece.cut_from, part.cut_from),
    ):
        if has != needs:
            message = f"its {what} is {has}, but the part asks for {needs}."
            return [objection("VER-009", piece.id, message)]
    return []
