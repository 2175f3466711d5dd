"""Joined parts whole, with their joints and the figures to them."""

from __future__ import annotations

from nestcut.geometry.polygons import bounds_mm
from nestcut.joints.kinds import KINDS
from nestcut.model.curves import Point
from nestcut.model.joint import Face, Joint, JointAxis
from nestcut.model.part import End, Towards, bow_end
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.papers.book.glued import StringOver, glued, panel_charts
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
    moved,
    rectangle,
    spread,
    text_width_mm,
    wrap,
)
from nestcut.papers.lists import (
    JointRow,
    joint_rows,
    rule_words,
    seam_words,
)
from nestcut.papers.marking.charts import Chart
from nestcut.papers.marking.checks import glued_checks
from nestcut.papers.page import PageMaker
from nestcut.papers.view import Figures
from nestcut.tolerances.lengths import LEAST_EXTENT_MM
from nestcut.units import format_slope
from nestcut.words import tell_fact
from nestcut.words.joint_kinds import JOINT_WORDS

WORDS_MM = 3.2
"""Font size: 9 points. [mm on paper]"""
DRAWN_SHARE, WORDS_SHARE = 0.34, 0.63
"""Shares of the width for the drawing and for the words at the right."""
DRAWN_MM = 8.0
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
PLACE = "place"
"""Before where the plans' designer finds a joint on his drawing."""
LINE_MM = 3.7
"""Distance of lines of words. [mm on paper]"""


def joined_parts(maker: PageMaker, width: float) -> list[tuple[float, tuple[Item, ...]]]:
    """Every joined part, hand and copy whole, with its joints; each with its height. [mm]"""
    groups: dict[tuple[str, str, int], list[JointRow]] = {}
    for row in joint_rows(maker.view):
        joint = row.joint
        groups.setdefault((joint.part, joint.hand or "", joint.copy), []).append(row)
    alike: dict[tuple[object, ...], list[tuple[str, str, int]]] = {}
    for name, rows in groups.items():
        alike.setdefault((name[0], *(_same(row) for row in rows)), []).append(name)
    charts = panel_charts(maker.view, maker.figures) if groups else {}
    return [
        _strip([(n, groups[n]) for n in names], charts, maker, width) for names in alike.values()
    ]


def _same(row: JointRow) -> tuple[object, ...]:
    """What makes joints of two hands or copies alike, so that one drawing shows both."""
    joint = row.joint
    return (joint.kind, joint.slope, round(joint.at_mm, 1), round(joint.overlap_mm, 2))


def _strip(
    alike: list[tuple[tuple[str, str, int], list[JointRow]]],
    charts: dict[str, Chart],
    maker: PageMaker,
    width: float,
) -> tuple[float, tuple[Item, ...]]:
    (part, hand, copy), rows = alike[0]
    figures, plan = maker.figures, maker.view.verified.plan
    made: tuple[SheetPiece | RailPiece, ...] = (*plan.pieces, *plan.rail_pieces)
    shares = [
        p
        for p in made
        if p.part == part and (p.hand.value if p.hand else "") == hand and p.copy == copy
    ]
    keys = [", ".join(other[k].key for _, other in alike) for k in range(len(rows))]
    ends = _boat_ends(maker, rows[0].joint)
    called = f"its {ends[0]} end (black)" if ends else "its black end"
    whole = glued([row.joint for row in rows], shares, charts, maker.view)
    words = [
        line
        for row, key in zip(rows, keys, strict=True)
        for line in _joint_lines(row, key, called, maker, width)
    ]
    if whole.string is not None:
        told = string_words(whole.string, rows, keys, maker)
        words += wrap(told, WORDS_MM, width * WORDS_SHARE)
    if whole.chart is not None:
        words += wrap(check_words(whole.chart, figures), WORDS_MM, width * WORDS_SHARE)
    drawn = _whole_part(rows, keys, shares, ends, _up(maker, part), width)
    high = max((y for i in drawn if isinstance(i, Area) for _, y in i.outline), default=0.0) + 4.8
    hands = " and ".join(dict.fromkeys(h for (_, h, _), _ in alike if h))
    copies = sorted({c for (_, _, c), _ in alike})
    many = f"no. {', '.join(map(str, copies))}" if copies[-1] > 1 else ""
    name = ", ".join(w for w in (part, hands, many) if w)
    head = name if whole.long_mm is None else f"{name}: {_told(whole.long_mm, figures)} as glued"
    height = max(high, 4.6 + LINE_MM * len(words))
    top = height - 3.2
    items: list[Item] = [Text(head, (0.0, top), 3.2, Weight.BOLD)]
    items.extend(
        Text(text, (width * (1.0 - WORDS_SHARE), top - LINE_MM * k), WORDS_MM)
        for k, text in enumerate(words)
    )
    items.extend(moved(drawn, 0.0, height - high))
    return height, tuple(items)


