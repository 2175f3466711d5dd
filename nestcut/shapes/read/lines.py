"""Named lines in space, and the parts that follow them: caps, developed panels, rails."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from nestcut.errors import Finding
from nestcut.facts import Fact, Facts, Length, Value, fact
from nestcut.model.part import Bearings, End, Hand, Outside, Towards
from nestcut.shapes.faults import FollowsError, ShapeFaultError
from nestcut.shapes.hull.band import Lay, Rise, band_along, flat_line
from nestcut.shapes.hull.bend import hardest_bend
from nestcut.shapes.hull.breadths import cross_mark, mirrored_outline, rolled_edge, same_place
from nestcut.shapes.hull.development import (
    Development,
    bulge_mm,
    develop,
    outline_of,
    station_mark,
)
from nestcut.shapes.hull.spaceline import SpaceLine, through
from nestcut.shapes.known import NOTHING_KNOWN, Drawn, Known, count_bare_in, note, warning
from nestcut.shapes.reader import ShapeReader
from nestcut.shapes.ruler import Bend, Ruler, mark_span
from nestcut.shapes.table.offsets import Counted
from nestcut.tolerances import SAME_LENGTH_MM
from nestcut.trade.shop import FILLED_GAP_MM, TWIST_DEG


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltLine:
    """A line in space as one entry gives it, and the stations of its knuckles. [mm]"""

    name: str
    line: SpaceLine
    knuckles_mm: tuple[float, ...] = ()


_STRETCH_MM = 1.0
"""Stretch from which a panel is warned of. [mm]"""


def build_line(reader: ShapeReader) -> BuiltLine | None:
    """Read a ``[[line]]``: name, stations, half-breadths, heights, knuckles; None if faulty."""
    name = reader.text("name")
    count_bare_in(reader)
    stations = reader.lengths("stations")
    breadths = reader.lengths("half_breadths")
    heights = reader.lengths("heights")
    knuckles = reader.lengths("knuckles")
    reader.close()
    if not reader.is_sound:
        return None
    n = len(stations)
    if n < 2 or len(breadths) not in {0, n} or len(heights) != n:
        counts = {"breadths": len(breadths), "heights": len(heights)}
        reader.told("stations", "SHP-061", stations=n, **counts)
        return None
    if any(b - a <= SAME_LENGTH_MM for a, b in pairwise(stations)):
        reader.told("stations", "SHP-126")
        return None
    points = np.array([stations, breadths or (0.0,) * n, heights], dtype=np.float64).T
    try:
        numbers = tuple(_station_number(stations, k) for k in knuckles)
        line = through(points, tuple(k for k in numbers if 0 < k < n - 1))
    except ShapeFaultError as fault:
        fault.record(reader)
        return None
    return BuiltLine(name=name, line=line, knuckles_mm=knuckles)


def read_cap(reader: ShapeReader, known: Known) -> Drawn:
    """Band of a ``width`` along a line: ``along``, ``lay``, ``rise``, ``from`` and ``to``."""
    line = known.line(reader, "along")
    width = reader.positive("width")
    lay = reader.choice("lay", Lay)
    flat = flat_line(line, reader.choice("rise", Rise))
    start, stop = _span(reader, line, known)
    begin, end = same_place(line, flat, start), same_place(line, flat, stop)
    band = band_along(flat, width, lay, (begin, end))

    def middle(t: float) -> float:
        """Length along the middle of the band, up to a place of its line. [mm]"""
        return (band.outer.length_mm(0.0, t) + band.inner.length_mm(0.0, t)) / 2.0

    def place(forward_mm: float) -> tuple[float, float] | None:
        t = _parameter(line, forward_mm, (start, stop))
        along = None if t is None else middle(same_place(line, flat, t) - begin)
        return None if along is None else (along, along)

    return Drawn(
        outline=band.outline,
        band_width_mm=width,
        hand=Hand.PORT,
        ruler=Ruler(length_mm=middle(end - begin), of_forward=place),
        bearings=Bearings(forward=Towards.RIGHT, up=Towards.GOOD),
        findings=(
            note(
                "SHP-011",
                "cap",
                length=Length(band.line_length_mm),
                radius=Length(band.least_radius_mm),
            ),
        ),
    )


def read_developed(reader: ShapeReader, known: Known) -> Drawn:
    """Panel between two lines, ``lower`` and ``upper``, laid flat with its station lines."""
    lower, upper = known.line(reader, "lower"), known.line(reader, "upper")
    panel = develop(lower, upper)
    marks, bulges = [], []
    for name, x, is_wished in _mark_places(reader, known):
        bulges.append((bulge_mm(panel, lower, upper, 0, x), name))
        mark = station_mark(panel, lower, upper, 0, x, name)
        if mark is None and is_wished:
            raise ShapeFaultError("mark_at", "SHP-140", at=Length(x))
        marks += [] if mark is None else [mark]
    ends = np.concatenate([panel.lower[:, 0], panel.upper[:, 0]])
    first, last = float(ends.min()), float(ends.max())

    def place(forward_mm: float) -> tuple[float, float] | None:
        return mark_span(station_mark(panel, lower, upper, 0, forward_mm, ""), first)

    is_stiff = panel.worst_twist_deg > TWIST_DEG.value or abs(panel.stretch_mm) > _STRETCH_MM
    told: dict[str, Value] = {
        "twist": round(panel.worst_twist_deg, 1),
        "stretch": Length(abs(panel.stretch_mm)),
        "bend": Length(panel.least_bend_radius_mm),
        "near": _near(known, panel.least_bend_at_mm),
    }
    say = warning if is_stiff else note
    finding = say("SHP-013" if is_stiff else "SHP-012", "developed panel", **told)
    return Drawn(
        outline=outline_of(panel),
        ruler=Ruler(length_mm=last - first, of_forward=place, hardest=_panel_bend(panel, place)),
        marks=tuple(marks),
        findings=(finding, *_bulging(bulges)),
        hand=Hand.STARBOARD,
        bearings=Bearings(forward=Towards.RIGHT, outside=Outside.GOOD),
    )


def _panel_bend(
    panel: Development, place: Callable[[float], tuple[float, float] | None]
) -> Bend | None:
    """Where a panel bends hardest, from edge to edge."""
    span = place(panel.least_bend_at_mm)
    if span is None or not math.isfinite(panel.least_bend_radius_mm):
        return None
    return Bend(from_mm=span[0], to_mm=span[1], radius_mm=panel.least_bend_radius_mm)


def _bulging(bulges: list[tuple[float, str]]) -> tuple[Finding, ...]:
    """Tell where a panel leaves frames that are drawn straight, the worst place first."""
    wide = sorted((b for b in bulges if b[0] > FILLED_GAP_MM.value), reverse=True)
    if not wide:
        return ()
    places = Facts(tuple(fact("SHP-255", place=name, gap=Length(gap)) for gap, name in wide))
    return (note("SHP-167", "developed panel", places=places),)


def _near(known: Known, forward_mm: float) -> Fact:
    """Name of the station nearest to a place; of lines without stations, its distance from aft."""
    stations = known.stations()
    if not stations:
        return fact("SHP-254", at=Length(forward_mm))
    return fact("SHP-253", station=min(stations, key=lambda s: abs(s[1] - forward_mm))[0])


def read_bottom(reader: ShapeReader, known: Known) -> Drawn:
    """Flat bottom at its full width, along ``line`` or by stations and half-breadths."""
    count_bare_in(reader)
    if reader.has("line"):
        return _full_breadth(reader, known.line(reader, "line"), known, 0.0)
    stations, breadths = reader.lengths("stations"), reader.lengths("half_breadths")
    heights = reader.signed_lengths("heights") or (0.0,) * len(stations)
    if not reader.is_sound:
        raise FollowsError
    if len(stations) < 2 or len(breadths) != len(stations) or len(heights) != len(stations):
        counts = {"breadths": len(breadths), "heights": len(heights)}
        raise ShapeFaultError("stations", "SHP-061", stations=len(stations), **counts)
    if any(b - a <= SAME_LENGTH_MM for a, b in pairwise(stations)):
        raise ShapeFaultError("stations", "SHP-126")
    line = through(np.array([stations, breadths, heights], dtype=np.float64).T)
    return _full_breadth(reader, line, NOTHING_KNOWN, 0.0)


def read_deck(reader: ShapeReader, known: Known) -> Drawn:
    """Deck at its full width along a line, with its camber."""
    return _full_breadth(reader, known.line(reader, "line"), known, reader.length("camber"))


def _full_breadth(reader: ShapeReader, line: SpaceLine, known: Known, camber_mm: float) -> Drawn:
    start, stop = _span(reader, line, known)
    edge = rolled_edge(line, (start, stop), camber_mm)
    flat = flat_line(line, Rise.ROLLED_OUT)

    def place(forward_mm: float) -> tuple[float, float] | None:
        t = _parameter(line, forward_mm, (start, stop))
        gone = None if t is None else _gone(flat, line, start, t)
        return None if gone is None else (gone, gone)

    marks = []
    for name, x, is_wished in _mark_places(reader, known):
        where = place(x)
        if where is None:
            if is_wished:
                raise ShapeFaultError("mark_at", "SHP-140", at=Length(x))
            continue
        mark = cross_mark(edge, edge.where(0, float(edge.points[0, 0]) + where[0]), name)
        marks += [] if mark is None else [mark]
    return Drawn(
        outline=mirrored_outline(edge),
        ruler=Ruler(length_mm=_gone(flat, line, start, stop), of_forward=place),
        marks=tuple(marks),
        bearings=Bearings(forward=Towards.RIGHT),
    )


def _gone(flat: SpaceLine, line: SpaceLine, start: float, t: float) -> float:
    """Length along the profile between two parameters of the line. [mm]"""
    places = np.array([same_place(line, flat, start), same_place(line, flat, t)])
    first, last = flat.at(places)[:, 0].tolist()
    return float(last - first)


def _ruler_along(line: SpaceLine, start: float, stop: float) -> Ruler:
    """Scale of a rail that follows a line between two parameters, from its after end."""

    def place(forward_mm: float) -> tuple[float, float] | None:
        t = _parameter(line, forward_mm, (start, stop))
        along = None if t is None else line.length_mm(start, t)
        return None if along is None else (along, along)

    return Ruler(
        length_mm=line.length_mm(start, stop),
        bow=End.FAR,
        of_forward=place,
        hardest=hardest_bend(line, start, stop),
    )


def rail_ruler(reader: ShapeReader, known: Known) -> Ruler | None:
    """Scale of a rail along the line named by ``line``, between ``from`` and ``to``.

    Its length is the true one in space. None if the reader recorded a fault.
    """
    try:
        line = known.line(reader, "line")
        return _ruler_along(line, *_span(reader, line, known)) if reader.is_sound else None
    except ShapeFaultError as fault:
        fault.record(reader)
        return None


def _parameter(line: SpaceLine, forward_mm: float, span: tuple[float, float]) -> float | None:
    """Parameter of a line so far forward; None beyond its ends, or beyond a span of it."""
    first, last = float(line.points[0, 0]), float(line.points[-1, 0])
    if not first - SAME_LENGTH_MM <= forward_mm <= last + SAME_LENGTH_MM:
        return None
    t = line.where(0, min(max(forward_mm, first), last))
    return t if span[0] - SAME_LENGTH_MM <= t <= span[1] + SAME_LENGTH_MM else None


def _mark_places(reader: ShapeReader, known: Known) -> list[tuple[str, float, bool]]:
    """Names and places of station lines, and whether each was asked for. [mm]"""
    if not reader.has("mark_at"):
        return [(name, x, False) for name, x in known.stations()]
    names = reader.texts("mark_names")
    places = known.places(reader, "mark_at")
    return [(names[i] if i < len(names) else name, x, True) for i, (name, x) in enumerate(places)]


def _span(reader: ShapeReader, line: SpaceLine, known: Known) -> tuple[float, float]:
    """Parameters of the stations ``from`` and ``to``, the after one first; the ends if absent."""
    start, stop = 0.0, line.end
    ends = [
        line.where(0, known.forward_mm(reader, key)) if reader.has(key) else None
        for key in ("from", "to")
    ]
    if not reader.is_sound:
        raise FollowsError
    if known.table is not None and known.table.counted is Counted.BOW:
        ends.reverse()
    start = start if ends[0] is None else ends[0]
    stop = stop if ends[1] is None else ends[1]
    if stop - start <= SAME_LENGTH_MM:
        raise ShapeFaultError("to", "SHP-139")
    return start, stop


def _station_number(stations: tuple[float, ...], place: float) -> int:
    nearest = min(range(len(stations)), key=lambda i: abs(stations[i] - place))
    if abs(stations[nearest] - place) > 0.5:
        raise ShapeFaultError(
            "knuckles", "SHP-127", place=Length(place), nearest=Length(stations[nearest])
        )
    return nearest
