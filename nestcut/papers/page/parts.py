"""What every drawing page carries: title, scale bar, check rule, kerf note. [mm on paper]"""

from __future__ import annotations

from dataclasses import dataclass

from nestcut.model.curves import Point
from nestcut.papers.draw import (
    MARGIN_MM,
    Anchor,
    Area,
    Fill,
    Group,
    Item,
    Lines,
    PageSize,
    Path,
    Pen,
    Text,
    Weight,
    arrow_head,
    rectangle,
    text_width_mm,
    wrap,
)
from nestcut.papers.view import Figures
from nestcut.units import LengthStyle

FOOT_MM = 4.0
"""Room at the foot of a page for the check rule. [mm]"""
WORDS_MM = 3.2
"""Font size of words: a little over 9 points. [mm]"""
LINE_MM = 4.1
"""Distance of lines of words. [mm]"""
NAME_MM, BESIDE_MM = 6.6, 4.4
"""Font sizes of a page's name and of what stands beside it. [mm]"""


@dataclass(frozen=True, slots=True)
class Head:
    """Head of a drawing page: its items and how much height they take. [mm on paper]"""

    height_mm: float
    items: tuple[Item, ...]


def title(page: PageSize, name: str, beside: str, facts: str, scale_text: str) -> Head:
    """A large name, what it is, the scale, then facts in as many lines as they need.

    Parameters
    ----------
    name
        Written large.
    beside
        Behind the name, or below it where there is no room; empty: nothing.
    facts
        In lines below; empty: none.
    scale_text
        At the right; empty: nothing.
    """
    left, right = MARGIN_MM, page.width_mm - MARGIN_MM
    top = page.height_mm - MARGIN_MM
    items: list[Item] = [Text(name, (left, top - 3.2), NAME_MM, Weight.BOLD)]
    start = left + text_width_mm(name, NAME_MM, Weight.BOLD) + 4.0
    scale_wide = text_width_mm(scale_text, BESIDE_MM, Weight.BOLD)
    if scale_text:
        items.append(Text(scale_text, (right, top - 3.2), BESIDE_MM, Weight.BOLD, Anchor.END))
    lines = wrap(facts, WORDS_MM, right - left) if facts else ()
    if beside and text_width_mm(beside, BESIDE_MM, Weight.BOLD) <= right - scale_wide - 4.0 - start:
        items.append(Text(beside, (start, top - 3.2), BESIDE_MM, Weight.BOLD))
    elif beside:
        lines = (*wrap(beside, WORDS_MM, right - left), *lines)
    y = top - 7.0
    for line in lines:
        items.append(Text(line, (left, y - LINE_MM / 2), WORDS_MM))
        y -= LINE_MM
    y -= 0.6
    items.append(Path(((left, y), (right, y)), Pen.FRAME))
    return Head(top - y, tuple(items))


def scale_text(scale: float, figures: Figures) -> str:
    """Write a scale, ``1:10``; on inch papers 1:12 says what it means on a foot rule.

    Parameters
    ----------
    scale
        Of the drawing, as its denominator. [-]
    """
    words = {
        4: "3\" to 1'",
        8: "1-1/2\" to 1'",
        12: "1\" to 1'",
        16: "3/4\" to 1'",
        24: "1/2\" to 1'",
        48: "1/4\" to 1'",
    }
    if scale in words and figures.style is LengthStyle.INCH:
        return f"scale 1:{scale:g}  ({words[int(scale)]})"
    return f"scale 1:{scale:g}"


def scale_bar(at: Point, scale: float, figures: Figures, room_mm: float) -> tuple[Item, ...]:
    """A bar to lay a rule on, in black and white steps, marked in full-size lengths.

    Parameters
    ----------
    at
        Its lower left corner on the page. [mm]
    scale
        Of the drawing, as its denominator. [-]
    room_mm
        How long it may be on the page. [mm]
    """
    if figures.style is LengthStyle.MM:
        steps: tuple[float, ...] = (10, 20, 50, 100, 200, 500, 1000, 2000, 5000)
    else:
        steps = tuple(25.4 * n for n in (0.5, 1, 2, 4, 6, 12, 24, 48, 96, 192))
    fitting = [s for s in steps if s / scale * 4 <= room_mm]
    step = (fitting[-1] if fitting else steps[0]) / scale
    x, y = at
    items: list[Item] = []
    for k in range(4):
        fill = Fill.INK if k % 2 == 0 else Fill.PAPER
        items.append(Area(rectangle(x + k * step, y, step, 1.6), pen=Pen.FRAME, fill=fill))
    is_roomy = 2 * step > 1.8 * text_width_mm(figures.length(4 * step * scale), WORDS_MM)
    for k in (0, 2, 4) if is_roomy else (0, 4):
        text = figures.length(k * step * scale) if k else "0"
        anchor = {0: Anchor.START, 2: Anchor.MIDDLE, 4: Anchor.END}[k]
        items.append(Text(text, (x + k * step, y + 3.9), WORDS_MM, anchor=anchor))
    return tuple(items)


