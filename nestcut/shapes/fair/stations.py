"""Panels from stations: distances along a base line, and the offsets of both edges there."""

from __future__ import annotations

import math
from dataclasses import dataclass

from nestcut.facts import Length
from nestcut.geometry.curves import end_point, evaluate, start_point
from nestcut.geometry.pose import reverse_curve
from nestcut.model.curves import Curve, Line, Point
from nestcut.model.shape import Mark
from nestcut.shapes.fair.fairing import Manner, fair_curve
from nestcut.shapes.faults import ShapeFaultError
from nestcut.tolerances import SAME_LENGTH_MM


@dataclass(frozen=True, slots=True, kw_only=True)
class EdgeReadings:
    """One edge of a panel: an offset from the base line at each station.

    Parameters
    ----------
    stations_mm
        Distances along the base line, rising. [mm]
    offsets_mm
        Offsets from the base line. [mm]
    knuckles_mm
        Stations where the edge may turn sharply. [mm]
    manner
        How the edge runs between stations.
    """

    stations_mm: tuple[float, ...]
    offsets_mm: tuple[float, ...]
    knuckles_mm: tuple[float, ...] = ()
    manner: Manner = Manner.BATTEN

    @property
    def points(self) -> tuple[Point, ...]:
        """Readings as points."""
        return tuple(zip(self.stations_mm, self.offsets_mm, strict=True))


@dataclass(frozen=True, slots=True, kw_only=True)
class PanelReadings:
    """A panel: its lower and upper edge, and station lines to be marked on it."""

    lower: EdgeReadings
    upper: EdgeReadings
    mark_at_mm: tuple[float, ...] = ()
    mark_names: tuple[str, ...] = ()


def panel_outline(panel: PanelReadings) -> tuple[Curve, ...]:
    """Closed outline: lower edge, end, upper edge back, start.

    Raises
    ------
    ShapeFaultError
        If readings don't match their stations, or an edge can't be drawn.
    """
    for name, edge in (("lower", panel.lower), ("upper", panel.upper)):
        if len(edge.stations_mm) != len(edge.offsets_mm):
            raise ShapeFaultError(
                name, "SHP-141", number=len(edge.offsets_mm), stations=len(edge.stations_mm)
            )
    lower, upper = panel.lower.points, panel.upper.points
    below = fair_curve(lower, panel.lower.knuckles_mm, panel.lower.manner)
    above = fair_curve(upper, panel.upper.knuckles_mm, panel.upper.manner)
    run: list[Curve] = [*below]
    if math.dist(lower[-1], upper[-1]) > SAME_LENGTH_MM:
        run.append(Line(lower[-1], upper[-1]))
    run += [reverse_curve(c) for c in reversed(above)]
    if math.dist(upper[0], lower[0]) > SAME_LENGTH_MM:
        run.append(Line(upper[0], lower[0]))
    return tuple(run)


def station_marks(panel: PanelReadings) -> tuple[Mark, ...]:
    """Station lines across the panel, from edge to edge."""
    below = fair_curve(panel.lower.points, panel.lower.knuckles_mm, panel.lower.manner)
    above = fair_curve(panel.upper.points, panel.upper.knuckles_mm, panel.upper.manner)
    names = (*panel.mark_names, *[""] * len(panel.mark_at_mm))
    marks: list[Mark] = []
    for x, name in zip(panel.mark_at_mm, names, strict=False):
        ends = (_height_at(below, x), _height_at(above, x))
        if ends[0] is None or ends[1] is None:
            raise ShapeFaultError("mark_at", "SHP-148", at=Length(x))
        if abs(ends[1] - ends[0]) > SAME_LENGTH_MM:
            line = Line((x, ends[0]), (x, ends[1]))
            marks.append(Mark((line.start, line.end), (line,), name))
    return tuple(marks)


def _height_at(run: tuple[Curve, ...], x: float) -> float | None:
    """Height of a left-to-right run of curves over ``x``; None outside.

    Lines and cubics over x run evenly in x.
    """
    for curve in run:
        first, last = start_point(curve)[0], end_point(curve)[0]
        if first - SAME_LENGTH_MM <= x <= last + SAME_LENGTH_MM:
            return evaluate(curve, min(max((x - first) / (last - first), 0.0), 1.0))[1]
    return None
