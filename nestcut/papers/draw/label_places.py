"""Where labels go, so that none overlaps another or leaves its piece. Lengths are mm on paper.

A label is a block of lines measured in the real font.  For each block, size and direction a grid of
places inside the free area is tried at once, and the place nearest the middle of the area wins; the
largest letters that fit win over smaller ones.  What fits nowhere is answered with None, and the
caller falls back to a number, a number with a leader, or a page of details.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Point as SpotAt
from shapely.geometry import Polygon
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from nestcut.model.curves import Point
from nestcut.papers.draw.diagram import Anchor, Text
from nestcut.papers.draw.letters import Weight, text_width_mm

LINE_STEP = 1.3
"""Distance of base lines per font size."""
ALONE_STEP = 1.0
"""Height of a line that stands alone, per font size."""
LEAST_MM = 3.2
"""Smallest font of words on a drawing, a little over 9 points. [mm]"""
PAD_MM = 0.6
"""Left free round every block. [mm]"""
UPRIGHT_WORTH = 0.7
"""Writing that isn't level is worth no more than level writing of this share of its size."""
NEARLY_LEVEL_DEG = 20.0
"""Writing no further off level than this reads as easily. [deg]"""
GRID = (15, 9)
"""How many places are tried along and across."""


@dataclass(frozen=True, slots=True)
class BlockLine:
    """One line of a block; ``share`` is its font size as a share of the block's."""

    text: str
    weight: Weight = Weight.PLAIN
    share: float = 1.0


@dataclass(frozen=True, slots=True)
class Block:
    """Lines written under each other, and the font sizes to try, largest first. [mm]"""

    lines: tuple[BlockLine, ...]
    sizes_mm: tuple[float, ...]
    lead: float = 0.0
    """Room kept free left of the first line, per font size (for a number in a frame)."""
    least_mm: float = LEAST_MM
    """No line is written smaller; codes inside small pieces may be. [mm]"""
    pad_mm: float = PAD_MM
    """Left free round it. [mm]"""
    step: float = LINE_STEP
    """Distance of base lines per font size; one line alone needs less."""

    def line_size(self, line: BlockLine, size_mm: float) -> float:
        """Font size of one line; never smaller than can be read at a saw bench. [mm]"""
        return max(line.share * size_mm, self.least_mm)

    def extent(self, size_mm: float) -> tuple[float, float]:
        """Width and height at a font size, padding included. [mm]"""
        width = height = 0.0
        for k, line in enumerate(self.lines):
            lead = self.lead if k == 0 else 0.0
            size = self.line_size(line, size_mm)
            per_size = text_width_mm(line.text, 10.0, line.weight) / 10.0
            width = max(width, lead * size_mm + per_size * size)
            height += size * self.step
        return width + 2 * self.pad_mm, height + 2 * self.pad_mm


@dataclass(frozen=True, slots=True)
class Placed:
    """A block with its place: ``centre`` of its box, direction and size of writing."""

    block: Block
    centre: Point
    angle_deg: float
    size_mm: float

    @property
    def box(self) -> Polygon:
        """The room it takes. [mm]"""
        width, height = self.block.extent(self.size_mm)
        return _turned_box(self.centre, width, height, self.angle_deg)

    def local(self, along: float, across: float) -> Point:
        """Point at an offset from the centre, along and across the writing."""
        angle = math.radians(self.angle_deg)
        c, s = math.cos(angle), math.sin(angle)
        return (self.centre[0] + along * c - across * s, self.centre[1] + along * s + across * c)

    def texts(self) -> tuple[Text, ...]:
        """Lines as texts, ranged left."""
        width, height = self.block.extent(self.size_mm)
        pad = self.block.pad_mm
        left, top = -width / 2 + pad, height / 2 - pad
        made = []
        for k, line in enumerate(self.block.lines):
            size = self.block.line_size(line, self.size_mm)
            top -= size * self.block.step
            lead = self.block.lead * self.size_mm if k == 0 else 0.0
            at = self.local(left + lead, top + size * self.block.step / 2)
            made.append(Text(line.text, at, size, line.weight, Anchor.START, self.angle_deg))
        return tuple(made)


