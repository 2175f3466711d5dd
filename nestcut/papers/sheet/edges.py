"""Figures along two edges of a sheet, from its marking-out corner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

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
)
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.view import Figures, PlacedPiece

Shown = tuple[tuple[Figure, str], ...]
FEW = 2
"""Of so few pieces it goes without saying whose an edge is."""
AT_CORNER_MM = 0.25
"""Nearer the corner than this needs no figure: it's the edge itself. [mm]"""


@dataclass(frozen=True, slots=True)
class EdgeFigures:
    """Distances along the sheet and across it, with their texts; how many had no room."""

    along: Shown
    across: Shown
    left_out: int = 0

    @property
    def below_mm(self) -> float:
        """Room that they take below the sheet. [mm on paper]"""
        return depth_mm([t for _, t in self.along])

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


def edge_figures(placed: Sequence[PlacedPiece], figures: Figures) -> EdgeFigures:
    """Where every piece begins and ends along the sheet and across it."""
    is_alone = len(placed) <= FEW
    along = merged([(x, p.number) for p in placed for x in (p.box_mm[0], p.box_mm[2])])
    across = merged([(y, p.number) for p in placed for y in (p.box_mm[1], p.box_mm[3])])
    if is_alone:
        along, across = (tuple(Figure(f.at_mm, ()) for f in found) for found in (along, across))
    return EdgeFigures(_written(along, figures), _written(across, figures))


def _written(found: Sequence[Figure], figures: Figures) -> Shown:
    return tuple((f, figure_text(f, figures.size)) for f in found if f.at_mm > AT_CORNER_MM)


def _fitting(shown: Shown, room: int, kept: frozenset[int]) -> Shown:
    if len(shown) <= room:
        return shown
    wanted = [f for f in shown if any(n in kept for n in f[0].numbers)]
    return tuple(wanted[:room])
