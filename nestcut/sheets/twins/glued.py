"""Twins made one item: they lie beside each other, and are placed and turned as one."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import Enum

import numpy as np
import shapely
from shapely import affinity
from shapely.geometry import Polygon
from shapely.geometry.polygon import orient

from nestcut.geometry.pose import move_vector
from nestcut.geometry.simplify import covering
from nestcut.model.pose import Lie, Placement, Pose
from nestcut.nesting.problem import Item, Turns
from nestcut.sheets.layouts import moved_polygon
from nestcut.sheets.prepare import PreparedPiece
from nestcut.sheets.twins.exchange import may_turn
from nestcut.sheets.twins.pairs import are_beside
from nestcut.tolerances.lengths import SAME_PLACE_MM
from nestcut.tolerances.looks import TWINS_APART_MM

_QUARTERS = (0.0, 90.0, 180.0, 270.0)
_HALVINGS = 24
"""Halvings of the way until twins touch: from 10 m down to a thousandth of a millimetre. [-]"""
_EACH_WAY = 2
"""Ways that come back of each side. [-]"""
_CORNERS = 10
"""Outlines with no more corners than this are not simplified. [-]"""
_ROUND = 4
"""Decimals of a shift that are kept. [-]"""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Glued:
    """Twins as one: the item, and how each of them lies in its frame."""

    piece: PreparedPiece
    members: tuple[Placement, Placement]

    def apart(self, placed: Placement) -> tuple[Placement, ...]:
        """Return how each of the twins lies where the whole lies so."""
        return tuple(_after(m, placed) for m in self.members)

    def of_copies(self, first: PreparedPiece, second: PreparedPiece) -> Glued:
        """Return other twins of the same outlines made one the same way."""
        pieces = (first, second)
        name = _name(pieces)
        one, other = self.members
        return Glued(
            piece=replace(self.piece, id=name, item=replace(self.piece.item, id=name)),
            members=(replace(one, piece=first.id), replace(other, piece=second.id)),
        )


def _name(pieces: tuple[PreparedPiece, PreparedPiece]) -> str:
    return " + ".join(p.id for p in pieces)


def _after(member: Placement, whole: Placement) -> Placement:
    x, y = move_vector(member.shift_mm, whole)
    shift = (
        round(x + whole.shift_mm[0], _ROUND) + 0.0,
        round(y + whole.shift_mm[1], _ROUND) + 0.0,
    )
    turn = (member.turn_deg + whole.turn_deg) % 360.0
    return Placement(piece=member.piece, lie=member.lie, turn_deg=turn, shift_mm=shift)


def as_they_lie(
    pieces: tuple[PreparedPiece, PreparedPiece], lies: tuple[Placement, Placement]
) -> Glued:
    """Make twins one as they lie in the engine's frame."""
    outlines = [_moved(p, m) for p, m in zip(pieces, lies, strict=True)]
    nets = [moved_polygon(p.net, m) for p, m in zip(pieces, lies, strict=True)]
    gap = outlines[0].distance(outlines[1]) / 2.0 + SAME_PLACE_MM
    joined = shapely.union_all([o.buffer(gap, join_style="mitre") for o in outlines])
    solid = shapely.union_all([joined.buffer(-gap, join_style="mitre"), *outlines])
    whole = solid if isinstance(solid, Polygon) else joined
    net = Polygon(shapely.get_exterior_ring(shapely.union_all(nets).convex_hull))
    x0, y0, x1, y1 = net.bounds
    centre = ((x0 + x1) / 2.0, (y0 + y1) / 2.0)
    outline = covering(Polygon(shapely.get_exterior_ring(whole)), 0.0, _CORNERS)
    both = list(zip(pieces, lies, strict=True))
    turns = tuple(
        q for q in _QUARTERS if all(may_turn(p.item.turns, m.turn_deg + q) for p, m in both)
    )
    name = _name(pieces)
    ring = np.asarray(orient(outline, 1.0).exterior.coords[:-1], dtype=np.float64)
    item = Item(
        id=name,
        outline=np.ascontiguousarray(ring - np.asarray(centre)),
        turns=Turns(centres_deg=turns),
        lies=(Lie.FACE_UP,),
    )
    one = PreparedPiece(id=name, piece=None, net=net, centre=centre, item=item, sides_mm=None)
    return Glued(piece=one, members=lies)


class _Way(Enum):
    """Which way a piece is pushed."""

    ALONG = "along x"
    UP_AND_DOWN = "along y"


