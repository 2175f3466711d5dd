"""Corner rules, notches and holes as written in tables of readings."""

from __future__ import annotations

from collections.abc import Sequence
from enum import StrEnum

from nestcut.facts import Names
from nestcut.geometry.rings import Side, ring_from_curves, true_bounds_mm
from nestcut.model.curves import Curve, Point
from nestcut.shapes.faults import FollowsError, ShapeFaultError
from nestcut.shapes.figures.corner_notches import Against, CornerNotch
from nestcut.shapes.figures.cutouts import Hole, HoleForm, hole_curves
from nestcut.shapes.figures.notches import (
    BoxSide,
    Notch,
    NotchFaultError,
    edge_length_mm,
    with_notches,
)
from nestcut.shapes.figures.outline import Treatment
from nestcut.shapes.figures.plain import CornerRule
from nestcut.shapes.known import Drawn, Strake
from nestcut.shapes.reader import ShapeReader
from nestcut.tolerances import FLATNESS_MM, SAME_LENGTH_MM


class Planks(StrEnum):
    """Which planking at a line a batten lies against."""

    ABOVE = "above"
    BELOW = "below"


def read_corner_rules(reader: ShapeReader) -> tuple[CornerRule, ...]:
    """Rules in order: ``radius`` or ``chamfer`` for all corners, then ``corners`` one by one."""
    rules = [
        CornerRule(treatment=treatment, size_mm=reader.positive(key))
        for key, treatment in (("radius", Treatment.ROUND), ("chamfer", Treatment.CHAMFER))
        if reader.has(key)
    ]
    for table in reader.tables("corners"):
        rule = CornerRule(
            treatment=table.choice("cut", Treatment),
            size_mm=table.length("size"),
            which=(table.count("corner"),),
        )
        table.close()
        if table.is_sound:
            rules.append(rule)
        else:
            reader.spoil()
    return tuple(rules)


def cut_out(
    reader: ShapeReader, drawn: Drawn
) -> tuple[tuple[Curve, ...], tuple[tuple[Curve, ...], ...]] | None:
    """Outline with the notches that a table lists, and all holes; None if any is at fault."""
    notches, cuts = reader.tables("notches"), reader.tables("holes")
    outline = _cut_notches(notches, drawn)
    holes = [_read_hole(table, drawn.outline) for table in cuts]
    if outline is None or None in holes:
        reader.spoil()
        return None
    return outline, (*drawn.holes, *(hole_curves(h) for h in holes if h is not None))


def _cut_notches(tables: Sequence[ShapeReader], drawn: Drawn) -> tuple[Curve, ...] | None:
    """Cut notches into an outline; None if any is at fault."""
    read = [(k, notch) for k, table in enumerate(tables) for notch in _read_notch(table, drawn)]
    if not all(table.is_sound for table in tables):
        return None
    try:
        return with_notches(drawn.outline, [notch for _, notch in read])
    except NotchFaultError as fault:
        fault.record(tables[read[fault.number][0]])
        return None


def _read_notch(table: ShapeReader, drawn: Drawn) -> tuple[Notch | CornerNotch, ...]:
    """Read one notch; at a line it is one to port and one to starboard."""
    try:
        found = _at_line(table, drawn) if table.has("line") else (_in_edge(table, drawn.outline),)
    except ShapeFaultError as fault:
        fault.record(table)
        found = ()
    table.close()
    return found


def _in_edge(table: ShapeReader, outline: tuple[Curve, ...]) -> Notch:
    side = table.choice("edge", BoxSide)
    if not table.has("edge"):
        raise FollowsError
    length = edge_length_mm(outline, side)
    if table.has("from_far_end"):
        along = length - table.length("from_far_end")
    elif table.has("at"):
        along = table.length("at")
    else:
        along = length / 2.0 + table.signed("off_middle")
    width = table.positive("width")
    return Notch(
        side=side,
        along_mm=along,
        width_mm=width,
        depth_mm=table.positive("depth", width / 2.0),
        radius_mm=table.length("radius"),
    )


def _at_line(table: ShapeReader, drawn: Drawn) -> tuple[Notch | CornerNotch, ...]:
    """Notches for a batten along a line, at its corner on both sides; one at the centre line."""
    line, planks = table.text("line"), table.choice("against", Planks)
    for key in ("edge", "at", "from_far_end", "off_middle"):
        if table.has(key):
            raise ShapeFaultError(key, "SHP-156", word=key)
    width = table.positive("width")
    depth, radius = table.positive("depth", width / 2.0), table.length("radius")
    corners = {c.line: c for c in drawn.line_corners}
    if not corners:
        raise ShapeFaultError("line", "SHP-157")
    if line not in corners:
        raise ShapeFaultError("line", "SHP-158", name=line, lines=Names(tuple(corners)))
    x, y = corners[line].at
    if x <= SAME_LENGTH_MM:
        along = edge_length_mm(drawn.outline, BoxSide.BOTTOM) / 2.0
        return (
            Notch(
                side=BoxSide.BOTTOM,
                along_mm=along,
                width_mm=width,
                depth_mm=depth,
                radius_mm=radius,
            ),
        )
    # The outline climbs to starboard, from the keel, and comes down to port.
    is_above = planks is Planks.ABOVE and corners[line].strakes is Strake.BOTH
    ways = (Against.LEAVING, Against.ARRIVING) if is_above else (Against.ARRIVING, Against.LEAVING)
    return tuple(
        CornerNotch(
            corner=(side * x, y),
            against=against,
            width_mm=width,
            depth_mm=depth,
            radius_mm=radius,
            name=line,
        )
        for side, against in zip((1.0, -1.0), ways, strict=True)
    )


def _read_hole(table: ShapeReader, outline: tuple[Curve, ...]) -> Hole | None:
    """Read one hole; None if it has a fault."""
    form = table.choice("form", HoleForm)
    if form is HoleForm.ROUND:
        length = width = table.positive("diameter")
    else:
        length, width = table.positive("length"), table.positive("width")
    hole = Hole(
        form=form,
        centre=_place(table, outline),
        length_mm=length,
        width_mm=width,
        radius_mm=table.length("radius"),
        turn_deg=table.number("turn", low=-360.0, high=360.0),
    )
    table.close()
    return hole if table.is_sound else None


def _place(table: ShapeReader, outline: tuple[Curve, ...]) -> Point:
    """Centre of a hole: in the part's own frame, or from its edges and centre lines."""
    if table.has("centre"):
        return table.point("centre")
    left, bottom, right, top = true_bounds_mm(ring_from_curves(outline, FLATNESS_MM, Side.OUTLINE))
    if table.has("from_left"):
        x = left + table.length("from_left")
    elif table.has("from_right"):
        x = right - table.length("from_right")
    else:
        x = (left + right) / 2.0 + table.signed("off_centre")
    if table.has("from_bottom"):
        y = bottom + table.length("from_bottom")
    elif table.has("from_top"):
        y = top - table.length("from_top")
    else:
        y = (bottom + top) / 2.0 + table.signed("off_middle")
    return (x, y)