def _turned_box(centre: Point, width: float, height: float, angle_deg: float) -> Polygon:
    """A rectangle about ``centre``, turned. [mm]"""
    half = shapely.box(-width / 2, -height / 2, width / 2, height / 2)
    if angle_deg:
        half = affinity.rotate(half, angle_deg, origin=(0.0, 0.0))
    return affinity.translate(half, *centre)


def writing_angles(area: BaseGeometry) -> tuple[float, ...]:
    """Directions worth trying: level, upright, and along the area where it lies askew. [deg]"""
    angles = [0.0, 90.0]
    frame = area.minimum_rotated_rectangle
    if isinstance(frame, Polygon):
        corners = list(frame.exterior.coords)
        sides = [(corners[k], corners[k + 1]) for k in (0, 1)]
        a, b = max(sides, key=lambda s: math.dist(*s))
        angle = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0]))
        angle = (angle + 90.0) % 180.0 - 90.0
        if min(abs(angle), abs(abs(angle) - 90.0)) > 4.0:
            angles.append(round(angle, 3))
    return tuple(angles)


def place_inside(
    area: BaseGeometry, blocks: Sequence[Block], angles: Sequence[float] | None = None
) -> Placed | None:
    """Find room for the first block that fits, in its largest size, level if that isn't too small.

    Parameters
    ----------
    area
        Where writing is free: an area or several.
    blocks
        What to write, in order of preference.
    angles
        Directions of writing to try [deg]; None: :func:`writing_angles`.
    """
    if area.is_empty:
        return None
    turned = []
    for angle in writing_angles(area) if angles is None else angles:
        free = affinity.rotate(area, -angle, origin=(0.0, 0.0)) if angle else area
        shapely.prepare(free)
        turned.append((angle, free))
    for block in blocks:
        tries = [(size, angle, free) for size in block.sizes_mm for angle, free in turned]
        for size, angle, free in sorted(tries, key=_worth, reverse=True):
            centre = _nearest_place(free, *block.extent(size))
            if centre is not None:
                spin = math.radians(angle)
                c, s = math.cos(spin), math.sin(spin)
                back = (centre[0] * c - centre[1] * s, centre[0] * s + centre[1] * c)
                return Placed(block, back, angle, size)
    return None


def _worth(attempt: tuple[float, float, BaseGeometry]) -> float:
    """Size of writing, less if the page must be turned to read it."""
    size, angle, _ = attempt
    return size * (1.0 if abs(angle) < NEARLY_LEVEL_DEG else UPRIGHT_WORTH)


def _nearest_place(free: BaseGeometry, width: float, height: float) -> Point | None:
    x0, y0, x1, y1 = free.bounds
    if x1 - x0 < width or y1 - y0 < height or free.area < width * height:
        return None
    xs = np.linspace(x0 + width / 2, x1 - width / 2, GRID[0] if x1 - x0 > width + 0.1 else 1)
    ys = np.linspace(y0 + height / 2, y1 - height / 2, GRID[1] if y1 - y0 > height + 0.1 else 1)
    x, y = (g.ravel() for g in np.meshgrid(xs, ys))
    boxes = shapely.box(x - width / 2, y - height / 2, x + width / 2, y + height / 2)
    fits = np.flatnonzero(shapely.contains(free, boxes))
    if fits.size == 0:
        return None
    middle = free.centroid
    away = np.hypot(x[fits] - middle.x, y[fits] - middle.y)
    best = fits[int(np.argmin(np.round(away, 6)))]
    return float(x[best]), float(y[best])


@dataclass(frozen=True, slots=True)
class Balloon:
    """A number in a circle outside its piece, with a leader line to it."""

    centre: Point
    radius_mm: float
    foot: Point


