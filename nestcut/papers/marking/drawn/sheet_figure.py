"""A sheet small: its pieces with their numbers and base lines, the corner black."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import NamedTuple

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.papers.draw import (
    Anchor,
    Area,
    Balloon,
    Block,
    BlockLine,
    Disc,
    Fill,
    Item,
    Path,
    Pen,
    Text,
    Weight,
    arrow_head,
    place_inside,
)
from nestcut.papers.marking.base_lines import BaseLine
from nestcut.papers.marking.drawn.chart_figure import Figure
from nestcut.papers.marking.drawn.circles import Scene, place_circles
from nestcut.papers.view import SheetView
from nestcut.tolerances.lengths import LEAST_EXTENT_MM

SIZES_MM = (4.4, 3.8, 3.2)
"""Font sizes of numbers inside pieces. [mm]"""
BORDERS_MM = (1.0, 7.6, 10.4, 13.2)
"""Left free round a sheet, for numbers of pieces that have no room: the least that does. [mm]"""
BEYOND_SHARE = 0.1
"""So much of what is used is shown of a sheet's empty end. [-]"""
BOARD_MM = 12.0
"""A board is drawn so high at least, whatever its scale along. [mm]"""
DOT_MM = 0.7
"""Radius of the dot where a base line begins; leaders end without one. [mm]"""
ARROWS_MM = 3.0
"""A base line shorter than this has no arrow head. [mm]"""
ARROW_AT_MM = 4.0
"""How far from its beginning that is, where the line is so long. [mm]"""
KINK_MM, OVER_MM = 0.9, 0.8
"""How far a break line's kink reaches to either side, and its ends over a sheet's edges. [mm]"""
CLEAR_MM = 0.4
"""Circles keep so far from it. [mm]"""


def sheet_figure(
    sheet: SheetView, lines: tuple[BaseLine, ...], width_mm: float, room_mm: float
) -> Figure:
    """Draw a sheet; a piece too small for its number has it outside, in a circle.

    Parameters
    ----------
    lines
        One for each of its pieces that has a chart.
    width_mm
        How wide the figure is. [mm]
    room_mm
        Height of what stands beside it: a sheet whose far end is empty is drawn so large, without
        that end. [mm]
    """
    found = []
    for border in BORDERS_MM:
        figure, stand = _drawn(sheet, lines, (width_mm, room_mm), border)
        found.append((stand, figure))
        if not any(stand):
            break
    return min(found, key=lambda f: f[0])[1]


class _Stand(NamedTuple):
    """How many numbers of a figure stand badly, the worst first."""

    n_bare: int
    """On their pieces without room for them."""
    n_wrong: int
    """Beside them, with a leader past the dot of another piece."""
    n_over: int
    """Beside them, with a leader over another piece, or in another's hole."""


def _drawn(
    sheet: SheetView, lines: tuple[BaseLine, ...], room: tuple[float, float], border: float
) -> tuple[Figure, _Stand]:
    """The figure, and where its numbers stand."""
    layout = sheet.layout
    width_mm = room[0]
    wide = width_mm - 2.0 * border
    used = max((line.placed.box_mm[2] for line in lines), default=layout.length_mm)
    least = layout.width_mm * wide / max(room[1] - 2.0 * border, LEAST_EXTENT_MM)
    shown = min(layout.length_mm, max(used * (1.0 + BEYOND_SHARE), least))
    scale = wide / shown
    high = scale * max(1.0, BOARD_MM / (layout.width_mm * scale))
    height = layout.width_mm * high + 2.0 * border

    def at(p: Point) -> Point:
        return (border + p[0] * scale, -height + border + p[1] * high)

    items: list[Item] = []
    taken: list[BaseGeometry] = []
    if shown < layout.length_mm:  # open where it goes on, with a break line
        edge = LineString([*sheet.outline, sheet.outline[0]])
        seen = edge.intersection(shapely.box(-1.0, -1.0, shown, layout.width_mm + 1.0))
        items += [
            Path(tuple(at((x, y)) for x, y in part.coords), Pen.CUT)
            for part in shapely.get_parts(shapely.line_merge(seen))
        ]
        across = LineString([(shown, -1.0), (shown, layout.width_mm + 1.0)])
        _, low, _, top = across.intersection(Polygon(sheet.outline)).bounds
        broken = break_line(at((shown, low)), at((shown, top)))
        items.append(broken)
        taken.append(LineString(broken.points).buffer(CLEAR_MM))
    else:
        items.append(Area(tuple(at(p) for p in sheet.outline), pen=Pen.CUT))
    bodies: list[Polygon] = []
    inked: list[BaseGeometry] = []
    for line in lines:
        placed = line.placed
        holes = tuple(tuple(at(p) for p in h.points) for h in placed.shape.holes)
        ring = tuple(at(p) for p in placed.shape.outline.points)
        items.append(Area(ring, holes, Pen.THIN))
        items.append(Path((at(line.zero), at(line.end)), Pen.MARK))
        items.append(Disc(at(line.zero), DOT_MM, None, Fill.INK))
        items += _way(at(line.zero), at(line.end))
        bodies.append(Polygon(ring, holes))
        inked.append(LineString([at(line.zero), at(line.end)]))
    x, y = at((0.0, 0.0))
    corner = ((x, y), (x + 2.6, y), (x, y + 2.6))
    edges = [LineString(i.points) for i in items if isinstance(i, Path) and i.pen is Pen.CUT]
    edges += [
        Polygon(i.outline).exterior for i in items if isinstance(i, Area) and i.pen is Pen.CUT
    ]
    scene = Scene(
        bodies=tuple(bodies),
        dots=tuple(at(line.zero) for line in lines),
        lines=shapely.union_all([*inked, Polygon(corner)]),
        edge=shapely.union_all([*edges, *taken]),
        written=(),
        room=shapely.box(0.0, -height, width_mm, 0.0),
    )
    numbers = tuple(str(line.placed.number) for line in lines)
    written, stand = _numbered(numbers, scene)
    return Figure(height, (*items, *written, Area(corner, (), None, Fill.INK))), stand


