"""Is there a strap, wide enough and in both hands, over every butt of a flat part?"""

from __future__ import annotations

from shapely import box, get_parts, unary_union
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.joint import Face, JointAxis, JointKind, JointRule
from nestcut.model.part import Hands, SheetPart
from nestcut.model.plan import Plan
from nestcut.verify.findings import objection
from nestcut.verify.outlines import mirrored, polygon_of

_SHARE = 0.02
"""Share of a strap's area by which it may differ, at corners that are drawn round or sharp. [-]"""
_HANDS = {Hands.NONE: {""}, Hands.PAIR: {"port", "starboard"}}


def check_straps(job: Job, plan: Plan) -> list[Finding]:
    """Check the straps of every part that is joined with butts.

    A strap is drawn as it lies on the panel, mirrored where it lies on the back; so its outline
    says which joint it covers, how wide it is there, and whether it stays within the panel.
    """
    found: list[Finding] = []
    for part in job.sheet_parts:
        rule = part.joint
        if rule is None or rule.kind is not JointKind.BUTT_STRAP:
            continue
        straps = [p for p in plan.added_parts if p.name.startswith(f"{part.name} strap ")]
        for joint in plan.joints:
            if joint.part == part.name:
                hand = joint.hand or ""
                own = [s for s in straps if hand in _HANDS.get(s.hands, {s.hands.value})]
                found += _check_joint(part, rule, joint.at_mm, joint.pieces[0], own)
        found += [
            objection("VER-050", strap.name, f"{strap.count} are made for {part.count} parts.")
            for strap in straps
            if strap.count != part.count
        ]
    return found


def _check_joint(
    part: SheetPart, rule: JointRule, at_mm: float, where: str, straps: list[SheetPart]
) -> list[Finding]:
    panel = polygon_of(part.shape)
    is_across = rule.axis is JointAxis.WIDTH
    origin = panel.bounds[1] if is_across else panel.bounds[0]
    width = rule.strap_width_thicknesses * part.thickness_mm
    over = []
    for strap in straps:
        shape = polygon_of(strap.shape)
        if rule.strap_face is Face.BACK:
            shape = mirrored(shape)
        low_x, low_y, high_x, high_y = shape.bounds
        low, high = (low_y, high_y) if is_across else (low_x, high_x)
        if low - origin < at_mm < high - origin:
            over.append(shape)
    if not over:
        return [objection("VER-050", where, f"no strap covers the joint at {at_mm:.1f} mm.")]
    line = box(*_across(panel, origin + at_mm, width, is_across=is_across))
    room = panel.buffer(-rule.strap_margin_mm)
    wanted = unary_union(
        [
            lump
            for lump in get_parts(room.intersection(line))
            if _spans(lump, origin + at_mm, is_across=is_across)
        ]
    )
    made = unary_union(over)
    if made.symmetric_difference(wanted).area > _SHARE * wanted.area:
        message = (
            f"the strap at {at_mm:.1f} mm isn't {width:.1f} mm wide and {rule.strap_margin_mm:.1f} "
            "mm short of the panel's edges."
        )
        return [objection("VER-050", where, message)]
    return []


def _across(
    panel: Polygon, at: float, width: float, *, is_across: bool
) -> tuple[float, float, float, float]:
    """Box of the strap's width over the whole panel. [mm]"""
    low_x, low_y, high_x, high_y = panel.bounds
    if is_across:
        return low_x - 1.0, at - width / 2.0, high_x + 1.0, at + width / 2.0
    return at - width / 2.0, low_y - 1.0, at + width / 2.0, high_y + 1.0


def _spans(area: BaseGeometry, at: float, *, is_across: bool) -> bool:
    low_x, low_y, high_x, high_y = area.bounds
    return low_y < at < high_y if is_across else low_x < at < high_x
