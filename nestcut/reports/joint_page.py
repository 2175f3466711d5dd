"""The page of joints: how each kind is made, and where joints lie in the whole parts."""

from __future__ import annotations

import math

from shapely.geometry import Polygon

from nestcut.geometry.polygons import bounds_mm
from nestcut.model.curves import Point
from nestcut.model.joint import Joint, JointAxis, JointKind
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.reports.diagram import (
    Anchor,
    Area,
    Drawing,
    Fill,
    Item,
    Path,
    Pen,
    Text,
    arrow_head,
    rectangle,
)
from nestcut.reports.figures import Figures
from nestcut.reports.fonts import Weight, wrap
from nestcut.reports.hatching import hatch
from nestcut.reports.page_parts import FOOT_MM, HEAD_MM, title
from nestcut.reports.paper import MARGIN_MM
from nestcut.reports.rows import scarf_angle_deg
from nestcut.reports.sheet_page import PageMaker
from nestcut.units import format_slope

CARD_MM = 52.0
STRIP_MM = 31.0


def joint_pages(maker: PageMaker) -> tuple[Drawing, ...]:
    """One card for each kind of joint, then every joined part whole with its joints."""
    if not maker.view.joints:
        return ()
    page = maker.page
    width = page.width_mm - 2 * MARGIN_MM
    top = page.height_mm - MARGIN_MM - HEAD_MM - 2.0
    floor = MARGIN_MM + FOOT_MM
    pages: list[Drawing] = []
    items: list[Item] = []
    y = top
    cards = [(CARD_MM, c) for c in _cards(maker, width)]
    strips = [(STRIP_MM, s) for s in _strips(maker, width)]
    for height, made in (*cards, *strips):
        if items and y - height < floor:
            pages.append(_page(items, maker))
            items, y = [], top
        items.extend(_moved(made, MARGIN_MM, y - height))
        y -= height
    pages.append(_page(items, maker))
    return tuple(pages)


def _page(items: list[Item], maker: PageMaker) -> Drawing:
    page = maker.page
    facts = (
        "side views aren't to scale  ·  positions are measured from the black end, along the part, "
        "to the middle of the joint"
    )
    head = title(page, "Joints", "", facts, "")
    return Drawing(page.width_mm, page.height_mm, (*head, *items), "Joints")


def _moved(items: tuple[Item, ...], dx: float, dy: float) -> list[Item]:
    """Shift items; cards and strips are drawn about their own lower left corner."""

    def p(point: Point) -> Point:
        return (point[0] + dx, point[1] + dy)

    moved: list[Item] = []
    for item in items:
        match item:
            case Path(points, pen):
                moved.append(Path(tuple(p(q) for q in points), pen))
            case Area(outline, holes, pen, fill):
                inner = tuple(tuple(p(q) for q in h) for h in holes)
                moved.append(Area(tuple(p(q) for q in outline), inner, pen, fill))
            case Text(text, at, size, weight, anchor, angle):
                moved.append(Text(text, p(at), size, weight, anchor, angle))
            case _:
                moved.append(_moved_lines(item, dx, dy))
    return moved


def _moved_lines(item: Item, dx: float, dy: float) -> Item:
    from nestcut.reports.diagram import Lines

    if isinstance(item, Lines):
        shifted = tuple(((a[0] + dx, a[1] + dy), (b[0] + dx, b[1] + dy)) for a, b in item.segments)
        return Lines(shifted, item.pen)
    return item


def _cards(maker: PageMaker, width: float) -> list[tuple[Item, ...]]:
    """A card for every kind, slope and thickness that the plan has."""
    kinds: dict[tuple[str, float, float], list[tuple[str, Joint]]] = {}
    for key, joint in maker.view.joints:
        same = (joint.kind.value, joint.slope, joint.thickness_mm)
        kinds.setdefault(same, []).append((key, joint))
    return [_card(kinds[k], maker.figures, width) for k in sorted(kinds)]


def _card(joints: list[tuple[str, Joint]], figures: Figures, width: float) -> tuple[Item, ...]:
    first = joints[0][1]
    names = ", ".join(key for key, _ in joints)
    thick = figures.thickness(first.thickness_mm)
    if first.kind is JointKind.SCARF:
        angle = scarf_angle_deg(first.slope)
        head = f"Scarf {format_slope(first.slope)} in {thick}: {names}"
        lines: tuple[str, ...] = (
            f"Overlap {figures.fine(first.overlap_mm)} = {format_slope(first.slope)} x {thick}; "
            f"the cut stands at {angle:.2f}° to the face. Both pieces' lengths include it.",
            "Plane one slope on each piece, on the faces named below and on the sheet pages. Try "
            "the pieces dry: the faces must come level, with neither step nor hollow.",
            "Slope and place of a joint are the designer's word; ask before you move one.",
        )
        drawing = _scarf_side(figures, first)
    elif first.kind is JointKind.BUTT_STRAP:
        head = f"Butt strap in {thick}: {names}"
        lines = (
            f"Strap {figures.fine(first.overlap_mm)} wide over all, its middle on the joint. "
            "Pieces meet edge to edge.",
            "A pair is mirrored, straps too: lay port and starboard side by side, good faces "
            "alike, before you glue.",
            "Width and face of straps are the designer's word.",
        )
        drawing = _strap_side(figures, first)
    else:
        head = f"Keyed joint in {thick}: {names}"
        lines = (
            "The edges interlock and are cut with a router to the outline in the sheet's DXF file.",
            "Try a test piece from an offcut first: the fit depends on the bit.",
        )
        drawing = _keyed_plan()
    items: list[Item] = [Text(head, (0.0, CARD_MM - 4.0), 4.0, Weight.BOLD)]
    y = CARD_MM - 11.0
    for line in lines:
        for text in wrap(line, 3.0, width - 150.0):
            items.append(Text(text, (150.0, y), 3.0))
            y -= 4.2
        y -= 1.4
    return (*items, *drawing)


