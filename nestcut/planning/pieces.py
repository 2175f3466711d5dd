"""Parts to pieces: whole ones, and those divided at given positions."""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.errors import Finding
from nestcut.facts import Fact
from nestcut.joints.split import split_part, whole_pieces
from nestcut.model.joint import Joint
from nestcut.model.part import SheetPart
from nestcut.model.piece import SheetPiece


@dataclass(frozen=True, slots=True, kw_only=True)
class Pieces:
    """All flat pieces of a job, with the joints and straps that dividing them made."""

    pieces: tuple[SheetPiece, ...]
    joints: tuple[Joint, ...]
    added_parts: tuple[SheetPart, ...] = ()
    findings: tuple[Finding, ...] = ()
    notes: tuple[Fact, ...] = ()


def divide(
    part: SheetPart, at_mm: tuple[float, ...], twin_at_mm: tuple[float, ...] | None = None
) -> Pieces:
    """Divide one part at the given positions; none: it stays whole. Straps come with it.

    ``twin_at_mm``: positions for the hand that isn't drawn, where they differ. [mm]

    Parameters
    ----------
    at_mm
        Positions of joints along the part, rising. [mm]
    twin_at_mm
        Those of the hand that isn't drawn, where they differ. [mm]
    """
    if not at_mm and not twin_at_mm:
        return Pieces(pieces=whole_pieces(part), joints=())
    split = split_part(part, at_mm, twin_at_mm)
    strap_pieces = tuple(p for strap in split.straps for p in whole_pieces(strap))
    return Pieces(
        pieces=(*split.pieces, *strap_pieces),
        joints=split.joints,
        added_parts=split.straps,
        findings=split.findings,
    )


def gather(shares: list[Pieces]) -> Pieces:
    """Put the pieces of several parts together, in their order."""
    return Pieces(
        pieces=tuple(p for s in shares for p in s.pieces),
        joints=tuple(j for s in shares for j in s.joints),
        added_parts=tuple(p for s in shares for p in s.added_parts),
        findings=tuple(f for s in shares for f in s.findings),
        notes=tuple(n for s in shares for n in s.notes),
    )
