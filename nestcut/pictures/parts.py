"""Each part to scale with its sizes, boxes opened out, slats in place."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from nestcut.geometry.rings import true_bounds_mm
from nestcut.model.curves import Point
from nestcut.model.part import Hands, SheetPart
from nestcut.pictures.fragment import Canvas, Fragment
from nestcut.tolerances.looks import SIZE_LINE, WALL_GAP
from nestcut.words import Speech


@dataclass(frozen=True, slots=True, kw_only=True)
class InPlace:
    """Slats as they lie over a part, in the part's frame. [mm]"""

    name: str
    over: str
    outlines: tuple[tuple[Point, ...], ...]


def part_fragment(part: SheetPart, speech: Speech, laid: Sequence[InPlace] = ()) -> Fragment:
    """One part seen from its good face, with its length and width, marks, and what lies on it."""
    canvas = Canvas(most_px=360.0)
    _draw(canvas, part, 0.0, 0.0)
    for slats in laid:
        for outline in slats.outlines:
            canvas.loop(outline, "thin")
    x0, y0, x1, y1 = true_bounds_mm(part.shape.outline)
    _sizes(canvas, (x0, y0, x1, y1), speech)
    return Fragment(
        name=f"part-{part.name}",
        title=f"{part.name}: {_how_many(part)}",
        svg=canvas.svg(part.name),
        words=_told(part, laid, speech),
    )


def opened_out(name: str, walls: Sequence[SheetPart], speech: Speech) -> Fragment:
    """Walls of a box side by side, seen from outside, as they fold round it.

    Parameters
    ----------
    name
        Of the box; the walls' names begin with it.
    walls
        In the order in which they fold round it.
    """
    canvas = Canvas()
    left = 0.0
    for wall in walls:
        x0, y0, x1, y1 = true_bounds_mm(wall.shape.outline)
        _draw(canvas, wall, left - x0, -y0)
        middle = left + (x1 - x0) / 2.0
        canvas.text((middle, (y1 - y0) / 2.0), wall.name.removeprefix(f"{name} "))
        canvas.text((middle, (y1 - y0) * 0.3), speech.size((x1 - x0, y1 - y0)))
        left += (x1 - x0) + WALL_GAP * (y1 - y0)
    title = f"{name}, opened out, seen from outside"
    return Fragment(name=f"box-{name}", title=title, svg=canvas.svg(title))


def _draw(canvas: Canvas, part: SheetPart, dx: float, dy: float) -> None:
    def moved(points: Sequence[Point]) -> list[Point]:
        return [(x + dx, y + dy) for x, y in points]

    canvas.loop(moved(part.shape.outline.points))
    for hole in part.shape.holes:
        canvas.loop(moved(hole.points))
    for mark in part.shape.marks:
        canvas.line(moved(mark.points), "dash")
        if mark.label:
            end = max(mark.points, key=lambda p: p[1])
            canvas.text((end[0] + dx, end[1] + dy), mark.label, "start")


def _sizes(canvas: Canvas, box: tuple[float, float, float, float], speech: Speech) -> None:
    x0, y0, x1, y1 = box
    off = SIZE_LINE * max(x1 - x0, y1 - y0)
    canvas.line([(x0, y0 - off), (x1, y0 - off)], "thin")
    canvas.text(((x0 + x1) / 2.0, y0 - 1.9 * off), speech.length(x1 - x0))
    canvas.line([(x0 - off, y0), (x0 - off, y1)], "thin")
    canvas.text((x0 - 1.3 * off, (y0 + y1) / 2.0), speech.length(y1 - y0), turn_deg=90.0)


def _how_many(part: SheetPart) -> str:
    if part.hands is Hands.NONE:
        return str(part.count)
    return f"{part.count} {part.hands.value}"


def _told(part: SheetPart, laid: Sequence[InPlace], speech: Speech) -> tuple[str, ...]:
    words = [f"{part.material} {speech.length(part.thickness_mm)}, seen from the good face."]
    if part.hands is not Hands.NONE:
        words.append(f"The {part.drawn.value} one is shown.")
    for bevel in part.edge_bevels:
        tilt = bevel.tilt_deg
        told = "to fit" if tilt is None else f"{tilt[0]:.1f}°"
        if tilt is not None and tilt[1] - tilt[0] >= 0.1:
            told += f" to {tilt[1]:.1f}°"
        words.append(f"{bevel.name}: {told}, {bevel.larger.value} larger. {bevel.words}".strip())
    if part.joint is not None:
        at = part.joint.at_mm
        where = "where it suits the stock" if at is None else f"at {speech.lengths(at)}"
        words.append(f"Joined by {part.joint.kind.value}, {where}.")
    words += [f"{len(s.outlines)} of {s.name} lie on it." for s in laid]
    return tuple(words)
