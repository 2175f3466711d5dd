"""From the engine's placements to sheet layouts, each proven with exact outlines on the way.

The check here is a cheap inner one, so that no wrong layout is ever called the best; the plan as a
whole is proven by :mod:`nestcut.verify` with other means.
"""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass

import shapely
from shapely import affinity
from shapely.geometry import Polygon

from nestcut.geometry.pose import cos_sin, move_vector
from nestcut.model.pose import Placement, Pose
from nestcut.nesting.problem import NestPlacement
from nestcut.sheets.prepare import Group, PreparedPiece, PreparedStock
from nestcut.tolerances import ANGLE_DEG, AREA_MM2, VERIFY_MM

_CHECK_MM = VERIFY_MM / 2.0
"""Slack of the inner check: half of what the verifier grants. [mm]"""

_ROUND = 4
"""Decimals of a shift that are kept: a tenth of a micrometre."""


@dataclass(frozen=True, slots=True, kw_only=True)
class FilledSheet:
    """One sheet of a kind and what lies on it, pieces sorted by id."""

    stock: str
    lying: tuple[Placement, ...]

    @property
    def ids(self) -> tuple[str, ...]:
        """Ids of the pieces on it."""
        return tuple(p.piece for p in self.lying)


def on_sheet(piece: PreparedPiece, stock: PreparedStock, placed: NestPlacement) -> Placement:
    """Placement of a piece in the sheet's frame, from the engine's placement of its centred item.

    The engine's item is the piece less its centre c, so ``p -> A (p - c) + s`` with A the
    reflection and turn; then the engine's frame is turned into the sheet's.
    """
    turn = (placed.turn_deg + stock.frame_turn_deg) % 360.0
    if 360.0 - turn < ANGLE_DEG:
        turn = 0.0
    cx, cy = move_vector(piece.centre, Pose(placed.lie, turn))
    sx, sy = move_vector(placed.shift_mm, Pose(turn_deg=stock.frame_turn_deg))
    return Placement(
        piece=piece.id,
        lie=placed.lie,
        turn_deg=turn,
        shift_mm=(round(sx - cx, _ROUND) + 0.0, round(sy - cy, _ROUND) + 0.0),
    )


def sheets_of(group: Group, placements: tuple[NestPlacement, ...]) -> tuple[FilledSheet, ...]:
    """Group the engine's placements by sheet, in the order of kinds and numbers."""
    by_sheet: dict[tuple[int, int], list[Placement]] = defaultdict(list)
    order = {s.container.id: k for k, s in enumerate(group.stocks)}
    pieces = {p.id: p for p in group.pieces}
    for placed in placements:
        k = order[placed.container]
        lies = on_sheet(pieces[placed.item], group.stocks[k], placed)
        by_sheet[k, placed.number].append(lies)
    return tuple(
        FilledSheet(
            stock=group.stocks[k].container.id,
            lying=tuple(sorted(by_sheet[k, n], key=lambda p: p.piece)),
        )
        for k, n in sorted(by_sheet)
    )


def moved_polygon(polygon: Polygon, pose: Pose) -> Polygon:
    """Move a polygon."""
    c, s = cos_sin(pose.turn_deg)
    f = 1.0 if pose.is_face_up else -1.0
    return affinity.affine_transform(polygon, [f * c, -s, f * s, c, *pose.shift_mm])


def faults_of(group: Group, sheet: FilledSheet) -> tuple[str, ...]:
    """Say what is wrong with a filled sheet; empty if it is as it must be.

    Every net piece lies in the free area, and any two keep the clearance, to within half of the
    verifier's slack.
    """
    stock = group.stock_of(sheet.stock)
    pieces = {p.id: p for p in group.pieces}
    nets = [moved_polygon(pieces[p.piece].net, p) for p in sheet.lying]
    allowed = stock.free.buffer(_CHECK_MM, join_style="mitre")
    shapely.prepare(allowed)
    faults = [
        f"{p.piece} leaves the usable area of {sheet.stock}"
        for p, net in zip(sheet.lying, nets, strict=True)
        if not allowed.covers(net)
    ]
    least = group.clearance_mm - _CHECK_MM
    tree = shapely.STRtree(nets)
    for i, net in enumerate(nets):
        faults += [
            f"{sheet.ids[i]} and {sheet.ids[j]} lie too near on {sheet.stock}"
            for j in sorted(int(k) for k in tree.query(net, "dwithin", max(least, 0.0)))
            if j > i and _too_near(net, nets[j], least)
        ]
    return tuple(faults)


def _too_near(a: Polygon, b: Polygon, least_mm: float) -> bool:
    if least_mm > 0.0:
        return bool(a.distance(b) < least_mm)
    return bool(a.intersection(b).area > max(AREA_MM2, _CHECK_MM * min(a.length, b.length)))
