"""Keyed joints: interlocking edges cut with a router (:mod:`nestcut.joints.keys`)."""

from __future__ import annotations

from shapely.geometry import Polygon

from nestcut.joints.keys import KeyRow, key_radius_mm, place_keys
from nestcut.joints.kinds.kind import JointMaking, NoRail, Picture
from nestcut.model.joint import JointRule


def _radius_mm(rule: JointRule, thickness_mm: float) -> float:
    return key_radius_mm(thickness_mm, rule.key_bit_mm)


def _heads_mm(rule: JointRule, thickness_mm: float) -> float:
    return KeyRow(line_mm=0.0, centres_mm=(), radius_mm=_radius_mm(rule, thickness_mm)).depth_mm


def _keys(part: Polygon, x: float, rule: JointRule, thickness_mm: float) -> KeyRow:
    return place_keys(part, x, _radius_mm(rule, thickness_mm))


KIND = JointMaking(
    heads_mm=_heads_mm,
    need_mm=_heads_mm,
    keys=_keys,
    picture=Picture.KEYS,
    no_rail=NoRail.KEYS,
)
