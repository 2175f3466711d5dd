"""Drawings on a PDF page."""

from __future__ import annotations

from typing import Any

from nestcut.model.curves import Point
from nestcut.papers.draw.diagram import (
    Area,
    Disc,
    Drawing,
    Fill,
    Group,
    Item,
    Lines,
    Path,
    Pen,
    Text,
)
from nestcut.papers.draw.letters import MM_PER_POINT, draw_line

GREYS = {Fill.PAPER: 1.0, Fill.SHADE: 0.87, Fill.INK: 0.0}


def paint(canvas: Any, drawing: Drawing) -> None:
    """Paint a drawing on the current page of a reportlab canvas, from its lower left corner."""
    from reportlab import rl_config

    rl_config.useA85 = 0  # streams as they are, not spelled in letters: a quarter smaller, faster
    canvas.saveState()
    canvas.setLineCap(1)
    canvas.setLineJoin(1)
    _paint_items(canvas, drawing.items)
    canvas.restoreState()


def _paint_items(canvas: Any, items: tuple[Item, ...]) -> None:
    for item in items:
        match item:
            case Group(_, _, inner):
                _paint_items(canvas, inner)
            case Text():
                _paint_text(canvas, item)
            case Disc(centre, radius, pen, fill):
                _set_pen(canvas, pen)
                _set_fill(canvas, fill)
                canvas.circle(
                    _pt(centre[0]),
                    _pt(centre[1]),
                    _pt(radius),
                    stroke=int(pen is not None),
                    fill=int(fill is not Fill.NONE),
                )
            case Path(points, pen):
                _set_pen(canvas, pen)
                way = canvas.beginPath()
                _add_ring(way, points)
                canvas.drawPath(way, stroke=1, fill=0)
            case Area(outline, holes, pen, fill):
                _set_pen(canvas, pen)
                _set_fill(canvas, fill)
                way = canvas.beginPath()
                for ring in (outline, *holes):
                    _add_ring(way, ring)
                    way.close()
                canvas.drawPath(
                    way, stroke=int(pen is not None), fill=int(fill is not Fill.NONE), fillMode=0
                )
            case Lines(segments, pen):
                _set_pen(canvas, pen)
                canvas.lines([(_pt(a[0]), _pt(a[1]), _pt(b[0]), _pt(b[1])) for a, b in segments])


def _paint_text(canvas: Any, text: Text) -> None:
    canvas.setFillGray(0.0)
    x, y = text.start
    size = _pt(text.size_mm)
    if text.angle_deg:
        canvas.saveState()
        canvas.translate(_pt(x), _pt(y))
        canvas.rotate(text.angle_deg)
        draw_line(canvas, 0.0, 0.0, text.text, size, text.weight)
        canvas.restoreState()
    else:
        draw_line(canvas, _pt(x), _pt(y), text.text, size, text.weight)


def _set_pen(canvas: Any, pen: Pen | None) -> None:
    if pen is None:
        return
    canvas.setLineWidth(_pt(pen.value.width_mm))
    canvas.setStrokeGray(pen.value.grey)
    canvas.setDash([_pt(d) for d in pen.value.dashes])


def _set_fill(canvas: Any, fill: Fill) -> None:
    if fill is not Fill.NONE:
        canvas.setFillGray(GREYS[fill])


def _add_ring(way: Any, points: tuple[Point, ...]) -> None:
    way.moveTo(_pt(points[0][0]), _pt(points[0][1]))
    for p in points[1:]:
        way.lineTo(_pt(p[0]), _pt(p[1]))


def _pt(length_mm: float) -> float:
    return length_mm / MM_PER_POINT
