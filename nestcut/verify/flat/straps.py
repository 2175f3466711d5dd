"""Is there a strap, of the shape the job's rule gives, over every butt of a flat part?

Worked out anew: a band of the strap's width over the joint, short of the panel's edges by the
margin, in lengths that come across the grain of a common sheet, mirrored where it lies on the back.
"""

from __future__ import annotations

import math
from collections import Counter

import shapely
from shapely import affinity
from shapely.geometry import LineString, MultiLineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.errors import Finding
from nestcut.model.job import Job
from nestcut.model.joint import Face, Joint, JointAxis, JointRule
from nestcut.model.part import NO_BEARINGS, Grain, Hands, SheetPart, StrapOf, Turning
from nestcut.model.plan import Plan
from nestcut.model.shape import MarkUse
from nestcut.tolerances.lengths import STRAP_ROUND_MM
from nestcut.tolerances.likeness import ROUND_CORNER_SHARE
from nestcut.trade.joints import LONGEST_STRAP_MM
from nestcut.verify.findings import exact, objection
from nestcut.verify.kinds import FAR_MM, KINDS
from nestcut.verify.truth import line_off_mm, mark_line, mirrored, region, rough, stretches

_HANDS = {Hands.NONE: {""}, Hands.PAIR: {"port", "starboard"}}


def check_straps(job: Job, plan: Plan) -> list[Finding]:
    """Every butt has its straps, in its hand, and nothing else was added."""
    asked = {p.name for p in job.sheet_parts} | {p.name for p in job.rail_parts}
    named = Counter(p.name for p in plan.added_parts)
    found = [
        objection("VER-051", p.name)
        for p in plan.added_parts
        if p.name in asked or named[p.name] > 1
    ]
    left = {p.name for p in plan.added_parts} - {f.where for f in found}
    for part in job.sheet_parts:
        rule = part.joint
        if rule is None or not KINDS[rule.kind].is_strapped:
            continue
        straps = [p for p in plan.added_parts if p.strap_of and p.strap_of.part == part.name]
        left -= {s.name for s in straps}
        used: set[tuple[str, str]] = set()
        for joint in plan.joints:
            if joint.part == part.name:
                hand = joint.hand or ""
                own = [
                    s
                    for s in straps
                    if hand in _hands_of(s)
                    and s.strap_of == StrapOf(part.name, joint.number, rule.strap_face)
                ]
                found += _check_joint(part, rule, joint, own, used)
        for strap in straps:
            found += _check_like_panel(part, rule, strap)
            if not {(strap.name, hand) for hand in _hands_of(strap)} <= used:
                found.append(objection("VER-051", strap.name))
    return found + [objection("VER-051", name) for name in sorted(left)]


def _hands_of(strap: SheetPart) -> set[str]:
    return _HANDS.get(strap.hands, {strap.hands.value})


def _framed(area: BaseGeometry, rule: JointRule) -> BaseGeometry:
    """Return an area of the drawing's frame in one whose x runs across the joints. [mm]"""
    if rule.axis is JointAxis.WIDTH:
        return affinity.affine_transform(area, (0, 1, -1, 0, 0, 0))
    return area


def _wanted(part: SheetPart, rule: JointRule, at_mm: float) -> tuple[float, list[BaseGeometry]]:
    """Return the joint's x and its straps as they lie on the panel, x across the joint. [mm]"""
    panel = _framed(rough(part.shape), rule)
    x = panel.bounds[0] + at_mm
    half = rule.strap_width_thicknesses * part.thickness_mm / 2.0
    room = panel.buffer(-rule.strap_margin_mm, quad_segs=32)
    band = room.intersection(shapely.box(x - half, -FAR_MM, x + half, FAR_MM))
    lumps = [g for g in shapely.get_parts(band).tolist() if g.bounds[0] < x < g.bounds[2]]
    bits: list[BaseGeometry] = []
    for lump in lumps:
        low, high = lump.bounds[1], lump.bounds[3]
        n = math.ceil((high - low) / LONGEST_STRAP_MM.value)
        step = (high - low) / n
        for k in range(n):
            cut = shapely.box(-FAR_MM, low + k * step, FAR_MM, low + (k + 1) * step)
            bits += [
                g
                for g in shapely.get_parts(lump.intersection(cut)).tolist()
                if isinstance(g, Polygon)
            ]
    return x, bits