CHECK_RULE = "check rule"
"""Kind of the group that a check rule is: screens leave it out."""


def check_rule(page: PageSize, figures: Figures) -> tuple[Item, ...]:
    """A rule along the lower edge to lay a real one on, 100 mm or 4 in long.

    A print at 97 % is 3 mm short on it.
    """
    is_mm = figures.style is LengthStyle.MM
    long, count, words = (100.0, 10, "100 mm") if is_mm else (101.6, 8, '4"')
    told = f"{words} on this paper"
    wide = long + 3.0 + text_width_mm(told, WORDS_MM)
    x, y = (page.width_mm - wide) / 2.0, MARGIN_MM - 1.5
    step = long / count
    ticks = tuple(
        ((x + k * step, y), (x + k * step, y + (3.0 if k % (count // 2) == 0 else 1.6)))
        for k in range(count + 1)
    )
    ruled = (
        Path(((x, y), (x + long, y)), Pen.FRAME),
        Lines(ticks, Pen.FRAME),
        Text(told, (x + long + 3.0, y + 1.2), WORDS_MM),
    )
    return (Group("", CHECK_RULE, ruled),)


KERF_NOTE_MM = 17.0
"""Height of the note on which side of the line the saw goes. [mm]"""


def kerf_note(at: Point, kerf_text: str) -> tuple[Item, ...]:
    """Which side of the line the saw goes: a piece's edge, the hatched waste and the blade."""
    x, y = at
    slant = tuple(((x + 14.4 + 1.6 * k, y), (x + 14.4 + 1.6 * k + 3.0, y + 8.0)) for k in range(4))
    return (
        Path(((x, y + 8.0), (x + 13.0, y + 8.0), (x + 13.0, y), (x, y)), Pen.CUT),
        Lines(slant),
        Area(rectangle(x + 13.22, y - 0.6, 0.9, 9.2), pen=None, fill=Fill.INK),
        Text("piece", (x + 6.2, y + 4.0), WORDS_MM, anchor=Anchor.MIDDLE),
        arrow_head((x + 14.2, y + 11.2), 180.0, 1.6),
        Path(((x + 14.2, y + 11.2), (x + 18.0, y + 11.2)), Pen.THIN),
        Text(f"blade {kerf_text}", (x + 19.0, y + 11.2), WORDS_MM),
        Text("saw OUTSIDE", (x + 21.5, y + 7.0), WORDS_MM, Weight.BOLD),
        Text("the line, on the", (x + 21.5, y + 3.0), WORDS_MM),
        Text("hatched side", (x + 21.5, y - 1.0), WORDS_MM),
    )


def grain_arrow(middle: Point, grain_deg: float, length_mm: float = 34.0) -> tuple[Item, ...]:
    """A double arrow along the face grain with its name; level or upright.

    Parameters
    ----------
    middle
        Of the arrow, on the page. [mm]
    grain_deg
        0: level; anything else: upright. [deg]
    length_mm
        Of the arrow, on the page. [mm]
    """
    x, y = middle
    half = length_mm / 2
    if grain_deg == 0.0:
        ends = ((x - half, y), (x + half, y))
        turns = (180.0, 0.0)
        label = Text("face grain", (x + half + 2.0, y), WORDS_MM)
    else:
        ends = ((x, y - half), (x, y + half))
        turns = (270.0, 90.0)
        label = Text("face grain", (x + 3.0, y), WORDS_MM, angle_deg=90.0, anchor=Anchor.MIDDLE)
    return (
        Path(ends, Pen.FRAME),
        *(arrow_head(end, turn, 2.6) for end, turn in zip(ends, turns, strict=True)),
        label,
    )
