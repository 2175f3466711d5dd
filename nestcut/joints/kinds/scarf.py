"""Scarfs: both pieces have slope times thickness, and each is planed to a feather edge."""

from __future__ import annotations

from nestcut.joints.arithmetic import scarf_length_mm
from nestcut.joints.kinds.kind import Faces, JointMaking, Weakness
from nestcut.model.joint import Face, JointRule, LapFacing
from nestcut.trade.joints import LEAST_SLOPE


def lapped_mm(rule: JointRule, thickness_mm: float) -> float:
    """Return what the slope makes of the thickness. [mm]"""
    return scarf_length_mm(thickness_mm, rule.slope)


def lapped_faces(rule: JointRule) -> Faces:
    """Return the faces worked.

    A feather edge that shows on the good face belongs to the piece whose back is planed.  Seen
    from its own good face a mirror image keeps its planed faces, so both hands are alike.
    """
    if rule.lap_facing is LapFacing.FORWARD:
        return Face.GOOD, Face.BACK
    return Face.BACK, Face.GOOD


def steep(rule: JointRule) -> Weakness:
    """Tell a slope that is steeper than practice allows."""
    return Weakness.STEEP if rule.slope < LEAST_SLOPE.value else Weakness.NONE


KIND = JointMaking(
    overlap_mm=lapped_mm,
    need_mm=lapped_mm,
    planed=lapped_faces,
    weakness=steep,
    mark="scarf begins",
    has_angle=True,
    end=((1.0, 0.0), (0.0, 1.0)),
)
