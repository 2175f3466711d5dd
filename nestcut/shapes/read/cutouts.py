"""Corner rules, notches and holes as written in tables of readings."""

from __future__ import annotations

from nestcut.geometry.rings import Side, ring_from_curves, true_bounds_mm
from nestcut.model.curves import Curve, Point
from nestcut.shapes.figures.cutouts import Hole, HoleForm
from nestcut.shapes.figures.notches import BoxSide, Notch, edge_length_mm
from nestcut.shapes.figures.outline import Treatment
from nestcut.shapes.figures.plain import CornerRule
from nestcut.shapes.reader import ShapeReader
from nestcut.tolerances import FLATNESS_MM


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


def read_notch(table: ShapeReader, outline: tuple[Curve, ...]) -> Notch | None:
    """Read one notch; None if it has a fault."""
    side = table.choice("edge", BoxSide)
    length = edge_length_mm(outline, side)
    if table.has("from_far_end"):
        along = length - table.length("from_far_end")
    elif table.has("at"):
        along = table.length("at")
    else:
        along = length / 2.0 + table.signed("off_middle")
    width = table.positive("width")
    notch = Notch(
        side=side,
        along_mm=along,
        width_mm=width,
        depth_mm=table.positive("depth", width / 2.0),
        radius_mm=table.length("radius"),
    )
    table.close()
    return notch if table.is_sound else None


def read_hole(table: ShapeReader, outline: tuple[Curve, ...]) -> Hole | None:
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