def _scarf_side(figures: Figures, joint: Joint) -> tuple[Item, ...]:
    """Side view: two pieces with their slopes apart, then together. Heights are drawn larger."""
    slope_run, thick, long = 52.0, 9.0, 34.0
    x, y = 4.0, 26.0
    first: tuple[Point, ...] = (
        (x, y),
        (x + long + slope_run, y),
        (x + long, y + thick),
        (x, y + thick),
    )
    start = x + long + 8.0
    second: tuple[Point, ...] = (
        (start + slope_run, y),
        (start + slope_run + long, y),
        (start + slope_run + long, y + thick),
        (start, y + thick),
    )
    low = 8.0
    items: list[Item] = []
    for outline, angle, name in ((first, 45.0, "piece 1"), (second, 135.0, "piece 2")):
        items.append(hatch(Polygon(outline), spacing_mm=1.6, angle_deg=angle))
        items.append(Area(outline, pen=Pen.CUT))
        xs = [p[0] for p in outline]
        left = min(xs) + 4.0 if name == "piece 1" else max(xs) - 16.0
        items.append(Area(rectangle(left, y + 2.2, 13.0, 4.6), pen=None, fill=Fill.PAPER))
        items.append(Text(name, (left + 6.5, y + thick / 2), 2.8, anchor=Anchor.MIDDLE))
    together = (x + long, x + long + slope_run)
    items.append(Area(rectangle(x, low, 2 * long + slope_run, thick), pen=Pen.CUT))
    items.append(Path(((together[1], low), (together[0], low + thick)), Pen.CUT))
    items.extend(_dimension(together, low - 3.4, figures.fine(joint.overlap_mm)))
    items.append(Text(f"{scarf_angle_deg(joint.slope):.1f}°", (together[1] + 4.0, low + 2.4), 2.8))
    items.append(Text("glue line", ((together[0] + together[1]) / 2 + 6.0, low + 6.4), 2.6))
    return tuple(items)


def _dimension(span: tuple[float, float], y: float, words: str) -> tuple[Item, ...]:
    a, b = span
    return (
        Path(((a, y + 3.0), (a, y - 1.0)), Pen.THIN),
        Path(((b, y + 3.0), (b, y - 1.0)), Pen.THIN),
        Path(((a, y), (b, y)), Pen.THIN),
        arrow_head((a, y), 180.0),
        arrow_head((b, y), 0.0),
        Text(words, ((a + b) / 2, y - 2.4), 2.8, anchor=Anchor.MIDDLE),
    )


def _strap_side(figures: Figures, joint: Joint) -> tuple[Item, ...]:
    x, y, thick = 4.0, 16.0, 8.0
    left, right = rectangle(x, y, 60.0, thick), rectangle(x + 60.0, y, 60.0, thick)
    strap = rectangle(x + 30.0, y + thick, 60.0, thick)
    items: list[Item] = []
    for outline, angle in ((left, 45.0), (right, 135.0), (strap, 90.0)):
        items.append(hatch(Polygon(outline), spacing_mm=1.6, angle_deg=angle))
        items.append(Area(outline, pen=Pen.CUT))
    items.append(Text("strap", (x + 95.0, y + thick * 1.5), 2.8))
    items.extend(_dimension((x + 30.0, x + 90.0), y - 5.0, figures.fine(joint.overlap_mm)))
    return tuple(items)


def _keyed_plan() -> tuple[Item, ...]:
    x, y, high = 4.0, 4.0, 34.0
    points: list[Point] = []
    points.extend(
        (x + 60.0 + 7.0 * math.sin(k / 8.0 * math.pi), y + k / 48.0 * high) for k in range(49)
    )
    return (
        Area(rectangle(x, y, 120.0, high), pen=Pen.CUT),
        Path(tuple(points), Pen.CUT),
        Text("piece 1", (x + 20.0, y + high / 2), 2.8),
        Text("piece 2", (x + 90.0, y + high / 2), 2.8),
        Text("(sketch)", (x + 104.0, y + 3.0), 2.4),
    )


def _strips(maker: PageMaker, width: float) -> list[tuple[Item, ...]]:
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
    spot: object,
    span: tuple[float, float],
) -> list[Item]:
    """A black mark at the end that joint positions are measured from."""
    if joint.axis is not JointAxis.LENGTH or not callable(spot):
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
