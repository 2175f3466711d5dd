"""One rule for the names of pieces: in words on lists and tables, short on drawings and labels."""

from __future__ import annotations

from nestcut.model.piece import RailPiece, SheetPiece

AnyPiece = SheetPiece | RailPiece

SHORT_NAMES_EXPLAINED = (
    "Drawings and labels call pieces by short names: P is port, S starboard, then comes which one "
    "of them, then which piece of how many. So P1 2/3 is port, no. 1, piece 2 of 3."
)
"""Printed once beside every list of pieces that have a code."""


def name_in_words(piece: AnyPiece, count: int) -> str:
    """Name a piece so that nothing has to be looked up.

    Parameters
    ----------
    count
        How many there are of its part and hand.

    Returns
    -------
    str
        Such as ``side panel, port, no. 1 of 2, piece 2 of 3``; what goes without saying is left
        out, so the only thwart is ``thwart``.
    """
    words = [piece.part]
    if piece.hand is not None:
        words.append(piece.hand.value)
    if count > 1:
        words.append(f"no. {piece.copy} of {count}")
    if piece.n_shares > 1:
        words.append(f"piece {piece.share} of {piece.n_shares}")
    return ", ".join(words)


def code_of(piece: AnyPiece, count: int) -> str:
    """What a drawing writes after the part's name, ``P1 2/3``; nothing for an only piece."""
    if count == 1 and piece.n_shares == 1 and piece.hand is None:
        return ""
    return piece.id.removeprefix(piece.part).strip()
