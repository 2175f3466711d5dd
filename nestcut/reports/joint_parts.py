"""Joined parts whole, with their joints and the figures to them."""

from __future__ import annotations

from collections.abc import Callable

from nestcut.geometry.polygons import bounds_mm
from nestcut.model.curves import Point
from nestcut.model.joint import Joint, JointAxis, JointKind
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.reports.diagram import Anchor, Area, Fill, Item, Path, Pen, Text, rectangle
from nestcut.reports.figures import Figures
from nestcut.reports.fonts import Weight, wrap
from nestcut.reports.page_maker import PageMaker
from nestcut.units import format_slope

STRIP_MM = 31.0
"""Height of a strip with one part. [mm on paper]"""


def joined_parts(maker: PageMaker, width: float) -> list[tuple[Item, ...]]:
    """Every joined part, hand and copy whole, with its joints and figures to them."""
    groups: dict[tuple[str, str, int], list[tuple[str, Joint]]] = {}
    for key, joint in maker.view.joints:
        groups.setdefault((joint.part, joint.hand or "", joint.copy), []).append((key, joint))
    return [
        _strip(part, hand, copy, joints, maker, width)
        for (part, hand, copy), joints in groups.items()
    ]


def _strip(
    part: str,
    hand: str,
    copy: int,
    joints: list[tuple[str, Joint]],
    maker: PageMaker,
    width: float,
) -> tuple[Item, ...]:
    figures, plan = maker.figures, maker.view.verified.plan
    length = joints[0][1].part_length_mm
    made: tuple[SheetPiece | RailPiece, ...] = (*plan.pieces, *plan.rail_pieces)
    shares = [
        p
        for p in made
        if p.part == part and (p.hand.value if p.hand else "") == hand and p.copy == copy
    ]
    name = " ".join(w for w in (part, hand.upper(), f"no. {copy}" if copy > 1 else "") if w)
    head = f"{name}: {figures.length(length)} over all"
    items: list[Item] = [Text(head, (0.0, STRIP_MM - 3.2), 3.2, Weight.BOLD)]
    outlines, lines = _share_outlines(shares)
    if not outlines:
        return tuple(items)
    x0, y0, x1, y1 = bounds_mm(tuple(p for o in outlines for p in o))
    scale = max((x1 - x0) / (width * 0.62), (y1 - y0) / 16.0, 1e-6)

    def spot(p: Point) -> Point:
        return ((p[0] - x0) / scale + 2.0, (p[1] - y0) / scale + 7.2)

    items.extend(Area(tuple(spot(p) for p in o), pen=Pen.FRAME) for o in outlines)
    for (key, joint), line in zip(joints, lines, strict=False):
        a, b = (spot(p) for p in line)
        items.append(Path((a, b), Pen.HIDDEN))
        at = ((a[0] + b[0]) / 2, 3.6)
        items.append(Path(((at[0], 5.4), (at[0], min(a[1], b[1]))), Pen.THIN))
        words = f"{key} at {figures.size(joint.at_mm)}"
        items.append(Text(words, at, 2.6, Weight.BOLD, Anchor.MIDDLE))
    items.extend(_reference_end(joints[0][1], hand, shares, spot, (x0, x1)))
    y = STRIP_MM - 3.2
    for key, joint in joints:
        for text in _joint_lines(key, joint, figures, width * 0.34):
            y -= 3.6
            items.append(Text(text, (width * 0.66, y), 2.6))
    return tuple(items)


def _share_outlines(
    shares: list[SheetPiece | RailPiece],
) -> tuple[list[tuple[Point, ...]], list[tuple[Point, Point]]]:
    """Outlines of all shares in the part's own frame, and the middle line of each joint once."""
    outlines: list[tuple[Point, ...]] = []
    lines: dict[str, tuple[Point, Point]] = {}
    for share in shares:
        if isinstance(share, RailPiece):
            run = share.to_mm - share.from_mm
            outlines.append(rectangle(share.from_mm, 0.0, run, share.width_mm))
            for end in share.ends:
                (ax, ay), (bx, by) = end.line
                lines.setdefault(end.joint, ((ax + share.from_mm, ay), (bx + share.from_mm, by)))
        else:
            outlines.append(share.net.outline.points)
            for end in share.ends:
                lines.setdefault(end.joint, end.line)
    return outlines, list(lines.values())


def _reference_end(
    joint: Joint,
    hand: str,
    shares: list[SheetPiece | RailPiece],
    spot: Callable[[Point], Point],
    span: tuple[float, float],
) -> list[Item]:
    """A black mark at the end that joint positions are measured from."""
    if joint.axis is not JointAxis.LENGTH:
        return []
    first = next((s for s in shares if s.share == 1), None)
    is_right = isinstance(first, SheetPiece) and (
        bounds_mm(first.net.outline.points)[0] > span[0] + 1.0
    )
    x = spot((span[1] if is_right else span[0], 0.0))[0]
    side = 1.2 if is_right else -1.2
    return [Area(rectangle(min(x, x + side), 7.2, 1.2, 6.0), pen=None, fill=Fill.INK)]


def _joint_lines(key: str, joint: Joint, figures: Figures, room: float) -> list[str]:
    """What is known of one joint, in a few short lines."""
    words = f"{key}: {joint.kind.value}"
    if joint.kind is JointKind.SCARF:
        words += f" {format_slope(joint.slope)}, {figures.fine(joint.overlap_mm)}"
        faces = [f.value if f else "either face" for f in joint.planed]
        words += f"; plane {joint.pieces[0]} on the {faces[0]}, {joint.pieces[1]} on the {faces[1]}"
    for what, distance in joint.distances:
        words += f"; {figures.length(distance)} from {what}"
    for finding in joint.rule_findings:
        words += f"; NOTE: {finding}"
    return list(wrap(words, 2.6, room))[:6]
