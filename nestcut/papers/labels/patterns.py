"""Full-size patterns: how a piece is divided over pages that are then joined edge over edge.

Neighbouring tiles overlap; crosses that stand in the overlap are printed on both and are laid on
each other.  What the tiles look like is the work of :mod:`nestcut.papers.labels.pattern_pages`.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from difflib import get_close_matches
from enum import StrEnum

import shapely
from shapely.geometry import LineString, Polygon, box

from nestcut.errors import Finding, InputError, Severity, finding
from nestcut.facts import Fact
from nestcut.geometry.polygons import bounds_mm
from nestcut.geometry.pose import move_shape
from nestcut.model.curves import Point
from nestcut.model.part import Grain
from nestcut.model.pose import Pose
from nestcut.model.shape import Shape
from nestcut.papers.draw import MARGIN_MM, SIZES, PageSize, Paper
from nestcut.papers.labels.serves import Served, served_by
from nestcut.papers.marking import with_joint_lines
from nestcut.papers.view import PlacedPiece, PlanView
from nestcut.papers.view.base_line import base_line_pose
from nestcut.trade import shop
from nestcut.units import LengthStyle

OVERLAPS_MM = {LengthStyle.MM: 16.0, LengthStyle.INCH: 25.4 * 5 / 8}
"""How far neighbouring tiles overlap: a length that a rule has. [mm]"""
TOP_STRIP_MM = 12.0
"""Room above a tile for its name and the check rule. [mm]"""
LEFT_STRIP_MM = 8.0
"""Room left of a tile for the upright check rule. [mm]"""
MANY_TILES = int(shop.MANY_TILES.value)
"""More tiles than this are hard to join truly: the marking-out table serves better."""
EDGE_MM = 5.0
"""Empty room round the piece, so that its outermost lines stand free. [mm]"""


class TileChoice(StrEnum):
    """Which tiles are printed."""

    ALL = "all"
    """Every tile of the rectangle round the piece."""
    TOUCHED = "touched"
    """Tiles on which some of the piece lies; empty ones are left out."""
    LINES = "lines"
    """Only tiles with something to draw; those wholly inside the piece are left out too."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tile:
    """One page of a pattern: ``column`` and ``row`` from 0 at the lower left.

    ``window`` is what it shows of the pattern: (x0, y0, x1, y1). [mm]
    """

    column: int
    row: int
    window: tuple[float, float, float, float]

    @property
    def name(self) -> str:
        """Row letter and column number from the lower left, ``A1``."""
        letters, row = "", self.row
        while row >= 0:
            letters, row = chr(ord("A") + row % 26) + letters, row // 26 - 1
        return f"{letters}{self.column + 1}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Cross:
    """A registration mark in the overlap of two tiles, the same number on both."""

    number: int
    at: Point


@dataclass(frozen=True, slots=True, kw_only=True)
class Pattern:
    """A piece laid on its base line and divided into tiles.

    Parameters
    ----------
    served
        Which pieces it fits.
    shape
        The piece with x and y from ``EDGE_MM`` up, seen from its good face.
    overlap_mm
        How far neighbouring tiles overlap. [mm]
    pitch_mm
        Distance from tile to tile along and across. [mm]
    tiles
        Those that are printed.
    grain_deg
        Direction of the sheet's face grain as the piece lies; None where any will do. [deg]
    """

    served: Served
    shape: Shape
    page: PageSize
    columns: int
    rows: int
    pitch_mm: tuple[float, float]
    tiles: tuple[Tile, ...]
    crosses: tuple[Cross, ...]
    grain_deg: float | None
    overlap_mm: float

    def share_of(self, tile: Tile) -> tuple[float, float, float, float]:
        """What only this tile shows, with half of each overlap: (x0, y0, x1, y1). [mm]"""
        x0, y0, x1, y1 = tile.window
        half = self.overlap_mm / 2
        return (
            x0 + (half if tile.column else 0.0),
            y0 + (half if tile.row else 0.0),
            x1 - (half if tile.column < self.columns - 1 else 0.0),
            y1 - (half if tile.row < self.rows - 1 else 0.0),
        )

    @property
    def size_mm(self) -> tuple[float, float]:
        """Length and width of the piece as it lies. [mm]"""
        x0, y0, x1, y1 = bounds_mm(self.shape.outline.points)
        return x1 - x0, y1 - y0


