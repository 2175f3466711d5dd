"""Which way a piece stands in the boat, told on the sheet it lies on.

Whoever marks a piece has the sheet's drawing before them, so directions are those of the drawing:
``FWD to the left``.  Where a face looks forward, up or outward, the face that is up on the sheet
is told.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from nestcut.geometry.polygons import bounds_mm
from nestcut.geometry.pose import move_points, move_vector
from nestcut.model.curves import Point
from nestcut.model.part import Bearings, Hand, Hands, Outside, Towards
from nestcut.model.shape import Shape
from nestcut.papers.view.piece_words import PENCIL_BACK
from nestcut.papers.view.placed import PlacedPiece
from nestcut.papers.view.rows import (
    PlanView,
)
from nestcut.papers.view.sizes import fold_axis

_WAYS: dict[Towards, Point] = {
    Towards.RIGHT: (1.0, 0.0),
    Towards.LEFT: (-1.0, 0.0),
    Towards.TOP: (0.0, 1.0),
    Towards.BOTTOM: (0.0, -1.0),
}
_SIDES = (
    "right",
    "top right",
    "top",
    "top left",
    "left",
    "bottom left",
    "bottom",
    "bottom right",
)
_FACES = {Towards.GOOD: True, Towards.BACK: False}
STANDS_SHARE = 0.5
"""FWD and UP that run so much askew of each other tell the side that is in sight. [-]"""
LONG_MM = 600.0
"""A handed part so long is asked for its forward end. [mm]"""


@dataclass(frozen=True, slots=True)
class Stance:
    """How a piece stands; unit vectors are those of the sheet's drawing."""

    forward: Point | None = None
    up: Point | None = None
    seen: str = ""
    """Which face of the piece is in sight on the sheet: ``forward face``, ``outside``."""
    hidden: str = ""
    """Which one is underneath."""

    @property
    def words(self) -> tuple[str, ...]:
        """All of it, for tables: ``FWD to the left``."""
        pairs = (("FWD", self.forward), ("UP", self.up))
        told = tuple(f"{name} to the {side_word(way)}" for name, way in pairs if way is not None)
        return (*told, f"you see the {self.seen}") if self.seen else told


def stance_of(placed: PlacedPiece) -> Stance:
    """How a piece stands in the boat, as far as the job says."""
    if placed.part is None:
        return Stance()
    own = bearings_of(placed)
    good, back = _faces_of(own)
    seen, hidden = (good, back) if placed.is_face_up else (back, good)
    forward, up = _way(placed, own.forward), _way(placed, own.up)
    if not seen and placed.piece.hand is not None and placed.is_face_told:
        seen, hidden = _sides(forward, up, placed.piece.hand)
    return Stance(forward, up, seen, hidden)


def _sides(forward: Point | None, up: Point | None, hand: Hand) -> tuple[str, str]:
    """Which side of a piece that stands along the boat is in sight, and which is underneath.

    A piece to starboard of which one sees the face to port would sound like the wrong hand: it is
    the inboard one.

    Whoever sees its bow to the left and its upper edge above stands on its port side.
    """
    turn = 0.0 if forward is None or up is None else forward[0] * up[1] - forward[1] * up[0]
    if abs(turn) < STANDS_SHARE:
        return "", ""
    sides = (Hand.PORT, Hand.STARBOARD) if turn < 0.0 else (Hand.STARBOARD, Hand.PORT)
    seen, hidden = (
        f"{'outboard' if side is hand else 'inboard'} face (to {side.value})" for side in sides
    )
    return seen, hidden


def _faces_of(own: Bearings) -> tuple[str, str]:
    """Where a part's good face looks, and its back, as far as is said: one word says it."""
    for towards, names in (
        (own.forward, ("forward face", "after face")),
        (own.up, ("upper face", "lower face")),
    ):
        if towards in _FACES:
            return names if _FACES[towards] else names[::-1]
    if own.outside is Outside.UNSAID:
        return "", ""
    return ("outside", "inside") if own.outside is Outside.GOOD else ("inside", "outside")


def face_words(placed: PlacedPiece) -> tuple[str, ...]:
    """How a piece stands, and what to pencil on the face in sight where that is its back."""
    stance = stance_of(placed)
    if not (placed.is_face_told and not placed.is_face_up):
        return stance.words
    seen, hidden = (f" ({w})" if w else "" for w in (stance.seen, stance.hidden))
    told = f"{PENCIL_BACK} on the face you see{seen}: GOOD{hidden} is underneath"
    return (told, *replace(stance, seen="").words)


def has_unsaid_face(placed: PlacedPiece) -> bool:
    """Whether a handed piece must show one face and nobody has said where that looks."""
    if placed.piece.hand is None or not placed.is_face_told or stance_of(placed).seen:
        return False
    return all(fold_axis(placed.piece.shape, is_level=level) is None for level in (True, False))


def bearings_of(placed: PlacedPiece) -> Bearings:
    """Bearings in the piece's own frame: turned for the hand that isn't drawn."""
    part, piece = placed.part, placed.piece
    if part is None:
        return Bearings()
    is_turned = piece.hand is not None and piece.hand is not part.drawn
    return part.bearings.turned if is_turned else part.bearings


def _way(placed: PlacedPiece, towards: Towards) -> Point | None:
    if towards not in _WAYS:
        return None
    return move_vector(_WAYS[towards], placed.placement)


def side_word(way: Point) -> str:
    """Name a direction on a drawing: ``left``, ``top right``."""
    return _SIDES[round(math.degrees(math.atan2(way[1], way[0])) / 45.0) % 8]


def centre_line(placed: PlacedPiece) -> tuple[Point, Point] | None:
    """Centre line of a part that stands across the boat's own, on the sheet; None if it has none.

    A part in one hand alone that is the same on both sides of a line along the boat, or upright.
    """
    part = placed.part
    if part is None or part.hands is not Hands.NONE or placed.piece.n_shares > 1:
        return None
    along = next((t for t in (part.bearings.forward, part.bearings.up) if t in _WAYS), None)
    if along is None:
        return None
    line = fold_axis(placed.piece.shape, is_level=abs(_WAYS[along][0]) > 0.5)
    if line is None:
        return None
    a, b = move_points(line, placed.placement)
    return a, b


def matters_to_ask(view: PlanView) -> tuple[str, ...]:
    """Names of parts whose forward end matters and isn't said: joined ones, long handed ones."""
    parts = {p.name: p for p in view.verified.job.sheet_parts}
    joined: set[str] = {p.part for p in view.verified.plan.pieces if p.n_shares > 1}
    asked = [
        name
        for name, part in parts.items()
        if part.bearings.forward is Towards.UNSAID
        and part.bearings.up is Towards.UNSAID
        and (name in joined or (part.hands is Hands.PAIR and _length_mm(part.shape) >= LONG_MM))
    ]
    return tuple(asked)


def _length_mm(shape: Shape) -> float:
    x0, y0, x1, y1 = bounds_mm(shape.outline.points)
    return max(x1 - x0, y1 - y0)
