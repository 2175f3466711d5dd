"""The lines plan in its three views, with stations, and doubted readings ringed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from nestcut.model.curves import Point
from nestcut.pictures.fragment import Canvas, Fragment
from nestcut.shapes.hull.spaceline import SpaceLine
from nestcut.tolerances.looks import LINE_LABEL, STATION_LABEL

_STEPS = 24
"""Points drawn in each span."""
_HALF_BREADTH, _HEIGHT = 1, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Ringed:
    """A doubted reading: on which line, where, and in which view it is read. [mm]"""

    line: str
    forward_mm: float
    is_height: bool
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class LinesToDraw:
    """Lines by name, stations by name with their distance forward, and doubts. [mm]"""

    lines: Mapping[str, SpaceLine]
    stations: tuple[tuple[str, float], ...]
    doubts: tuple[Ringed, ...] = ()


def lines_fragments(plan: LinesToDraw) -> tuple[Fragment, ...]:
    """Profile, plan and body plan; none where there are no lines."""
    if not plan.lines:
        return ()
    return (
        _side_view(plan, _HEIGHT, "profile", "Lines plan: profile, bow to the right"),
        _side_view(plan, _HALF_BREADTH, "plan", "Lines plan: half-breadths, bow to the right"),
        _body(plan),
    )


def _sampled(line: SpaceLine) -> np.ndarray:
    return line.at(np.linspace(0.0, line.end, _STEPS * len(line.t)))


def _side_view(plan: LinesToDraw, axis: int, name: str, title: str) -> Fragment:
    canvas = Canvas()
    low = min(float(_sampled(x)[:, axis].min()) for x in plan.lines.values())
    high = max(float(_sampled(x)[:, axis].max()) for x in plan.lines.values())
    low = min(low, 0.0)
    for station, x in plan.stations:
        canvas.line([(x, low), (x, high)], "thin")
        canvas.text((x, low - (high - low) * STATION_LABEL), station)
    words: list[str] = []
    for called, line in plan.lines.items():
        points = _sampled(line)
        canvas.line(_pairs(points[:, 0], points[:, axis]))
        end = points[len(points) // 2 + _STEPS // 3]
        canvas.text((float(end[0]), float(end[axis]) + (high - low) * LINE_LABEL), called)
        for doubt in plan.doubts:
            if doubt.line == called and doubt.is_height == (axis == _HEIGHT):
                at = int(np.argmin(np.abs(line.points[:, 0] - doubt.forward_mm)))
                canvas.ring((float(line.points[at, 0]), float(line.points[at, axis])))
                words.append(f"Ringed: {doubt.words}")
    return Fragment(name=f"lines-{name}", title=title, svg=canvas.svg(title), words=tuple(words))


def _body(plan: LinesToDraw) -> Fragment:
    """Sections at the stations: those before the middle on the right, the others on the left."""
    canvas = Canvas()
    title = "Lines plan: body, forward half on the right"
    places = [x for _, x in plan.stations]
    middle = (min(places) + max(places)) / 2.0 if places else 0.0
    heights: list[float] = []
    for station, x in plan.stations:
        corners = _section(plan.lines, x)
        if len(corners) < 2:
            continue
        side = 1.0 if x >= middle else -1.0
        run = [(side * y, z) for y, z in corners]
        if corners[0][0] > 0.0:
            run.insert(0, (0.0, corners[0][1]))
        canvas.line(run)
        canvas.text((run[-1][0], run[-1][1] + 12.0), station)
        heights += [z for _, z in corners]
    canvas.line([(0.0, min([0.0, *heights])), (0.0, max([1.0, *heights]))], "dash")
    return Fragment(name="lines-body", title=title, svg=canvas.svg(title))


def _section(lines: Mapping[str, SpaceLine], x: float) -> list[Point]:
    """Half-breadth and height of each line at a station, from the keel up."""
    found: list[Point] = []
    for line in lines.values():
        if not line.points[0, 0] - 1.0 <= x <= line.points[-1, 0] + 1.0:
            continue
        inside = min(max(x, float(line.points[0, 0])), float(line.points[-1, 0]))
        _, y, z = line.at(np.array([line.where(0, inside)]))[0].tolist()
        found.append((y, z))
    return sorted(found, key=lambda p: p[1])


def _pairs(x: np.ndarray, y: np.ndarray) -> list[Point]:
    return [(float(a), float(b)) for a, b in zip(x, y, strict=True)]
