"""What is on the paper so far, while one sheet is drawn."""

from __future__ import annotations

from dataclasses import dataclass, field

import shapely
from shapely.geometry.base import BaseGeometry

from nestcut.papers.draw import Item
from nestcut.papers.sheet.frame import SheetFrame
from nestcut.papers.view import PlacedPiece

WHOLE = 0.98
"""A piece of which less than this share is in the window gets a number at most."""


@dataclass
class Ground:
    """What is on the paper so far, while one sheet is drawn: the only record that changes."""

    items: list[Item] = field(default_factory=list)
    taken: list[BaseGeometry] = field(default_factory=list)
    marked: list[BaseGeometry] = field(default_factory=list)
    """Marks inside pieces that writing keeps off and leaders may cross."""
    kept: list[BaseGeometry] = field(default_factory=list)
    """Offcuts: what is written on them is theirs."""
    keyed: list[int] = field(default_factory=list)
    lost: list[int] = field(default_factory=list)
    unmarked: list[int] = field(default_factory=list)
    """Pieces with an arrow, a line or a centre line that has no name here, once for each."""


def mark_room(placed: PlacedPiece, frame: SheetFrame) -> BaseGeometry:
    """What the lines marked on a piece take; names keep off them where they can."""
    lines = [
        shapely.LineString(frame.points(m.points)) for m in placed.shape.marks if len(m.points) > 1
    ]
    return shapely.union_all(lines).buffer(0.4, quad_segs=2)
