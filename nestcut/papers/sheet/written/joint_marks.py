"""How joint ends are drawn on pieces: the slope, which face is planed, the middle of the lap."""

from __future__ import annotations

import math
from collections.abc import Sequence

import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from nestcut.joints.kinds import KINDS
from nestcut.model.curves import Point
from nestcut.model.joint import Face
from nestcut.papers.draw import (
    Area,
    Block,
    BlockLine,
    Item,
    Path,
    Pen,
    Placed,
    Weight,
    hatch,
    place_inside,
)
from nestcut.papers.view import EndView, PlacedPiece, joint_work_words
from nestcut.tolerances.looks import EDGE_MM

LABEL_SIZES = (3.4, 3.2)
REACH_MM = 1e4
LINE_MM = 0.3
"""Words keep so far off a piece's lines, whose ends they'd hide. [mm on paper]"""
EDGE_LABEL_MM = 6.4
"""Depth of the strip along a joint that its name may take. [mm on paper]"""


def label_area(placed: PlacedPiece, end: EndView, scale: float, origin: Point) -> BaseGeometry:
    """What a joint end and its name take of a piece on paper. [mm]

    Parameters
    ----------
    scale
        Of the drawing, as its denominator. [-]
    origin
        Where the sheet's corner is on the page. [mm]
    """
    area = _end_area(placed, end, scale, origin)
    if not area.is_empty:
        strip = _strip(placed, end, scale, origin)
        is_beside = not _end_label(end, area.buffer(0.2)) and _end_label(end, strip.buffer(0.2))
        return area.union(strip) if is_beside else area
    k = 1.0 / scale
    line = shapely.LineString([(origin[0] + p[0] * k, origin[1] + p[1] * k) for p in end.line])
    return line.buffer(EDGE_LABEL_MM, cap_style="flat")


def _end_area(placed: PlacedPiece, end: EndView, scale: float, origin: Point) -> BaseGeometry:
    """The sloped part of a piece on paper; empty for joints without one. [mm]"""
    k = 1.0 / scale
    return affinity.affine_transform(
        sloped_area(placed.polygon, end), [k, 0.0, 0.0, k, origin[0], origin[1]]
    )


def sloped_area(piece: Polygon, end: EndView) -> BaseGeometry:
    """The part of a piece that the overlap covers, in the piece's own mm; empty if none."""
    (ax, ay), (bx, by) = end.line
    run = math.hypot(bx - ax, by - ay)
    if end.overlap_mm <= 0 or run <= 0:
        return Polygon()
    ux, uy = (bx - ax) / run * REACH_MM, (by - ay) / run * REACH_MM
    line = shapely.LineString([(ax - ux, ay - uy), (bx + ux, by + uy)])
    band = line.buffer(end.overlap_mm / 2.0, cap_style="flat")
    return piece.intersection(band)


def end_marks(
    placed: PlacedPiece, end: EndView, scale: float, origin: Point, window: Polygon
) -> list[Item]:
    """The slope with its label: densely hatched on the face that is up, dashed underneath.

    Parameters
    ----------
    scale
        Of the drawing, as its denominator. [-]
    origin
        Where the sheet's corner is on the page. [mm]
    window
        What the page shows of the sheet, on the page. [mm]
    """
    area = _end_area(placed, end, scale, origin).intersection(window)
    if area.is_empty:
        return _edge_label(placed, end, scale, origin, window)
    up = Face.GOOD if placed.is_face_up else Face.BACK
    is_planed_up = end.planed is up
    label = _end_label(end, area.buffer(0.2))
    if label is None:  # too narrow to write on: beside it then
        strip = _strip(placed, end, scale, origin).intersection(window)
        label = _end_label(end, strip.buffer(0.2)) or _key_label(end, area.buffer(0.2))
    clear = area if label is None else area.difference(label.box)
    items: list[Item] = []
    if is_planed_up:  # underneath no hatching: beside "saw on the hatched side" it looks like waste
        items.append(hatch(clear, spacing_mm=0.9, angle_deg=135.0, pen=Pen.DENSE))
    for part in shapely.get_parts(area):
        if isinstance(part, Polygon):
            ring = tuple((float(x), float(y)) for x, y in part.exterior.coords[:-1])
            items.append(Area(ring, pen=Pen.FRAME if is_planed_up else Pen.HIDDEN))
    items.extend(_middle_line(end, scale, origin, clear))
    if label is not None:
        items.extend(label.texts())
    return items


