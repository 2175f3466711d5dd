"""Parts by rule from other parts, as written in tables of readings."""

from __future__ import annotations

from nestcut.model.curves import Line
from nestcut.shapes.figures.derived import doubler_around, strap_along
from nestcut.shapes.figures.notches import BoxSide
from nestcut.shapes.known import Drawn, Known
from nestcut.shapes.reader import ShapeReader
from nestcut.tolerances import FLATNESS_MM


def read_strap(reader: ShapeReader, known: Known) -> Drawn:
    """Strip along an ``edge`` of another part: ``of``, ``edge``, ``width``, ``inset``."""
    shape = known.shape(reader, "of")
    side = reader.choice("edge", BoxSide)
    width, inset = reader.positive("width"), reader.length("inset")
    strip = strap_along(shape, side, width, FLATNESS_MM, inset)
    points = [(float(x), float(y)) for x, y in strip.exterior.coords[:-1]]
    return Drawn(
        outline=tuple(Line(a, b) for a, b in zip(points, (*points[1:], points[0]), strict=True))
    )


def read_doubler(reader: ShapeReader, known: Known) -> Drawn:
    """Ring around a hole of another part: ``of``, ``hole`` (numbered from 1), ``margin``."""
    shape = known.shape(reader, "of")
    number = reader.count("hole")
    outline, hole = doubler_around(shape, number, reader.positive("margin"))
    return Drawn(outline=outline, holes=(hole,))