def ways_beside(
    first: PreparedPiece, second: PreparedPiece, clearance_mm: float
) -> tuple[Glued, ...]:
    """Return ways in which twins lie beside each other, the closest first.

    The second is pushed against the first from four sides, along its middle and along both of its
    ends; the less the smallest outline without hollows round both of them takes, the better.  The
    best of those above or below come back, and the best of those to the left or right.

    Parameters
    ----------
    first, second
        The twins.
    clearance_mm
        What they keep apart, which their items are grown by. [mm]
    """
    ways: list[tuple[float, int, _Way, tuple[Placement, Placement]]] = []
    own_turn = _poses(first)[0].turn_deg  # other turns are those of the whole
    for own in (p for p in _poses(first) if p.turn_deg == own_turn):
        a = _moved(first, own)
        for other in _poses(second):
            b = _moved(second, other)
            for way, shift in _touching(a, b):
                lies = (own, _shifted(other, shift))
                hull = shapely.union_all([a, affinity.translate(b, *shift)]).convex_hull
                ways.append((round(hull.area, 1), len(ways), way, lies))
    found: dict[tuple[_Way, float], Glued] = {}
    for area, _, way, lies in sorted(ways, key=lambda w: w[:2]):
        is_new = (way, area) not in found and sum(way is w for w, _ in found) < _EACH_WAY
        nets = [moved_polygon(p.net, m) for p, m in zip((first, second), lies, strict=True)]
        if is_new and are_beside(nets[0], nets[1], clearance_mm + TWINS_APART_MM):
            found[way, area] = as_they_lie((first, second), lies)
    return tuple(found.values())


def _poses(piece: PreparedPiece) -> list[Placement]:
    """How a piece may lie, about its own centre, in the engine's frame."""
    turns = piece.item.turns
    centres = _QUARTERS if turns.is_free else turns.centres_deg
    poses = [
        Pose(lie, turn)
        for lie in piece.item.lies
        for turn in dict.fromkeys(c % 360 for c in centres)
    ]
    found = []
    for pose in poses:
        x, y = move_vector(piece.centre, pose)
        found.append(
            Placement(piece=piece.id, lie=pose.lie, turn_deg=pose.turn_deg, shift_mm=(-x, -y))
        )
    return found


def _moved(piece: PreparedPiece, lies: Placement) -> Polygon:
    """The item's outline, grown by half the clearance, as the piece lies."""
    x, y = move_vector(piece.centre, lies)
    shift = (x + lies.shift_mm[0], y + lies.shift_mm[1])
    return moved_polygon(Polygon(piece.item.outline), Pose(lies.lie, lies.turn_deg, shift))


def _shifted(lies: Placement, by: tuple[float, float]) -> Placement:
    shift = (lies.shift_mm[0] + by[0], lies.shift_mm[1] + by[1])
    return Placement(piece=lies.piece, lie=lies.lie, turn_deg=lies.turn_deg, shift_mm=shift)


def _touching(a: Polygon, b: Polygon) -> list[tuple[_Way, tuple[float, float]]]:
    """Return shifts of the second outline by which it touches the first one from four sides."""
    ax0, ay0, ax1, ay1 = a.bounds
    bx0, by0, bx1, by1 = b.bounds
    middle_x, middle_y = (ax0 + ax1 - bx0 - bx1) / 2, (ay0 + ay1 - by0 - by1) / 2
    return [
        (_Way.UP_AND_DOWN, (x, _pushed(a, b, _Way.UP_AND_DOWN, x, middle_y, far)))
        for x in (middle_x, ax0 - bx0, ax1 - bx1)
        for far in (ay1 - by0, ay0 - by1)
    ] + [
        (_Way.ALONG, (_pushed(a, b, _Way.ALONG, y, middle_x, far), y))
        for y in (middle_y, ay0 - by0, ay1 - by1)
        for far in (ax1 - bx0, ax0 - bx1)
    ]


def _pushed(a: Polygon, b: Polygon, way: _Way, beside: float, near: float, far: float) -> float:
    """Return a free place as near as halving finds one; the far one is free."""
    for _ in range(_HALVINGS):
        middle = (near + far) / 2
        shift = (middle, beside) if way is _Way.ALONG else (beside, middle)
        if shapely.intersection(a, affinity.translate(b, *shift)).area > 0.0:
            near = middle
        else:
            far = middle
    return far
