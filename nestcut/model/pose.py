"""Where a thing lies in the plane: one record, whatever lies there and whoever asks.

A pose maps a thing's own frame to the frame that it lies in: reflect x -> -x if it lies face down,
turn counter-clockwise about the origin, shift.  :mod:`nestcut.geometry.pose` moves points and
curves by it; the verifier does so by formulas of its own.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from nestcut.model.curves import Point


class Lie(StrEnum):
    """Which face is up.  A part's other hand is the part lying face down."""

    FACE_UP = "face up"
    FACE_DOWN = "face down"


@dataclass(frozen=True, slots=True)
class Pose:
    """Reflect x -> -x if ``lie`` is face down, turn about the origin, add ``shift_mm``."""

    lie: Lie = Lie.FACE_UP
    turn_deg: float = 0.0
    shift_mm: Point = (0.0, 0.0)

    @property
    def is_face_up(self) -> bool:
        """Whether nothing is reflected."""
        return self.lie is Lie.FACE_UP


@dataclass(frozen=True, slots=True)
class Placement(Pose):
    """Where one flat piece lies on its sheet: a pose, and the piece's id."""

    piece: str = field(kw_only=True)
