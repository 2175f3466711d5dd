"""Joints that nestcut chooses keep clear of the lines marked across their part.

A line across a panel is where a frame or a bulkhead stands, or where the panel folds: a joint there
can't be faired, and what is fastened there would be fastened through it.  The sources that
:mod:`nestcut.joints.rules` names for stretches without joints; how far, common practice, no source.
"""

from __future__ import annotations

from dataclasses import replace

from nestcut.geometry.rings import true_bounds_mm
from nestcut.model.joint import JointAxis, KeepClear, Lines
from nestcut.model.part import CutFrom, SheetPart
from nestcut.model.shape import Mark, MarkUse
from nestcut.trade.joints import KEEP_CLEAR_WITHIN_MM

UNNAMED = "line across the part"
"""What a line without a name is called."""

AMONG_UNNAMED = "line {number} of {count} across the part"
"""What each of several is called, counted from the part's reference end."""


def clear_of_lines(part: SheetPart) -> SheetPart:
    """Return a part whose rule keeps chosen joints clear of its lines, unless the job says none."""
    rule = part.joint
    if rule is None or rule.at_mm is not None or rule.lines is Lines.IGNORED:
        return part
    if part.cut_from is not CutFrom.SHEET:
        return part
    along = 0 if rule.axis is JointAxis.LENGTH else 1
    start = true_bounds_mm(part.shape.outline)[along]
    zones = [
        zone
        for mark in part.shape.marks
        if mark.use is MarkUse.PLAIN and (zone := _zone(mark, along, start)) is not None
    ]
    return replace(part, joint=replace(rule, keep_clear=(*rule.keep_clear, *_named(zones))))


def _named(zones: list[KeepClear]) -> list[KeepClear]:
    """Count those without a name where there are several, so that each can be told apart."""
    bare = sorted(z.from_mm for z in zones if not z.reason)
    if len(bare) < 2:
        return [replace(z, reason=z.reason or UNNAMED) for z in zones]
    counted = {at: AMONG_UNNAMED.format(number=k + 1, count=len(bare)) for k, at in enumerate(bare)}
    return [replace(z, reason=z.reason or counted[z.from_mm]) for z in zones]


def _zone(mark: Mark, along: int, start_mm: float) -> KeepClear | None:
    """Where joints don't belong because of a line; None for one that runs along the part."""
    run, rise = (_extent(mark, k) for k in (along, 1 - along))
    if run[1] - run[0] > rise[1] - rise[0]:
        return None
    within = KEEP_CLEAR_WITHIN_MM.value
    return KeepClear(
        from_mm=run[0] - start_mm - within,
        to_mm=run[1] - start_mm + within,
        reason=mark.label,
    )


def _extent(mark: Mark, axis: int) -> tuple[float, float]:
    values = [p[axis] for p in mark.points]
    return min(values), max(values)
