"""Outlines of plain figures, sections and panels as written in tables of readings."""

from __future__ import annotations

from dataclasses import replace

from nestcut.facts import Length, Names
from nestcut.model.part import Bearings, Towards
from nestcut.shapes.fair.fairing import Manner
from nestcut.shapes.fair.stations import EdgeReadings, PanelReadings, panel_outline, station_marks
from nestcut.shapes.faults import FollowsError, ShapeFaultError
from nestcut.shapes.figures.bulkhead import HalfBreadths, bulkhead
from nestcut.shapes.figures.plain import circle, ellipse, polygon, rectangle, taper, trapezoid
from nestcut.shapes.hull.breadths import mirrored_outline
from nestcut.shapes.hull.ring import RingWish
from nestcut.shapes.hull.seat import seat_edge
from nestcut.shapes.hull.section import Plane, SectionWish, Side, plane_through, section
from nestcut.shapes.hull.spaceline import SpaceLine
from nestcut.shapes.known import Drawn, Known, count_bare_in, warning
from nestcut.shapes.read.cutouts import read_corner_rules
from nestcut.shapes.reader import ShapeReader
from nestcut.shapes.ruler import Ruler
from nestcut.shapes.table.doubts import panel_doubts
from nestcut.shapes.table.offsets import Facing, OffsetTable

UPRIGHT = Bearings(up=Towards.TOP)
"""Of a bulkhead by half-breadths. A panel by its edges may be a side, a bottom or a knee."""


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
    count_bare_in(reader)
    spec = HalfBreadths(
        heights_mm=reader.lengths("heights"),
        half_breadths_mm=reader.lengths("half_breadths"),
        knuckle_heights_mm=reader.lengths("knuckles"),
        manner=reader.choice("curve", Manner),
        keel_height_mm=reader.length("keel_height") if reader.has("keel_height") else None,
        camber_mm=reader.length("camber"),
        bite_heights_mm=reader.lengths("limber_at"),
        bite_mm=reader.length("limber_diameter") / 2.0,
        keel_bite_mm=reader.length("keel_limber_diameter") / 2.0,
    )
    if not reader.is_sound:
        raise FollowsError
    return Drawn(outline=bulkhead(spec), bearings=UPRIGHT)


def read_panel(reader: ShapeReader, known: Known) -> Drawn:
    """Stations, offsets of both edges, knuckles, station lines; doubted readings are told."""
    del known
    panel = read_panel_readings(reader)
    if not reader.is_sound:
        raise FollowsError
    outline = panel_outline(panel)
    doubts = panel_doubts(panel)
    return Drawn(outline=outline, marks=station_marks(panel), findings=doubts)


def read_panel_readings(reader: ShapeReader) -> PanelReadings:
    """Both edges of a panel as written.

    Raises
    ------
    ShapeFaultError
        If offsets don't match their stations.
    """
    count_bare_in(reader)
    stations = reader.signed_lengths("stations")
    above = reader.signed_lengths("upper_stations") if reader.has("upper_stations") else stations
    below = reader.signed_lengths("lower_stations") if reader.has("lower_stations") else stations
    manner = reader.choice("curve", Manner)
    upper = reader.signed_lengths("upper")
    is_curved = reader.has("lower")
    lower = reader.signed_lengths("lower") if is_curved else (0.0,) * len(below)
    for name, places, offsets in (("lower", below, lower), ("upper", above, upper)):
        if len(places) != len(offsets):
            raise ShapeFaultError(name, "SHP-141", number=len(offsets), stations=len(places))
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


def read_frame(reader: ShapeReader, known: Known) -> Drawn:
    """Frame or bulkhead at a station, from the lines it passes."""
    x = known.forward_mm(reader, "at") if reader.has("at") else reader.positive("at")
    rake = reader.number("rake", low=-60.0, high=60.0)
    lines, wish = section_wish(reader, known)
    if reader.has("top"):
        wish = replace(wish, top_mm=reader.positive("top"))
    return section(lines, Plane(forward_mm=x, rake_deg=rake), wish)


