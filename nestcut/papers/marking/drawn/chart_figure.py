"""A chart's drawing: its shape along the base line, numbered points, names and directions."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import combinations

import numpy as np
import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry.base import BaseGeometry

from nestcut.model.curves import Point
from nestcut.papers.draw import (
    Anchor,
    Area,
    Disc,
    Fill,
    Ground,
    Item,
    Note,
    Path,
    Pen,
    Text,
    Weight,
    arrow_head,
    place_box,
    text_width_mm,
    write_beside,
)
from nestcut.papers.marking.charts import Chart, Form
from nestcut.papers.marking.drawn.details import Crowd, crowds, details, told_apart
from nestcut.papers.marking.drawn.line_names import LineName, name_lines
from nestcut.papers.marking.outline import Role, drawn_line
from nestcut.papers.marking.told.arc_words import hollow_arcs
from nestcut.papers.marking.told.chart_joints import mark_joints
from nestcut.papers.marking.told.chart_stance import chart_stance, in_chart
from nestcut.papers.marking.told.chart_words import is_inline
from nestcut.papers.view import PlanView, bevels_of, share_letter

NUMBER_MM = 3.2
LETTER_MM = 4.0
HIGHEST_MM = (18.0, 25.0, 34.0, 46.0)
"""How high a shape is drawn: higher where its numbers have no room. [mm]"""
BORDER_MM = 6.4
"""Left free round a shape for numbers. [mm]"""
WORDS_MM = 13.0
"""Left free beside a panel for where 'upper' and 'lower' lie. [mm]"""
DOT_MM, END_DOT_MM, PASSED_DOT_MM = 0.4, 0.7, 0.25
"""Radius of a point's dot; in panels where a batten ends, and where it passes. [mm]"""
ARROW_MM = 6.0
SMALL_ARROW_MM = 4.4
"""Length of an arrow where there is no room for the usual one. [mm]"""
FOOT_MM = 1.0
"""An arrow ends so far above what is written under the drawing. [mm]"""
BEVEL_SHARES = (0.5, 0.3, 0.7, 0.15, 0.85)
"""Where along a bevelled edge its letter is tried, best first. [-]"""

Place = Callable[[float, float], Point]


@dataclass(frozen=True, slots=True)
class Figure:
    """A small drawing; its items hang from its own top left. [mm on paper]"""

    height_mm: float
    items: tuple[Item, ...]
    has_all: bool = True
    """Whether every number has room in it."""
    has_arrows: bool = True
    """Whether FWD and UP have, as far as they are known."""
    crowds: tuple[Crowd, ...] = ()
    """Points of it that lie on each other."""


def chart_figure(chart: Chart, view: PlanView, width_mm: float) -> Figure:
    """Draw a chart's shape so high that every number of its tables has a place at its point.

    Parameters
    ----------
    width_mm
        How wide the drawing is. [mm]
    """
    high, *others = HIGHEST_MM
    figure = _drawn(chart, view, width_mm, high)
    for more in others:
        if figure.has_all:
            break
        high, figure = more, _drawn(chart, view, width_mm, more)
    spare = 0.0 if figure.has_arrows else ARROW_MM
    if spare:
        figure = _drawn(chart, view, width_mm, high, spare)
    for some in _fewer(figure.crowds):
        large = _drawn(chart, view, width_mm, high, spare, some)
        if large.has_all and large.has_arrows >= figure.has_arrows:
            return large
    return figure


def _fewer(found: tuple[Crowd, ...]) -> Iterator[tuple[Crowd, ...]]:
    """Which crowds to show in details: all, else as many as may have room, the closest first."""
    closest = sorted(found, key=lambda crowd: crowd.extent_mm)
    for count in range(len(closest), 0, -1):
        yield from combinations(closest, count)


