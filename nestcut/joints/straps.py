"""Butt straps: the strips glued over joints whose pieces only meet.

A strap is a part of its own: as wide along the panel as the rule says in thicknesses, shaped to
the panel at the joint less a margin for what is glued to the panel's edges, clear of holes, its
grain across the joint.  It is seen from its own good face, which stays in sight: a strap on a
panel's back is therefore drawn as the panel's mirror image.
"""

from __future__ import annotations

import math
from dataclasses import replace

import shapely
from shapely.geometry import Polygon

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Length
from nestcut.geometry.offset import polygons_of, shrunk
from nestcut.geometry.polygons import bounds_mm, to_polygon, to_shape
from nestcut.geometry.pose import MIRROR, move_shape
from nestcut.joints.arithmetic import strap_width_mm
from nestcut.joints.keys import stretches
from nestcut.joints.kinds import KINDS
from nestcut.model.curves import Line
from nestcut.model.joint import Face, JointAxis, JointRule
from nestcut.model.part import (
    NO_BEARINGS,
    Bearings,
    Grain,
    Hands,
    HoleUse,
    SheetPart,
    StrapOf,
    Towards,
    Turning,
)
from nestcut.model.pose import Pose
from nestcut.model.shape import Mark, MarkUse, Shape
from nestcut.trade.joints import LONGEST_STRAP_MM

_QUARTER = {
    JointAxis.LENGTH: (Pose(), Pose()),
    JointAxis.WIDTH: (Pose(turn_deg=270.0), Pose(turn_deg=90.0)),
}
_GRAIN = {JointAxis.LENGTH: Grain.ALONG, JointAxis.WIDTH: Grain.ACROSS}


def strap_parts(
    part: SheetPart, rule: JointRule, at_mm: tuple[float, ...], hands: Hands, suffix: str = ""
) -> tuple[tuple[SheetPart, ...], tuple[Finding, ...]]:
    """Return the straps of a part's joints, one part a joint, in the given hands.

    ``suffix`` goes behind the name where both hands have straps of their own.

    Parameters
    ----------
    at_mm
        Middles of the joints, rising. [mm]
    suffix
        Goes behind the names.
    """
    if not KINDS[rule.kind].has_strap:
        return (), ()
    into, back = _QUARTER[rule.axis]
    panel = move_shape(part.shape, into)
    polygon = to_polygon(panel)
    width = strap_width_mm(part.thickness_mm, rule.strap_width_thicknesses)
    origin, low, _, high = bounds_mm(panel.outline.points)
    straps: list[SheetPart] = []
    findings: list[Finding] = []
    for number, at in enumerate(at_mm, start=1):
        x = origin + at
        band = shapely.box(x - width / 2.0, low - 1.0, x + width / 2.0, high + 1.0)
        found = [
            lump
            for room in shrunk(polygon, rule.strap_margin_mm)
            for lump in polygons_of(room.intersection(band))
            if lump.bounds[0] < x < lump.bounds[2]
        ]
        found = [bit for lump in found for bit in _in_lengths(lump)]
        if not found:
            findings.append(_no_room(part.name, at, rule.strap_margin_mm))
        for letter, lump in zip("abcdefghijklmnopqrstuvwxyz", found, strict=False):
            marks = tuple(
                Mark(((x, a), (x, b)), (Line((x, a), (x, b)),), "joint", MarkUse.JOINT)
                for a, b in stretches(lump, x)
            )
            plain = to_shape(lump)
            shape = move_shape(Shape(plain.outline, plain.holes, marks), back)
            if rule.strap_face is Face.BACK:
                shape = move_shape(shape, MIRROR)
            tail = letter if len(found) > 1 else ""
            straps.append(
                replace(
                    part,
                    name=f"{part.name} strap {number}{tail}{suffix}",
                    shape=shape,
                    hands=hands,
                    grain=_GRAIN[rule.axis],
                    turning=Turning.HALF,
                    hole_use=HoleUse.KEEP,
                    allowance_mm=0.0,
                    joint=None,
                    bevels=(),
                    edge_bevels=(),
                    bearings=NO_BEARINGS,
                    note="",
                    forward_note="",
                    after_note="",
                    stands_forward=(),
                    stands_aft=(),
                    strap_of=StrapOf(part.name, number, rule.strap_face),
                )
            )
    return tuple(straps), tuple(findings)


def strap_bearings(panel: Bearings, face: Face) -> Bearings:
    """How a strap lies in the boat: as its panel does, mirrored where it is glued to the back.

    Its good face is seen from where the panel's face is that it covers, so it looks nowhere else.
    """
    own = panel if face is Face.GOOD else panel.turned
    flat = {Towards.GOOD, Towards.BACK}
    return Bearings(
        forward=Towards.UNSAID if own.forward in flat else own.forward,
        up=Towards.UNSAID if own.up in flat else own.up,
    )


def _in_lengths(lump: Polygon) -> tuple[Polygon, ...]:
    """Return a strap in equal lengths that come across the grain of a common sheet, end to end."""
    low_x, low, high_x, high = lump.bounds
    n = math.ceil((high - low) / LONGEST_STRAP_MM.value)
    step = (high - low) / n
    return tuple(
        bit
        for k in range(n)
        for bit in polygons_of(
            lump.intersection(
                shapely.box(low_x - 1.0, low + k * step, high_x + 1.0, low + (k + 1) * step)
            )
        )
    )


def _no_room(name: str, at: float, margin: float) -> Finding:
    return finding("JNT-106", Severity.ERROR, name, at=Length(at), margin=Length(margin))
