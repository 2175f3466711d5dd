"""Bevels marked at their edges, with a letter, the angle and the face that is planed.

Short strokes stand where the face that is up is planed, a dashed line where the one underneath is.
The letters are the part's own, in the order of its bevels; tables and lists explain them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry import LineString, Point
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from nestcut.model.curves import Point as Spot
from nestcut.papers.draw import (
    Block,
    BlockLine,
    Item,
    Lines,
    Path,
    Pen,
    Placed,
    Weight,
    place_inside,
)
from nestcut.papers.view import BevelView, bevel_label, bevel_tilt, has_two_angles
from nestcut.tolerances.lengths import CLEAN_MM, LEAST_MM
from nestcut.tolerances.likeness import STRAIGHT_SHARE
from nestcut.tolerances.looks import BESIDE_SHARE

STROKE_MM = 1.6
"""Length of a stroke, distance of strokes, and of the dashed line from its edge. [mm on paper]"""
STRIP_MM = 6.0
"""Depth of the strip along an edge that a bevel's words may take. [mm on paper]"""
SIZES = (3.4, 3.2)
"""Font sizes of a bevel's words, 9 points at least. [mm on paper]"""
SPARE = 1.2
"""Words are tried beside stretches of a curved edge this many times as long as they are."""
PLACES = (0.5, 0.3, 0.7, 0.15, 0.85)
"""Where along an edge they are tried, as shares of its length."""
ROOMY = 4.0
"""A piece this many times larger than its bevel's words has room for them and for its name."""


def bevel_marks(
    view: BevelView, lines: Sequence[LineString], body: BaseGeometry, room: BaseGeometry
) -> tuple[Item, ...]:
    """Strokes or a dashed line along the bevel's edges, inside the piece and ``room``, on paper.

    Parameters
    ----------
    lines
        The bevel's edges, on the page. [mm]
    body
        The piece, on the page. [mm]
    room
        Where marks may be, on the page. [mm]
    """
    made: list[Item] = []
    for line in lines:
        side = inner_side(line, body)
        if view.is_planed_up:
            strokes = _strokes(line, side, body.intersection(room))
            made.append(Lines(strokes, Pen.FRAME))
            continue
        inner = line.offset_curve(side * STROKE_MM).intersection(body).intersection(room)
        made += [
            Path(tuple((float(x), float(y)) for x, y in part.coords), Pen.HIDDEN)
            for part in shapely.get_parts(inner)
            if isinstance(part, LineString) and part.length > STROKE_MM
        ]
    return tuple(m for m in made if not isinstance(m, Lines) or m.segments)


def place_words(
    view: BevelView, line: LineString, body: BaseGeometry, free: BaseGeometry, least: int = 0
) -> Placed | None:
    """Find room for a bevel's words along an edge: all of them, letter and angle, or the letter.

    Parameters
    ----------
    line
        The edge, on paper. [mm]
    body
        The piece without its allowance, on paper.
    free
        Where writing is free: inside the piece, and outside it in what is wasted.
    least
        With 1 or more not all words are wanted: they stand at another edge already.
    """
    words = bevel_label(view.letter, view.bevel)
    tilt = "" if has_two_angles(view.bevel) else bevel_tilt(view.bevel)
    short = f"{view.letter}  {tilt}".rstrip()
    blocks = [Block((BlockLine(t, Weight.BOLD),), SIZES) for t in (words, short, view.letter)]
    width, height = blocks[0].extent(SIZES[-1])
    if least or body.area < ROOMY * width * height:
        blocks = blocks[1:]
    for is_inside in (True, False):
        side = inner_side(line, body) * (1.0 if is_inside else -1.0)
        for block in blocks if is_inside else blocks[-1:]:
            found = _beside(line, side, free, block)
            if found is not None:
                return found
    return None


