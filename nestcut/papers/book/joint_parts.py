"""Joined parts whole, with their joints and the figures to them."""

from __future__ import annotations

from nestcut.joints.kinds import KINDS
from nestcut.model.joint import Face, Joint, JointAxis
from nestcut.model.part import Bearings, End, Towards, bow_end
from nestcut.model.piece import RailPiece, SheetPiece
from nestcut.papers.book.glued import StringOver, glued, panel_charts
from nestcut.papers.book.joined_drawn import WORDS_MM, is_black_right, lying_whole, whole_part
from nestcut.papers.draw import (
    Area,
    Item,
    Text,
    Weight,
    moved,
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
from nestcut.units import format_slope
from nestcut.words import tell_fact
from nestcut.words.joint_kinds import JOINT_WORDS

DRAWN_SHARE, WORDS_SHARE = 0.34, 0.63
"""Shares of the width for the drawing and for the words at the right."""
PLACE = "place"
"""Before where the plans' designer finds a joint on his drawing."""
HEAD_MM = 6.0
"""Room for a part's name above its drawing, clear of it. [mm on paper]"""
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
    bearings = Bearings(forward=_bow(ends, shares), up=_up(maker, part))
    lying = lying_whole(shares, rows, bearings, whole.chart)
    drawn = whole_part(lying, rows, keys, width * DRAWN_SHARE)
    high = (
        max((y for i in drawn if isinstance(i, Area) for _, y in i.outline), default=0.0) + HEAD_MM
    )
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


def _bow(ends: tuple[str, str] | None, shares: list[SheetPiece | RailPiece]) -> Towards:
    """Where the bow lies as a part's pieces are drawn, by what its black end is called."""
    if ends is None:
        return Towards.UNSAID
    is_right = (ends[0] == "bow") is is_black_right(shares)
    return Towards.RIGHT if is_right else Towards.LEFT


def _boat_ends(maker: PageMaker, joint: Joint) -> tuple[str, str] | None:
    """Names of the end that is measured from and of the other one, where anybody has said."""
    job, axis = maker.view.verified.job, joint.axis
    ends = {p.name: bow_end(p.bearings, axis) for p in job.sheet_parts}
    ends |= {r.name: r.bow for r in job.rail_parts}
    if axis is not JointAxis.LENGTH:
        return None
    names = {End.FAR: ("stern", "bow"), End.START: ("bow", "stern")}
    return names.get(ends.get(joint.part, End.UNSAID))


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
