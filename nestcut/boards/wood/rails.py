"""Rails one by one: every copy of every hand, and the pieces and joints it is divided into."""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.boards.wood.problem import strip_nm
from nestcut.joints.kinds import KINDS, Weakness
from nestcut.joints.split import planed_faces
from nestcut.model.joint import Joint, JointEnd
from nestcut.model.part import Hand, Hands, RailPart
from nestcut.model.piece import RailPiece, piece_id
from nestcut.model.stock import BoardStock


@dataclass(frozen=True, slots=True, kw_only=True)
class Rail:
    """One rail of the boat: a copy of a part, of one hand."""

    part: RailPart
    hand: Hand | None
    copy: int

    @property
    def id(self) -> str:
        """Name of the whole rail."""
        return piece_id(self.part.name, self.hand, self.copy, 1, 1)

    @property
    def section(self) -> tuple[float, float]:
        """Thickness and width as sawn. [mm]"""
        return self.part.sawn_mm

    @property
    def is_free(self) -> bool:
        """Whether it may be joined anywhere that its rule allows."""
        return self.part.joint is not None and self.part.joint.at_mm is None

    @property
    def overlap_mm(self) -> float:
        """What two of its pieces share; 0 for joints without overlap. [mm]"""
        return overlap_of(self.part)


Positions = dict[Rail, tuple[float, ...]]
"""Middles of the overlaps of every rail. [mm]"""


def overlap_of(part: RailPart) -> float:
    """Overlap of a rail's joints, of its thickness and rule. [mm]"""
    rule = part.joint
    return 0.0 if rule is None else KINDS[rule.kind].overlap_mm(rule, part.thickness_mm)


def is_cut_from(part: RailPart, stock: BoardStock) -> bool:
    """Whether a rail can be ripped from a board, however long both are."""
    section = (part.thickness_mm, part.width_mm)
    return part.material == stock.material and strip_nm(section, stock) is not None


def single_rails(parts: tuple[RailPart, ...]) -> tuple[Rail, ...]:
    """Every copy of every part, port before starboard."""
    hands: dict[Hands, tuple[Hand | None, ...]] = {
        Hands.NONE: (None,),
        Hands.PAIR: (Hand.PORT, Hand.STARBOARD),
        Hands.PORT: (Hand.PORT,),
        Hands.STARBOARD: (Hand.STARBOARD,),
    }
    return tuple(
        Rail(part=part, hand=hand, copy=copy)
        for part in parts
        for copy in range(1, part.count + 1)
        for hand in hands[part.hands]
    )


def divide_rail(
    rail: Rail, at_mm: tuple[float, ...]
) -> tuple[tuple[RailPiece, ...], tuple[Joint, ...]]:
    """Divide a rail at the middles of its overlaps, rising from the reference end.

    Inner ends carry half an overlap beyond the middle; the rail's own ends carry the allowance.
    """
    part, rule = rail.part, rail.part.joint
    if rule is None:
        at_mm = ()
    overlap = rail.overlap_mm
    n = len(at_mm) + 1
    names = [piece_id(part.name, rail.hand, rail.copy, k, n) for k in range(1, n + 1)]
    joints = tuple(
        Joint(
            id=f"{rail.id} joint {k + 1}",
            number=k + 1,
            part=part.name,
            hand=None if rail.hand is None else rail.hand.value,
            copy=rail.copy,
            kind=rule.kind,
            slope=rule.slope,
            thickness_mm=part.thickness_mm,
            at_mm=at,
            overlap_mm=overlap,
            part_length_mm=part.length_mm,
            pieces=(names[k], names[k + 1]),
            planed=planed_faces(rule),
            word=rule.word,
            is_weak=KINDS[rule.kind].weakness(rule) is not Weakness.NONE,
        )
        for k, at in enumerate(at_mm)
        if rule is not None
    )
    pieces = []
    for k, name in enumerate(names):
        start = 0.0 if k == 0 else at_mm[k - 1] - overlap / 2.0
        stop = part.length_mm if k == n - 1 else at_mm[k] + overlap / 2.0
        before = part.allowance_mm if k == 0 else 0.0
        after = part.allowance_mm if k == n - 1 else 0.0
        pieces.append(
            RailPiece(
                id=name,
                part=part.name,
                hand=rail.hand,
                copy=rail.copy,
                share=k + 1,
                n_shares=n,
                material=part.material,
                thickness_mm=part.thickness_mm,
                width_mm=part.width_mm,
                length_mm=stop - start + before + after,
                from_mm=start,
                to_mm=stop,
                ends=_ends(joints, k, start - before, part.width_mm),
                note=part.note,
                planed_from_mm=part.planed_from_mm,
            )
        )
    return tuple(pieces), joints


def _ends(
    joints: tuple[Joint, ...], share: int, start_mm: float, width_mm: float
) -> tuple[JointEnd, ...]:
    """Return what a piece carries of its joints; lines in its own frame, x from its first end."""
    found = []
    for index, face in ((share - 1, 1), (share, 0)):
        if 0 <= index < len(joints):
            joint = joints[index]
            x = joint.at_mm - start_mm
            found.append(
                JointEnd(
                    joint=joint.id,
                    kind=joint.kind,
                    line=((x, 0.0), (x, width_mm)),
                    planed=joint.planed[face],
                    overlap_mm=joint.overlap_mm,
                )
            )
    return tuple(found)
