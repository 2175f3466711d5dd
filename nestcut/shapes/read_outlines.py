"""Outlines of plain figures, sections and panels as written in tables of readings."""

from __future__ import annotations

from nestcut.errors import Finding
from nestcut.shapes.bulkhead import HalfBreadths, bulkhead
from nestcut.shapes.fairing import Manner
from nestcut.shapes.fairness import Suspect, rank_misreadings
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.known import Drawn, Known, OffsetForm, read_offsets, warning
from nestcut.shapes.plain import circle, ellipse, polygon, rectangle, taper, trapezoid
from nestcut.shapes.read_cutouts import read_corner_rules
from nestcut.shapes.reader import ShapeReader
from nestcut.shapes.stations import EdgeReadings, PanelReadings, panel_outline, station_marks

_SLIPS_MM = (
    (3.175, "1/8 in"),
    (6.35, "1/4 in"),
    (12.7, "1/2 in"),
    (25.4, "1 in"),
    (50.8, "2 in"),
    (304.8, "1 ft"),
    (10.0, "10 mm"),
    (100.0, "100 mm"),
)
"""Amounts by which tables are usually misread (common practice, no source)."""
_SLIP_SHARE = 0.2
"""How near an error must be to a usual slip to be named after it. [-]"""


def read_rectangle(reader: ShapeReader, known: Known) -> Drawn:
    """``length``, ``width``, corner rules."""
    del known
    length, width = reader.positive("length"), reader.positive("width")
    return Drawn(outline=rectangle(length, width, read_corner_rules(reader)))


def read_trapezoid(reader: ShapeReader, known: Known) -> Drawn:
    """``bottom``, ``top``, ``height``, ``shift``, corner rules."""
    del known
    shift = reader.signed("shift") if reader.has("shift") else None
    bottom, top = reader.length("bottom"), reader.length("top")
    rules = read_corner_rules(reader)
    return Drawn(outline=trapezoid(bottom, top, reader.positive("height"), shift, rules))


def read_taper(reader: ShapeReader, known: Known) -> Drawn:
    """``length``, widths at ``start`` and ``end``, corner rules."""
    del known
    length, start, end = reader.positive("length"), reader.length("start"), reader.length("end")
    return Drawn(outline=taper(length, start, end, read_corner_rules(reader)))


def read_polygon(reader: ShapeReader, known: Known) -> Drawn:
    """``points``, corner rules."""
    del known
    return Drawn(outline=polygon(reader.points("points"), read_corner_rules(reader)))


def read_circle(reader: ShapeReader, known: Known) -> Drawn:
    """``diameter``."""
    del known
    return Drawn(outline=circle(reader.positive("diameter")))


def read_ellipse(reader: ShapeReader, known: Known) -> Drawn:
    """``length``, ``width``."""
    del known
    return Drawn(outline=ellipse(reader.positive("length"), reader.positive("width")))


def read_bulkhead(reader: ShapeReader, known: Known) -> Drawn:
    """``heights``, ``half_breadths``, knuckles, camber, limber holes."""
    del known
    form = reader.choice("written", OffsetForm, OffsetForm.LENGTHS)
    spec = HalfBreadths(
        heights_mm=read_offsets(reader, "heights", form),
        half_breadths_mm=read_offsets(reader, "half_breadths", form),
        knuckle_heights_mm=reader.lengths("knuckles"),
        manner=reader.choice("curve", Manner, Manner.STRAIGHT),
        keel_height_mm=reader.length("keel_height") if reader.has("keel_height") else None,
        camber_mm=reader.length("camber", 0.0),
        bite_heights_mm=reader.lengths("limber_at"),
        bite_mm=reader.length("limber", 0.0),
        keel_bite_mm=reader.length("keel_limber", 0.0),
    )
    return Drawn(outline=bulkhead(spec))


def read_panel(reader: ShapeReader, known: Known) -> Drawn:
    """Stations, offsets of both edges, knuckles, station lines; suspects are pointed at."""
    del known
    panel = read_panel_readings(reader)
    outline = panel_outline(panel)
    suspects = rank_misreadings([("lower", panel.lower), ("upper", panel.upper)])
    findings = tuple(_pointed_at(s) for s in suspects[:1] if s.is_clear)
    return Drawn(outline=outline, marks=station_marks(panel), findings=findings)


def read_panel_readings(reader: ShapeReader) -> PanelReadings:
    """Both edges of a panel as written.

    Raises
    ------
    ShapeFaultError
        If offsets don't match their stations.
    """
    form = reader.choice("written", OffsetForm, OffsetForm.LENGTHS)
    stations = reader.lengths("stations")
    above = reader.lengths("upper_stations") if reader.has("upper_stations") else stations
    below = reader.lengths("lower_stations") if reader.has("lower_stations") else stations
    manner = reader.choice("curve", Manner, Manner.BATTEN)
    upper = read_offsets(reader, "upper", form)
    is_curved = reader.has("lower")
    lower = read_offsets(reader, "lower", form) if is_curved else (0.0,) * len(below)
    for name, places, offsets in (("lower", below, lower), ("upper", above, upper)):
        if len(places) != len(offsets):
            raise ShapeFaultError(
                name,
                f"{len(offsets)} offsets for {len(places)} stations.",
                "Give one offset for each station.",
            )
    return PanelReadings(
        lower=EdgeReadings(
            stations_mm=below,
            offsets_mm=lower,
            knuckles_mm=reader.lengths("lower_knuckles"),
            manner=manner if is_curved else Manner.STRAIGHT,
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


def _pointed_at(suspect: Suspect) -> Finding:
    """Warn about the reading most likely misread."""
    size = abs(suspect.off_by_mm)
    side = "more" if suspect.off_by_mm > 0 else "less"
    near = [t for mm, t in _SLIPS_MM if abs(size - mm) <= _SLIP_SHARE * mm]
    slip = f", near {near[0]}" if near else ""
    return warning(
        "SHP-010",
        f"{suspect.edge} at {suspect.station_mm:g} mm",
        f"the offset {suspect.reading_mm:g} mm lies about {size:.0f} mm{slip} {side} than a fair "
        "curve through the others.",
        "Read it again from the plans; if it's meant, mark the station as a knuckle.",
    )