def _strip(placed: PlacedPiece, end: EndView, scale: float, origin: Point) -> BaseGeometry:
    """A strip of the piece beside a slope that is too narrow to write on; clear of its lines.

    In mm on paper.
    """
    k = 1.0 / scale
    area = _end_area(placed, end, scale, origin)
    piece = affinity.affine_transform(placed.polygon, [k, 0.0, 0.0, k, origin[0], origin[1]])
    around = area.buffer(EDGE_LABEL_MM, quad_segs=2).intersection(piece.buffer(-EDGE_MM))
    lines = [shapely.LineString(m.points) for m in placed.shape.marks if len(m.points) > 1]
    drawn = affinity.affine_transform(
        shapely.union_all(lines), [k, 0.0, 0.0, k, origin[0], origin[1]]
    )
    return around.difference(area.buffer(EDGE_MM).union(drawn.buffer(LINE_MM)))


def _end_label(end: EndView, area: BaseGeometry) -> Placed | None:
    """Write on a slope what has room: all in a line, or in level lines where it's wide.

    The same words wherever they fit: key, slope, which face is planed.
    """
    full = joint_work_words(end)
    lines = [w for w in full.split("  ") if w]
    stacks, short = [lines], []
    if KINDS[end.kind].has_angle:
        face = lines[-1].removesuffix(" face").split()
        stacks += [[*lines[:-1], *face], [lines[0], *face]]
        short = [_block([" ".join((lines[0], *face))])]
        stacks.append([lines[0], face[-1]])
    return place_inside(area, [_block([full]), *short], _end_angles(end)) or place_inside(
        area, [_block(s) for s in stacks], (0.0,)
    )


def _key_label(end: EndView, area: BaseGeometry) -> Placed | None:
    """A joint's name alone: the table tells which face is worked."""
    return place_inside(area, [_block([end.key])], _end_angles(end))


def _block(lines: Sequence[str]) -> Block:
    return Block(tuple(BlockLine(w, Weight.BOLD) for w in lines), LABEL_SIZES)


def _end_angles(end: EndView) -> tuple[float, ...]:
    """Directions of writing on a slope: level, upright, along the joint. [deg]"""
    (ax, ay), (bx, by) = end.line
    along = (math.degrees(math.atan2(by - ay, bx - ax)) + 90.0) % 180.0 - 90.0
    along = along + 180.0 if along < -80.0 else along  # upright writing reads from the right
    return tuple(dict.fromkeys((0.0, 90.0, round(along, 3))))


def _edge_label(
    placed: PlacedPiece, end: EndView, scale: float, origin: Point, window: Polygon
) -> list[Item]:
    """Name of a joint without a slope, written along its line just inside the piece."""
    k = 1.0 / scale
    line = shapely.LineString([(origin[0] + p[0] * k, origin[1] + p[1] * k) for p in end.line])
    piece = affinity.affine_transform(placed.polygon, [k, 0.0, 0.0, k, origin[0], origin[1]])
    strip = line.buffer(EDGE_LABEL_MM, cap_style="flat").intersection(piece).intersection(window)
    blocks = (
        Block((BlockLine(joint_work_words(end), Weight.BOLD),), LABEL_SIZES),
        Block((BlockLine(end.key, Weight.BOLD),), LABEL_SIZES),
    )
    label = place_inside(strip, blocks)
    return [] if label is None else list(label.texts())


def _middle_line(end: EndView, scale: float, origin: Point, area: BaseGeometry) -> list[Item]:
    """A tick at each end of the overlap's middle, clear of its label: joints are measured to it."""
    (ax, ay), (bx, by) = ((origin[0] + p[0] / scale, origin[1] + p[1] / scale) for p in end.line)
    line = shapely.LineString([(ax, ay), (bx, by)])
    ticks: list[Item] = []
    for at, to in ((0.0, 1.5), (line.length - 1.5, line.length)):
        tick = substring(line, at, to).intersection(area)
        if isinstance(tick, shapely.LineString) and tick.length > 0.3:
            a, b = tick.coords[0], tick.coords[-1]
            ticks.append(Path(((float(a[0]), float(a[1])), (float(b[0]), float(b[1]))), Pen.FRAME))
    return ticks