def read_seat(reader: ShapeReader, known: Known) -> Drawn:
    """Seat or thwart from side to side, at a height, inside the planking."""
    height = reader.positive("height")
    lines, planking = _lines_and_planking(reader, known)
    ends = sorted(
        known.forward_mm(reader, key) if reader.has(key) else reader.positive(key)
        for key in ("from", "to")
    )
    if not reader.is_sound:
        raise FollowsError
    wish = SectionWish(planking_mm=planking, top_mm=height)
    edge = seat_edge(lines, (ends[0], ends[1]), wish)

    def place(forward_mm: float) -> tuple[float, float] | None:
        at = forward_mm - ends[0]
        return (at, at) if 0.0 <= at <= ends[1] - ends[0] else None

    return Drawn(
        outline=mirrored_outline(edge),
        bearings=Bearings(forward=Towards.RIGHT, up=Towards.GOOD),
        ruler=Ruler(length_mm=ends[1] - ends[0], of_forward=place),
    )


def read_transom(reader: ShapeReader, known: Known) -> Drawn:
    """Transom in its own plane, through the after ends of its lines."""
    rake = reader.number("rake", low=-10.0, high=75.0) if reader.has("rake") else None
    lines, wish = section_wish(reader, known)
    plane, off = plane_through([line.points[0] for line in lines], rake)
    drawn = replace(section(lines, plane, wish, Side.FORWARD), is_smaller_face=True)
    if rake is None and off > _FLAT_MM:
        odd = warning("SHP-062", "transom", off=Length(off))
        return replace(drawn, findings=(*drawn.findings, odd))
    return drawn


_FLAT_MM = 3.0
"""After ends of lines further off one plane than this are told. [mm]"""


def section_wish(reader: ShapeReader, known: Known) -> tuple[list[SpaceLine], SectionWish]:
    """Lines that a section passes, and what is asked of it."""
    names = reader.texts("lines")
    lines, planking = _lines_and_planking(reader, known)
    bites = reader.texts("limber_at")
    for name in bites:
        if name not in names:
            raise ShapeFaultError("limber_at", "SHP-063", name=name, lines=Names(names))
    wish = SectionWish(
        planking_mm=planking,
        names=names,
        manner=reader.choice("curve", Manner),
        camber_mm=reader.length("camber"),
        ring=_ring(reader),
        bites=frozenset(names.index(b) for b in bites),
        bite_mm=reader.length("limber_diameter") / 2.0,
        keel_bite_mm=reader.length("keel_limber_diameter") / 2.0,
    )
    if not reader.is_sound:
        raise FollowsError
    if not lines:
        raise ShapeFaultError("lines", "SHP-050")
    return lines, wish


def _ring(reader: ShapeReader) -> RingWish | None:
    """Widths of a ring frame; None of a bulkhead."""
    beam = reader.positive("beam") if reader.has("beam") else None
    widths = reader.lengths("width")
    if reader.has("width") and (not widths or min(widths) <= 0.0):
        raise ShapeFaultError("width", "SHP-160")
    if beam is not None and not widths:
        raise ShapeFaultError("beam", "SHP-161")
    return RingWish(widths_mm=widths, beam_mm=beam) if widths else None


def _lines_and_planking(
    reader: ShapeReader, known: Known
) -> tuple[list[SpaceLine], tuple[float, ...]]:
    """Lines that are named, from the keel up, and the planking that lies on them."""
    lines = [known.line_named(name, "lines") for name in reader.texts("lines")]
    planking = reader.lengths("planking")
    return lines, planking if reader.has("planking") else _usual_planking(known.table)


def _usual_planking(table: OffsetTable | None) -> tuple[float, ...]:
    """Planking that a table's offsets contain; asked where the table doesn't say."""
    if table is None or table.facing is Facing.INSIDE:
        return (0.0,)
    if table.facing is None:
        raise ShapeFaultError("lines", "SHP-064")
    if not table.planking_mm:
        raise ShapeFaultError("planking", "SHP-065")
    return table.planking_mm