def find_placed(view: PlanView, piece: str) -> PlacedPiece:
    """Return the placed piece of an id, or the first piece of a part of that name.

    Raises
    ------
    InputError
        If there's neither; the nearest names are told.
    """
    placed = [p for sheet in view.sheets for p in sheet.placed]
    for wanted in (
        [p for p in placed if p.piece.id == piece],
        sorted((p for p in placed if p.piece.part == piece), key=lambda p: p.piece.id),
    ):
        if wanted:
            return wanted[0]
    rails = [c.piece for b in view.boards for c in b.cuts]
    if any(piece in (r.id, r.part) for r in rails):
        raise InputError([_no_pattern(piece)])
    names = sorted({p.piece.id for p in placed} | {p.piece.part for p in placed})
    near = get_close_matches(piece, names, n=3)
    near_words = " or ".join(repr(n) for n in near)
    todo = Fact("PAT-003", (("near", near_words),)) if near else Fact("PAT-004")
    raise InputError([finding("PAT-001", Severity.ERROR, piece, todo=todo)])


def _no_pattern(piece: str) -> Finding:
    return finding("PAT-002", Severity.ERROR, piece)


def pattern_of(placed: PlacedPiece, view: PlanView, paper: Paper, choice: TileChoice) -> Pattern:
    """Divide a piece into tiles on the paper that needs fewest, upright or on its side."""
    piece = placed.piece
    served = served_by(placed, view)
    whole = with_joint_lines(piece.shape, tuple((e.kind.value, e.line) for e in piece.ends))
    lie = base_line_pose(whole)
    shape = move_shape(move_shape(whole, lie), Pose(shift_mm=(EDGE_MM, EDGE_MM)))
    grain = {Grain.ALONG: lie.turn_deg, Grain.ACROSS: lie.turn_deg + 90.0}.get(piece.grain)
    upright = SIZES[paper]
    overlap = OVERLAPS_MM[view.verified.job.style]
    made = [
        _divided(served, shape, grain, page, overlap, choice)
        for page in (upright, upright.landscape)
    ]
    return min(made, key=lambda p: (len(p.tiles), p.columns * p.rows))


def _divided(
    served: Served,
    shape: Shape,
    grain_deg: float | None,
    page: PageSize,
    overlap: float,
    choice: TileChoice,
) -> Pattern:
    wide = page.width_mm - 2 * MARGIN_MM - LEFT_STRIP_MM
    high = page.height_mm - 2 * MARGIN_MM - TOP_STRIP_MM
    pitch = (wide - overlap, high - overlap)
    _, _, x1, y1 = bounds_mm(shape.outline.points)
    columns, rows = (
        max(1, math.ceil((reach + EDGE_MM - overlap) / step))
        for reach, step in ((x1, pitch[0]), (y1, pitch[1]))
    )
    tiles = tuple(
        Tile(
            column=c,
            row=r,
            window=(c * pitch[0], r * pitch[1], c * pitch[0] + wide, r * pitch[1] + high),
        )
        for r in range(rows)
        for c in range(columns)
    )
    whole = Pattern(
        served=served,
        shape=shape,
        page=page,
        columns=columns,
        rows=rows,
        pitch_mm=pitch,
        tiles=tiles,
        crosses=_crosses(columns, rows, pitch, overlap),
        grain_deg=grain_deg,
        overlap_mm=overlap,
    )
    return replace(whole, tiles=tuple(t for t in tiles if _is_wanted(t, whole, choice)))


def _is_wanted(tile: Tile, pattern: Pattern, choice: TileChoice) -> bool:
    """Whether a tile's own share has anything of the piece."""
    if choice is TileChoice.ALL:
        return True
    own, shape = box(*pattern.share_of(tile)), pattern.shape
    area = Polygon(shape.outline.points, [h.points for h in shape.holes])
    if choice is TileChoice.TOUCHED:
        return bool(area.intersects(own))
    lines = [area.boundary, *(LineString(m.points) for m in shape.marks if len(m.points) > 1)]
    return any(shapely.intersects(line, own) for line in lines)


def _crosses(
    columns: int, rows: int, pitch: tuple[float, float], overlap: float
) -> tuple[Cross, ...]:
    """Two crosses on every stretch of every seam, in the middle of the overlap."""
    half = overlap / 2
    at = [
        (c * pitch[0] + half, r * pitch[1] + overlap + share * (pitch[1] - overlap))
        for r in range(rows)
        for c in range(1, columns)
        for share in (0.2, 0.8)
    ]
    at += [
        (c * pitch[0] + overlap + share * (pitch[0] - overlap), r * pitch[1] + half)
        for r in range(1, rows)
        for c in range(columns)
        for share in (0.2, 0.8)
    ]
    return tuple(Cross(number=k, at=p) for k, p in enumerate(at, start=1))
