"""The words that stand on and beside a piece, the same on every paper."""

from __future__ import annotations

from collections.abc import Sequence

from nestcut.joints.kinds import KINDS
from nestcut.model.joint import Face, Joint, JointEnd, JointKind, Word
from nestcut.model.part import End, Grain, RailPart, SheetPart, Timing
from nestcut.model.piece import RailPiece
from nestcut.model.shape import Mark, MarkUse
from nestcut.papers.view.figures import Figures
from nestcut.papers.view.placed import EndView, PlacedPiece
from nestcut.papers.view.rows import (
    BoardPiece,
    PlanView,
)
from nestcut.units import format_slope
from nestcut.words.joint_kinds import JOINT_WORDS
from nestcut.words.piece_names import name_in_words, tail_words

ONE_FACE = {Face.GOOD: "the good face", Face.BACK: "the back"}
_PLANE = {Face.GOOD: "plane GOOD face", Face.BACK: "plane BACK", None: "scarf"}


def shown_name(placed: PlacedPiece) -> str:
    """Name in words, as everywhere: ``side panel, port, piece A of 3``."""
    return name_in_words(placed.piece, placed.count)


def rail_name(view: BoardPiece) -> str:
    """As :func:`shown_name`, for a rail's piece."""
    return name_in_words(view.piece, view.part.count if view.part else 1)


def which_one(placed: PlacedPiece) -> str:
    """What follows the part's name: ``port, no. 1 of 2, piece A of 3``."""
    return ", ".join(tail_words(placed.piece, placed.count))


def which_rail(view: BoardPiece) -> str:
    """As :func:`which_one`, for a rail."""
    return ", ".join(tail_words(view.piece, view.part.count if view.part else 1))


def joint_words(end: EndView, figures: Figures) -> str:
    """What is to be done at a joint end, with its short name first."""
    state = state_words(end)
    if KINDS[end.kind].has_angle:
        face = ONE_FACE[end.planed] if end.planed else "one face"
        return (
            f"{end.key} scarf {format_slope(end.slope)} = {end.angle_deg:.1f}°, "
            f"{figures.fine(end.overlap_mm)} long, plane {face}{state}"
        )
    if KINDS[end.kind].laps and end.planed:
        long = figures.fine(end.overlap_mm)
        verb = _verb(end.kind)
        return f"{end.key} {end.kind.value}, {long} long, {verb} {ONE_FACE[end.planed]}{state}"
    return f"{end.key} {end.kind.value}{state}"


def state_words(joint: EndView | Joint) -> str:
    """What follows a joint's words where its place isn't the plans', or where it is weak."""
    chosen = ", place chosen: see Joints first" if joint.word is Word.CHOSEN else ""
    return f"{chosen}, WEAK" if joint.is_weak else chosen


def _verb(kind: JointKind) -> str:
    return JOINT_WORDS[kind].verb


def _worked(kind: JointKind, face: Face | None) -> str:
    """What is done to which face, in capitals; empty for joints that work none."""
    return "" if face is None else f"  {_verb(kind)} {_PLANE[face].removeprefix('plane ')}"


def joint_words_short(end: EndView) -> str:
    """The same for narrow places."""
    return f"{joint_work_words(end)}{state_words(end)}"


def joints_words_short(ends: Sequence[EndView]) -> tuple[str, ...]:
    """The same for all joint ends of a piece: what they have in common is said once."""
    if len(ends) < 2 or not all(e.word is Word.CHOSEN for e in ends):
        return tuple(joint_words_short(e) for e in ends)
    weak = (f"{joint_work_words(e)}{', WEAK' * e.is_weak}" for e in ends)
    return *weak, "places chosen: see Joints first"


def joint_work_words(end: EndView) -> str:
    """The same without that it is weak: where only that has room."""
    if KINDS[end.kind].has_angle:
        return f"{end.key}  {format_slope(end.slope)}  {_PLANE[end.planed]}"
    return f"{end.key}  {end.kind.value}{_worked(end.kind, end.planed)}"


def rail_joint_words(end: JointEnd, view: PlanView) -> str:
    """As :func:`joint_words_short`, for an end of a rail."""
    key = view.joint_keys.get(end.joint, end.joint)
    joint = next((j for _, j in view.joints if j.id == end.joint), None)
    state = state_words(joint) if joint else ""
    if not KINDS[end.kind].has_angle:
        return f"{key}  {end.kind.value}{_worked(end.kind, end.planed)}{state}"
    slope = format_slope(joint.slope) if joint else "scarf"
    return f"{key}  {slope}  {_PLANE[end.planed]}{state}"


