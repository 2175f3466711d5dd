"""Rails that no board on the job's list can give, named before any search."""

from __future__ import annotations

from nestcut.boards import divide_rail, single_rails, usable_stretches
from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Length, fact
from nestcut.model.job import Job
from nestcut.model.part import RailPart
from nestcut.model.stock import BoardStock
from nestcut.tolerances import SAME_LENGTH_MM, VERIFY_MM


def rails_without_boards(job: Job) -> tuple[Finding, ...]:
    """Name rails that are wider than their boards, or too long for them with no joint to help.

    Of rails whose joints' places are free only the width is judged; a rail that no board is of the
    material and thickness for is told where stock is matched.
    """
    told = []
    for part in job.rail_parts:
        boards = [b for b in job.board_stocks if _is_thick_as(part, b) and _is_there(b)]
        if not boards:
            continue
        reason = None
        wide = [b for b in boards if _gives(part, b)]
        if not wide:
            one, other = (Length(side) for side in part.sawn_mm)
            reason = fact("BRD-101", material=part.material, one=one, other=other)
        elif part.joint is None or part.joint.at_mm is not None:
            at_mm = () if part.joint is None else part.joint.at_mm or ()
            pieces, _ = divide_rail(single_rails((part,))[0], at_mm)
            needed = max(piece.length_mm for piece in pieces)
            longest = _longest_mm(wide, job.cutting.kerf_mm)
            if needed > longest + VERIFY_MM:
                length = Length(needed)
                reason = fact("BRD-102", length=length, longest=Length(longest))
        if reason is not None:
            told.append(finding("BRD-001", Severity.ERROR, part.name, reason=reason))
    return tuple(told)


def _is_there(stock: BoardStock) -> bool:
    return any(offer.count != 0 for offer in stock.lengths)


def _is_thick_as(part: RailPart, stock: BoardStock) -> bool:
    return part.material == stock.material and any(
        abs(side - stock.thickness_mm) < SAME_LENGTH_MM for side in part.sawn_mm
    )


def _gives(part: RailPart, stock: BoardStock) -> bool:
    """Whether the board is wide enough for the side that its thickness doesn't give."""
    room = stock.width_mm - 2.0 * stock.edge_trim_mm
    one, other = part.sawn_mm
    return any(
        abs(thick - stock.thickness_mm) < SAME_LENGTH_MM and ripped <= room + VERIFY_MM
        for thick, ripped in ((one, other), (other, one))
    )


def _longest_mm(boards: list[BoardStock], kerf_mm: float) -> float:
    """Longest stretch between end trims and defects of all boards that are there. [mm]"""
    stretches = (
        length
        for board in boards
        for offer in board.lengths
        if offer.count != 0
        for _, length in usable_stretches(board, offer, kerf_mm)
    )
    return max(stretches, default=0.0)
