"""Butts under a strap: the pieces only meet; a strap is glued over the joint."""

from __future__ import annotations

from nestcut.joints.arithmetic import strap_width_mm
from nestcut.joints.kinds.kind import JointMaking, NoRail, Picture, Weakness
from nestcut.model.joint import JointRule
from nestcut.trade.joints import LEAST_STRAP_THICKNESSES


def _width_mm(rule: JointRule, thickness_mm: float) -> float:
    return strap_width_mm(thickness_mm, rule.strap_width_thicknesses)


def _narrow(rule: JointRule) -> Weakness:
    is_narrow = rule.strap_width_thicknesses < LEAST_STRAP_THICKNESSES.value
    return Weakness.NARROW if is_narrow else Weakness.NONE


KIND = JointMaking(
    need_mm=_width_mm,
    weakness=_narrow,
    has_strap=True,
    picture=Picture.STRAP,
    no_rail=NoRail.END_GRAIN,
)
