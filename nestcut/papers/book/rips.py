"""Rips of a board as a fence has them: widths from the edge that is left, not marks.

Marks hold only as long as the blade is just as wide as said; widths hold for every blade.
"""

from __future__ import annotations

from nestcut.boards import SawCut, SawWay
from nestcut.papers.view import BoardView
from nestcut.tolerances import VERIFY_MM


def rip_width_mm(board: BoardView, rip: SawCut) -> float:
    """How far a rip lies from the edge that the fence runs along: the lower one of what is left."""
    below = [
        c.begins_mm if c.begins_mm is not None else c.at_mm + board.kerf_mm
        for c in _round(board, rip)
        if c.at_mm < rip.at_mm
    ]
    return rip.at_mm - max(below, default=0.0)


def comes_off(board: BoardView, rip: SawCut) -> frozenset[str]:
    """Ids of the pieces between the fence and the blade of a rip."""
    return frozenset(
        c.piece
        for c in board.parted
        if c.piece in rip.pieces and c.rip_to_mm <= rip.at_mm + VERIFY_MM
    )


def is_left_over(board: BoardView, rip: SawCut) -> bool:
    """Whether what lies beyond a rip takes its width from the board as it was bought."""
    rest = rip.pieces - comes_off(board, rip)
    is_ripped_again = any(
        c.way is SawWay.RIP and rest <= c.pieces and c.at_mm > rip.at_mm for c in board.saw_cuts
    )
    return not is_ripped_again


def _round(board: BoardView, rip: SawCut) -> list[SawCut]:
    """Other rips through wood that a rip's own pieces lay in."""
    return [
        c for c in board.saw_cuts if c is not rip and c.way is SawWay.RIP and rip.pieces <= c.pieces
    ]
