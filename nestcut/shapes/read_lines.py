"""Named lines in space, and the parts that follow them: caps, developed panels, rails."""

from __future__ import annotations

import numpy as np

from nestcut.shapes.band import Lay, Rise, band_along, flat_line
from nestcut.shapes.development import develop, outline_of, station_mark
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.known import Drawn, Known, OffsetForm, note, read_offsets, warning
from nestcut.shapes.reader import ShapeReader
from nestcut.shapes.spaceline import SpaceLine, through
from nestcut.tolerances import SAME_LENGTH_MM

_TWIST_DEG = 3.0
"""Twist from which a panel is warned of: less is taken up by the wood (common practice, no source).
[deg]"""
_STRETCH_MM = 1.0
"""Stretch from which a panel is warned of. [mm]"""


def build_line(reader: ShapeReader) -> tuple[str, SpaceLine] | None:
    """Read a ``[[line]]``: name, stations, half-breadths, heights, knuckles; None if faulty."""
    name = reader.text("name")
    form = reader.choice("written", OffsetForm, OffsetForm.LENGTHS)
    stations = reader.lengths("stations")
    breadths = read_offsets(reader, "half_breadths", form)
    heights = read_offsets(reader, "heights", form)
    knuckles = reader.lengths("knuckles")
    reader.close()
    if not reader.is_sound:
        return None
    n = len(stations)
    if n < 2 or len(breadths) not in {0, n} or len(heights) != n:
        reader.fault(
            "stations",
            "SHP-001",
            f"{n} stations, {len(breadths)} half-breadths, {len(heights)} heights.",
            "Give one of each for every station, at least two; a line in the centre plane may "
            "leave half_breadths out.",
        )
        return None
    table = np.array([stations, breadths or (0.0,) * n, heights], dtype=np.float64).T
    try:
        numbers = tuple(_station_number(stations, k) for k in knuckles)
        return name, through(table, tuple(k for k in numbers if 0 < k < n - 1))
    except ShapeFaultError as fault:
        reader.fault(fault.key, "SHP-001", fault.message, fault.remedy)
        return None


def read_cap(reader: ShapeReader, known: Known) -> Drawn:
    """Band of a ``width`` along a line: ``along``, ``lay``, ``rise``, ``from`` and ``to``."""
    line = known.line(reader, "along")
    width = reader.positive("width")
    lay = reader.choice("lay", Lay, Lay.INSIDE)
    flat = flat_line(line, reader.choice("rise", Rise, Rise.ROLLED_OUT))
    start, stop = _span(reader, line)
    band = band_along(flat, width, lay, (_same(line, flat, start), _same(line, flat, stop)))
    return Drawn(
        outline=band.outline,
        band_width_mm=width,
        findings=(
            note(
                "SHP-011",
                "cap",
                f"{band.line_length_mm:.0f} mm along the line, sharpest bend "
                f"{band.least_radius_mm:.0f} mm radius.",
            ),
        ),
    )


def read_developed(reader: ShapeReader, known: Known) -> Drawn:
    """Panel between two lines, ``lower`` and ``upper``, laid flat with its station lines."""
    lower, upper = known.line(reader, "lower"), known.line(reader, "upper")
    panel = develop(lower, upper)
    names = reader.texts("mark_names")
    marks = []
    for i, x in enumerate(reader.lengths("mark_at")):
        mark = station_mark(panel, lower, upper, 0, x, names[i] if i < len(names) else "")
        if mark is None:
            raise ShapeFaultError(
                "mark_at", f"the panel doesn't reach to {x:g} mm.", "Check the station."
            )
        marks.append(mark)
    told = (
        f"greatest twist {panel.worst_twist_deg:.1f} deg, stretch {panel.stretch_mm:+.1f} mm, "
        f"tightest bend {panel.least_bend_radius_mm:.0f} mm radius"
    )
    if panel.worst_twist_deg > _TWIST_DEG or abs(panel.stretch_mm) > _STRETCH_MM:
        finding = warning(
            "SHP-013",
            "developed panel",
            f"no flat sheet takes this shape exactly: {told}.",
            "Leave an allowance and fit it dry; check the offsets of both lines.",
        )
    else:
        finding = note("SHP-012", "developed panel", f"lies flat: {told}.")
    return Drawn(outline=outline_of(panel), marks=tuple(marks), findings=(finding,))


def rail_length_mm(reader: ShapeReader, known: Known) -> float | None:
    """True length in space of the line named by ``line``, between ``from`` and ``to``.

    None if the reader recorded a fault. [mm]
    """
    try:
        line = known.line(reader, "line")
        return line.length_mm(*_span(reader, line)) if reader.is_sound else None
    except ShapeFaultError as fault:
        reader.fault(fault.key, "SHP-001", fault.message, fault.remedy)
        return None


def _span(reader: ShapeReader, line: SpaceLine) -> tuple[float, float]:
    """Parameters of the stations ``from`` and ``to``; the ends where absent."""
    start = line.where(0, reader.length("from")) if reader.has("from") else 0.0
    stop = line.where(0, reader.length("to")) if reader.has("to") else line.end
    if stop - start <= SAME_LENGTH_MM:
        raise ShapeFaultError("to", "the stretch ends before it begins.", "Check from and to.")
    return start, stop


def _same(line: SpaceLine, flat: SpaceLine, t: float) -> float:
    """Parameter of the flat line at the point that belongs to ``t`` of the line in space.

    Both run between the same stations; in between they are matched by the half-breadth's own
    order along the span.
    """
    i = int(np.clip(np.searchsorted(line.t, t, side="right") - 1, 0, len(line.t) - 2))
    share = (t - line.t[i]) / (line.t[i + 1] - line.t[i])
    return float(flat.t[i] + share * (flat.t[i + 1] - flat.t[i]))


def _station_number(stations: tuple[float, ...], place: float) -> int:
    nearest = min(range(len(stations)), key=lambda i: abs(stations[i] - place))
    if abs(stations[nearest] - place) > 0.5:
        raise ShapeFaultError(
            "knuckles",
            f"there is no reading at the knuckle {place:g} mm.",
            f"Knuckles are stations; the nearest is {stations[nearest]:g} mm.",
        )
    return nearest