def inner_side(line: LineString, body: BaseGeometry) -> float:
    """Return 1 where the body lies left of a line along its edge, else -1."""
    votes = 0.0
    for share in (0.5, 0.25, 0.75):
        a, b = (line.interpolate(share + d, normalized=True) for d in (-BESIDE_SHARE, BESIDE_SHARE))
        away = math.hypot(b.x - a.x, b.y - a.y) or 1.0
        nx, ny = -(b.y - a.y) / away, (b.x - a.x) / away
        middle = line.interpolate(share, normalized=True)
        step = min(0.5, line.length / 4.0)
        votes += float(body.contains(Point(middle.x + step * nx, middle.y + step * ny)))
        votes -= float(body.contains(Point(middle.x - step * nx, middle.y - step * ny)))
    return 1.0 if votes >= 0.0 else -1.0


def _strokes(line: LineString, side: float, room: BaseGeometry) -> tuple[tuple[Spot, Spot], ...]:
    """Strokes square to a line, from it inwards."""
    count = max(1, round(line.length / STROKE_MM))
    at = (np.arange(count) + 0.5) / count
    feet = shapely.get_coordinates(shapely.line_interpolate_point(line, at, normalized=True))
    ends = [
        shapely.get_coordinates(shapely.line_interpolate_point(line, at + d, normalized=True))
        for d in (-0.25 / count, 0.25 / count)
    ]
    along = ends[1] - ends[0]
    long = np.maximum(np.hypot(along[:, 0], along[:, 1]), LEAST_MM)
    inward = side * np.column_stack([-along[:, 1], along[:, 0]]) / long[:, None]
    tips = feet + STROKE_MM * inward
    middles = shapely.points(feet + 0.5 * STROKE_MM * inward)
    seen = np.asarray(shapely.intersects(room, middles), dtype=np.bool_)
    return tuple(
        ((float(a[0]), float(a[1])), (float(b[0]), float(b[1])))
        for a, b, is_seen in zip(feet, tips, seen, strict=True)
        if is_seen
    )


def _beside(line: LineString, side: float, free: BaseGeometry, block: Block) -> Placed | None:
    """Try a block beside stretches of a line, along it; what isn't longer than high, level too."""
    for chunk in _stretches(line, block):
        angles = _angles(chunk)
        width, height = block.extent(block.sizes_mm[-1])
        if width > STRIP_MM:
            angles = angles[:1]
            if chunk.length + STRIP_MM < width:
                continue
        area = _strip(chunk, side).intersection(free)
        found = place_inside(area, (block,), angles) if area.area > width * height else None
        if found is not None:
            return found
    return None


def _stretches(line: LineString, block: Block) -> list[LineString]:
    """Stretches of a line to write beside: all of a straight one, short ones of a curve."""
    wide, narrow = (
        SPARE * block.extent(size)[0] for size in (block.sizes_mm[0], block.sizes_mm[-1])
    )
    ends = math.dist(line.coords[0], line.coords[-1])
    if line.length - ends < STRAIGHT_SHARE * line.length or line.length <= narrow:
        return [line]
    found = []
    for long in (wide, narrow):
        for share in PLACES:
            middle = share * line.length
            low, high = max(0.0, middle - long / 2), min(line.length, middle + long / 2)
            chunk = substring(line, low, high)
            if isinstance(chunk, LineString) and chunk.length > 0.0:
                found.append(chunk)
    return found


def _strip(line: LineString, side: float) -> BaseGeometry:
    """The strip beside a line that its marks leave free."""
    marks = STROKE_MM + 0.3
    whole = line.buffer(side * (marks + STRIP_MM), single_sided=True)
    return whole.difference(line.buffer(marks, cap_style="flat"))


def _angles(line: LineString) -> tuple[float, ...]:
    (ax, ay), (bx, by) = line.coords[0], line.coords[-1]
    along = math.degrees(math.atan2(by - ay, bx - ax))
    along = (along + 90.0) % 180.0 - 90.0
    if along == -90.0:
        along = 90.0
    return (round(along, 3), 0.0) if abs(along) > CLEAN_MM else (0.0,)
