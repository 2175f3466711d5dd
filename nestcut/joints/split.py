"""From parts to pieces: every hand, every copy, every share, with the joints between them."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

from nestcut.errors import Finding, blocking
from nestcut.facts import Fact
from nestcut.geometry.pose import MIRROR, move_points, move_shape
from nestcut.joints.curved.division import divide_band
from nestcut.joints.division import Cut, Division, Share, divide, overlap_mm, with_allowance
from nestcut.joints.kinds import KINDS, Weakness
from nestcut.joints.rules import JoinedPart, Neighbour, check_positions, distances
from nestcut.joints.straps import strap_parts
from nestcut.model.joint import Face, Joint, JointEnd, JointRule
from nestcut.model.part import Hand, Hands, SheetPart
from nestcut.model.piece import SheetPiece, piece_id, terms_of

_HANDS: dict[Hands, tuple[Hand | None, ...]] = {
    Hands.NONE: (None,),
    Hands.PAIR: (Hand.PORT, Hand.STARBOARD),
    Hands.PORT: (Hand.PORT,),
    Hands.STARBOARD: (Hand.STARBOARD,),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class SplitPart:
    """What becomes of a divided part.

    ``pieces`` is empty where ``findings`` holds one that forbids the division.  ``straps`` are
    parts of their own that the plan has to make too.
    """

    pieces: tuple[SheetPiece, ...]
    joints: tuple[Joint, ...] = ()
    straps: tuple[SheetPart, ...] = ()
    findings: tuple[Finding, ...] = ()


def hand_copies(part: SheetPart) -> tuple[tuple[Hand | None, int], ...]:
    """Return every (hand, number) that a part is made in."""
    return tuple(
        (hand, number) for number in range(1, part.count + 1) for hand in _HANDS[part.hands]
    )


def whole_pieces(part: SheetPart) -> tuple[SheetPiece, ...]:
    """Return the pieces of a part that isn't divided: one for every hand and copy."""
    share = Share(shape=with_allowance(part), net=part.shape)
    return tuple(
        _piece(part, hand=hand, copy=copy, shares=(share,), number=1, ends=())
        for hand, copy in hand_copies(part)
    )


def split_part(
    part: SheetPart,
    at_mm: tuple[float, ...],
    twin_at_mm: tuple[float, ...] | None = None,
    neighbours: tuple[Neighbour, ...] = (),
) -> SplitPart:
    """Divide a part at given joint positions.

    Parameters
    ----------
    part
        A part with a joint rule.
    at_mm
        Middle of each overlap from the reference end, rising. [mm]
    twin_at_mm
        Positions for the hand that isn't drawn, where they differ.
    neighbours
        Parts that this one is to be staggered with, and where their joints are. The part's own
        twin needn't be named.

    Raises
    ------
    ValueError
        If the part has no joint rule.
    """
    rule = part.joint
    if rule is None:
        raise ValueError(f"{part.name} has no joint rule")
    if not at_mm and not twin_at_mm:
        return SplitPart(pieces=whole_pieces(part))
    way = divide if part.width_along_mm is None else divide_band
    drawn = way(part, rule, at_mm)
    twin = drawn if twin_at_mm in (None, at_mm) else way(part, rule, twin_at_mm or ())
    straps, strap_findings = _straps(part, rule, at_mm, twin_at_mm)
    findings = (*drawn.findings, *(twin.findings if twin is not drawn else ()), *strap_findings)
    if blocking(findings):
        return SplitPart(pieces=(), findings=findings)
    sides = {True: (drawn, at_mm), False: (twin, twin_at_mm or at_mm)}
    near = {
        is_drawn: (*neighbours, *_twin(part, rule, sides[not is_drawn][1])) for is_drawn in sides
    }
    for is_drawn in (True,) if twin is drawn else (True, False):
        joined = _joined(part, rule, sides[is_drawn][0])
        findings += check_positions(joined, sides[is_drawn][1], near[is_drawn])
    pieces: list[SheetPiece] = []
    joints: list[Joint] = []
    for hand, copy in hand_copies(part):
        is_drawn = not _is_image(part, hand)
        division = sides[is_drawn][0]
        made = _joints(part, rule, division, hand, copy)
        joined = _joined(part, rule, division)
        made = [_judged(joint, joined, near[is_drawn]) for joint in made]
        joints += made
        for number in range(1, len(division.shares) + 1):
            ends = _ends(part, rule, division.cuts, made, number)
            piece = _piece(
                part, hand=hand, copy=copy, shares=division.shares, number=number, ends=ends
            )
            pieces.append(piece)
    return SplitPart(pieces=tuple(pieces), joints=tuple(joints), straps=straps, findings=findings)


def planed_faces(rule: JointRule) -> tuple[Face | None, Face | None]:
    """Return which face is worked on the piece nearer the reference end, and on the other."""
    return KINDS[rule.kind].planed(rule)


def _joined(part: SheetPart, rule: JointRule, division: Division) -> JoinedPart:
    return JoinedPart(
        name=part.name,
        length_mm=division.length_mm,
        overlap_mm=overlap_mm(rule, part.thickness_mm),
        rule=rule,
        allowance_mm=part.allowance_mm,
        reach_mm=KINDS[rule.kind].reach_mm(rule, part.thickness_mm),
    )


