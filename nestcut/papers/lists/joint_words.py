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
    told = [(what, mm) for what, mm in joint.distances if mm >= NOT_WORTH_A_LINE_MM]
    return tuple(
        f"{figures.length(_rest_mm(joint, mm, figures))} from {other_end}"
        if what == OTHER_END
        else f"{figures.length(mm)} from {what}"
        for what, mm in told
    )


def _rest_mm(joint: Joint, rest_mm: float, figures: Figures) -> float:
    """What is left of the part behind a joint, such that printed figures add up. [mm]"""
    step_mm = figures.step_mm
    whole, at = (round(v / step_mm) * step_mm for v in (joint.part_length_mm, joint.at_mm))
    return whole - at if abs(whole - at - rest_mm) < step_mm else rest_mm


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
        Word.CHOSEN: "place not from the plans, show it to their designer before you cut",
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
            words = f"grain run-out, {what}: 1:{has:.1f} (no steeper than 1:{limit:g})"
    return words