def _drawn(
    chart: Chart,
    view: PlanView,
    width_mm: float,
    high_mm: float,
    spare_mm: float = 0.0,
    detailed: tuple[Crowd, ...] = (),
) -> Figure:
    """A drawing of a height, with so much more left free above and below it.

    Points that are ``detailed`` have their numbers in details alone.
    """
    ring = np.array(chart.shape.outline.points)
    (x0, y0), (x1, y1) = ring.min(axis=0), ring.max(axis=0)
    stands = chart.form is Form.HALF and y1 - y0 > x1 - x0  # its centre line stands upright then
    if stands:
        (y0, x0), (y1, x1) = (x0, y0), (x1, y1)
    beside = WORDS_MM if chart.is_through else BORDER_MM
    scale = min((width_mm - 2 * beside) / max(x1 - x0, 1.0), high_mm / max(y1 - y0, 1.0))
    border = BORDER_MM + (3.0 if chart.form is Form.PANEL else 0.0) + spare_mm / 2.0
    height = (y1 - y0) * scale + 2 * border

    def at(x: float, y: float) -> Point:
        x, y = (y, x) if stands else (x, y)
        return (
            width_mm / 2 + (x - (x0 + x1) / 2) * scale,
            -height / 2 + (y - (y0 + y1) / 2) * scale,
        )

    far = float(ring[:, 0].max())
    axis = (at(min(0.0, float(ring[:, 0].min())), 0.0), at(far, 0.0))
    items: list[Item] = [
        Area(
            tuple(at(float(x), float(y)) for x, y in ring),
            tuple(tuple(at(x, y) for x, y in h.points) for h in chart.shape.holes),
            Pen.FRAME,
        ),
        Path(axis, Pen.MARK),
        Disc(at(0.0, 0.0), 0.9, Pen.FRAME, Fill.PAPER),
    ]
    lines = [tuple(at(x, y) for x, y in (*r, r[0])) for r in _rings(chart)]
    marks = [
        tuple(at(float(x), float(y)) for x, y in drawn_line(line))
        for line in chart.marking.lines[1:]
        if line.circle is None and not line.is_closed and not line.name.startswith("hole")
    ]
    items += [Path(way, Pen.MARK) for way in marks]
    cuts = _cuts(chart, at)
    items += [Path(cut.way, Pen.HIDDEN) for cut in cuts]
    inked: list[BaseGeometry] = [
        LineString(w) for w in (*lines, *marks, *(c.way for c in cuts), axis)
    ]
    inked.append(shapely.Point(at(0.0, 0.0)).buffer(1.0))
    body = Polygon([at(float(x), float(y)) for x, y in ring])
    dots, numbers = _numbers(chart, at, body)
    elsewhere = {str(n) for crowd in detailed for n, _ in crowd.points}
    numbers = [note for note in numbers if note.text not in elsewhere]
    items += [Disc(spot, size, None, Fill.INK) for spot, size in dots.items()]
    room = shapely.box(0.0, -height, width_mm, 0.0)
    ground = Ground(shapely.union_all(inked), room, tuple(dots))
    if chart.is_through:
        items += _sides(at(x0, 0.0), ground)
    written, missed = write_beside(numbers, ground)
    items += written
    letters, _ = write_beside(_letters(chart, at), ground)
    detailed = tuple(told_apart(detailed))
    circles = [crowd.circle for crowd in detailed]
    ground.texts += circles  # a name in one is taken for what its detail shows
    names, unnamed = name_lines(_names(chart, view, at, cuts, tuple(dots)), body, ground)
    items += [*letters, *names]
    arrows, has_arrows = _arrows(chart, body, ground, is_standing=stands)
    items += arrows
    ground.texts[:] = [text for text in ground.texts if not any(text is c for c in circles)]
    drawn = details(detailed, body, ground)
    items += drawn
    close = detailed or _close(chart, at)
    has_all = not (missed or unnamed) and bool(drawn) is bool(detailed)
    return Figure(height, tuple(items), has_all, has_arrows, close)


def _close(chart: Chart, at: Place) -> tuple[Crowd, ...]:
    """Points of an outline that crowd each other as it is drawn."""
    outline = chart.marking.lines[0]
    if chart.form is Form.PANEL or outline.circle is not None:
        return ()
    points = [(p.number, at(p.x_mm, p.y_mm)) for p in outline.points]
    return tuple(crowds(points, hollow_arcs(outline, chart)))


def _arrows(
    chart: Chart, body: Polygon, ground: Ground, *, is_standing: bool
) -> tuple[list[Item], bool]:
    """FWD and UP as far as they are known, and whether there is room for them."""
    stance = chart_stance(chart)
    x0, y0, x1, y1 = ground.room.bounds
    ground = replace(ground, room=shapely.box(x0, y0 + FOOT_MM, x1, y1))
    items: list[Item] = []
    has_arrows = True
    for word, way in (("FWD", stance.forward), ("UP", stance.up)):
        if way is not None:
            arrow = _arrow(word, (way[1], way[0]) if is_standing else way, body, ground)
            has_arrows = has_arrows and bool(arrow)
            items += arrow
    return items, has_arrows


