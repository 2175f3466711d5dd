"""Joints that nestcut chooses keep clear of hard bends, and rails' joints of the stations' frames.

A scarf is planed straight and stiffer than the wood beside it: in the hardest bend it opens, or
shows as a flat.  At a frame it can't be faired, and the frame's screws go through it.  Common
practice, no source; what is screwed through a splice, the sources of :mod:`nestcut.joints.rules`.
"""

from __future__ import annotations

from dataclasses import replace

from nestcut.errors import Finding, Severity, finding
from nestcut.facts import Length, Names
from nestcut.joints.kinds import KINDS
from nestcut.joints.rules import JoinedPart, possible_numbers
from nestcut.model.joint import JointAxis, JointRule, KeepClear, Lines
from nestcut.model.part import CutFrom, RailPart, SheetPart
from nestcut.shapes.known import Known
from nestcut.shapes.ruler import Bend, Ruler
from nestcut.trade.joints import (
    GENTLE_BEND_THICKNESSES,
    GENTLE_PANEL_RADII,
    KEEP_CLEAR_WITHIN_MM,
)
from nestcut.trade.woods import least_bend_radius_mm

HARDEST = "the hardest bend"
_MOST_TRIED = 24
"""Joints of one rail, more than anybody glues."""


def clear_of_panel_bend(part: SheetPart, ruler: Ruler | None) -> SheetPart:
    """Return a part whose rule keeps chosen joints clear of where the panel is bent hardest.

    Unless the job says none, or its thickness hardly minds the bend.

    Parameters
    ----------
    ruler
        Its own scale, which knows the bend; None where nobody does.
    """
    rule = part.joint
    if rule is None or not _is_open(rule) or part.cut_from is not CutFrom.SHEET:
        return part
    bend = None if ruler is None else ruler.hardest
    gentle = GENTLE_PANEL_RADII.value * least_bend_radius_mm(part.thickness_mm)
    if bend is None or bend.radius_mm >= gentle or rule.axis is JointAxis.WIDTH:
        return part
    return replace(part, joint=replace(rule, keep_clear=(*rule.keep_clear, _zone(bend, HARDEST))))


def clear_of_bend_and_frames(
    rail: RailPart, ruler: Ruler, known: Known, longest_mm: float
) -> tuple[RailPart, tuple[Finding, ...]]:
    """Return a rail whose rule keeps chosen joints clear of frames and of its hardest bend.

    Frames stand at the stations of the table that its line comes from.  Where no place is left
    then for joints that its boards ask for, less is kept clear, and told.

    Parameters
    ----------
    rail
        As long as its line.
    ruler
        Its own scale.
    known
        Stations of the table.
    longest_mm
        Longest board of its material. [mm]
    """
    rule = rail.joint
    if rule is None or not _is_open(rule):
        return rail, ()
    bends = [
        _zone(bend, HARDEST)
        for bend in (ruler.hardest,)
        if bend is not None
        and bend.radius_mm < GENTLE_BEND_THICKNESSES.value * min(rail.thickness_mm, rail.width_mm)
    ]
    frames = [
        _zone(Bend(from_mm=at[0], to_mm=at[1], radius_mm=0.0), name)
        for name, forward in known.stations()
        if ruler.of_forward is not None and (at := ruler.of_forward(forward)) is not None
    ]
    wanted = [*bends, *frames]
    for kept in (wanted, bends):
        clear = replace(rule, keep_clear=(*rule.keep_clear, *kept))
        if _has_places(rail, clear, longest_mm):
            return replace(rail, joint=clear), _given_up(rail, wanted, kept)
    return rail, _given_up(rail, wanted, []) if _has_places(rail, rule, longest_mm) else ()


def _is_open(rule: JointRule) -> bool:
    return rule.at_mm is None and rule.lines is not Lines.IGNORED


def _zone(bend: Bend, reason: str) -> KeepClear:
    within = KEEP_CLEAR_WITHIN_MM.value
    return KeepClear(from_mm=bend.from_mm - within, to_mm=bend.to_mm + within, reason=reason)


def _has_places(rail: RailPart, rule: JointRule, longest_mm: float) -> bool:
    """Whether some number of joints has places by the rule."""
    kind = KINDS[rule.kind]
    part = JoinedPart(
        name=rail.name,
        length_mm=rail.length_mm,
        overlap_mm=kind.overlap_mm(rule, rail.thickness_mm),
        rule=rule,
        allowance_mm=rail.allowance_mm,
        reach_mm=kind.reach_mm(rule, rail.thickness_mm),
    )
    return bool(possible_numbers(part, longest_mm, _MOST_TRIED))


def _given_up(
    rail: RailPart, wanted: list[KeepClear], kept: list[KeepClear]
) -> tuple[Finding, ...]:
    """Say what joints couldn't be kept clear of."""
    names = tuple(dict.fromkeys(z.reason for z in wanted if z not in kept))
    if not names:
        return ()
    told = finding(
        "JNT-117",
        Severity.WARNING,
        rail.name,
        zones=Names(names),
        within=Length(KEEP_CLEAR_WITHIN_MM.value),
    )
    return (replace(told, about=rail.name),)
