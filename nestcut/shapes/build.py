"""The one door into this room: a table of readings becomes a shape.

``[part.shape]`` names its ``kind`` and the readings of that kind; corners, holes and notches go
with every plain figure.  Every fault is recorded with the reader, under codes ``SHP-...``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from enum import StrEnum

from nestcut.errors import Finding
from nestcut.geometry.rings import Side, ring_from_curves, true_bounds_mm
from nestcut.model.curves import Curve, Point
from nestcut.model.shape import Mark, Shape
from nestcut.shapes.assemble import assemble
from nestcut.shapes.bulkhead import HalfBreadths, bulkhead
from nestcut.shapes.cutouts import (
    BoxSide,
    Hole,
    HoleForm,
    Notch,
    edge_length_mm,
    hole_curves,
    with_notch,
)
from nestcut.shapes.fairing import Manner
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.outline import Treatment
from nestcut.shapes.plain import CornerRule, circle, ellipse, polygon, rectangle, taper, trapezoid
from nestcut.shapes.reader import ShapeReader
from nestcut.shapes.stations import EdgeReadings, PanelReadings, panel_outline, station_marks
from nestcut.tolerances import FLATNESS_MM


class Kind(StrEnum):
    """Kinds of shapes that numbers can give."""

    RECTANGLE = "rectangle"
    TRAPEZOID = "trapezoid"
    TAPER = "taper"
    POLYGON = "polygon"
    CIRCLE = "circle"
    ELLIPSE = "ellipse"
    BULKHEAD = "bulkhead"
    PANEL = "panel"


class OffsetForm(StrEnum):
    """How offsets are written."""

    LENGTHS = "lengths"
    EIGHTHS = "feet-inches-eighths"


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltShape:
    """A shape from numbers, and what is worth saying about it."""

    shape: Shape
    findings: tuple[Finding, ...] = ()


Drawn = tuple[tuple[Curve, ...], tuple[Mark, ...]]


def build_shape(reader: ShapeReader, flatness_mm: float = FLATNESS_MM) -> BuiltShape | None:
    """Build the shape that a ``[part.shape]`` table describes.

    Returns
    -------
    BuiltShape or None
        None if anything was at fault; the reader has recorded what.
    """
    kind = reader.choice("kind", Kind)
    try:
        outline, marks = _OUTLINES[kind](reader)
        notches = [_read_notch(t, outline) for t in reader.tables("notches")]
        holes = [_read_hole(t, outline, flatness_mm) for t in reader.tables("holes")]
        reader.close()
        if not reader.is_sound or None in notches or None in holes:
            return None
        for notch in notches:
            if notch is not None:
                outline = with_notch(outline, notch)
        rings = tuple(hole_curves(h) for h in holes if h is not None)
        return BuiltShape(shape=assemble(outline, rings, marks, flatness_mm=flatness_mm))
    except ShapeFaultError as fault:
        reader.fault(fault.key, "SHP-001", fault.message, fault.remedy)
        reader.close()
        return None


# -- outlines --


def _rectangle(reader: ShapeReader) -> Drawn:
    length, width = reader.positive("length"), reader.positive("width")
    return rectangle(length, width, _corner_rules(reader)), ()


def _trapezoid(reader: ShapeReader) -> Drawn:
    shift = reader.signed("shift") if reader.has("shift") else None
    bottom, top = reader.length("bottom"), reader.length("top")
    return trapezoid(bottom, top, reader.positive("height"), shift, _corner_rules(reader)), ()


def _taper(reader: ShapeReader) -> Drawn:
    length, start, end = reader.positive("length"), reader.length("start"), reader.length("end")
    return taper(length, start, end, _corner_rules(reader)), ()


def _polygon(reader: ShapeReader) -> Drawn:
    return polygon(reader.points("points"), _corner_rules(reader)), ()


def _circle(reader: ShapeReader) -> Drawn:
    return circle(reader.positive("diameter")), ()


def _ellipse(reader: ShapeReader) -> Drawn:
    return ellipse(reader.positive("length"), reader.positive("width")), ()


def _bulkhead(reader: ShapeReader) -> Drawn:
    form = reader.choice("written", OffsetForm, OffsetForm.LENGTHS)
    spec = HalfBreadths(
        heights_mm=_offsets(reader, "heights", form),
        half_breadths_mm=_offsets(reader, "half_breadths", form),
        knuckle_heights_mm=reader.lengths("knuckles"),
        manner=reader.choice("curve", Manner, Manner.STRAIGHT),
        keel_height_mm=reader.length("keel_height") if reader.has("keel_height") else None,
        camber_mm=reader.length("camber", 0.0),
        bite_heights_mm=reader.lengths("limber_at"),
        bite_mm=reader.length("limber", 0.0),
        keel_bite_mm=reader.length("keel_limber", 0.0),
    )
    return bulkhead(spec), ()


def _panel(reader: ShapeReader) -> Drawn:
    form = reader.choice("written", OffsetForm, OffsetForm.LENGTHS)
    stations = reader.lengths("stations")
    above = reader.lengths("upper_stations") if reader.has("upper_stations") else stations
    below = reader.lengths("lower_stations") if reader.has("lower_stations") else stations
    manner = reader.choice("curve", Manner, Manner.BATTEN)
    upper = _offsets(reader, "upper", form)
    lower = _offsets(reader, "lower", form) if reader.has("lower") else (0.0,) * len(below)
    panel = PanelReadings(
        lower=EdgeReadings(
            stations_mm=below,
            offsets_mm=lower,
            knuckles_mm=reader.lengths("lower_knuckles"),
            manner=manner if reader.has("lower") else Manner.STRAIGHT,
        ),
        upper=EdgeReadings(
            stations_mm=above,
            offsets_mm=upper,
            knuckles_mm=reader.lengths("upper_knuckles"),
            manner=manner,
        ),
        mark_at_mm=reader.lengths("mark_at"),
        mark_names=reader.texts("mark_names"),
    )
    return panel_outline(panel), station_marks(panel)


_OUTLINES: dict[Kind, Callable[[ShapeReader], Drawn]] = {
    Kind.RECTANGLE: _rectangle,
    Kind.TRAPEZOID: _trapezoid,
    Kind.TAPER: _taper,
    Kind.POLYGON: _polygon,
    Kind.CIRCLE: _circle,
    Kind.ELLIPSE: _ellipse,
    Kind.BULKHEAD: _bulkhead,
    Kind.PANEL: _panel,
}


def _offsets(reader: ShapeReader, key: str, form: OffsetForm) -> tuple[float, ...]:
    return reader.offsets(key) if form is OffsetForm.EIGHTHS else reader.lengths(key)


# -- corners, notches, holes --


def _corner_rules(reader: ShapeReader) -> tuple[CornerRule, ...]:
    """Rules in order: ``radius`` or ``chamfer`` for all corners, then ``corners`` one by one."""
    rules = [
        CornerRule(treatment=treatment, size_mm=reader.positive(key))
        for key, treatment in (("radius", Treatment.ROUND), ("chamfer", Treatment.CHAMFER))
        if reader.has(key)
    ]
    for table in reader.tables("corners"):
        rule = CornerRule(
            treatment=table.choice("cut", Treatment),
            size_mm=table.length("size", 0.0),
            which=(table.count("corner"),),
        )
        table.close()
        if table.is_sound:
            rules.append(rule)
        else:
            reader.fault("corners", "SHP-002", "a corner rule is at fault.", "Mend it first.")
    return tuple(rules)


def _read_notch(table: ShapeReader, outline: tuple[Curve, ...]) -> Notch | None:
    side = table.choice("edge", BoxSide)
    length = edge_length_mm(outline, side)
    if table.has("from_far_end"):
        along = length - table.length("from_far_end")
    elif table.has("at"):
        along = table.length("at")
    else:
        along = length / 2.0 + table.signed("off_middle", 0.0)
    width = table.positive("width")
    notch = Notch(
        side=side,
        along_mm=along,
        width_mm=width,
        depth_mm=table.positive("depth", width / 2.0),
        radius_mm=table.length("radius", 0.0),
    )
    table.close()
    return notch if table.is_sound else None


def _read_hole(table: ShapeReader, outline: tuple[Curve, ...], flatness_mm: float) -> Hole | None:
    form = table.choice("form", HoleForm, HoleForm.ROUND)
    if form is HoleForm.ROUND:
        length = width = table.positive("diameter")
    else:
        length, width = table.positive("length"), table.positive("width")
    hole = Hole(
        form=form,
        centre=_place(table, outline, flatness_mm),
        length_mm=length,
        width_mm=width,
        radius_mm=table.length("radius", 0.0),
        turn_deg=table.number("turn", 0.0, -360.0, 360.0),
    )
    table.close()
    return hole if table.is_sound else None


def _place(table: ShapeReader, outline: tuple[Curve, ...], flatness_mm: float) -> Point:
    """Centre of a hole: in the part's own frame, or from its edges and centre lines."""
    if table.has("centre"):
        return table.point("centre")
    left, bottom, right, top = true_bounds_mm(ring_from_curves(outline, flatness_mm, Side.OUTLINE))
    if table.has("from_left"):
        x = left + table.length("from_left")
    elif table.has("from_right"):
        x = right - table.length("from_right")
    else:
        x = (left + right) / 2.0 + table.signed("off_centre", 0.0)
    if table.has("from_bottom"):
        y = bottom + table.length("from_bottom")
    elif table.has("from_top"):
        y = top - table.length("from_top")
    else:
        y = (bottom + top) / 2.0 + table.signed("off_middle", 0.0)
    return (x, y)
