"""One rule for the names of pieces, in words, the same on every page, label, drawing and list."""

from __future__ import annotations

from nestcut.model.job import Job
from nestcut.model.part import RailPart, SheetPart
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.model.plan import Plan

AnyPiece = SheetPiece | RailPiece


def share_letter(share: int) -> str:
    """Letter of a joined part's piece, counted from its reference end: A, B, .. Z, A2, ..."""
    rounds, letter = divmod(share - 1, 26)
    return "ABCDEFGHIJKLMNOPQRSTUVWXYZ"[letter] + (str(rounds + 1) if rounds else "")


def tail_words(piece: AnyPiece, count: int) -> tuple[str, ...]:
    """What follows the part's name: hand, which one of several, which piece of a joined part.

    Parameters
    ----------
    count
        How many there are of its part and hand.
    """
    words = []
    if piece.hand is not None:
        words.append(piece.hand.value)
    if count > 1:
        words.append(f"no. {piece.copy} of {count}")
    if piece.n_shares > 1:
        words.append(f"piece {share_letter(piece.share)} of {piece.n_shares}")
    return tuple(words)


def name_in_words(piece: AnyPiece, count: int) -> str:
    """Name a piece so that nothing has to be looked up.

    Returns
    -------
    str
        Such as ``side panel, port, no. 1 of 2, piece B of 3``; what goes without saying is left
        out, so the only thwart is ``thwart``.
    """
    return ", ".join((piece.part, *tail_words(piece, count)))


def names_in_words(job: Job, plan: Plan) -> dict[str, str]:
    """Each piece's name in words by its id."""
    parts: tuple[SheetPart | RailPart, ...] = (*job.sheet_parts, *plan.added_parts, *job.rail_parts)
    counts = {part.name: part.count for part in parts}
    pieces: tuple[AnyPiece, ...] = (*plan.pieces, *plan.rail_pieces)
    return {p.id: name_in_words(p, counts.get(p.part, 1)) for p in pieces}


def code_of(piece: AnyPiece, count: int) -> str:
    """What plan files write after the part's name, ``P1 2/3``; nothing for an only piece."""
    if count == 1 and piece.n_shares == 1 and piece.hand is None:
        return ""
    return piece.id.removeprefix(piece.part).strip()
