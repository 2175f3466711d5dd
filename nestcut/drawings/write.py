"""Our own DXF files: a sheet with everything cut from it, a single shape.

Every outline and every cut-out is one closed polyline with bulges, or a circle: nothing has to be
joined up.  Units and extents are set.  The same plan gives the same bytes: no clock, no chance.
Version AC1015 (R2000), which every program reads; AC1021 (R2007) where names need its UTF-8.
"""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

from shapely import Polygon, symmetric_difference

from nestcut.drawings.bulges import mark_rows, ring_rows
from nestcut.geometry.polygons import to_polygon
from nestcut.geometry.pose import move_points, move_shape
from nestcut.model.curves import Arc, Point
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import SheetLayout, VerifiedPlan
from nestcut.model.pose import Placement
from nestcut.model.shape import Mark, Ring, Shape
from nestcut.tolerances import VERIFY_MM
from nestcut.words.piece_names import name_in_words

if TYPE_CHECKING:
    from ezdxf.document import Drawing as Document
    from ezdxf.layouts.layout import Modelspace

SHEET_EDGE = "sheet edge"
KEEP_OUT = "keep out"
OUTLINE = "outline to cut"
CUT_OUT = "cut-out"
MARK = "mark"
FINISHED = "finished edge"
TEXT = "text"

_LAYERS = ((SHEET_EDGE, 8), (KEEP_OUT, 1), (OUTLINE, 7), (CUT_OUT, 5), (MARK, 3), (FINISHED, 4),
           (TEXT, 2))  # fmt: skip
"""Layers and their colour numbers."""

_JULIAN_DAY = 2451544.5
"""A fixed date for the header: 1 January 2000."""

_INSUNITS_MM = 4

_TEXT_MM = 25.0
_JOINERS = "\u200c\u200d"
"""Signs without a shape that some scripts need between their letters."""


def write_sheet_drawing(path: Path, verified: VerifiedPlan, layout: SheetLayout) -> None:
    """Write one sheet of a verified plan in the sheet's frame, mm.

    Raises
    ------
    OSError
        If the file can't be written.
    """
    with _deterministic() as new:
        document = new()
        draw_sheet(document.modelspace(), verified, layout)
        _save(document, path)


def draw_sheet(space: Modelspace, verified: VerifiedPlan, layout: SheetLayout) -> None:
    """Draw one sheet of a verified plan and all that is cut from it into a drawing, mm.

    Parameters
    ----------
    space
        The drawing's model space.
    """
    pieces = {piece.id: piece for piece in verified.plan.pieces}
    parts = (*verified.job.sheet_parts, *verified.plan.added_parts)
    counts = {part.name: part.count for part in parts}
    _add_sheet(space, layout)
    for placement in layout.placements:
        piece = pieces[placement.piece]
        _add_piece(space, piece, placement, name_in_words(piece, counts.get(piece.part, 1)))


def write_shape_drawing(path: Path, shape: Shape, name: str) -> None:
    """Write one shape as it stands, mm.

    Parameters
    ----------
    path
        The file to write.
    name
        Words beside the shape.

    Raises
    ------
    OSError
        If the file can't be written.
    """
    with _deterministic() as new:
        document = new()
        space = document.modelspace()
        _add_shape(space, shape)
        _add_text(space, _plain(name), shape)
        _save(document, path)


def _add_sheet(space: Modelspace, layout: SheetLayout) -> None:
    corners = layout.outline or (
        (0.0, 0.0),
        (layout.length_mm, 0.0),
        (layout.length_mm, layout.width_mm),
        (0.0, layout.width_mm),
    )
    _add_polygon(space, corners, SHEET_EDGE)
    for keep_out in layout.keep_outs:
        _add_polygon(space, keep_out.points, KEEP_OUT)


def _add_piece(space: Modelspace, piece: SheetPiece, placement: Placement, name: str) -> None:
    shape = move_shape(piece.shape, placement)
    _add_shape(space, shape)
    if _differ(piece.net, piece.shape):
        _add_ring(space, move_shape(piece.net, placement).outline, FINISHED)
    for end in piece.ends:
        a, b = move_points(end.line, placement)
        space.add_line(a, b, dxfattribs={"layer": MARK})
    down = " (face down)" if not placement.is_face_up else ""
    _add_text(space, _plain(name) + down, shape)


