"""Words that have no room on their piece stand beside it, in the waste, with a leader to it."""

from __future__ import annotations

from collections.abc import Sequence

import shapely
from shapely.geometry import LineString, Polygon
from shapely.geometry import Point as Spot
from shapely.geometry.base import BaseGeometry
from shapely.ops import nearest_points

from nestcut.model.curves import Point
from nestcut.papers.draw import Area, Block, Disc, Fill, Item, Path, Pen, Placed, place_inside

REACH_MM = 16.0
"""Words stand no further from their piece. [mm on paper]"""
LEADER_MM = 9.0
"""No leader is longer: another piece's words would be as near. [mm on paper]"""
FREE_MM = 0.5
"""Words keep this far from the lines of pieces. [mm on paper]"""
INSIDE_MM = 1.0
"""How far inside its piece a leader ends, where the piece is so wide. [mm on paper]"""


def place_beside(
    piece: BaseGeometry,
    others: Sequence[BaseGeometry],
    taken: Sequence[BaseGeometry],
    marked: Sequence[BaseGeometry],
    room: BaseGeometry,
    blocks: Sequence[Block],
    angles: Sequence[float] = (0.0,),
) -> tuple[Placed, Point] | None:
    """Find room for words beside a piece, and where their leader touches it.

    Parameters
    ----------
    piece, others
        The piece; all other pieces. On paper.
    taken
        Writing that is there already: neither words nor leaders cross it.
    marked
        Lines that words keep off and leaders may cross.
    room
        Where words may stand at all.
    blocks
        What to write, in order of preference.
    angles
        Directions of writing to try. [deg]
    """
    around = piece.buffer(REACH_MM, quad_segs=2)
    barred = [g for g in (*others, *taken) if g.intersects(around)]
    lines = [g for g in marked if g.intersects(around)]
    free = room.intersection(around).difference(
        shapely.union_all([piece, *barred, *lines]).buffer(FREE_MM, quad_segs=2)
    )
    deep = piece.buffer(-INSIDE_MM)
    target = piece.representative_point() if deep.is_empty else deep
    parts = [p for p in shapely.get_parts(free) if isinstance(p, Polygon)]
    for block in blocks:
        for part in sorted(parts, key=lambda p: (round(p.distance(piece), 3), -p.area)):
            for near in (part.intersection(piece.buffer(LEADER_MM, quad_segs=2)), part):
                found = place_inside(near, (block,), angles)
                if found is None:
                    continue
                leader = LineString(nearest_points(found.box, target))
                if leader.length <= LEADER_MM and not any(leader.intersects(b) for b in barred):
                    foot = leader.coords[-1]
                    return found, (float(foot[0]), float(foot[1]))
    return None


def callout_items(found: Placed, foot: Point) -> tuple[Item, ...]:
    """White ground under the words and their leader; the words themselves are the caller's."""
    box = found.box
    start = nearest_points(box, Spot(foot))[0]
    corners = tuple((float(x), float(y)) for x, y in box.exterior.coords[:-1])
    return (
        Area(corners, pen=None, fill=Fill.PAPER),
        Path(((float(start.x), float(start.y)), foot), Pen.THIN),
        Disc(foot, 0.35, None, Fill.INK),
    )
