"""Butts under a strap: the pieces meet at the line; the strap is a part of its own."""

from __future__ import annotations

from shapely.geometry import Polygon

from nestcut.model.joint import JointRule
from nestcut.trade.joints import LEAST_STRAP_THICKNESSES
from nestcut.verify.kinds.kind import JointProof, Sides, no_overlap, nothing_planed, straight


def _sides(_: Polygon, x: float, __: JointRule, ___: float) -> Sides:
    return straight(x, x)


def _half_mm(rule: JointRule, thickness_mm: float) -> float:
    return rule.strap_width_thicknesses * thickness_mm / 2.0


def _is_narrow(rule: JointRule) -> bool:
    return rule.strap_width_thicknesses < LEAST_STRAP_THICKNESSES.value


KIND = JointProof(
    overlap_mm=no_overlap,
    reach_mm=_half_mm,
    planed=nothing_planed,
    sides=_sides,
    is_strapped=True,
    is_weak=_is_narrow,
)