DISTANCES_MM = (1.5, 3.0, 5.0, 8.0, 12.0, 18.0, 26.0, 36.0)
"""How far from its piece a circle is tried. [mm]"""
FOOT_MM = 0.8
"""How far inside its piece a leader ends, where the piece is so wide. [mm]"""
PLACES = 24
"""How many places round the piece are tried at each distance."""


def place_balloon(
    piece: Polygon,
    others: Sequence[BaseGeometry],
    taken: Sequence[BaseGeometry],
    room: Polygon,
    radius_mm: float,
) -> Balloon | None:
    """Find a place for a numbered circle near a piece too small for its number.

    The circle covers no piece, no writing and no other circle; its leader crosses no writing and
    as few other pieces as can be.

    Parameters
    ----------
    piece, others
        The piece; all other pieces.
    taken
        Writing, circles and leaders that are there already.
    room
        Where circles may lie.
    radius_mm
        Of the circle. [mm]
    """
    foot_point = piece.representative_point()
    foot = (float(foot_point.x), float(foot_point.y))
    shares = np.arange(PLACES) / PLACES
    rings = [_round(piece, d + radius_mm) for d in DISTANCES_MM]
    spots = np.concatenate(
        [shapely.line_interpolate_point(r, shares, normalized=True) for r in rings]
    )
    far = np.repeat(np.array(DISTANCES_MM), PLACES)
    turns = np.linspace(0.0, 2.0 * math.pi, 16, endpoint=False)
    circle = (radius_mm + 0.5) * np.column_stack([np.cos(turns), np.sin(turns)])
    discs = shapely.polygons(shapely.get_coordinates(spots)[:, None, :] + circle)
    is_free = np.array(shapely.contains_properly(room, discs), dtype=np.bool_)
    written, bodies = shapely.STRtree(list(taken)), shapely.STRtree(list(others))
    for tree in (written, bodies, shapely.STRtree([piece])):
        is_free[np.unique(tree.query(discs, predicate="intersects")[0])] = False
    ends = [shapely.get_coordinates(spots), np.broadcast_to(foot, (len(spots), 2))]
    leaders = np.asarray(shapely.linestrings(np.stack(ends, axis=1)))
    is_free[np.unique(written.query(leaders, predicate="intersects")[0])] = False
    free = np.flatnonzero(is_free)
    if free.size == 0:
        return None
    cost = far[free].copy()
    crossing, crossed = bodies.query(leaders[free], predicate="intersects")
    over = shapely.length(
        shapely.intersection(leaders[free][crossing], np.asarray(bodies.geometries)[crossed])
    )
    np.add.at(cost, crossing, 3.0 * over)
    best = int(free[int(np.argmin(np.round(cost, 6)))])
    at = shapely.get_coordinates(spots[best])[0]
    centre = (float(at[0]), float(at[1]))
    return Balloon(centre, radius_mm, _nearer(piece, centre, foot, (*others, *taken)))


def _nearer(piece: Polygon, centre: Point, foot: Point, barred: Sequence[BaseGeometry]) -> Point:
    """Where a leader ends: as near as can be, so that it runs over no hole of its own piece."""
    deep = piece.buffer(-FOOT_MM)
    end = nearest_points(SpotAt(centre), piece if deep.is_empty else deep)[1]
    short = shapely.LineString([centre, (end.x, end.y)])
    crossed = [g for g in barred if g.intersects(short)]
    return foot if crossed else (float(end.x), float(end.y))


def _round(piece: Polygon, far_mm: float) -> shapely.LinearRing:
    """The line at a distance round a piece.

    Where a piece is hollow on the chords of an arc, the geometry library may leave specks of dust
    beside it, some ten thousandths of a square millimetre large.
    """
    parts = shapely.get_parts(piece.buffer(far_mm, quad_segs=4))
    ring: shapely.LinearRing = shapely.get_exterior_ring(max(parts, key=shapely.area))
    return ring
