"""Small drawings on marking-out pages: a chart's shape with its points, a sheet with base lines."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.papers.draw import (
    Anchor,
    Area,
    Disc,
    Fill,
    Item,
    Path,
    Pen,
    Text,
    Weight,
    text_width_mm,
)
from nestcut.papers.marking.base_lines import BaseLine
from nestcut.papers.marking.charts import Chart, Form
from nestcut.papers.marking.outline import MarkedLine, MarkPoint, Role, drawn_line
from nestcut.papers.view import SheetView, share_letter

NUMBER_MM = 3.2
HIGHEST_MM = 29.0
BORDER_MM = 5.4

Box = tuple[float, float, float, float]
Place = Callable[[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Figure:
    """A small drawing; its items hang from its own top left. [mm on paper]"""

    height_mm: float
    items: tuple[Item, ...]


def chart_figure(chart: Chart, width_mm: float) -> Figure:
    """The shape along its base line, its points as dots, as many numbers as have room."""
    ring = np.array(chart.shape.outline.points)
    (x0, y0), (x1, y1) = ring.min(axis=0), ring.max(axis=0)
    stands = chart.form is Form.HALF and y1 - y0 > x1 - x0  # its centre line stands upright then
    if stands:
        (y0, x0), (y1, x1) = (x0, y0), (x1, y1)
    inner = (width_mm - 2 * BORDER_MM, HIGHEST_MM - 2 * BORDER_MM)
    scale = min(inner[0] / max(x1 - x0, 1.0), inner[1] / max(y1 - y0, 1.0))
    height = (y1 - y0) * scale + 2 * BORDER_MM

    def at(x: float, y: float) -> tuple[float, float]:
        x, y = (y, x) if stands else (x, y)
        return (
            width_mm / 2 + (x - (x0 + x1) / 2) * scale,
            -height / 2 + (y - (y0 + y1) / 2) * scale,
        )

    items: list[Item] = [
        Area(
            tuple(at(float(x), float(y)) for x, y in ring),
            tuple(tuple(at(x, y) for x, y in h.points) for h in chart.shape.holes),
            Pen.FRAME,
        )
    ]
    far = float(ring[:, 0].max())
    items.append(Path((at(min(0.0, float(ring[:, 0].min())), 0.0), at(far, 0.0)), Pen.MARK))
    items.append(Disc(at(0.0, 0.0), 0.9, Pen.FRAME, Fill.PAPER))
    inked: list[BaseGeometry] = [LineString([at(x, y) for x, y in (*ring, ring[0])])]
    taken: list[Box] = []
    for line in chart.marking.lines[1:]:
        drawn = drawn_line(line)
        way = tuple(at(float(x), float(y)) for x, y in drawn)
        if len(way) > 1 and not line.is_closed:
            items.append(Path(way, Pen.MARK))
    items += _cut_items(chart, at, taken)
    room = (width_mm, height)
    for line in chart.marking.lines:
        if line.circle is None:
            items += _dots(line, chart.form, at, taken, room, shapely.union_all(inked))
    return Figure(height, tuple(items))


def _cut_items(chart: Chart, at: Place, taken: list[Box]) -> list[Item]:
    """The lines at which a panel is cut, and its pieces' letters."""
    items: list[Item] = []
    seen: set[tuple[int, int]] = set()
    ring = Polygon(chart.shape.outline.points)
    for use in chart.uses:
        for cut in use.cuts:
            (ax, ay), (bx, by) = cut.line
            key = (round(ax), round(bx))
            if key not in seen:
                seen.add(key)
                items.append(Path((at(ax, ay), at(bx, by)), Pen.HIDDEN))
    lettered: set[int] = set()
    for use in chart.uses:
        if use.cuts and use.piece.share not in lettered:
            lettered.add(use.piece.share)
            x0, y0, x1, y1 = ring.bounds
            low = max((c.line[0][0] for c in use.cuts if c.side > 0), default=x0)
            high = min((c.line[0][0] for c in use.cuts if c.side < 0), default=x1)
            part = ring.intersection(shapely.box(low, y0, high, y1)).centroid
            x, y = at(part.x, part.y)
            items.append(
                Text(share_letter(use.piece.share), (x, y), 4.0, Weight.BOLD, Anchor.MIDDLE)
            )
            taken.append((x - 2.0, y - 2.2, x + 2.0, y + 2.2))
    return items


