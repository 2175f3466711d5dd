"""Which turns and faces a piece may take on a sheet.

The piece's frame has its grain along x or y (or anywhere); the sheet's face grain runs along x or
y of the sheet.  The turn that lays one along the other is the base; the piece's turning rule says
how far it may be turned from there.  Turning a piece over reflects x -> -x first, which leaves
the direction of its grain alone.
"""

from __future__ import annotations

from nestcut.model.part import Faces, Grain, Turning
from nestcut.model.piece import SheetPiece
from nestcut.model.pose import Lie
from nestcut.model.stock import GoodFaces, SheetGrain, SheetStock
from nestcut.nesting.problem import FREE, Turns


def base_turn_deg(grain: Grain, sheet_grain: SheetGrain) -> float:
    """Turn that lays the piece's grain along the sheet's. [deg]

    Where the grain doesn't matter the drawing's x lies along the sheet's x.
    """
    if grain is Grain.ANY:
        return 0.0
    along = (grain is Grain.ALONG) == (sheet_grain is SheetGrain.ALONG_LENGTH)
    return 0.0 if along else 90.0


def allowed_turns(piece: SheetPiece, sheet_grain: SheetGrain) -> Turns:
    """Turns that the piece may take on a sheet whose grain runs so."""
    base = base_turn_deg(piece.grain, sheet_grain) - piece.grain_deg
    match piece.turning:
        case Turning.NONE:
            return Turns(centres_deg=(base,))
        case Turning.HALF:
            return Turns(centres_deg=(base, base + 180.0))
        case Turning.QUARTER:
            return Turns(centres_deg=(0.0, 90.0, 180.0, 270.0))
        case Turning.SMALL:
            return Turns(centres_deg=(base, base + 180.0), span_deg=piece.small_angle_deg)
        case Turning.FREE:
            return FREE


def allowed_lies(piece: SheetPiece, good_faces: GoodFaces) -> tuple[Lie, ...]:
    """Whether the piece may lie face down: where either face will do, of it or of the sheet."""
    if piece.grain_deg != 0.0:
        return (Lie.FACE_UP,)  # turned over, its grain would run the other way
    if piece.faces is Faces.EITHER or good_faces is GoodFaces.BOTH:
        return (Lie.FACE_UP, Lie.FACE_DOWN)
    return (Lie.FACE_UP,)


def common_faces(stocks: tuple[SheetStock, ...]) -> GoodFaces:
    """What all sheets of a group offer: both good faces only where each of them has two."""
    both = all(s.good_faces is GoodFaces.BOTH for s in stocks)
    return GoodFaces.BOTH if both else GoodFaces.ONE
