"""The door into this room: a table of readings becomes a shape.

``[part.shape]`` names its ``kind`` and the readings of that kind; notches and holes go with every
kind.  Every fault is recorded with the reader, under codes ``SHP-...``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum

from nestcut.errors import Finding
from nestcut.model.part import NO_BEARINGS, Bearings, EdgeBevel, Hand
from nestcut.model.shape import Shape
from nestcut.shapes.assemble import assemble
from nestcut.shapes.faults import ShapeFaultError
from nestcut.shapes.hull.breadths import turned_over, whole_of_half
from nestcut.shapes.known import NOTHING_KNOWN, Drawn, Known
from nestcut.shapes.read.cutouts import cut_out
from nestcut.shapes.read.derived import read_doubler, read_strap
from nestcut.shapes.read.lines import read_bottom, read_cap, read_deck, read_developed
from nestcut.shapes.read.outlines import (
    read_bulkhead,
    read_circle,
    read_ellipse,
    read_frame,
    read_panel,
    read_polygon,
    read_rectangle,
    read_seat,
    read_taper,
    read_transom,
    read_trapezoid,
)
from nestcut.shapes.reader import ShapeReader
from nestcut.shapes.ruler import Ruler
from nestcut.tolerances import FLATNESS_MM


class ShapeKind(StrEnum):
    """Kinds of shapes that numbers can give."""

    RECTANGLE = "rectangle"
    TRAPEZOID = "trapezoid"
    TAPER = "taper"
    POLYGON = "polygon"
    CIRCLE = "circle"
    ELLIPSE = "ellipse"
    BULKHEAD = "bulkhead"
    PANEL = "panel"
    CAP = "cap"
    DEVELOPED = "developed"
    FRAME = "frame"
    TRANSOM = "transom"
    BOTTOM = "bottom"
    DECK = "deck"
    SEAT = "seat"
    STRAP = "strap"
    DOUBLER = "doubler"


class Extent(StrEnum):
    """How much of a part a table gives."""

    WHOLE = "whole"
    HALF = "half"


@dataclass(frozen=True, slots=True, kw_only=True)
class BuiltShape:
    """A shape from numbers, and what is worth saying about it."""

    shape: Shape
    findings: tuple[Finding, ...] = ()
    band_width_mm: float | None = None
    """Width of a band along a curve (a cap). [mm]"""
    hand: Hand | None = None
    """Which hand it shows, where the kind of figure knows."""
    edge_bevels: tuple[EdgeBevel, ...] = ()
    is_smaller_face: bool = False
    """Whether the outline is that of the good face, and bevels may reach beyond it at the back."""
    bearings: Bearings = NO_BEARINGS
    ruler: Ruler | None = None
    """Where along it places along the boat lie, where the kind of figure knows."""


_READERS: dict[ShapeKind, Callable[[ShapeReader, Known], Drawn]] = {
    ShapeKind.RECTANGLE: read_rectangle,
    ShapeKind.TRAPEZOID: read_trapezoid,
    ShapeKind.TAPER: read_taper,
    ShapeKind.POLYGON: read_polygon,
    ShapeKind.CIRCLE: read_circle,
    ShapeKind.ELLIPSE: read_ellipse,
    ShapeKind.BULKHEAD: read_bulkhead,
    ShapeKind.PANEL: read_panel,
    ShapeKind.CAP: read_cap,
    ShapeKind.DEVELOPED: read_developed,
    ShapeKind.FRAME: read_frame,
    ShapeKind.TRANSOM: read_transom,
    ShapeKind.BOTTOM: read_bottom,
    ShapeKind.DECK: read_deck,
    ShapeKind.SEAT: read_seat,
    ShapeKind.STRAP: read_strap,
    ShapeKind.DOUBLER: read_doubler,
}


def _kind_of(reader: ShapeReader) -> ShapeKind | None:
    """Which figure it is; nothing more can be said of one of no known kind."""
    kind = reader.choice("kind", ShapeKind)
    return kind if reader.is_sound else None


def build_shape(
    reader: ShapeReader,
    flatness_mm: float = FLATNESS_MM,
    known: Known = NOTHING_KNOWN,
    extent: Extent = Extent.WHOLE,
) -> BuiltShape | None:
    """Build the shape that a ``[part.shape]`` table describes.

    Parameters
    ----------
    reader
        The table.
    flatness_mm
        How near the flattened rings follow the true curves. [mm]
    known
        Shapes and lines that the table may refer to.
    extent
        Whether the table gives the whole part, or half of it over its base line.

    Returns
    -------
    BuiltShape or None
        None if anything was at fault; the reader has recorded what.
    """
    kind = _kind_of(reader)
    if kind is None:
        reader.close()
        return None
    try:
        drawn = _READERS[kind](reader, known)
        cut = cut_out(reader, drawn)
        reader.close()
        if not reader.is_sound or cut is None:
            return None
        outline, rings = cut
        if extent is Extent.HALF:
            outline = whole_of_half(outline)
            rings = (*rings, *(turned_over(ring) for ring in rings))
        shape = assemble(outline, rings, drawn.marks, flatness_mm=flatness_mm)
    except ShapeFaultError as fault:
        fault.record(reader)
        reader.close()
        return None
    findings = tuple(replace(f, where=reader.where(f.where)) for f in drawn.findings)
    return BuiltShape(
        shape=shape,
        findings=findings,
        band_width_mm=drawn.band_width_mm,
        hand=drawn.hand,
        edge_bevels=drawn.edge_bevels,
        is_smaller_face=drawn.is_smaller_face,
        bearings=drawn.bearings,
        ruler=drawn.ruler,
    )
