"""Pieces: what is really cut. A part that isn't split is one piece; else each share is one."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

from nestcut.model.joint import JointEnd
from nestcut.model.part import (
    CutFrom,
    Faces,
    Grain,
    Hand,
    HoleUse,
    SheetPart,
    StrapOf,
    Timing,
    Turning,
    sawn_section,
)
from nestcut.model.shape import Shape


def piece_id(part: str, hand: Hand | None, copy: int, share: int, n_shares: int) -> str:
    """Name of a piece: part, hand (P or S), copy and share.

    >>> piece_id("side panel", Hand.PORT, 1, 2, 3)
    'side panel P1 2/3'
    >>> piece_id("thwart", None, 2, 1, 1)
    'thwart 2'

    Parameters
    ----------
    part
        Name of the part.
    hand
        None for a part without hands.
    copy
        Which copy of the part in this hand, from 1.
    share, n_shares
        Which of how many shares of it, from its reference end, from 1.
    """
    letter = "" if hand is None else hand.value[0].upper()
    tail = f" {share}/{n_shares}" if n_shares > 1 else ""
    return f"{part} {letter}{copy}{tail}"


@dataclass(frozen=True, slots=True, kw_only=True)
class SheetPiece:
    """A flat piece.

    Parameters
    ----------
    shape
        What is cut: allowance and joint overlaps included, in the frame of the drawing mirrored
        for the hand (a piece of the hand that isn't drawn is reflected, x -> -x), seen from the
        piece's good face.
    net
        The piece without the allowance; a checker compares the union of nets with the part.
    share, n_shares
        Which share of the part, counted from the reference end, from 1.
    grain_deg
        How far the grain is turned in the piece's frame from where ``grain`` puts it, for the
        pieces of a band along a curve, which each lie their own way on a board. [deg]
    """

    id: str
    part: str
    hand: Hand | None
    copy: int
    share: int
    n_shares: int
    shape: Shape
    net: Shape
    material: str
    thickness_mm: float
    grain: Grain
    turning: Turning
    small_angle_deg: float
    faces: Faces
    hole_use: HoleUse
    cut_from: CutFrom = CutFrom.SHEET
    timing: Timing = Timing.WITH_THE_REST
    ends: tuple[JointEnd, ...] = ()
    note: str = ""
    grain_deg: float = 0.0
    strap_of: StrapOf | None = None


_TERMS = tuple(
    f.name for f in fields(SheetPiece) if f.name in {own.name for own in fields(SheetPart)}
)


def terms_of(part: SheetPart) -> dict[str, Any]:
    """Return what a piece has of its part, by the fields that both have: material, grain, faces.

    The shape is among them: that of a part which isn't divided.
    """
    return {name: getattr(part, name) for name in _TERMS}


@dataclass(frozen=True, slots=True, kw_only=True)
class RailPiece:
    """A straight piece; ``length_mm`` includes allowance and overlaps, each counted once.

    ``from_mm`` and ``to_mm`` say which stretch of the finished rail it covers (overlaps included).
    """

    id: str
    part: str
    hand: Hand | None
    copy: int
    share: int
    n_shares: int
    material: str
    thickness_mm: float
    width_mm: float
    length_mm: float
    from_mm: float
    to_mm: float
    ends: tuple[JointEnd, ...] = ()
    note: str = ""
    planed_from_mm: float | None = None
    """Thickness of the board that one side is planed down from; None: none is. [mm]"""

    @property
    def sawn_mm(self) -> tuple[float, float]:
        """Thickness and width as sawn, before planing. [mm]"""
        return sawn_section(self.thickness_mm, self.width_mm, self.planed_from_mm)
