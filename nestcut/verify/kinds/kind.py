"""What the verifier knows of a kind of joint, worked out anew from the job's rule."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import shapely
from shapely.geometry import Polygon

from nestcut.model.joint import Face, JointRule

FAR_MM = 1e5
"""Farther than any part reaches. [mm]"""


@dataclass(frozen=True, slots=True)
class Sides:
    """What the two pieces of a joint may have of the plane, in a frame with x across the joint.

    ``before`` bounds the piece nearer the reference end, ``after`` the other one. [mm]
    """

    before: Polygon
    after: Polygon


def never_weak(_: JointRule) -> bool:
    """Return that practice asks for no more."""
    return False


@dataclass(frozen=True, slots=True)
class JointProof:
    """One kind of joint.

    Parameters
    ----------
    overlap_mm
        What both pieces have at a joint, of the rule and the thickness. [mm]
    reach_mm
        How far slopes, strap or keys reach to either side of the joint's middle. [mm]
    planed
        Which face is sloped away on the piece nearer the reference end, and on the other.
    sides
        Where the pieces end, of the flattened part, the joint line's x, rule and thickness.
    mark
        What stands at the line drawn on each piece where its overlap begins; empty: no line.
    is_strapped
        Whether straps are glued over it.
    is_weak
        Whether practice asks for more than the rule has.
    """

    overlap_mm: Callable[[JointRule, float], float]
    reach_mm: Callable[[JointRule, float], float]
    planed: Callable[[JointRule], tuple[Face | None, Face | None]]
    sides: Callable[[Polygon, float, JointRule, float], Sides]
    mark: str = ""
    is_strapped: bool = False
    is_weak: Callable[[JointRule], bool] = never_weak


def straight(before_ends: float, after_begins: float) -> Sides:
    """Return the sides of a joint whose pieces are cut straight at these x. [mm]"""
    return Sides(
        before=shapely.box(-FAR_MM, -FAR_MM, before_ends, FAR_MM),
        after=shapely.box(after_begins, -FAR_MM, FAR_MM, FAR_MM),
    )


def nothing_planed(_: JointRule) -> tuple[None, None]:
    """Return that no face is sloped away."""
    return None, None


def no_overlap(_: JointRule, __: float) -> float:
    """Return that the pieces only meet. [mm]"""
    return 0.0