def _rings(chart: Chart) -> list[tuple[Point, ...]]:
    return [chart.shape.outline.points, *(h.points for h in chart.shape.holes)]


def _numbers(chart: Chart, at: Place, body: Polygon) -> tuple[dict[Point, float], list[Note]]:
    """Every point that a table gives, as a dot of a size; numbered but in panels' rows of offsets.

    There a batten ends at fat dots and passes the others.
    """
    dots: dict[Point, float] = {}
    notes: list[Note] = []
    for line in chart.marking.lines:
        if line.circle is not None or is_inline(line):
            continue
        for point in line.points:
            spot = at(point.x_mm, point.y_mm)
            is_row = chart.form is Form.PANEL and line is chart.marking.lines[0]
            is_end = point.role is Role.CORNER
            dots[spot] = (END_DOT_MM if is_end else PASSED_DOT_MM) if is_row else DOT_MM
            if not is_row:
                within = body if line.name.startswith("hole") else None
                notes.append(Note(str(point.number), spot, NUMBER_MM, within=within))
    return dots, notes


@dataclass(frozen=True, slots=True)
class _CutLine:
    """A line at which pieces of a panel end: letters of those before it and of those beyond."""

    way: tuple[Point, Point]
    ends: tuple[str, ...]
    begins: tuple[str, ...]

    @property
    def words(self) -> str:
        """Which pieces end there and which begin; at a butt both do."""
        told = [f"{letter} ends" for letter in self.ends]
        return ", ".join([*told, *(f"{letter} begins" for letter in self.begins)])


def _cuts(chart: Chart, at: Place) -> list[_CutLine]:
    """The lines at which a panel is cut; alike for both hands they are drawn once."""
    found: dict[tuple[int, int], _CutLine] = {}
    for use in chart.uses:
        for cut in use.cuts:
            (ax, ay), (bx, by) = cut.line
            key = (round(ax), round(bx))
            line = found.get(key, _CutLine((at(ax, ay), at(bx, by)), (), ()))
            letter = (share_letter(use.piece.share),)
            if cut.side < 0 and letter != line.ends:
                line = replace(line, ends=letter)
            elif cut.side > 0 and letter != line.begins:
                line = replace(line, begins=letter)
            found[key] = line
    return list(found.values())


def _letters(chart: Chart, at: Place) -> list[Note]:
    """Letters of a joined panel's pieces, in their middle."""
    notes: list[Note] = []
    lettered: set[int] = set()
    ring = Polygon(chart.shape.outline.points)
    for use in chart.uses:
        if use.cuts and use.piece.share not in lettered:
            lettered.add(use.piece.share)
            x0, y0, x1, y1 = ring.bounds
            low = max((c.line[0][0] for c in use.cuts if c.side > 0), default=x0)
            high = min((c.line[0][0] for c in use.cuts if c.side < 0), default=x1)
            part = ring.intersection(shapely.box(low, y0, high, y1)).centroid
            letter = share_letter(use.piece.share)
            notes.append(Note(letter, at(part.x, part.y), LETTER_MM, Weight.BOLD, 1.4))
    return notes


def _names(
    chart: Chart, view: PlanView, at: Place, cuts: list[_CutLine], dots: tuple[Point, ...]
) -> list[LineName]:
    """Names of marks, joints, bevelled edges and the centre line, each for an end of its line.

    Parameters
    ----------
    dots
        Where points are.
    """
    names: list[LineName] = []
    if chart.form is Form.HALF:
        along = [x for x, _ in chart.shape.outline.points]
        names.append(LineName("CL", (at(max(along), 0.0), at(min(along), 0.0))))
    for cut in cuts:  # at two ends: both lines of a scarf lie close together
        foot, top = cut.way
        names.append(LineName(cut.words, (top, foot) if cut.ends else (foot, top), Weight.BOLD))
    for line in chart.marking.lines[1:]:
        if line.circle is None and line.name.startswith("mark") and line.points:
            keys = mark_joints(line, chart, view)
            label = keys or line.name.removeprefix("mark").strip()
            ends = [at(p.x_mm, p.y_mm) for p in (line.points[0], line.points[-1])]
            if label:
                low, high = sorted(ends, key=lambda p: p[1])
                weight = Weight.BOLD if keys else Weight.PLAIN
                names.append(LineName(label, (high, low), weight))
    names += _bevel_letters(chart, at, () if chart.form is Form.PANEL else dots)
    return names


