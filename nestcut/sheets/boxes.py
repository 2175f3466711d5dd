"""A layout at once: every piece as its box, the biggest first, leftmost, then lowest.

Wasteful with plywood, but it asks for no compiled code and no simplified outline, so that there is
something valid to keep within moments, even on the first run after an installation.
"""

from __future__ import annotations

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
    for piece in sorted(group.pieces, key=lambda p: p.id == RESERVE_ID):
        if any(sheet.take(piece) for sheet in sheets) or piece.id == RESERVE_ID:
            continue
        for stock in group.stocks:
            opened = sum(sheet.stock is stock for sheet in sheets)
            if stock.stock.count is not None and opened >= stock.stock.count:
                continue
            sheet = _Sheet(stock, group.clearance_mm)
            if sheet.take(piece):
                sheets.append(sheet)
                break
    return tuple(
        FilledSheet(
            stock=sheet.stock.container.id,
            lying=tuple(sorted(sheet.lying, key=lambda p: p.piece)),
        )
        for sheet in sheets
    )


@dataclass(slots=True)
class _Sheet:
    """A sheet that is being filled. ``taken`` are the boxes that lie on it, shape (n, 4). [mm]"""

    stock: PreparedStock
    clearance_mm: float
    lying: list[Placement] = field(default_factory=list)
    taken: FloatArray = field(init=False)

    def __post_init__(self) -> None:
        blocked = shapely.box(*self.stock.usable.bounds).difference(self.stock.free)
        boxes = [part.bounds for part in polygons_of(blocked)]
        self.taken = np.array(boxes, dtype=np.float64).reshape(-1, 4)

    def take(self, piece: PreparedPiece) -> bool:
        """Lay a piece down in the first of its turns that has room."""
        lie = piece.item.lies[0]
        for turn in self._turns(piece):
            x0, y0, x1, y1 = moved_polygon(piece.net, Pose(lie, turn)).bounds
            place = self._room_for(x1 - x0, y1 - y0)
            if place is None:
                continue
            shift = (place[0] - x0, place[1] - y0)
            self.lying.append(Placement(lie, turn, shift, piece=piece.id))
            box = [*place, place[0] + x1 - x0, place[1] + y1 - y0]
            self.taken = np.vstack((self.taken, box))
            return True
        return False

    def _turns(self, piece: PreparedPiece) -> list[float]:
        """The piece's own turns on this sheet; where none has room, a tilt that has. [deg]"""
        frame = self.stock.frame_turn_deg
        own = [(turn + frame) % 360.0 for turn in piece.item.turns.centres_deg]
        tilt = None if self._has_room(piece, own) else tilt_that_fits(piece, self.stock)
        return own if tilt is None else [*own, tilt]

    def _has_room(self, piece: PreparedPiece, turns: list[float]) -> bool:
        """Whether the empty sheet has room for the piece's box at one of these turns."""
        x0, y0, x1, y1 = self.stock.usable.bounds
        for turn in turns:
            pose = Pose(piece.item.lies[0], turn)
            a, b, c, d = moved_polygon(piece.net, pose).bounds
            if c - a <= x1 - x0 + SAME_LENGTH_MM and d - b <= y1 - y0 + SAME_LENGTH_MM:
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