def _numbered(numbers: tuple[str, ...], scene: Scene) -> tuple[list[Item], _Stand]:
    """Numbers on their pieces, or beside them in circles; and how many of them stand badly."""
    items: list[Item] = []
    small: list[int] = []
    boxes: list[Polygon] = []
    for k, number in enumerate(numbers):
        found = _inside(k, number, scene)
        own = [Polygon(t.box) for t in found if isinstance(t, Text)]
        if not found or any(b.intersects(t) for b in own for t in (*boxes, scene.edge)):
            small.append(k)
        else:
            items += found
            boxes += own
    circles = place_circles(small, replace(scene, written=tuple(boxes)))
    for k, balloon in circles.placed.items():
        items += _circle(numbers[k], balloon)
        boxes.append(shapely.Point(balloon.centre).buffer(balloon.radius_mm))
        boxes.append(LineString([balloon.centre, balloon.foot]).buffer(LEAST_EXTENT_MM))
    bare = [k for k in small if k not in circles.placed]
    for k in bare:
        x, y = scene.bodies[k].representative_point().coords[0]
        text = Text(numbers[k], (x, y), SIZES_MM[-1], Weight.BOLD, Anchor.MIDDLE)
        box = Polygon(text.box)
        if not any(box.intersects(t) for t in boxes):  # two on each other are none
            items.append(text)
            boxes.append(box)
    return items, _Stand(len(bare), circles.n_wrong, circles.n_over)


def break_line(low: Point, top: Point) -> Path:
    """A thin line with a kink across a sheet, a little over its edges: it goes on beyond.

    Parameters
    ----------
    low, top
        Where it leaves the sheet's edges, one above the other. [mm on paper]
    """
    (x, y0), (_, y1) = low, top
    middle = (y0 + y1) / 2.0
    kink = ((0.0, -1.5), (KINK_MM, -0.5), (-KINK_MM, 0.5), (0.0, 1.5))
    return Path(
        ((x, y0 - OVER_MM), *((x + a, middle + b) for a, b in kink), (x, y1 + OVER_MM)), Pen.THIN
    )


def _way(a: Point, b: Point) -> list[Item]:
    """An arrow head on a base line, so that a dot where two begin leaves nothing to guess."""
    long = math.dist(a, b)
    if long < ARROWS_MM:
        return []
    share = min(1.0, ARROW_AT_MM / long)
    tip = (a[0] + (b[0] - a[0]) * share, a[1] + (b[1] - a[1]) * share)
    return [arrow_head(tip, math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])), 1.8)]


def _inside(k: int, number: str, scene: Scene) -> list[Item]:
    """A number on its piece, beside its base line or else across it; nothing without room."""
    block = Block((BlockLine(number, Weight.BOLD),), SIZES_MM, pad_mm=0.1)
    body = scene.bodies[k]
    others = [b for j, b in enumerate(scene.bodies) if j != k]
    held = [o for o in others if body.intersects(o) and body.buffer(0.0).contains(o.centroid)]
    dots = shapely.union_all([shapely.Point(d).buffer(DOT_MM + 0.2) for d in scene.dots])
    own = body.buffer(-0.2).difference(shapely.union_all([*held, dots]))
    ink = scene.lines.buffer(0.3)
    found = place_inside(own.difference(ink), (block,), (0.0,)) or place_inside(
        own, (block,), (0.0,)
    )
    if found is None:
        return []
    clear = Area(
        tuple((float(x), float(y)) for x, y in found.box.exterior.coords[:-1]), (), None, Fill.PAPER
    )
    text = Text(number, found.centre, found.size_mm, Weight.BOLD, Anchor.MIDDLE)
    return [text] if not found.box.intersects(ink) else [clear, text]


def _circle(number: str, at: Balloon) -> list[Item]:
    away = math.dist(at.centre, at.foot)
    share = at.radius_mm / max(away, at.radius_mm)
    rim = (
        at.centre[0] + (at.foot[0] - at.centre[0]) * share,
        at.centre[1] + (at.foot[1] - at.centre[1]) * share,
    )
    return [
        Path((rim, at.foot), Pen.THIN),
        Disc(at.centre, at.radius_mm, Pen.THIN, Fill.PAPER),
        Text(number, at.centre, SIZES_MM[-1], Weight.BOLD, Anchor.MIDDLE),
    ]
