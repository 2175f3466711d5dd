"""Our own DXF files: a sheet with everything cut from it, a single shape.

Curves are written as what they are: polylines with bulges, circles, ellipses, splines.  The same
plan gives the same bytes: no clock, no chance.  Version AC1015 (R2000), which every program reads.
"""

from __future__ import annotations

import io
import math
import re
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from shapely import Polygon, symmetric_difference

from nestcut.geometry.curves import end_point, split, start_point
from nestcut.geometry.polygons import to_polygon
from nestcut.geometry.pose import Image, Pose, move_points, move_shape
from nestcut.model.curves import Arc, Curve, EllipticArc, Line, Point, Spline
from nestcut.model.piece import SheetPiece
from nestcut.model.plan import Lie, Placement, SheetLayout, VerifiedPlan
from nestcut.model.shape import Mark, Ring, Shape
from nestcut.tolerances import VERIFY_MM

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
_HALF_TURN_DEG = 180.0


def write_sheet_drawing(path: Path, verified: VerifiedPlan, layout: SheetLayout) -> None:
    """Write one sheet of a verified plan in the sheet's frame, mm.

    Raises
    ------
    OSError
        If the file can't be written.
    """
    pieces = {piece.id: piece for piece in verified.plan.pieces}
    with _deterministic() as new:
        document = new()
        space = document.modelspace()
        _add_sheet(space, layout)
        for placement in layout.placements:
            _add_piece(space, pieces[placement.piece], placement)
        _save(document, path)


def write_shape_drawing(path: Path, shape: Shape, name: str) -> None:
    """Write one shape as it stands, mm.

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


def _add_piece(space: Modelspace, piece: SheetPiece, placement: Placement) -> None:
    image = Image.MIRRORED if placement.lie is Lie.FACE_DOWN else Image.DIRECT
    pose = Pose(image, placement.turn_deg, placement.shift_mm)
    shape = move_shape(piece.shape, pose)
    _add_shape(space, shape)
    if _differ(piece.net, piece.shape):
        _add_ring(space, move_shape(piece.net, pose).outline, FINISHED)
    for end in piece.ends:
        a, b = move_points(end.line, pose)
        space.add_line(a, b, dxfattribs={"layer": MARK})
    down = " (face down)" if placement.lie is Lie.FACE_DOWN else ""
    _add_text(space, _plain(piece.id) + down, shape)


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
    if not ring.curves:
        _add_polygon(space, ring.points, layer)
    else:
        _add_curves(space, ring.curves, layer)


def _add_mark(space: Modelspace, mark: Mark) -> None:
    if mark.curves:
        _add_curves(space, mark.curves, MARK)
    else:
        space.add_lwpolyline(mark.points, dxfattribs={"layer": MARK})
    if mark.label:
        x, y = mark.points[0]
        text = space.add_text(_plain(mark.label), height=_TEXT_MM / 2.0, dxfattribs={"layer": TEXT})
        text.set_placement((x, y))


def _add_polygon(space: Modelspace, points: tuple[Point, ...], layer: str) -> None:
    space.add_lwpolyline(points, close=True, dxfattribs={"layer": layer})


def _add_curves(space: Modelspace, curves: tuple[Curve, ...], layer: str) -> None:
    """Write runs of lines and arcs as polylines, everything else as itself."""
    run: list[Line | Arc] = []
    attributes = {"layer": layer}
    for curve in curves:
        match curve:
            case Line():
                run.append(curve)
            case Arc(centre, radius, _, sweep) if abs(sweep) >= 360.0:
                _end_run(space, run, layer, is_whole=False)
                space.add_circle(centre, radius, dxfattribs=attributes)
            case Arc(_, _, _, sweep) if abs(sweep) > _HALF_TURN_DEG:
                first, second = split(curve, 0.5)
                run += [c for c in (first, second) if isinstance(c, Arc)]
            case Arc():
                run.append(curve)
            case EllipticArc():
                _end_run(space, run, layer, is_whole=False)
                _add_ellipse(space, curve, layer)
            case Spline():
                _end_run(space, run, layer, is_whole=False)
                _add_spline(space, curve, layer)
    whole = (
        len(run) >= len(curves) and math.dist(start_point(curves[0]), end_point(curves[-1])) < 1e-6
    )
    _end_run(space, run, layer, is_whole=whole)


def _end_run(space: Modelspace, run: list[Line | Arc], layer: str, *, is_whole: bool) -> None:
    if not run:
        return
    rows = []
    for curve in run:
        x, y = start_point(curve)
        bulge = math.tan(math.radians(curve.sweep_deg) / 4.0) if isinstance(curve, Arc) else 0.0
        rows.append((x, y, bulge))
    if not is_whole:
        rows.append((*end_point(run[-1]), 0.0))
    space.add_lwpolyline(rows, format="xyb", close=is_whole, dxfattribs={"layer": layer})
    run.clear()


def _add_ellipse(space: Modelspace, curve: EllipticArc, layer: str) -> None:
    """The format knows a major axis, a ratio of at most 1 and counter-clockwise parameters only."""
    axes = _perpendicular(curve)
    major, minor, start, sweep = axes.major, axes.minor, axes.start_rad, axes.sweep_rad
    if math.hypot(*minor) > math.hypot(*major):
        major, minor, start = minor, (-major[0], -major[1]), start - math.pi / 2.0
    if major[0] * minor[1] - major[1] * minor[0] < 0.0:
        start, sweep = -start, -sweep
    if sweep < 0.0:
        start, sweep = start + sweep, -sweep
    whole = sweep >= 2.0 * math.pi - 1e-12
    first = 0.0 if whole else start % (2.0 * math.pi)
    space.add_ellipse(
        curve.centre,
        major,
        min(1.0, math.hypot(*minor) / math.hypot(*major)),
        first,
        2.0 * math.pi if whole else first + sweep,
        dxfattribs={"layer": layer},
    )


def _perpendicular(curve: EllipticArc) -> EllipticArc:
    """Turn any two conjugate half diameters into the axes."""
    (a, b), (c, d) = curve.major, curve.minor
    skew = a * c + b * d
    long, short = a * a + b * b, c * c + d * d
    if abs(skew) <= 1e-12 * math.sqrt(long * short):
        return curve
    turn = math.atan2(2.0 * skew, long - short) / 2.0
    cos, sin = math.cos(turn), math.sin(turn)
    return replace(
        curve,
        major=(a * cos + c * sin, b * cos + d * sin),
        minor=(c * cos - a * sin, d * cos - b * sin),
        start_rad=curve.start_rad - turn,
    )


def _add_spline(space: Modelspace, curve: Spline, layer: str) -> None:
    spline = space.add_spline(degree=curve.degree, dxfattribs={"layer": layer})
    spline.control_points = [(x, y, 0.0) for x, y in curve.control]
    spline.knots = curve.knots
    if curve.weights:
        spline.weights = curve.weights


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
    return re.sub(r"%%|\\|\^", "-", "".join(c if c.isprintable() else "?" for c in text))[:250]


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
    stream = io.StringIO()
    document.write(stream)
    path.parent.mkdir(parents=True, exist_ok=True)
    path.write_bytes(document.encode(stream.getvalue()))
