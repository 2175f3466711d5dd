"""The words that stand on and beside a piece, the same on every paper."""

from __future__ import annotations

from nestcut.model.joint import Face, JointKind
from nestcut.model.part import Timing
from nestcut.reports.figures import Figures
from nestcut.reports.rows import BoardPiece, EndView, PlacedPiece, hand_word
from nestcut.units import format_slope

ONE_FACE = {Face.GOOD: "the good face", Face.BACK: "the back"}


def shown_name(placed: PlacedPiece) -> str:
    """Name on drawings: the part's alone where it has one piece and no hand, else the id."""
    piece = placed.piece
    is_only = placed.count == 1 and piece.n_shares == 1 and piece.hand is None
    return piece.part if is_only and piece.id == f"{piece.part} 1" else piece.id


def which_one(placed: PlacedPiece) -> str:
    """Hand, copy and share in words: ``PORT · no. 1 of 2 · piece 1 of 3``."""
    piece = placed.piece
    words = [hand_word(piece.hand)]
    if placed.count > 1:
        words.append(f"no. {piece.copy} of {placed.count}")
    if piece.n_shares > 1:
        words.append(f"piece {piece.share} of {piece.n_shares}")
    return " · ".join(w for w in words if w)


def which_rail(view: BoardPiece) -> str:
    """As :func:`which_one`, for a rail."""
    piece = view.piece
    words = [hand_word(piece.hand)]
    if view.part and view.part.count > 1:
        words.append(f"no. {piece.copy} of {view.part.count}")
    if piece.n_shares > 1:
        words.append(f"piece {piece.share} of {piece.n_shares}")
    return " · ".join(w for w in words if w)


def joint_words(end: EndView, figures: Figures) -> str:
    """What is to be done at a joint end, with its short name first."""
    if end.kind is JointKind.SCARF:
        face = ONE_FACE[end.planed] if end.planed else "one face"
        return (
            f"{end.key} scarf {format_slope(end.slope)} = {end.angle_deg:.1f}°, "
            f"{figures.fine(end.overlap_mm)} long, plane {face}"
        )
    return f"{end.key} {end.kind.value}"


def joint_words_short(end: EndView) -> str:
    """The same for narrow places."""
    if end.kind is JointKind.SCARF:
        face = {Face.GOOD: "plane GOOD face", Face.BACK: "plane BACK", None: "scarf"}[end.planed]
        return f"{end.key}  {format_slope(end.slope)}  {face}"
    return f"{end.key}  {end.kind.value}"


def joint_words_angle(end: EndView) -> str:
    """As :func:`joint_words_short`, with the angle of a scarf's cut to the face."""
    if end.kind is JointKind.SCARF:
        slope = format_slope(end.slope)
        return joint_words_short(end).replace(slope, f"{slope} = {end.angle_deg:.1f}°")
    return joint_words_short(end)


def warnings_for(placed: PlacedPiece) -> tuple[str, ...]:
    """What must not be missed at the saw, shortest first."""
    words = []
    if not placed.is_face_up:
        words.append("GOOD FACE DOWN")
    if placed.piece.timing is Timing.AFTER_DRY_FIT:
        words.append("CUT AFTER DRY FIT")
    return tuple(words)


def allowance_words(placed: PlacedPiece, figures: Figures) -> str:
    """What is left oversize, where anything is."""
    if placed.part is None or placed.part.allowance_mm <= 0:
        return ""
    return f"{figures.fine(placed.part.allowance_mm)} left all round to trim"


def bevel_words(placed: PlacedPiece) -> tuple[str, ...]:
    """Edge bevels as the job gives them."""
    return placed.part.bevels if placed.part else ()