def _twin(part: SheetPart, rule: JointRule, at_mm: tuple[float, ...]) -> tuple[Neighbour, ...]:
    """Return a part's other hand as its neighbour, where the two are to be staggered."""
    if part.hands is not Hands.PAIR or rule.stagger_mm <= 0.0:
        return ()
    return (Neighbour(name="its twin", at_mm=at_mm),)


def _judged(joint: Joint, part: JoinedPart, neighbours: tuple[Neighbour, ...]) -> Joint:
    """Return a joint with the rules that it breaks by itself, and its distances."""
    alone = replace(part, rule=replace(part.rule, min_piece_mm=0.0, max_joints=None))
    found = check_positions(alone, (joint.at_mm,), neighbours)
    return replace(
        joint,
        rule_findings=tuple(Fact(f.code, f.values) for f in found),
        distances=(
            ("the part's other end", part.length_mm - joint.at_mm),
            ("the end of either piece", joint.overlap_mm / 2.0),
            *distances(part, joint.at_mm, neighbours),
        ),
    )


def _straps(
    part: SheetPart,
    rule: JointRule,
    at_mm: tuple[float, ...],
    twin_at_mm: tuple[float, ...] | None,
) -> tuple[tuple[SheetPart, ...], tuple[Finding, ...]]:
    if twin_at_mm is None or twin_at_mm == at_mm or part.hands is not Hands.PAIR:
        is_twin = part.hands not in {Hands.PAIR, Hands.NONE} and part.hands != part.drawn.value
        own = twin_at_mm if is_twin and twin_at_mm is not None else at_mm
        return strap_parts(part, rule, own, part.hands)
    other = Hand.PORT if part.drawn is Hand.STARBOARD else Hand.STARBOARD
    first, found = strap_parts(part, rule, at_mm, Hands(part.drawn.value), f" {part.drawn}")
    second, more = strap_parts(part, rule, twin_at_mm, Hands(other.value), f" {other}")
    return (*first, *second), (*found, *more)


def _piece(
    part: SheetPart,
    *,
    hand: Hand | None,
    copy: int,
    shares: tuple[Share, ...],
    number: int,
    ends: tuple[JointEnd, ...],
) -> SheetPiece:
    share = shares[number - 1]
    shape, net, grain_deg = share.shape, share.net, share.grain_deg
    if _is_image(part, hand):
        shape, net, grain_deg = move_shape(shape, MIRROR), move_shape(net, MIRROR), -grain_deg
    own: dict[str, Any] = {"shape": shape, "grain_deg": grain_deg}
    if share.small_angle_deg is not None:
        own["small_angle_deg"] = share.small_angle_deg
    return SheetPiece(
        id=piece_id(part.name, hand, copy, number, len(shares)),
        part=part.name,
        hand=hand,
        copy=copy,
        share=number,
        n_shares=len(shares),
        net=net,
        ends=ends,
        **(terms_of(part) | own),
    )


def _is_image(part: SheetPart, hand: Hand | None) -> bool:
    """Whether a piece of this hand is the mirror image of the drawing."""
    return hand is not None and hand is not part.drawn


def _joints(
    part: SheetPart, rule: JointRule, division: Division, hand: Hand | None, copy: int
) -> list[Joint]:
    n = len(division.shares)
    stem = piece_id(part.name, hand, copy, 1, 1)
    return [
        Joint(
            id=f"{stem} joint {number}",
            number=number,
            part=part.name,
            hand=None if hand is None else hand.value,
            copy=copy,
            kind=rule.kind,
            slope=rule.slope,
            thickness_mm=part.thickness_mm,
            at_mm=cut.at_mm,
            overlap_mm=cut.overlap_mm,
            part_length_mm=division.length_mm,
            pieces=(
                piece_id(part.name, hand, copy, number, n),
                piece_id(part.name, hand, copy, number + 1, n),
            ),
            planed=planed_faces(rule),
            axis=rule.axis,
            word=rule.word,
            is_weak=KINDS[rule.kind].weakness(rule) is not Weakness.NONE,
        )
        for number, cut in enumerate(division.cuts, start=1)
    ]


def _ends(
    part: SheetPart,
    rule: JointRule,
    cuts: tuple[Cut, ...],
    joints: list[Joint],
    number: int,
) -> tuple[JointEnd, ...]:
    """Return what the share with this number carries of its joints, the near one first."""
    near, far = planed_faces(rule)[1], planed_faces(rule)[0]
    ends = []
    for index, planed in ((number - 2, near), (number - 1, far)):
        if not 0 <= index < len(cuts):
            continue
        first, last = cuts[index].line
        hand = joints[index].hand
        if _is_image(part, None if hand is None else Hand(hand)):
            first, last = move_points((first, last), MIRROR)
        ends.append(
            JointEnd(
                joint=joints[index].id,
                kind=rule.kind,
                line=(first, last),
                planed=planed,
                overlap_mm=cuts[index].overlap_mm,
            )
        )
    return tuple(ends)