def _up(maker: PageMaker, part: str) -> Towards:
    """Which side of a part's outline is up in the boat, where anybody has said."""
    said = {p.name: p.bearings.up for p in maker.view.verified.job.sheet_parts}
    up = said.get(part, Towards.UNSAID)
    return up if up in {Towards.TOP, Towards.BOTTOM} else Towards.UNSAID


def _boat_ends(maker: PageMaker, joint: Joint) -> tuple[str, str] | None:
    """Names of the end that is measured from and of the other one, where anybody has said."""
    job, axis = maker.view.verified.job, joint.axis
    ends = {p.name: bow_end(p.bearings, axis) for p in job.sheet_parts}
    ends |= {r.name: r.bow for r in job.rail_parts}
    if axis is not JointAxis.LENGTH:
        return None
    names = {End.FAR: ("stern", "bow"), End.START: ("bow", "stern")}
    return names.get(ends.get(joint.part, End.UNSAID))


def _whole_part(
    rows: list[JointRow],
    keys: list[str],
    shares: list[SheetPiece | RailPiece],
    ends: tuple[str, str] | None,
    up: Towards,
    width: float,
) -> tuple[Item, ...]:
    """The part drawn together from its pieces, with the joints' names under it.

    What is up in the boat is up here; parts of which nobody has said it have their bow on the
    right, where anybody has said which end that is.
    """
    outlines, lines = _share_outlines(shares)
    lines |= {row.joint.id: row.seam for row in rows if row.seam is not None}
    if not outlines:
        return ()
    x0, y0, x1, y1 = bounds_mm(tuple(p for o in outlines for p in o))
    is_black_right = _is_black_right(shares, (x0, x1))
    is_bow_right = ends is not None and (ends[0] == "bow") is is_black_right
    is_turned = ends is not None and not is_bow_right
    if up is not Towards.UNSAID:
        is_turned = up is Towards.BOTTOM
        is_bow_right = is_bow_right is not is_turned
    else:
        is_bow_right = ends is not None
    beside = (
        FORWARD_MM if ends else 0.0,
        UP_MM if up is not Towards.UNSAID else 0.0,
    )  # of the bow's end, of the other
    left = 2.0 + beside[is_bow_right]
    room = width * DRAWN_SHARE - sum(beside)
    scale = max((x1 - x0) / room, (y1 - y0) / DRAWN_MM, LEAST_EXTENT_MM)

    def spot(p: Point) -> Point:
        along, high = (x1 - p[0], y1 - p[1]) if is_turned else (p[0] - x0, p[1] - y0)
        return along / scale + left, high / scale + FOOT_MM

    items: list[Item] = [Area(tuple(spot(p) for p in o), pen=Pen.FRAME) for o in outlines]
    shown = [
        (key, lines[row.joint.id])
        for row, key in zip(rows, keys, strict=True)
        if row.joint.id in lines
    ]
    shown.sort(key=lambda s: (spot(s[1][0])[0] + spot(s[1][1])[0], s[0]))
    feet = [(spot(a)[0] + spot(b)[0]) / 2 for _, (a, b) in shown]
    wide = max((text_width_mm(text, WORDS_MM, Weight.BOLD) for text, _ in shown), default=0.0) + 2.0
    places = spread(feet, wide / 2, width * DRAWN_SHARE + 4.0 - wide / 2, wide)
    for (text, (a, b)), foot, place in zip(shown, feet, places, strict=True):
        low = min(spot(a)[1], spot(b)[1])
        items.append(Path((spot(a), spot(b)), Pen.HIDDEN))
        items.append(Path(((place, FOOT_MM - 2.0), (foot, FOOT_MM - 0.6), (foot, low)), Pen.THIN))
        items.append(Text(text, (place, FOOT_MM - 3.8), WORDS_MM, Weight.BOLD, Anchor.MIDDLE))
    if rows[0].joint.axis is JointAxis.LENGTH:
        points = [p for o in outlines for p in o]
        x, y = spot((max if is_black_right else min)(points))
        side = 1.2 if is_black_right is not is_turned else -1.2
        low = max(FOOT_MM, y - END_MM / 2.0)
        items.append(Area(rectangle(min(x, x + side), low, 1.2, END_MM), pen=None, fill=Fill.INK))
    middle = FOOT_MM + (y1 - y0) / scale / 2.0
    span = (left, left + (x1 - x0) / scale)
    if ends:
        items.extend(_forward(span, middle, is_right=is_bow_right))
    if up is not Towards.UNSAID:
        items.extend(_upward(span, middle, is_right=not is_bow_right))
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


