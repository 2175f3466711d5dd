"""What belongs to one end of a part, and so to the piece that has that end."""

from __future__ import annotations

from nestcut.geometry.polygons import bounds_mm
from nestcut.geometry.pose import MIRROR, move_points
from nestcut.model.part import SheetPart, Towards
from nestcut.model.piece import SheetPiece
from nestcut.tolerances import SAME_LENGTH_MM

_FAR = {Towards.RIGHT: True, Towards.TOP: True, Towards.LEFT: False, Towards.BOTTOM: False}
"""Whether the forward end is the one with the greater x, or y."""
_LEVEL = frozenset({Towards.RIGHT, Towards.LEFT})


def end_notes(piece: SheetPiece, part: SheetPart) -> tuple[str, ...]:
    """Notes for the ends of its part that a piece has; all where nobody says which is forward."""
    told = ((part.forward_note, True), (part.after_note, False))
    return tuple(note for note, is_fore in told if note and _has_end(piece, part, is_fore=is_fore))


def _has_end(piece: SheetPiece, part: SheetPart, *, is_fore: bool) -> bool:
    is_far = _FAR.get(part.bearings.forward)
    if is_far is None or piece.n_shares == 1:
        return True
    is_mirrored = piece.hand is not None and piece.hand is not part.drawn
    points = piece.net.outline.points
    own = bounds_mm(move_points(points, MIRROR) if is_mirrored else points)
    whole = bounds_mm(part.shape.outline.points)
    k = 0 if part.bearings.forward in _LEVEL else 1
    k += 2 if is_far is is_fore else 0
    return abs(own[k] - whole[k]) < SAME_LENGTH_MM
