"""Joints in words: how far from the ends, how they stand to every rule, seams inside pieces."""

from __future__ import annotations

from nestcut.model.joint import Joint, Measured, Standing, Word
from nestcut.papers.view import Figures
from nestcut.tolerances.lengths import NOT_WORTH_A_LINE_MM
from nestcut.words.piece_names import share_letter

OTHER_END = "the part's other end"
"""How plans call the end that places aren't measured from."""
_PIECES = {
    f"piece {k} of {n}": f"piece {share_letter(k)} of {n}"
    for n in range(2, 27)
    for k in range(1, n + 1)
}
"""Pieces are counted in plans and have letters on paper."""


def end_words(joint: Joint, figures: Figures, other_end: str = OTHER_END) -> tuple[str, ...]:
    """Distances from the part's other end and from the pieces' ends.

    Parameters
    ----------
    other_end
        What the end is called that places aren't measured from.
    """
    return tuple(
        f"{figures.length(mm)} from {other_end if what == OTHER_END else what}"
        for what, mm in joint.distances
        if mm >= NOT_WORTH_A_LINE_MM
    )


def rule_words(joint: Joint, figures: Figures) -> tuple[str, ...]:
    """How the joint stands to every rule that its part has, the broken ones marked."""
    return tuple(
        _words(s, figures) + ("" if s.is_kept or s.measured is Measured.CLEAR_WOOD else " (BROKEN)")
        for s in joint.standings
    )


def word_words(joint: Joint) -> str:
    """Whose word its place is, and that it is weak where the job lets that pass."""
    told = {
        Word.GIVEN: "place given by the job",
        Word.CHOSEN: "place chosen by this program, show it to the designer before you cut",
    }[joint.word]
    return f"{told}; WEAK JOINT, accepted in the job" if joint.is_weak else told


def seam_words(joint: Joint) -> str:
    """Which face is planed on either side of a seam inside a piece, seen on the piece."""
    near, far = ((face.value if face else "matching face") for face in joint.planed)
    return (
        f"inside {joint.pieces[0]}; planed on the {near} towards the reference end, "
        f"on the {far} beyond"
    )


def _words(standing: Standing, figures: Figures) -> str:
    what, has, limit = _PIECES.get(standing.what, standing.what), standing.has, standing.limit
    match standing.measured:
        case Measured.KEEP_CLEAR:
            where = "inside" if has < limit else "clear of"
            kept = f"the {figures.length(2.0 * limit)} kept for " if limit > 0.0 else ""
            words = f"{figures.length(abs(has - limit))} {where} {kept}'{what}'"
        case Measured.STAGGER:
            asked = figures.length(limit)
            words = f"{figures.length(has)} from the joint of {what} ({asked} asked for)"
        case Measured.LEAST_PIECE:
            words = f"{what} is {figures.length(has)} long ({figures.length(limit)} at least)"
        case Measured.CLEAR_WOOD:
            usual = figures.length(limit)
            words = f"{figures.length(has)} of clear wood to the next joint ({usual} is usual)"
        case Measured.MOST_JOINTS:
            words = f"{has:g} of {limit:g} joints allowed"
        case _:
            words = f"grain of {what} runs out 1 in {has:.1f} (1 in {limit:g} at most)"
    return words
