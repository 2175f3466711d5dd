"""Joined flat parts: keyed pieces that close up to the part, straps that lie over their butts."""

from __future__ import annotations

import math
from itertools import islice, pairwise, product

import shapely
from shapely import affinity
from shapely.geometry import Polygon

from tests.second.asked import FlatPart
from tests.second.copies import Copy
from tests.second.flat import EXACT_MM, SMOOTH_MM, frame, handed
from tests.second.poses import Pose, poses
from tests.second.written import DrawnPiece

_FAR = 1e5
_MOST_WAYS = 64
"""So many ways of laying keyed pieces on their part are tried. [-]"""


def reassembled(part: FlatPart, copy: Copy, drawn: list[DrawnPiece]) -> list[str]:
    """Lay keyed pieces by the lines of their joints and look whether they make the part.

    The line where a joint is drawn on a piece tells where on the part the piece belongs.
    """
    assert part.shape is not None
    assert part.joint is not None
    rule = part.joint
    start, _, is_x = frame(part, rule)
    places = rule.at_mm if rule.at_mm is not None else copy.at_mm
    ways: list[list[Polygon]] = []
    for k, piece in enumerate(drawn):
        which = places[k] if k < len(places) else places[k - 1]
        flipped = handed(piece.cut, part, piece_hand(copy), is_down=piece.is_face_down)
        lines = [
            handed(shapely.LineString(m), part, piece_hand(copy), is_down=piece.is_face_down)
            for m in piece.marks
        ]
        spots = _laid_by_line(
            part, flipped, lines, start + which, is_x=is_x, is_first=k < len(places)
        )
        if not spots:
            return [f"{copy.words}: {piece.name} has no line that lays it on its part"]
        ways.append(spots)
    # a neighbour's line may lie within the play of a piece's own: one way that closes is enough
    return min((_faults(part, copy, laid) for laid in islice(product(*ways), _MOST_WAYS)), key=len)


def _faults(part: FlatPart, copy: Copy, laid: tuple[Polygon, ...]) -> list[str]:
    """What is wrong with keyed pieces that lie so on their part."""
    assert part.shape is not None
    assert part.joint is not None
    play = part.joint.key_clearance_mm
    slack = SMOOTH_MM if part.is_smooth else 0.02
    whole = shapely.union_all(laid)
    found = []
    if whole.difference(part.shape.buffer(slack)).area > 0.5:
        found.append(f"{copy.words}: keyed pieces reach beyond the part")
    gap = part.shape.difference(whole)
    if not gap.buffer(-(play + slack) / 2.0 - 0.005).is_empty:
        found.append(f"{copy.words}: keyed pieces leave a hole wider than the play between keys")
    for a, b in pairwise(laid):
        if a.intersection(b).area > slack * a.length * 0.1:
            found.append(f"{copy.words}: keyed pieces overlap")
        if play > 0.0 and a.distance(b) > play + slack:
            found.append(f"{copy.words}: keyed pieces are too far apart")
    return found


def piece_hand(copy: Copy) -> str:
    return copy.key[1]


def _laid_by_line(
    part: FlatPart,
    piece: Polygon,
    lines: list[shapely.LineString],
    at_mm: float,
    *,
    is_x: bool,
    is_first: bool,
) -> list[Polygon]:
    """Try every straight mark as the joint's line; the part must cover the piece."""
    assert part.shape is not None
    cut = (
        shapely.LineString([(at_mm, -_FAR), (at_mm, _FAR)])
        if is_x
        else shapely.LineString([(-_FAR, at_mm), (_FAR, at_mm)])
    ).intersection(part.shape)
    x0, y0, x1, y1 = cut.bounds
    a, b = (x0, y0), (x1, y1)
    found: list[Polygon] = []
    for line in lines:
        rows = list(line.coords)
        if len(rows) != 2 or abs(line.length - math.dist(a, b)) > 0.1:
            continue
        for p, q in ((rows[0], rows[1]), (rows[1], rows[0])):
            turn = math.degrees(math.atan2(b[1] - a[1], b[0] - a[0])
                                - math.atan2(q[1] - p[1], q[0] - p[0]))  # fmt: skip
            turned = affinity.rotate(piece, turn, origin=(p[0], p[1]))
            moved = affinity.translate(turned, a[0] - p[0], a[1] - p[1])
            if moved.difference(part.shape.buffer(0.1)).area < 1.0:
                middle = moved.centroid.x if is_x else moved.centroid.y
                if (middle < at_mm) == is_first:
                    found.append(moved)
    return found


def wanted_straps(part: FlatPart, copy: Copy) -> list[Polygon]:
    """The straps of one copy, in the part's frame: the band short of the part's edges."""
    assert part.shape is not None
    assert part.joint is not None
    rule = part.joint
    start, _, is_x = frame(part, rule)
    half = rule.strap_thicknesses * part.thickness_mm / 2.0
    room = part.shape.buffer(-rule.strap_margin_mm, join_style="mitre", mitre_limit=50.0)
    found: list[Polygon] = []
    for at in rule.at_mm if rule.at_mm is not None else copy.at_mm:
        low, high = start + at - half, start + at + half
        band = shapely.box(low, -_FAR, high, _FAR) if is_x else shapely.box(-_FAR, low, _FAR, high)
        for lump in shapely.get_parts(room.intersection(band)).tolist():
            box = lump.bounds
            if isinstance(lump, Polygon) and (box[0] if is_x else box[1]) < start + at < (
                box[2] if is_x else box[3]
            ):
                found.append(lump)
    return found


def fits_strap(part: FlatPart, want: Polygon, drawn: DrawnPiece, hand: str) -> list[Pose]:
    """Motions that lay the strap wanted onto the one drawn; on the back it is seen mirrored."""
    rule = part.joint
    assert rule is not None
    seen = affinity.scale(want, -1.0, 1.0, origin=(0, 0)) if rule.strap_face == "back" else want
    seen = handed(seen, part, hand, is_down=drawn.is_face_down)
    return poses(seen, drawn.cut, max(EXACT_MM, 0.05 + 0.012 * rule.strap_margin_mm))
