"""What cutting rails from boards comes to, and what the builder prefers."""

from __future__ import annotations

from collections.abc import Iterable
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
class JointWay:
    """A plan of one group of parts that was found: so many joints, so much to pay.

    ``name`` says which parts; ``is_chosen`` marks the plan that was kept. [minor units]
    """

    name: str
    joints: int
    cost_minor: int
    is_chosen: bool


def joint_ways(
    name: str, found: Iterable[tuple[int, int]], kept: tuple[int, int]
) -> tuple[JointWay, ...]:
    """Return what was found as ways, without those that another undercuts in joints and cost.

    Parameters
    ----------
    name
        Of the group.
    found
        Joints and cost of each plan. [minor units]
    kept
        The same of the plan that was kept; it stays in any case.
    """
    every = {*found, kept}
    return tuple(
        JointWay(name=name, joints=joints, cost_minor=cost, is_chosen=(joints, cost) == kept)
        for joints, cost in sorted(every)
        if (joints, cost) == kept
        or not any(j <= joints and c <= cost for j, c in every - {(joints, cost)})
    )


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
    joint_ways: tuple[JointWay, ...] = ()
