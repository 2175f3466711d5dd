"""Scarfs: both pieces have the overlap, slope times thickness, and each is planed to an edge."""

from __future__ import annotations

from shapely.geometry import Polygon

from nestcut.model.joint import Face, JointRule, LapFacing
from nestcut.trade.joints import LEAST_SLOPE
from nestcut.verify.kinds.kind import JointProof, Sides, straight


def _overlap_mm(rule: JointRule, thickness_mm: float) -> float:
    return rule.slope * thickness_mm


def _half_mm(rule: JointRule, thickness_mm: float) -> float:
    return _overlap_mm(rule, thickness_mm) / 2.0


def _planed(rule: JointRule) -> tuple[Face, Face]:
    """The feather edge that shows on the good face is the piece's whose back is planed.

    A lap that shows aft points away from the reference end: it ends the piece nearer to it.
    """
    near_planes_good = rule.lap_facing is LapFacing.FORWARD
    return (Face.GOOD, Face.BACK) if near_planes_good else (Face.BACK, Face.GOOD)


def _sides(_: Polygon, x: float, rule: JointRule, thickness_mm: float) -> Sides:
    half = _overlap_mm(rule, thickness_mm) / 2.0
    return straight(x + half, x - half)


def lapped(mark: str) -> JointProof:
    """Return a kind whose pieces share slope times thickness, under the name of its line."""
    return JointProof(
        overlap_mm=_overlap_mm,
        reach_mm=_half_mm,
        planed=_planed,
        sides=_sides,
        mark=mark,
        is_weak=_is_steep,
    )


def _is_steep(rule: JointRule) -> bool:
    return rule.slope < LEAST_SLOPE.value


KIND: JointProof = lapped("scarf begins")
