"""What everybody may ask of a kind of joint.

A kind is a record of answers: what both pieces share, what is cut where, which faces are worked,
when it is weaker than practice allows, and how it looks.  Its words stand in ``words/joint_kinds``.
Nobody else tests which kind a joint is.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, StrEnum, auto

from shapely.geometry import Polygon

from nestcut.joints.keys import KeyRow
from nestcut.model.joint import Face, JointRule

Faces = tuple[Face | None, Face | None]
"""The face worked on the piece nearer the reference end, and on the other."""

Profile = tuple[tuple[float, float], ...]
"""An end seen from the side: shares of the overlap and of the thickness, from the lower face up."""


class Weakness(StrEnum):
    """How a joint is weaker than practice allows."""

    NONE = "none"
    STEEP = "steep"
    """Too little glue along the grain for its thickness."""
    NARROW = "narrow"
    """A strap that reaches too little beyond the joint."""


class Picture(Enum):
    """What is shown of how it is made."""

    SIDE = auto()
    """Both ends from the side, apart and together."""
    STRAP = auto()
    KEYS = auto()
    """The joint line from above."""


class NoRail(StrEnum):
    """Why rails aren't joined like this; the value is the finding's code."""

    END_GRAIN = "JNT-112"
    KEYS = "JNT-115"


def no_length(_: JointRule, __: float) -> float:
    """Answer that nothing is taken. [mm]"""
    return 0.0


def no_faces(_: JointRule) -> Faces:
    """Answer that no face is worked."""
    return None, None


def _no_keys(_: Polygon, __: float, ___: JointRule, ____: float) -> KeyRow | None:
    """Answer that the joint line is straight."""
    return None


def never_weak(_: JointRule) -> Weakness:
    """Answer that no rule of practice speaks against it."""
    return Weakness.NONE


@dataclass(frozen=True, slots=True, kw_only=True)
class JointMaking:
    """One kind of joint.

    Parameters
    ----------
    overlap_mm
        What both pieces have at a joint, of the rule and the thickness. [mm]
    heads_mm
        How far the piece nearer the reference end reaches beyond the joint line. [mm]
    need_mm
        Length along the part that one joint takes for itself. [mm]
    planed
        Which faces are worked.
    keys
        Keys along the line, of the part with x across the joints, the line's x, rule and thickness.
    weakness
        Whether practice finds it too weak as the rule has it.
    has_strap
        Whether straps are glued over it: parts of their own.
    no_rail
        Why rails aren't joined so; None: they are.
    mark
        What is written at the line where the overlap begins on a piece; empty: there is none.
    has_angle
        Whether its slope is an angle that is set and planed.
    picture
        What the page of joints shows of it.
    end
        The first piece's end seen from the side; straight unless said.
    between
        What is put between or through both, seen from the side: dowels, keys.
    """

    overlap_mm: Callable[[JointRule, float], float] = no_length
    heads_mm: Callable[[JointRule, float], float] = no_length
    need_mm: Callable[[JointRule, float], float]
    planed: Callable[[JointRule], Faces] = no_faces
    keys: Callable[[Polygon, float, JointRule, float], KeyRow | None] = _no_keys
    weakness: Callable[[JointRule], Weakness] = never_weak
    has_strap: bool = False
    no_rail: NoRail | None = None
    mark: str = ""
    has_angle: bool = False
    picture: Picture = Picture.SIDE
    end: Profile = ((0.0, 0.0), (0.0, 1.0))
    between: tuple[Profile, ...] = ()

    def reach_mm(self, rule: JointRule, thickness_mm: float) -> float:
        """How far a joint reaches to either side of its middle: slopes, strap, keys. [mm]"""
        return max(self.need_mm(rule, thickness_mm) / 2.0, self.heads_mm(rule, thickness_mm))

    @property
    def laps(self) -> bool:
        """Whether its pieces share wood, so that their lengths include an overlap."""
        return self.overlap_mm is not no_length