def _upward(span: tuple[float, float], y: float, *, is_right: bool) -> list[Item]:
    """The arrow upward at a part's other end."""
    x = span[1] + 1.6 if is_right else span[0] - UP_MM + 1.0
    tip = (x + 6.6, y + UP_ARROW_MM / 2.0)
    return [
        Text("UP", (x, y), WORDS_MM),
        Path(((tip[0], y - UP_ARROW_MM / 2.0), tip), Pen.THIN),
        arrow_head(tip, 90.0),
    ]


def _share_outlines(
    shares: list[SheetPiece | RailPiece],
) -> tuple[list[tuple[Point, ...]], dict[str, tuple[Point, Point]]]:
    """Outlines of all pieces in the part's own frame, and each joint's middle line by its id."""
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
    return outlines, lines


def _is_black_right(shares: list[SheetPiece | RailPiece], span: tuple[float, float]) -> bool:
    """Whether the end that joint positions are measured from has the greater x."""
    first = next((s for s in shares if s.share == 1), None)
    return isinstance(first, SheetPiece) and (
        bounds_mm(first.net.outline.points)[0] > span[0] + 1.0
    )


def _joint_lines(
    row: JointRow, key: str, end: str, maker: PageMaker, width: float
) -> tuple[str, ...]:
    """What is known of one joint, in a few short lines; the part's name stands above them.

    ``end``: what the black end is called, from which places are measured.  Slope and overlap stand
    with its kind, above, and so does whose word its place is.
    """
    joint, figures = row.joint, maker.figures
    names = _letters(row, maker)
    told: list[str] = []
    if row.seam is not None:
        told.append(
            f"seam of sheets joined before marking out, scarf {format_slope(joint.slope)}, "
            f"{figures.fine(joint.overlap_mm)}"
        )
        told.append(seam_words(joint))
    elif KINDS[joint.kind].laps:
        faces = [row.planed_words(which) or "matching face" for which in range(len(names))]
        on = ", ".join(f"{name} on the {face}" for name, face in zip(names, faces, strict=True))
        told.append(f"{JOINT_WORDS[joint.kind].verb} {on}")
    else:
        told.append(f"{joint.kind.value} of {names[0]} and {names[1]}")
    if joint.is_weak:
        told.append("WEAK JOINT, accepted in the job")
    if row.strap_mm is not None:
        told.append(f"{row.strap_face_words or 'strap'}, {figures.fine(row.strap_mm)} wide")
    at, long = _told(joint.at_mm, figures), _told(joint.part_length_mm, figures)
    told.append(f"{PLACE} {at} of {long} from {end}")
    told.extend(rule_words(joint, figures))
    told.extend(f"NOTE: {tell_fact(b, figures.speech)}" for b in joint.rule_findings)
    return wrap(f"{key}: {'; '.join(told)}", WORDS_MM, width * WORDS_SHARE)


def _letters(row: JointRow, maker: PageMaker) -> list[str]:
    """Letters of both pieces of a joint; a part's name where it isn't in pieces."""
    shares = [maker.view.name_of(piece).rpartition(", ")[2] for piece in row.joint.pieces]
    return [share.removeprefix("piece ").partition(" of ")[0] for share in shares]


def _told(length_mm: float, figures: Figures) -> str:
    """A length as pieces' sizes have it: two pieces less their overlap make the whole."""
    return f"{figures.cut(length_mm)}{figures.tail}"


def check_words(chart: Chart, figures: Figures) -> str:
    """What a tape finds between the sawn corners of a panel as it lies glued.

    Parameters
    ----------
    chart
        What all its pieces were marked out by.
    """
    high, low = glued_checks(chart)
    return (
        f"Check, tape straight from sawn corner to corner: on chart {chart.number} upper {high}, "
        f"lower {low}{figures.tail}."
    )


def string_words(
    string: StringOver, rows: list[JointRow], keys: list[str], maker: PageMaker
) -> str:
    """How pieces without a common base line are lined up before the glue sets.

    Parameters
    ----------
    keys
        What each joint is called.
    """
    figures = maker.figures
    told = []
    for row, key in zip(rows, keys, strict=True):
        along, off = (figures.cut(v) for v in string.at_mm[row.joint.id])
        tops = [
            name
            for name, face in zip(_letters(row, maker), row.joint.planed, strict=True)
            if face is Face.BACK
        ]
        seen = f"{tops[0]}'s hollow corner ({key})" if tops else key
        told.append(f"{along} and {off}{figures.tail} to {seen}")
    long = _told(string.long_mm, figures)
    return (
        f"Line up dry: a string over the hollow edge touches it twice, {long} apart. From the "
        f"touch nearer the black end along it, then square off it: {'; '.join(told)}."
    )
