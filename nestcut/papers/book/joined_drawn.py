"""Joined parts drawn whole: as their chart is, or else right way up, with their joints.

Whoever glues a panel has its chart beside this page: ``upper`` is above on both, and the bow on one
side.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from nestcut.geometry.affine import apply
from nestcut.geometry.polygons import bounds_mm
from nestcut.model.curves import Point
from nestcut.model.joint import JointAxis
from nestcut.model.part import Bearings, Towards
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.papers.draw import (
    Anchor,
    Area,
    Fill,
    Item,
    Path,
    Pen,
    Text,
    Weight,
    arrow_head,
    rectangle,
    spread,
    text_width_mm,
)
from nestcut.papers.lists import JointRow
from nestcut.papers.marking.charts import Chart
from nestcut.tolerances.lengths import LEAST_EXTENT_MM

WORDS_MM = 3.2
"""Font size: 9 points. [mm on paper]"""
DRAWN_MM = 6.8
"""Most height of a part's drawing. [mm on paper]"""
FOOT_MM = 5.5
"""Room under a part's drawing for the places of its joints. [mm on paper]"""
FORWARD_MM = 14.0
"""Room for the arrow to the bow beside a part. [mm on paper]"""
UP_MM = 9.0
"""Room for the arrow upward at its other end. [mm on paper]"""
UP_ARROW_MM = 5.0
END_MM = 2.0
"""Height of the black mark at the end that is measured from. [mm on paper]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class LyingWhole:
    """A joined part as its drawing has it. [mm]

    Parameters
    ----------
    outlines
        Of its pieces.
    lines
        Every joint's middle line, by its id.
    is_black_right
        Whether the end that places of joints are measured from lies at the right.
    is_bow_right, is_up_up
        Whether the bow lies at the right, and up above; None: nobody has said.
    """

    outlines: tuple[tuple[Point, ...], ...]
    lines: dict[str, tuple[Point, Point]]
    is_black_right: bool
    is_bow_right: bool | None
    is_up_up: bool | None


def is_black_right(shares: Sequence[SheetPiece | RailPiece]) -> bool:
    """Whether the end that joint positions are measured from has the greater x, as drawn.

    Parameters
    ----------
    shares
        All pieces of one copy.
    """
    first = next((s for s in shares if s.share == 1), None)
    lowest = [bounds_mm(s.net.outline.points)[0] for s in shares if isinstance(s, SheetPiece)]
    return isinstance(first, SheetPiece) and (
        bounds_mm(first.net.outline.points)[0] > min(lowest) + 1.0
    )


def lying_whole(
    shares: Sequence[SheetPiece | RailPiece],
    rows: Sequence[JointRow],
    bearings: Bearings,
    chart: Chart | None,
) -> LyingWhole:
    """How a part is drawn: along its chart's base line, if all its pieces are marked out by one.

    Parts without a chart have up above, or else, if nobody has said what is up, their bow at the
    right.

    Parameters
    ----------
    shares
        All pieces of one copy.
    rows
        Its joints.
    bearings
        Where bow and up lie as the pieces are drawn.
    chart
        That of the whole panel; None: it has none.
    """
    forward, up = bearings.forward, bearings.up
    told = up if up is not Towards.UNSAID else forward
    matrix = np.eye(2, 3) * (-1.0 if told in {Towards.BOTTOM, Towards.LEFT} else 1.0)
    if chart is not None:
        ids = {s.id for s in shares}
        own = next(use.matrix for use in chart.uses if use.piece.id in ids)
        is_along = abs(own[0, 0]) > abs(own[1, 0])
        matrix = own if is_along else matrix

    def moved_to(points: Sequence[Point]) -> tuple[Point, ...]:
        return tuple((float(x), float(y)) for x, y in apply(matrix, np.array(points)))

    outlines, lines = _share_outlines(shares, rows)
    lines |= {row.joint.id: row.seam for row in rows if row.seam is not None}
    keeps_right, keeps_up = bool(matrix[0, 0] > 0.0), bool(matrix[1, 1] > 0.0)
    return LyingWhole(
        outlines=tuple(map(moved_to, outlines)),
        lines={key: _pair(moved_to(line)) for key, line in lines.items()},
        is_black_right=is_black_right(shares) is keeps_right,
        is_bow_right=None
        if forward is Towards.UNSAID
        else (forward is Towards.RIGHT) is keeps_right,
        is_up_up=None if up is Towards.UNSAID else (up is Towards.TOP) is keeps_up,
    )


def _pair(points: tuple[Point, ...]) -> tuple[Point, Point]:
    first, last = points
    return first, last


def whole_part(
    lying: LyingWhole, rows: Sequence[JointRow], keys: Sequence[str], width: float
) -> tuple[Item, ...]:
    """The part drawn together from its pieces, with the joints' names under it.

    Parameters
    ----------
    rows
        Its joints.
    keys
        What each joint is called.
    width
        Of the drawing. [mm on paper]
    """
    outlines, lines = lying.outlines, lying.lines
    if not outlines:
        return ()
    is_bow_right = lying.is_bow_right or False
    has_bow, has_up = lying.is_bow_right is not None, lying.is_up_up is not None
    beside = (FORWARD_MM if has_bow else 0.0, UP_MM if has_up else 0.0)  # of the bow's end, other
    left = 2.0 + beside[is_bow_right]
    x0, y0, x1, y1 = bounds_mm(tuple(p for o in outlines for p in o))
    scale = max((x1 - x0) / (width - sum(beside)), (y1 - y0) / DRAWN_MM, LEAST_EXTENT_MM)

    def spot(p: Point) -> Point:
        return (p[0] - x0) / scale + left, (p[1] - y0) / scale + FOOT_MM

    items: list[Item] = [Area(tuple(spot(p) for p in o), pen=Pen.FRAME) for o in outlines]
    shown = [
        (key, lines[row.joint.id])
        for row, key in zip(rows, keys, strict=True)
        if row.joint.id in lines
    ]
    shown.sort(key=lambda s: (spot(s[1][0])[0] + spot(s[1][1])[0], s[0]))
    feet = [(spot(a)[0] + spot(b)[0]) / 2 for _, (a, b) in shown]
    wide = max((text_width_mm(text, WORDS_MM, Weight.BOLD) for text, _ in shown), default=0.0) + 2.0
    places = spread(feet, wide / 2, width + 4.0 - wide / 2, wide)
    for (text, (a, b)), foot, place in zip(shown, feet, places, strict=True):
        low = min(spot(a)[1], spot(b)[1])
        items.append(Path((spot(a), spot(b)), Pen.HIDDEN))
        items.append(Path(((place, FOOT_MM - 2.0), (foot, FOOT_MM - 0.6), (foot, low)), Pen.THIN))
        items.append(Text(text, (place, FOOT_MM - 3.8), WORDS_MM, Weight.BOLD, Anchor.MIDDLE))
    if rows[0].joint.axis is JointAxis.LENGTH:
        points = [p for o in outlines for p in o]
        x, y = spot((max if lying.is_black_right else min)(points))
        side = 1.2 if lying.is_black_right else -1.2
        # no higher than the part: its name stands above
        top = min(max(y, FOOT_MM) + END_MM / 2.0, FOOT_MM + (y1 - y0) / scale)
        corner = (min(x, x + side), top - END_MM)
        items.append(Area(rectangle(*corner, 1.2, END_MM), pen=None, fill=Fill.INK))
    middle = FOOT_MM + (y1 - y0) / scale / 2.0
    span = (left, left + (x1 - x0) / scale)
    if has_bow:
        items.extend(_forward(span, middle, is_right=is_bow_right))
    if lying.is_up_up is not None:
        items.extend(_upward(span, middle, is_right=not is_bow_right, is_up=lying.is_up_up))
    return tuple(items)


def _forward(span: tuple[float, float], y: float, *, is_right: bool) -> list[Item]:
    """The arrow to the bow beside a part, at its bow's end."""
    if is_right:
        at, foot, tip = span[1] + 2.4, span[1] + FORWARD_MM - 4.6, span[1] + FORWARD_MM - 1.6
    else:
        at, foot, tip = span[0] - 9.6, span[0] - 10.6, span[0] - FORWARD_MM + 0.4
    return [
        Text("FWD", (at, y), WORDS_MM),
        Path(((foot, y), (tip, y)), Pen.THIN),
        arrow_head((tip, y), 0.0 if is_right else 180.0),
    ]


