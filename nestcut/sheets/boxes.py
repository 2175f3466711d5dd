"""A layout at once: every piece as its box, the biggest first, leftmost, then lowest.

Wasteful with plywood, but it asks for no compiled code and no simplified outline, so that there is
something valid to keep within moments, even on the first run after an installation.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator
from dataclasses import dataclass, field

import numpy as np
import shapely

from nestcut.geometry.offset import polygons_of
from nestcut.model.pose import Placement, Pose
from nestcut.nesting.problem import FloatArray
from nestcut.sheets.layouts import FilledSheet, moved_polygon
from nestcut.sheets.prepare import RESERVE_ID, Group, PreparedPiece, PreparedStock
from nestcut.sheets.tilts import tilt_that_fits
from nestcut.tolerances import SAME_LENGTH_MM


def lay_out_boxes(group: Group) -> tuple[FilledSheet, ...]:
    """Lay the pieces' boxes on sheets, one pass, sheets to hand before sheets on sale.

    Boxes stand upright unless only a tilt makes room. Pieces whose box fits no sheet are left out;
    so is the reserve where no opened sheet has room.
    """
    sheets: list[_Sheet] = []
    boxes = _Boxes(group)
    for piece in sorted(group.pieces, key=lambda p: p.id == RESERVE_ID):
        if any(sheet.take(piece, boxes) for sheet in sheets) or piece.id == RESERVE_ID:
            continue
        for stock in group.stocks:
            opened = sum(sheet.stock is stock for sheet in sheets)
            if stock.stock.count is not None and opened >= stock.stock.count:
                continue
            sheet = _Sheet(stock, group.clearance_mm)
            if sheet.take(piece, boxes):
                sheets.append(sheet)
                break
    return tuple(
        FilledSheet(
            stock=sheet.stock.container.id,
            lying=tuple(sorted(sheet.lying, key=lambda p: p.piece)),
        )
        for sheet in sheets
    )


@dataclass(frozen=True, slots=True)
class _Box:
    """How large a piece's box is at a turn, and where its lower left corner lies. [mm]"""

    turn_deg: float
    corner: tuple[float, float]
    wide: float
    high: float


class _Boxes:
    """Boxes of pieces on kinds of sheets: worked out once, copies of a part share them."""

    def __init__(self, group: Group) -> None:
        self._copies = {p.id: _same_for(p) for p in group.pieces}
        self._found: dict[tuple[Hashable, str], tuple[_Box, ...]] = {}

    def of(self, piece: PreparedPiece, stock: PreparedStock) -> tuple[_Box, ...]:
        """Return the box at each turn allowed; where none has room, at a tilt that has too."""
        key = (self._copies[piece.id], stock.container.id)
        if key not in self._found:
            self._found[key] = tuple(_boxes(piece, stock))
        return self._found[key]


def _same_for(piece: PreparedPiece) -> Hashable:
    """What decides about a piece's boxes."""
    return (piece.net.wkb, piece.item.lies[0], piece.item.turns)


def _boxes(piece: PreparedPiece, stock: PreparedStock) -> Iterator[_Box]:
    frame = stock.frame_turn_deg
    own = [_box(piece, (turn + frame) % 360.0) for turn in piece.item.turns.centres_deg]
    yield from own
    x0, y0, x1, y1 = stock.usable.bounds
    wide, high = x1 - x0 + SAME_LENGTH_MM, y1 - y0 + SAME_LENGTH_MM
    if any(box.wide <= wide and box.high <= high for box in own):
        return
    tilt = tilt_that_fits(piece, stock)
    if tilt is not None:
        yield _box(piece, tilt)


def _box(piece: PreparedPiece, turn_deg: float) -> _Box:
    pose = Pose(piece.item.lies[0], turn_deg)
    x0, y0, x1, y1 = moved_polygon(piece.net, pose).bounds
    return _Box(turn_deg, (x0, y0), x1 - x0, y1 - y0)


@dataclass(slots=True)
class _Sheet:
    """A sheet that is being filled. ``taken`` are the boxes that lie on it, shape (n, 4). [mm]"""

    stock: PreparedStock
    clearance_mm: float
    lying: list[Placement] = field(default_factory=list)
    taken: FloatArray = field(init=False)
    _too_large: set[tuple[float, float]] = field(default_factory=set)
    """Boxes that no room was left for: there never will be, as nothing is taken away. [mm]"""

    def __post_init__(self) -> None:
        blocked = shapely.box(*self.stock.usable.bounds).difference(self.stock.free)
        boxes = [part.bounds for part in polygons_of(blocked)]
        self.taken = np.array(boxes, dtype=np.float64).reshape(-1, 4)

    def take(self, piece: PreparedPiece, boxes: _Boxes) -> bool:
        """Lay a piece down in the first of its turns that has room."""
        for box in boxes.of(piece, self.stock):
            size = (box.wide, box.high)
            place = None if size in self._too_large else self._room_for(*size)
            if place is None:
                self._too_large.add(size)
                continue
            shift = (place[0] - box.corner[0], place[1] - box.corner[1])
            self.lying.append(Placement(piece.item.lies[0], box.turn_deg, shift, piece=piece.id))
            taken = [*place, place[0] + box.wide, place[1] + box.high]
            self.taken = np.vstack((self.taken, taken))
            return True
        return False

    def _room_for(self, wide: float, high: float) -> tuple[float, float] | None:
        """Return the leftmost, then lowest corner from which so large a box is free."""
        x0, y0, x1, y1 = self.stock.usable.bounds
        left, low, right, top = self.taken.T
        gap = self.clearance_mm
        xs = np.unique(np.concatenate(([x0], right + gap)))
        ys = np.unique(np.concatenate(([y0], top + gap)))
        xs = xs[xs + wide <= x1 + SAME_LENGTH_MM]
        ys = ys[ys + high <= y1 + SAME_LENGTH_MM]
        slack = gap - SAME_LENGTH_MM
        meets_x = (left < xs[:, None] + wide + slack) & (xs[:, None] < right + slack)
        meets_y = (low < ys[:, None] + high + slack) & (ys[:, None] < top + slack)
        # free[i, j]: at xs[i], ys[j] no box is met both ways
        free = ~(meets_x[:, None, :] & meets_y[None, :, :]).any(axis=2)
        if not free.any():
            return None
        i, j = np.argwhere(free)[0]
        return float(xs[i]), float(ys[j])