def _dots(
    line: MarkedLine,
    form: Form,
    at: Place,
    taken: list[Box],
    room: tuple[float, float],
    inked: BaseGeometry,
) -> list[Item]:
    items: list[Item] = []
    for point in sorted(line.points, key=lambda p: (p.role is not Role.CORNER, p.number)):
        spot = at(point.x_mm, point.y_mm)
        items.append(Disc(spot, 0.4, None, Fill.INK))
        if form is not Form.PANEL:
            number = _number(point, spot, taken, room, inked)
            items += [] if number is None else [number]
    return items


def _number(
    point: MarkPoint,
    spot: tuple[float, float],
    taken: list[Box],
    room: tuple[float, float],
    inked: BaseGeometry,
) -> Text | None:
    """A number beside its dot where no other is, off the lines if it can be, or none."""
    text = str(point.number)
    half = text_width_mm(text, NUMBER_MM) / 2 + 0.2
    high = NUMBER_MM * 0.62
    found: Box | None = None
    for k in range(8):
        angle = math.radians(45.0 * k + 45.0)
        x = spot[0] + (half + 0.7) * math.cos(angle)
        y = spot[1] + (high + 0.7) * math.sin(angle)
        mine = (x - half, y - high, x + half, y + high)
        if mine[0] < 0 or mine[2] > room[0] or mine[3] > 0 or mine[1] < -room[1]:
            continue
        if any(_meet(mine, o) for o in taken):
            continue
        is_clear = not shapely.intersects(inked, shapely.box(*mine))
        found = mine if found is None or is_clear else found
        if is_clear:
            break
    if found is None:
        return None
    taken.append(found)
    middle = ((found[0] + found[2]) / 2, (found[1] + found[3]) / 2)
    return Text(text, middle, NUMBER_MM, anchor=Anchor.MIDDLE)


def _meet(a: Box, b: Box) -> bool:
    return a[0] < b[2] and b[0] < a[2] and a[1] < b[3] and b[1] < a[3]


def sheet_figure(sheet: SheetView, lines: tuple[BaseLine, ...], width_mm: float) -> Figure:
    """A sheet small: its pieces with their numbers and base lines, the corner black.

    Parameters
    ----------
    lines
        One for each of its pieces that has a chart.
    width_mm
        How wide the figure is. [mm]
    """
    layout = sheet.layout
    scale = (width_mm - 2.0) / layout.length_mm
    height = layout.width_mm * scale + 3.0

    def at(p: tuple[float, float]) -> tuple[float, float]:
        return (1.0 + p[0] * scale, -height + 1.5 + p[1] * scale)

    items: list[Item] = [Area(tuple(at(p) for p in sheet.outline), pen=Pen.CUT)]
    for line in lines:
        placed = line.placed
        holes = tuple(tuple(at(p) for p in h.points) for h in placed.shape.holes)
        ring = tuple(at(p) for p in placed.shape.outline.points)
        items.append(Area(ring, holes, Pen.THIN))
        items.append(Path((at(line.zero), at(line.end)), Pen.MARK))
        items.append(Disc(at(line.zero), 0.7, Pen.FRAME, Fill.PAPER))
    taken: list[Box] = []
    for line in lines:
        items += _sheet_number(line, at, scale, taken)
    corner = at((0.0, 0.0))
    items.append(
        Area(
            (corner, (corner[0] + 2.6, corner[1]), (corner[0], corner[1] + 2.6)), (), None, Fill.INK
        )
    )
    return Figure(height, tuple(items))


def _sheet_number(
    line: BaseLine,
    at: Callable[[tuple[float, float]], tuple[float, float]],
    scale: float,
    taken: list[Box],
) -> list[Item]:
    """A piece's number inside it, as large as it has room; a small piece's is small."""
    polygon = line.placed.polygon
    text = str(line.placed.number)
    spot = shapely.maximum_inscribed_circle(polygon, tolerance=5.0)
    (mx, my), radius = spot.coords[0], spot.length * scale
    size = next((s for s in (4.4, 3.8, 3.2, 2.6) if _half(text, s) <= radius * 1.15), 2.0)
    x, y = at((mx, my))
    half, high = text_width_mm(text, size, Weight.BOLD) / 2, size * 0.62
    box = (x - half, y - high, x + half, y + high)
    if any(_meet(box, o) for o in taken):
        return []
    taken.append(box)
    clear = Area(
        ((box[0], box[1]), (box[2], box[1]), (box[2], box[3]), (box[0], box[3])),
        (),
        None,
        Fill.PAPER,
    )
    return [clear, Text(text, (x, y), size, Weight.BOLD, Anchor.MIDDLE)]


def _half(text: str, size: float) -> float:
    return math.hypot(text_width_mm(text, size, Weight.BOLD) / 2, size * 0.4)