def _upward(span: tuple[float, float], y: float, *, is_right: bool, is_up: bool) -> list[Item]:
    """The arrow upward at a part's other end; a chart may have what is up below."""
    x = span[1] + 1.6 if is_right else span[0] - UP_MM + 1.0
    run = UP_ARROW_MM / 2.0 if is_up else -UP_ARROW_MM / 2.0
    away = 6.6 if is_right else 5.3  # clear of a black end
    foot, tip = (x + away, y - run), (x + away, y + run)
    return [
        Text("UP", (x, y), WORDS_MM),
        Path((foot, tip), Pen.THIN),
        arrow_head(tip, 90.0 if is_up else 270.0),
    ]


def _share_outlines(
    shares: Sequence[SheetPiece | RailPiece], rows: Sequence[JointRow]
) -> tuple[list[tuple[Point, ...]], dict[str, tuple[Point, Point]]]:
    """Outlines of all pieces in the part's own frame, and each joint's middle line by its id."""
    outlines: list[tuple[Point, ...]] = []
    lines: dict[str, tuple[Point, Point]] = {}
    at_mm = {row.joint.id: row.joint.at_mm for row in rows}
    for share in shares:
        if isinstance(share, RailPiece):
            run = share.to_mm - share.from_mm
            outlines.append(rectangle(share.from_mm, 0.0, run, share.width_mm))
            # its own lines are measured from its sawn end, its trim before them
            lines |= {
                end.joint: ((at_mm[end.joint], 0.0), (at_mm[end.joint], share.width_mm))
                for end in share.ends
            }
        else:
            outlines.append(share.net.outline.points)
            for end in share.ends:
                lines.setdefault(end.joint, end.line)
    return outlines, lines