def _bevel_letters(chart: Chart, at: Place, dots: tuple[Point, ...]) -> list[LineName]:
    """Letters of bevelled edges, each beside its edge and by none of its points."""
    found: dict[str, LineName] = {}
    for use in chart.uses:
        for bevel in bevels_of(in_chart(use)):
            for edge in bevel.lines:
                spots = tuple(
                    at(p.x, p.y)
                    for share in BEVEL_SHARES
                    for p in (edge.interpolate(share, normalized=True),)
                )
                key = f"{bevel.letter} {spots[0][0]:.0f} {spots[0][1]:.0f}"
                found.setdefault(key, LineName(bevel.letter, spots, Weight.BOLD, dots))
    return list(found.values())


def _sides(zero: Point, ground: Ground) -> list[Item]:
    """Where 'upper' and 'lower' lie, at the base line's beginning."""
    texts = [
        Text(word, (zero[0] - 1.6, zero[1] + up), NUMBER_MM, anchor=Anchor.END)
        for word, up in (("upper", 2.3), ("lower", -2.3))
    ]
    ground.texts += [Polygon(t.box) for t in texts]
    return list(texts)


def _arrow(word: str, way: Point, body: Polygon, ground: Ground) -> list[Item]:
    """An arrow with its word, as near the end that it points to as there is room."""
    wide, high = text_width_mm(word, NUMBER_MM, Weight.BOLD), NUMBER_MM * 1.25
    run = (way[0] * ARROW_MM, way[1] * ARROW_MM)
    is_level = abs(run[0]) >= abs(run[1])
    box = (
        (wide + abs(run[0]) + 1.2, max(high, abs(run[1]) + 1.0))
        if is_level
        else (max(wide, abs(run[0])), high + abs(run[1]) + 0.8)
    )
    x0, y0, x1, y1 = body.bounds
    middle = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    aim = (
        middle[0] + way[0] * (x1 - x0) * 0.42,
        middle[1] + way[1] * (y1 - y0) * 0.42,
    )
    at = place_box(box[0] + 0.6, box[1] + 0.4, aim, ground)
    if at is None:
        return _small_arrow(word, way, aim, ground)
    if is_level:
        sign = math.copysign(1.0, run[0])
        text_at = (at[0] - sign * (box[0] - wide) / 2.0, at[1])
        start = (at[0] + sign * (box[0] / 2.0 - abs(run[0])), at[1] - run[1] / 2.0)
    else:
        sign = math.copysign(1.0, run[1])
        text_at = (at[0], at[1] - sign * (box[1] - high) / 2.0)
        start = (at[0] - run[0] / 2.0, at[1] + sign * (box[1] / 2.0 - abs(run[1])))
    tip = (start[0] + run[0], start[1] + run[1])
    turn = math.degrees(math.atan2(way[1], way[0]))
    return [
        Text(word, text_at, NUMBER_MM, Weight.BOLD, Anchor.MIDDLE),
        Path((start, tip), Pen.FRAME),
        arrow_head(tip, turn, 2.2),
    ]


def _small_arrow(word: str, way: Point, aim: Point, ground: Ground) -> list[Item]:
    """A short arrow right beside its word: takes no more height than that, where room is scarce."""
    wide = text_width_mm(word, NUMBER_MM, Weight.BOLD)
    run = (way[0] * SMALL_ARROW_MM, way[1] * SMALL_ARROW_MM)
    beside = max(abs(run[0]), 1.8)
    box = (wide + 0.8 + beside, max(NUMBER_MM * 1.1, abs(run[1])))
    at = place_box(box[0] + 0.4, box[1] + 0.2, aim, ground, 0.6)
    if at is None:
        return []
    middle = (at[0] + (wide + 0.8) / 2.0, at[1])
    start = (middle[0] - run[0] / 2.0, middle[1] - run[1] / 2.0)
    tip = (start[0] + run[0], start[1] + run[1])
    text = Text(word, (at[0] - (0.8 + beside) / 2.0, at[1]), NUMBER_MM, Weight.BOLD, Anchor.MIDDLE)
    turn = math.degrees(math.atan2(way[1], way[0]))
    return [text, Path((start, tip), Pen.FRAME), arrow_head(tip, turn, 1.8)]
