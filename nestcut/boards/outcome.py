"""What cutting rails from boards comes to, and what the builder prefers."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from nestcut.errors import Finding
from nestcut.model.joint import Joint
from nestcut.model.piece import RailPiece
from nestcut.model.plan import BoardLayout, Bound, StopReason, Unplaced


class JointPreference(StrEnum):
    """What weighs more where a joint fewer costs money."""

    FEWEST = "fewest"
    """Fewest joints, then least cost."""
    BALANCED = "balanced"
    """A joint is avoided where that costs no more than a joint is worth."""
    CHEAPEST = "cheapest"
    """Least cost, then fewest joints."""


@dataclass(frozen=True, slots=True, kw_only=True)
class JointPrice:
    """What it costs to have fewer joints in one group of rails.

    ``name`` says which rails; going from ``joints_from`` to ``joints_to`` joints costs
    ``extra_minor`` more. [minor units]
    """

    name: str
    joints_from: int
    joints_to: int
    extra_minor: int


@dataclass(frozen=True, slots=True, kw_only=True)
class BoardsOutcome:
    """Pieces, boards and joints; how good they are; what found no place."""

    pieces: tuple[RailPiece, ...] = ()
    layouts: tuple[BoardLayout, ...] = ()
    joints: tuple[Joint, ...] = ()
    unplaced: tuple[Unplaced, ...] = ()
    bounds: tuple[Bound, ...] = ()
    findings: tuple[Finding, ...] = ()
    stopped_by: StopReason = StopReason.PROVEN
    joint_prices: tuple[JointPrice, ...] = ()