def _check_joint(
    part: SheetPart,
    rule: JointRule,
    joint: Joint,
    straps: list[SheetPart],
    used: set[tuple[str, str]],
) -> list[Finding]:
    """Every strap wanted is there, and the joint's line is drawn on it.

    ``used`` takes the names of straps that fit so, each with the hand in which it does.
    """
    allowed = STRAP_ROUND_MM + ROUND_CORNER_SHARE * rule.strap_margin_mm
    x, wanted = _wanted(part, rule, joint.at_mm)
    fitting: set[tuple[str, str]] = set()
    for want in wanted:
        for strap in straps:
            have = _on_panel(region(strap.shape), rule)
            if line_off_mm(have.boundary, want.boundary, allowed) == 0.0:
                own = (strap.name, joint.hand or "")
                fitting.add(own)
                if _has_line(strap, have, x, rule):
                    used.add(own)
                break
        else:
            return [objection("VER-050", joint.pieces[0], at=exact(joint.at_mm))]
    if not wanted or not fitting <= used:
        return [objection("VER-050", joint.pieces[0], at=exact(joint.at_mm))]
    return []


def _on_panel(geometry: BaseGeometry, rule: JointRule) -> BaseGeometry:
    """Return what is drawn on a strap as it lies on the panel, x across the joint. [mm]"""
    seen = mirrored(geometry) if rule.strap_face is Face.BACK else geometry
    return _framed(seen, rule)


def _has_line(strap: SheetPart, have: BaseGeometry, x: float, rule: JointRule) -> bool:
    """Whether the joint's line is drawn where it lies, over the whole strap, and nothing else."""
    if any(len(m.points) < 2 for m in strap.shape.marks):
        return False
    lines = [
        shapely.get_coordinates(_on_panel(LineString(points), rule))
        for m in strap.shape.marks
        for points in (mark_line(m), m.points)
    ]
    spans = [[(x, low), (x, high)] for low, high in stretches(have, x)]
    made, want = MultiLineString(lines), MultiLineString(spans)
    return (
        line_off_mm(made, want, STRAP_ROUND_MM) == 0.0
        and abs(made.length - 2.0 * want.length) <= 4.0 * STRAP_ROUND_MM
        and all((m.label, m.use) == ("joint", MarkUse.JOINT) for m in strap.shape.marks)
    )


def _check_like_panel(part: SheetPart, rule: JointRule, strap: SheetPart) -> list[Finding]:
    """A strap is of the panel's material, its grain across the joint, as many as the panel."""
    grain = Grain.ALONG if rule.axis is JointAxis.LENGTH else Grain.ACROSS
    rows = (
        ("count", strap.count, part.count),
        ("material", strap.material, part.material),
        ("thickness", strap.thickness_mm, part.thickness_mm),
        ("grain", strap.grain.value, grain.value),
        ("turning", strap.turning.value, Turning.HALF.value),
        ("faces", strap.faces.value, part.faces.value),
        ("drawn hand", strap.drawn.value, part.drawn.value),
        ("stock kind", strap.cut_from.value, part.cut_from.value),
        ("allowance", strap.allowance_mm, 0.0),
        ("joint", strap.joint is None, True),
        ("bearings", strap.bearings == NO_BEARINGS, True),
        ("bevels", (strap.bevels, strap.edge_bevels), ((), ())),
        ("width along", strap.width_along_mm, part.width_along_mm),
        ("notes", (strap.note, strap.forward_note, strap.after_note), ("", "", "")),
        ("lines", (strap.stands_forward, strap.stands_aft), ((), ())),
        ("timing", strap.timing.value, part.timing.value),
    )
    return [
        objection("VER-009", strap.name, what=what, has=str(has), needs=str(needs))
        for what, has, needs in rows
        if has != needs
    ]