CUT_WORDS = "CUT ALREADY"
"""What is said of a piece that lay cut when the plan was made."""


def rail_words(cut: BoardPiece, view: PlanView, figures: Figures) -> tuple[str, ...]:
    """What is to be done at the ends of a rail's piece: joints, angles, what is left to trim."""
    words = [CUT_WORDS] if view.is_cut(cut.piece.id) else []
    words += [planing_words(cut.piece, figures)]
    words += [rail_joint_words(end, view) for end in cut.piece.ends]
    words += [rail_forward_words(cut)]
    if cut.part is not None:
        words += [rail_angle_words(cut.part.end_angles_deg)]
        words += [rail_allowance_words(cut.piece, cut.part.allowance_mm, figures)]
    return tuple(w for w in words if w)


def rail_forward_words(cut: BoardPiece) -> str:
    """Where the bow lies for a piece of a joined rail, as it lies in its board."""
    if cut.part is None or cut.piece.n_shares == 1:
        return ""
    ways = {End.FAR: "FWD to the right", End.START: "FWD to the left"}
    return ways.get(cut.part.bow, "bow at either end, the same for all its pieces")


def rail_angle_words(angles_deg: tuple[float, float]) -> str:
    """Angles at which a rail's ends are cut, unless both are square."""
    square = (90.0, 90.0)
    return "" if angles_deg == square else f"ends {angles_deg[0]:g}° and {angles_deg[1]:g}°"


def planing_words(piece: RailPiece | RailPart, figures: Figures) -> str:
    """How a rail's section comes out of a thicker board: ``plane 20 to 18 mm``; mostly nothing."""
    if piece.planed_from_mm is None:
        return ""
    finished, sawn = (piece.thickness_mm, piece.width_mm), piece.sawn_mm
    to = next((f for f, s in zip(finished, sawn, strict=True) if f != s), finished[0])
    began = figures.thickness(piece.planed_from_mm).removesuffix(" mm")
    return f"plane {began} to {figures.thickness(to)}"


def rail_allowance_words(piece: RailPiece, allowance_mm: float, figures: Figures) -> str:
    """What is left at those ends of a piece that are the rail's own, where anything is.

    Parameters
    ----------
    allowance_mm
        What is left at each end of the rail to trim. [mm]
    """
    if allowance_mm <= 0 or len(piece.ends) > 1:
        return ""
    where = "at the other end" if piece.ends else "at each end"
    return f"{figures.fine(allowance_mm)} to trim {where}"


PENCIL_BACK = "PENCIL BACK"
"""Of a piece whose good face is underneath: all others have GOOD pencilled on the face in sight."""


def warnings_for(placed: PlacedPiece) -> tuple[str, ...]:
    """What must not be missed at the saw, shortest first."""
    words = []
    if placed.is_face_told and not placed.is_face_up:
        words.append(PENCIL_BACK)
    if placed.piece.timing is Timing.AFTER_DRY_FIT:
        words.append("CUT AFTER DRY FIT")
    return tuple(words)


def allowance_words(placed: PlacedPiece, figures: Figures) -> str:
    """What is left oversize, where anything is."""
    if placed.part is None or placed.part.allowance_mm <= 0:
        return ""
    where = "all round, not at joints" if placed.ends else "all round"
    holes = ", not in its hole" + "s" * (len(placed.shape.holes) > 1) if placed.shape.holes else ""
    return f"{figures.fine(placed.part.allowance_mm)} to trim {where}{holes}"


def grain_words(placed: PlacedPiece) -> str:
    """Whose word it is where the face grain runs across a piece's length."""
    if placed.part is None or not placed.is_across:
        return ""
    if placed.part.grain is Grain.ANY:
        return "grain across the length, as allowed"
    return "grain across the length, as asked"


FORWARD, AFT = "(fwd)", "(aft)"
"""Behind a line's name: on which side of it the frame stands."""


def line_name(label: str, part: SheetPart | None) -> str:
    """Name of a line marked on a part, with the side on which its frame stands, where it is said.

    Parameters
    ----------
    label
        As the drawing or the job has it.
    """
    if part is not None and label in part.stands_forward:
        return f"{label} {FORWARD}"
    return f"{label} {AFT}" if part is not None and label in part.stands_aft else label


def has_sides(part: SheetPart | None) -> bool:
    """Whether it is said of a part's lines on which side of them something stands."""
    return part is not None and bool(part.stands_forward or part.stands_aft)


def is_trim_line(mark: Mark) -> bool:
    """Whether a mark is a part's net outline inside its allowance."""
    return mark.use is MarkUse.TRIM
