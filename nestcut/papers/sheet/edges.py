"""Figures along two edges of a sheet, from its marking-out corner.

Only what can be set out by them is told: straight edges that run square to the sheet, and the
lines at which offcuts come off.  Slanted and curved pieces lie on their base lines (marking out).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from shapely.geometry import LineString

from nestcut.model.curves import Point
from nestcut.papers.draw import (
    SIZE_MM,
    Figure,
    Item,
    along_bottom,
    along_left,
    capacity,
    depth_mm,
    figure_text,
    merged,
    row_below,
)
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.view import Figures, Keep, PlacedPiece

Shown = tuple[tuple[Figure, str], ...]
FEW = 2
"""Of so few pieces it goes without saying whose an edge is."""
AT_CORNER_MM = 0.25
"""Nearer the corner than this needs no figure: it's the edge itself. [mm]"""
SQUARE_MM = 0.5
"""A straight edge that strays less from square to the sheet is square to it. [mm]"""
LEAST_EDGE_MM = 20.0
"""A shorter one is no edge to set out by. [mm]"""
CROWDED = 10
"""Where more figures stand along a margin, only edges that are seen from it have one. [-]"""
MOST_NAMES = 4
"""More pieces at one figure than this aren't all named. [-]"""


@dataclass(frozen=True, slots=True)
class EdgeFigures:
    """Distances along the sheet and across it, with their texts; how many had no room."""

    along: Shown
    across: Shown
    left_out: int = 0

    def below_mm(self, span_mm: float) -> float:
        """Room that they take below a sheet that is so long on paper. [mm on paper]"""
        return row_below([t for _, t in self.along], span_mm - SIZE_MM * 0.56).depth_mm

    @property
    def beside_mm(self) -> float:
        """Room that they take left of the sheet. [mm on paper]"""
        return depth_mm([t for _, t in self.across])

    def fitting(self, frame: SheetFrame, kept: frozenset[int]) -> EdgeFigures:
        """Drop what an edge has no room for: first the edges of pieces not in ``kept``."""
        x0, y0, x1, y1 = frame.window
        along = _fitting(self.along, capacity((x1 - x0) / frame.scale), kept)
        across = _fitting(self.across, capacity((y1 - y0) / frame.scale), kept)
        lost = len(self.along) + len(self.across) - len(along) - len(across)
        return EdgeFigures(along, across, lost)

    def items(self, frame: SheetFrame) -> tuple[Item, ...]:
        """Draw them along the window's lower and left edge."""
        x0, y0, x1, y1 = frame.window
        half = SIZE_MM * 0.56
        across = (frame.y(y0) + half, frame.y(y1))
        return (
            *along_bottom(self.along, frame.x, frame.y(y0), (frame.x(x0) + half, frame.x(x1))),
            *along_left(self.across, frame.y, frame.x(x0), across),
        )


def edge_figures(
    placed: Sequence[PlacedPiece],
    keeps: Sequence[Keep],
    figures: Figures,
    size_mm: tuple[float, float] = (math.inf, math.inf),
) -> EdgeFigures:
    """Where square edges of pieces and lines of offcuts lie, along the sheet and across it.

    What lies on the edges of a sheet of ``size_mm`` needs no figure. [mm]

    Parameters
    ----------
    placed
        Pieces of the sheet.
    keeps
        Offcuts to keep whole.
    size_mm
        Of the sheet; what lies on its own edges needs no figure. [mm]
    """
    found: tuple[list[tuple[float, str]], list[tuple[float, str]]] = ([], [])
    is_alone = len(placed) <= FEW
    for p in placed:
        for axis in (0, 1):
            for at in square_edges(p, axis):
                found[axis].append((at, str(p.number)))
    for axis in (0, 1):
        if len(merged(found[axis])) > CROWDED:
            found[axis][:] = [
                (at, name)
                for p in placed
                for at, name in found[axis]
                if name == str(p.number) and is_in_sight(p, axis, at, placed)
            ]
    gathered = [merged(f) for f in found]
    if is_alone:
        gathered = [tuple(Figure(f.at_mm, ()) for f in fs) for fs in gathered]
    for axis, fs in enumerate(gathered):
        own = [(f.at_mm, w) for f in fs for w in f.whose or ("",)]
        own += [(at, k.name) for k in keeps for at in (k.along_mm, k.across_mm)[axis]]
        gathered[axis] = tuple(
            Figure(f.at_mm, tuple(w for w in f.whose if w)[:MOST_NAMES]) for f in merged(own)
        )
    along, across = (_written(f, figures, far) for f, far in zip(gathered, size_mm, strict=True))
    return EdgeFigures(along, across)


def is_in_sight(placed: PlacedPiece, axis: int, at_mm: float, among: Sequence[PlacedPiece]) -> bool:
    """Whether nothing lies between an edge and the margin where its figure stands.

    Parameters
    ----------
    axis
        0: an edge across the sheet, at a length; 1: one along it.
    at_mm
        Where the edge is. [mm]
    among
        Pieces that may lie between.
    """
    ring = placed.shape.outline.points
    near = min(p[1 - axis] for p in ring if abs(p[axis] - at_mm) < SQUARE_MM)
    ends = [(at_mm, 0.0), (at_mm, near)] if axis == 0 else [(0.0, at_mm), (near, at_mm)]
    way = LineString(ends)
    return all(
        other is placed or other.polygon.intersection(way).length < SQUARE_MM for other in among
    )


def square_edges(placed: PlacedPiece, axis: int) -> tuple[float, ...]:
    """The least and the greatest place of a piece, where a straight square edge lies there.

    ``axis`` 0 asks along the sheet, 1 across it. [mm]
    """
    box = placed.box_mm
    ring = placed.shape.outline.points
    closed: tuple[Point, ...] = (*ring, ring[0])
    found = []
    for at in (box[axis], box[axis + 2]):
        run = sum(
            abs(b[1 - axis] - a[1 - axis])
            for a, b in pairwise(closed)
            if max(abs(a[axis] - at), abs(b[axis] - at)) < SQUARE_MM
        )
        if run >= LEAST_EDGE_MM:
            found.append(at)
    return tuple(found)


def _written(found: Sequence[Figure], figures: Figures, far_mm: float) -> Shown:
    return tuple(
        (f, figure_text(f, figures.size))
        for f in found
        if AT_CORNER_MM < f.at_mm < far_mm - AT_CORNER_MM
    )


def _fitting(shown: Shown, room: int, kept: frozenset[int]) -> Shown:
    if len(shown) <= room:
        return shown
    names = {str(n) for n in kept}
    wanted = [s for s in shown if any(not w.isdigit() or w in names for w in s[0].whose)]
    return tuple(wanted[:room])