def _differ(net: Shape, cut: Shape) -> bool:
    """Whether a piece is cut larger than it will be, so that its finished edge is worth drawing."""
    a, b = Polygon(net.outline.points), Polygon(cut.outline.points)
    return bool(symmetric_difference(a, b).area > VERIFY_MM * b.length)


def _add_shape(space: Modelspace, shape: Shape) -> None:
    _add_ring(space, shape.outline, OUTLINE)
    for hole in shape.holes:
        _add_ring(space, hole, CUT_OUT)
    for mark in shape.marks:
        _add_mark(space, mark)


def _add_ring(space: Modelspace, ring: Ring, layer: str) -> None:
    """One closed polyline; a full circle is a circle."""
    attributes = {"layer": layer}
    match ring.curves:
        case (Arc(centre, radius, _, sweep),) if abs(sweep) >= 360.0:
            space.add_circle(centre, radius, dxfattribs=attributes)
        case _:
            space.add_lwpolyline(ring_rows(ring), format="xyb", close=True, dxfattribs=attributes)


def _add_mark(space: Modelspace, mark: Mark) -> None:
    space.add_lwpolyline(mark_rows(mark), format="xyb", dxfattribs={"layer": MARK})
    if mark.label:
        x, y = mark.points[0]
        text = space.add_text(_plain(mark.label), height=_TEXT_MM / 2.0, dxfattribs={"layer": TEXT})
        text.set_placement((x, y))


def _add_polygon(space: Modelspace, points: tuple[Point, ...], layer: str) -> None:
    space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})


def _add_text(space: Modelspace, text: str, shape: Shape) -> None:
    """Write a piece's name where it surely lies on the piece, along its longer side."""
    polygon = to_polygon(shape)
    spot = polygon.representative_point()
    x0, y0, x1, y1 = polygon.bounds
    height = max(3.0, min(_TEXT_MM, min(x1 - x0, y1 - y0) / 4.0))
    entity = space.add_text(
        text, height=height, rotation=90.0 if y1 - y0 > x1 - x0 else 0.0, dxfattribs={"layer": TEXT}
    )
    from ezdxf.enums import TextEntityAlignment

    entity.set_placement((spot.x, spot.y), align=TextEntityAlignment.MIDDLE_CENTER)


def _plain(text: str) -> str:
    """Return a text without control characters and without the format's own escapes."""
    return re.sub(
        r"%%|\\|\^", "-", "".join(c if c.isprintable() or c in _JOINERS else "?" for c in text)
    )[:250]


def _is_western(text: str) -> bool:
    try:
        text.encode("cp1252")
    except UnicodeEncodeError:
        return False
    return True


class _New:
    """Makes empty documents in mm with our layers."""

    def __call__(self) -> Document:
        from ezdxf.filemanagement import new

        document = new("R2000", units=_INSUNITS_MM)
        document.header["$MEASUREMENT"] = 1
        for name in ("$TDCREATE", "$TDUPDATE", "$TDUCREATE", "$TDUUPDATE"):
            if name in document.header:
                document.header[name] = _JULIAN_DAY
        for name, colour in _LAYERS:
            document.layers.add(name, color=colour)
        return document


@contextmanager
def _deterministic() -> Iterator[_New]:
    """Ask the library for fixed dates and ids while we write, and leave it as it was."""
    from ezdxf._options import options

    before = options.write_fixed_meta_data_for_testing
    options.write_fixed_meta_data_for_testing = True
    try:
        yield _New()
    finally:
        options.write_fixed_meta_data_for_testing = before


def _save(document: Document, path: Path) -> None:
    """Write the file; its header says how far the drawing reaches.

    Names in scripts that the usual version can't write make it a later one, which can.
    """
    from ezdxf.bbox import extents

    box = extents(document.modelspace(), fast=True)
    if box.has_data:
        document.header["$EXTMIN"] = tuple(box.extmin)
        document.header["$EXTMAX"] = tuple(box.extmax)
        document.modelspace().reset_extents(box.extmin, box.extmax)
    if not all(_is_western(e.dxf.text) for e in document.modelspace().query("TEXT")):
        document.dxfversion = "R2007"
    stream = io.StringIO()
    document.write(stream)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(document.encode(stream.getvalue()))
